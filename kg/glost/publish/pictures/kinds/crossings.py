"""Treatments seen on other shapes than their own, as arcs."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import partial

from rdflib import URIRef
from rdflib.term import Node

from glost.answer.snapshot import Snapshot
from glost.names import GLOST
from glost.publish.pictures.canvas import Canvas
from glost.publish.pictures.frame import Draw, SheetFrame
from glost.publish.pictures.lettering import fit, width
from glost.publish.pictures.lives import basis
from glost.publish.pictures.model import NOTHING, Basis, Heading, together
from glost.publish.pictures.picture import Drawing, PictureWords
from glost.publish.pictures.style import (
    BAND,
    COBALT,
    INK,
    LONG,
    MARGIN,
    PALE,
    PAPER,
    QUIET,
    RULE,
    RUST,
    SHORT,
    SMALL,
    TINY,
)
from glost.publish.pictures.subjects import Subject, every, must_be, thing_of
from glost.trade.crossings import Crossing as Found
from glost.trade.crossings import crossings as find
from glost.trade.crossings import matrix, support
from glost.words.english import count
from glost.words.labels import label
from glost.words.pictures import BASIS, basis_cells, cited, rests_on


@dataclass(frozen=True, slots=True)
class CrossingArc:
    """Treatments of one shape seen on another.

    Attributes
    ----------
    home, seen
        Which shapes, counted from 0 in `Crossings.shapes`.
    count
        How many treatments crossed so.
    explained
        How many of them have an explanation.
    explanations
        Those explanations, in words.
    """

    home: int
    seen: int
    count: int
    explained: int
    explanations: tuple[str, ...] = ()
    basis: Basis = NOTHING


@dataclass(frozen=True, slots=True)
class Crossings:
    """Crossings between shapes, shapes in the order in which they are drawn."""

    title: str
    shapes: tuple[Heading, ...]
    crossings: tuple[CrossingArc, ...]
    note: str = ""


def crossings(snapshot: Snapshot, pottery: URIRef | None = None) -> Crossings:
    """Count the treatments that crossed from each shape to each other one.

    Parameters
    ----------
    snapshot
        The collection.
    pottery
        Only treatments of this pottery; None for all.

    Raises
    ------
    RecordErrors
        If it is no pottery.
    """
    if pottery is not None:
        must_be(snapshot, pottery, GLOST.Pottery)
    found = find(snapshot.belief, snapshot.chronology)
    if pottery is not None:
        issued = set(snapshot.belief.graph.subjects(GLOST.issuedBy, pottery))
        found = tuple(each for each in found if each.treatment in issued)
    cells = matrix(found, snapshot.chronology).cells
    shapes = sorted(
        {s for c in cells for s in (c.home, c.seen_on)}, key=lambda s: _order(snapshot, s)
    )
    places = {shape: place for place, shape in enumerate(shapes)}
    whose = label(pottery, snapshot.words) if pottery else snapshot.record.collection.title
    return Crossings(
        f"Crossings between shapes: {whose}",
        tuple(
            Heading(label(shape, snapshot.words), _maker(snapshot, shape), str(shape))
            for shape in shapes
        ),
        tuple(
            sorted(
                (
                    _crossing(snapshot, places[c.home], places[c.seen_on], c.crossings)
                    for c in cells
                ),
                key=lambda each: (each.home, each.seen),
            )
        ),
        "A treatment's home is the shape its number gives it; it crossed if a piece or a list "
        "shows it on another. Shapes stand by maker and in order of their beginnings.",
    )


def _crossing(snapshot: Snapshot, home: int, seen: int, found: Iterable[Found]) -> CrossingArc:
    all_of = tuple(found)
    explained = [each for each in all_of if any(e.strength for e in each.explanations)]
    words = sorted({e.words for each in explained for e in each.explanations if e.strength})
    claims = [claim for each in all_of for claim in support(each)]
    return CrossingArc(
        home, seen, len(all_of), len(explained), tuple(words), basis(claims, snapshot.words)
    )


def _maker(snapshot: Snapshot, shape: Node) -> str:
    makers = {
        label(each, snapshot.words) for each in snapshot.belief.graph.objects(shape, GLOST.madeBy)
    }
    return " and ".join(sorted(makers))


def _order(snapshot: Snapshot, shape: Node) -> tuple[str, float, str]:
    begin = snapshot.chronology.bounds(URIRef(f"{shape}#begin")).earliest
    return _maker(snapshot, shape), float("inf") if begin is None else begin, str(shape)


def crossings_in_words(crossings: Crossings) -> PictureWords:
    """Tell crossings: a row for each pair of shapes."""
    columns = ("home", "seen on", "treatments", "explained", "explanations")
    names = [shape.name for shape in crossings.shapes]
    rows = tuple(
        (
            names[each.home],
            names[each.seen],
            str(each.count),
            str(each.explained),
            "; ".join(each.explanations),
            *basis_cells(each.basis),
        )
        for each in crossings.crossings
    )
    count = sum(each.count for each in crossings.crossings)
    explained = sum(each.explained for each in crossings.crossings)
    summary = (
        f"{count} crossings of treatments between {len(names)} shapes, of which {explained} "
        "have an explanation. "
    )
    summary += "; ".join(f"{row[0]} on {row[1]}: {row[2]}" for row in rows)
    return PictureWords(summary.strip(), (*columns, *BASIS), rows)


_LEAST, _MOST = 15.0, 30.0
_DASHES = (3.2, 2.2)


def crossing_picture(crossings: Crossings) -> Drawing:
    """Draw crossings between shapes.

    Shapes stand along the middle. Above them an arc goes from each home to each shape on which
    its treatments were seen, the thicker the more; broken where none of them is explained. Below,
    rows are homes and columns where treatments were seen.

    Parameters
    ----------
    crossings
        The crossings, counted.

    Returns
    -------
    Drawing
        One upright sheet, larger than A4 only if there are more shapes than fit.
    """
    basis = together(each.basis for each in crossings.crossings)
    return Drawing(
        crossings.title, crossings_in_words(crossings), (partial(_sheet, crossings, basis),)
    )


_NAMES = 150.0
"""The most points that names of shapes take, on the left and above."""


def _sheet(crossings: Crossings, basis: Basis) -> Canvas:
    count = max(len(crossings.shapes), 1)
    widest = max((width(shape.name, SMALL) for shape in crossings.shapes), default=0.0)
    names = min(widest, _NAMES) + 10
    pitch = min(max((SHORT - 2 * MARGIN - names - 8) / count, _LEAST), _MOST)
    wide = max(2 * MARGIN + names + pitch * count + 8, SHORT * 0.7)
    frame = SheetFrame(crossings.title, crossings.note, rests_on(basis), _legend(crossings))
    left = MARGIN + names
    spans = [abs(each.home - each.seen) for each in crossings.crossings]
    arcs = min(max(spans, default=0) * pitch * 0.42 + 16, 190.0)
    base = frame.head(wide) + arcs
    top = base + names + 4
    row = min(pitch, 17.0)
    canvas = Canvas(wide, max(top + row * count + 8 + frame.foot(wide), LONG * 0.3))
    _groups(canvas, crossings, left, pitch, top, row)
    for each in sorted(crossings.crossings, key=lambda c: -abs(c.home - c.seen)):
        with canvas.part(told=_told(crossings, each)):
            _arc(canvas, each, left, pitch, base, arcs)
    for at, shape in enumerate(crossings.shapes):
        x = left + (at + 0.5) * pitch
        with canvas.part(shape.about):
            canvas.dot(x, base, 2.0, fill=INK)
            name = fit(shape.name, SMALL, _NAMES)
            canvas.text(x + 2.4, base + 5, name, SMALL, turned=-90)
            canvas.text(left - 5, top + (at + 0.5) * row, name, SMALL, align="right")
    for each in crossings.crossings:
        with canvas.part(told=_told(crossings, each)):
            _count(canvas, each, left, top, pitch, row)
    frame.draw(canvas)
    return canvas


def _told(crossings: Crossings, each: CrossingArc) -> str:
    """Say what crossed, how it is explained and what that rests on."""
    names = [shape.name for shape in crossings.shapes]
    many = count(each.count, "treatment")
    how = "; ".join(each.explanations) or "no explanation"
    return f"{many} of {names[each.home]} on {names[each.seen]}: {how}. {cited(each.basis)}".strip()


def _legend(crossings: Crossings) -> list[tuple[str, Draw]]:
    found: list[tuple[str, Draw]] = [
        ("home (row), seen on (column), how many treatments", partial(_swatch, 2, 2))
    ]
    if any(each.explained < each.count for each in crossings.crossings):
        found.append(("some without explanation", partial(_swatch, 2, 1)))
        found.append(("none explained", partial(_swatch, 2, 0)))
    return found


def _swatch(count: int, explained: int, canvas: Canvas, x: float, y: float) -> None:
    each = CrossingArc(0, 0, count, explained)
    _square(canvas, each, x + 2, y - 5, 20, 10)


def _groups(
    canvas: Canvas, crossings: Crossings, left: float, pitch: float, top: float, row: float
) -> None:
    """Rule the matrix, shade its diagonal, and part the groups."""
    count = len(crossings.shapes)
    right, bottom = left + pitch * count, top + row * count
    for at in range(count):
        canvas.box(left + at * pitch, top + at * row, pitch, row, fill=BAND)
    for at in range(count + 1):
        x, y = left + at * pitch, top + at * row
        new = 0 < at < count and crossings.shapes[at].group != crossings.shapes[at - 1].group
        ink, weight = (QUIET, 0.8) if new or at in (0, count) else (RULE, 0.4)
        canvas.line([(x, top), (x, bottom)], ink=ink, weight=weight)
        canvas.line([(left, y), (right, y)], ink=ink, weight=weight)


def _ink(each: CrossingArc) -> str:
    return COBALT if each.explained == each.count else RUST


def _arc(
    canvas: Canvas, each: CrossingArc, left: float, pitch: float, base: float, room: float
) -> None:
    start, end = (left + (at + 0.5) * pitch for at in (each.home, each.seen))
    # A little apart, so that there and back are two arcs.
    shift = 1.6 if end > start else -1.6
    high = min(abs(end - start) * 0.56, (room - 6) * 4 / 3)
    points = (start + shift, base - 2), (start + shift, base - high)
    ends = (end - shift, base - high), (end - shift, base - 3)
    canvas.curve(
        *points,
        *ends,
        ink=_ink(each),
        weight=min(0.7 + 0.35 * each.count, 4.0),
        dashes=() if each.explained else _DASHES,
    )
    x = end - shift
    canvas.shape([(x - 2.3, base - 6.6), (x + 2.3, base - 6.6), (x, base - 1.6)], fill=_ink(each))


def _count(
    canvas: Canvas, each: CrossingArc, left: float, top: float, pitch: float, row: float
) -> None:
    x, y = left + each.seen * pitch, top + each.home * row
    _square(canvas, each, x + 1, y + 1, pitch - 2, row - 2)


def _square(
    canvas: Canvas, each: CrossingArc, x: float, y: float, wide: float, high: float
) -> None:
    if each.explained == each.count:
        canvas.box(x, y, wide, high, fill=COBALT)
        ink = PAPER
    elif each.explained:
        canvas.box(x, y, wide, high, fill=PALE, ink=RUST, weight=1.0)
        ink = INK
    else:
        canvas.box(x, y, wide, high, fill=PAPER, ink=RUST, weight=1.0, dashes=(2.4, 1.4))
        ink = INK
    text = fit(str(each.count), TINY, wide)
    canvas.text(x + wide / 2, y + high / 2, text, TINY, bold=True, ink=ink, align="center")


def _drawn(snapshot: Snapshot, of: str) -> Drawing:
    return crossing_picture(crossings(snapshot, thing_of(snapshot, of, "pottery")))


SUBJECT = Subject("a pottery", _drawn, lists=(("", "treatment"),), things=every(GLOST.Pottery))
