"""How much was in production in each year."""

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from functools import partial
from math import inf

from rdflib import URIRef
from rdflib.namespace import RDF

from glost.answer.snapshot import Snapshot
from glost.names import GLOST
from glost.publish.pictures.canvas import Canvas
from glost.publish.pictures.frame import Draw, SheetFrame
from glost.publish.pictures.lives import Lives
from glost.publish.pictures.model import Basis, Days, together
from glost.publish.pictures.picture import Drawing, PictureWords
from glost.publish.pictures.style import (
    COBALT,
    INK,
    LONG,
    MARGIN,
    PALE,
    PAPER,
    QUIET,
    RULE,
    SMALL,
    TINY,
)
from glost.publish.pictures.subjects import Subject, every, must_be, thing_of
from glost.publish.pictures.timeline import Axis, heights, year_span
from glost.record.dates import day_number
from glost.record.errors import RecordError, RecordErrors
from glost.trade.statistics import Span, aoristic, in_production
from glost.words.labels import label
from glost.words.pictures import BASIS, basis_cells, rests_on


@dataclass(frozen=True, slots=True)
class Production:
    """Production through time.

    Attributes
    ----------
    years
        The years, each from its first to its last day.
    certain, possible
        For each year, how many were certainly, and how many possibly, in production in it.
    bases
        For each year, what its figures rest on.
    pieces
        For each year, how many dated pieces fall in it by aoristic weight; empty if none is dated.
    undated
        How many pieces could not be placed.
    of
        What is counted: ``shapes``.
    """

    title: str
    years: tuple[int, ...]
    certain: tuple[int, ...]
    possible: tuple[int, ...]
    bases: tuple[Basis, ...]
    pieces: tuple[float, ...] = ()
    undated: int = 0
    of: str = "shapes"
    note: str = ""


def production(snapshot: Snapshot, pottery: URIRef | None = None) -> Production:
    """Count the shapes in production in each year, and spread the pieces over the years.

    Parameters
    ----------
    snapshot
        The collection.
    pottery
        Only its shapes, and pieces of them; None for all.

    Raises
    ------
    RecordErrors
        If it is no pottery, or nothing of it is dated.
    """
    facts, lives = snapshot.belief.graph, Lives(snapshot)
    shapes = {each for each in facts.subjects(RDF.type, GLOST.Shape) if isinstance(each, URIRef)}
    whose = snapshot.record.collection.title
    if pottery is not None:
        must_be(snapshot, pottery, GLOST.Pottery)
        shapes = {each for each in shapes if (each, GLOST.madeBy, pottery) in facts}
        whose = label(pottery, snapshot.words)
    runs = {shape: lives.life(shape) for shape in sorted(shapes)}
    dated = {shape: life for shape, life in runs.items() if life.known}
    if not dated:
        message = f"no shape of {whose} is dated"
        raise RecordErrors([RecordError(str(snapshot.record.collection.path), message, "date one")])
    first, last = year_span(d for life in dated.values() for d in (*life.begin, *life.end))
    years = range(first, last + 1)
    counts = in_production(
        [(_low_high(life.begin), _low_high(life.end)) for life in dated.values()],
        [(day_number(year, 1, 1), day_number(year, 12, 31)) for year in years],
    )
    spans, undated = _placed(snapshot, lives, shapes if pottery is not None else None)
    edges = [day_number(year, 1, 1) for year in range(first, last + 2)]
    weights = aoristic([span for span, _ in spans], edges) if spans else ()
    left_out = len(runs) - len(dated)
    note = "Where a beginning or an end is not bounded, a shape counts as possibly in production. "
    note += f"{left_out} shapes of which no date is known are left out. " if left_out else ""
    note += "A piece is taken to be as likely of any day between its first and its last. "
    resting = [
        (_low_high((life.begin[0], life.end[1])), lives.basis(shape))
        for shape, life in dated.items()
    ]
    return Production(
        f"Production through time: {whose}",
        tuple(years),
        tuple(certain for certain, _ in counts),
        tuple(possible for _, possible in counts),
        _meeting((*resting, *spans), edges),
        tuple(float(weight) for weight in weights),
        undated,
        "shapes",
        note + lives.note,
    )


def _low_high(days: Days) -> Span:
    return (-inf if days[0] is None else days[0], inf if days[1] is None else days[1])


def _meeting(spans: Iterable[tuple[Span, Basis]], edges: list[int]) -> tuple[Basis, ...]:
    """Put together what those rest on that may have run, or been made, in each year."""
    years: list[list[Basis]] = [[] for _ in edges[1:]]
    for (early, late), rests in spans:
        first = max(0, bisect_right(edges, early) - 1)
        for year in years[first : bisect_right(edges, late)]:
            year.append(rests)
    return tuple(map(together, years))


def _placed(
    snapshot: Snapshot, lives: Lives, shapes: set[URIRef] | None
) -> tuple[list[tuple[Span, Basis]], int]:
    """Return the spans of the making of pieces and what they rest on, and how many have none."""
    facts = snapshot.belief.graph
    spans: list[tuple[Span, Basis]] = []
    undated = 0
    pieces = set(facts.subjects(RDF.type, GLOST.Piece))
    if shapes is not None:
        pieces &= {piece for shape in shapes for piece in facts.subjects(GLOST.ofShape, shape)}
    for piece in sorted(pieces, key=str):
        if not isinstance(piece, URIRef):
            continue
        (early, late), _ = lives.when(URIRef(f"{piece}#made"))
        if early is None or late is None or late < early:
            undated += 1
        else:
            spans.append(((early, late + 1), lives.basis(piece, "made")))
    return spans, undated


def production_in_words(production: Production) -> PictureWords:
    """Tell production through time: a row for each year."""
    pieces = production.pieces or (0.0,) * len(production.years)
    rows = tuple(
        (str(year), str(certain), str(possible), f"{weight:.3f}", *basis_cells(basis))
        for year, certain, possible, weight, basis in zip(
            production.years,
            production.certain,
            production.possible,
            pieces,
            production.bases,
            strict=True,
        )
    )
    most = max(production.certain, default=0)
    peak = [year for year, n in zip(production.years, production.certain, strict=True) if n == most]
    summary = f"How many {production.of} were in production in each year, {rows[0][0]} to "
    summary += f"{rows[-1][0]}; at most {most} certainly, in {_years(peak)}."
    if production.pieces:
        spread = f"{sum(production.pieces):,.1f}".removesuffix(".0")
        summary += f" Dated pieces spread over these years: {spread}."
    columns = ("year", "certainly", "possibly", "pieces by aoristic weight")
    return PictureWords(summary, (*columns, *BASIS), rows)


def _years(years: list[int]) -> str:
    """Name years, those that follow one another as a span: ``1908, 1913 to 1915``."""
    spans: list[list[int]] = []
    for year in years:
        if spans and year == spans[-1][-1] + 1:
            spans[-1].append(year)
        else:
            spans.append([year])
    return ", ".join(str(s[0]) if len(s) == 1 else f"{s[0]} to {s[-1]}" for s in spans)


_HIGH, _PIECES = 170.0, 96.0
_LEFT = MARGIN + 34


def production_chart(production: Production) -> Drawing:
    """Draw production through time, on a sheet on its side.

    Parameters
    ----------
    production
        Counts of what ran in each year, and the spread of dated pieces.
    """
    return Drawing(
        production.title, production_in_words(production), (partial(_sheet, production),)
    )


def _sheet(production: Production) -> Canvas:
    frame = SheetFrame(
        production.title, production.note, rests_on(together(production.bases)), _legend(production)
    )
    head = frame.head(LONG) + 16
    lower = _PIECES + 26 if production.pieces else 0.0
    canvas = Canvas(LONG, head + _HIGH + lower + 22 + frame.foot(LONG))
    first, last = production.years[0], production.years[-1]
    axis = Axis(first, last, _LEFT, LONG - MARGIN)
    axis.draw(canvas, head, head + _HIGH)
    _panel(canvas, axis, production, head)
    if production.pieces:
        _pieces(canvas, axis, production, head + _HIGH + 30)
    frame.draw(canvas)
    return canvas


def _legend(production: Production) -> list[tuple[str, Draw]]:
    found: list[tuple[str, Draw]] = [
        (f"{production.of} certainly in production", partial(_swatch, COBALT, "")),
        ("possibly in production", partial(_swatch, PALE, "//////")),
    ]
    if production.pieces:
        found.append(("dated pieces, each spread over its possible years", _bar_swatch))
    return found


def _swatch(fill: str, hatch: str, canvas: Canvas, x: float, y: float) -> None:
    canvas.box(x, y - 4.5, 22, 9, fill=fill, ink=COBALT, hatch=hatch, weight=0.5)


def _bar_swatch(canvas: Canvas, x: float, y: float) -> None:
    canvas.box(x, y - 4.5, 22, 9, fill=QUIET)


def _panel(canvas: Canvas, axis: Axis, production: Production, top: float) -> None:
    most = max((*production.possible, 1))
    bottom, scale = top + _HIGH, (_HIGH - 8) / most
    _heights(canvas, axis, most, bottom, scale)
    for year, certain, possible in zip(
        production.years, production.certain, production.possible, strict=True
    ):
        left, right = axis.at(day_number(year, 1, 1)), axis.at(day_number(year + 1, 1, 1))
        if possible > certain:
            canvas.box(
                left, bottom - possible * scale, right - left, (possible - certain) * scale,
                fill=PALE, ink=COBALT, hatch="//////", weight=0.4,
            )  # fmt: skip
        if certain:
            canvas.box(
                left, bottom - certain * scale, right - left, certain * scale,
                fill=COBALT, ink=PAPER, weight=0.3,
            )  # fmt: skip
    canvas.text(MARGIN, top - 7, production.of, SMALL, ink=INK, bold=True)


def _heights(canvas: Canvas, axis: Axis, most: float, bottom: float, scale: float) -> None:
    for value in heights(most):
        y = bottom - value * scale
        if value:
            canvas.line([(axis.left, y), (axis.right, y)], ink=RULE, weight=0.5)
        canvas.text(axis.left - 5, y, f"{value:g}", SMALL, ink=QUIET, align="right")


def _pieces(canvas: Canvas, axis: Axis, production: Production, top: float) -> None:
    bottom = top + _PIECES
    most = max(*production.pieces, 1e-9)
    scale = (_PIECES - 6) / most
    for year in range(axis.first, axis.last + 2):
        if year % axis.step == 0:
            x = axis.at(day_number(year, 1, 1))
            canvas.line([(x, top), (x, bottom)], ink=RULE, weight=0.6)
    _heights(canvas, axis, most, bottom, scale)
    for year, weight in zip(production.years, production.pieces, strict=True):
        left, right = axis.at(day_number(year, 1, 1)), axis.at(day_number(year + 1, 1, 1))
        if weight > 0:
            high = weight * scale
            canvas.box(left, bottom - high, right - left, high, fill=QUIET, ink=PAPER, weight=0.3)
    canvas.line([(axis.left, bottom), (axis.right, bottom)], ink=QUIET, weight=0.6)
    said = "pieces a year"
    if production.undated:
        said += f"; {production.undated} more cannot be placed"
    canvas.text(MARGIN, top - 7, said, TINY, ink=INK, bold=True)


def _drawn(snapshot: Snapshot, of: str) -> Drawing:
    return production_chart(production(snapshot, thing_of(snapshot, of, "pottery")))


SUBJECT = Subject("a pottery", _drawn, lists=(("", "pottery"),), things=every(GLOST.Pottery))
