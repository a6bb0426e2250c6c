"""When shapes, marks, kilns and whatever else has a life ran."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import partial

from rdflib import Graph, URIRef
from rdflib.namespace import RDF

from glost.answer.groups import standing_for
from glost.answer.snapshot import Snapshot
from glost.names import GLOST
from glost.publish.pictures.bars import (
    AXES,
    bars_height,
    chart_axis,
    draw_bars,
    names_room,
    run_legend,
)
from glost.publish.pictures.canvas import Canvas
from glost.publish.pictures.frame import SheetFrame
from glost.publish.pictures.lives import Lives, basis
from glost.publish.pictures.model import Bar, Basis, DatedExhibit, together
from glost.publish.pictures.picture import Drawing, PictureWords
from glost.publish.pictures.style import (
    LONG,
    MARGIN,
    SHORT,
)
from glost.publish.pictures.subjects import Subject, thing_of
from glost.record.errors import RecordError, RecordErrors, suggestion
from glost.trade.lineage import makers
from glost.words.labels import label
from glost.words.lookup import names_of
from glost.words.pictures import BASIS, basis_cells, extent, rests_on, standing
from glost.words.spans import interval


@dataclass(frozen=True, slots=True)
class Runs:
    """A chart of runs; bars in the order in which they are drawn, groups together.

    Attributes
    ----------
    title
        What is charted.
    note
        What a reader must know: the margin used, what was left out and why.
    """

    title: str
    bars: tuple[Bar, ...]
    note: str = ""


KINDS = {
    "shapes": GLOST.Shape,
    "marks": GLOST.Mark,
    "kilns": GLOST.Kiln,
    "decals": GLOST.Decal,
    "treatments": GLOST.Treatment,
    "glazes": GLOST.Glaze,
    "plants": GLOST.Plant,
    "potteries": GLOST.Pottery,
}
"""What can be charted."""

_SHOWN_BY = {"shapes": GLOST.ofShape, "marks": GLOST.bearsMark, "treatments": GLOST.bearsTreatment}


_NO_MAKER = "Maker not said"
_CLOSELY = 1096
"""A piece is an exhibit if its date is known to within so many days: three years."""


def runs(snapshot: Snapshot, kind: str, group: URIRef | None = None) -> Runs:
    """Chart all things of a kind, grouped by maker, the earliest first.

    Parameters
    ----------
    snapshot
        The collection.
    kind
        A key of `KINDS`.
    group
        A group of shapes, whose members alone are charted; None for all.
    """
    lives = Lives(snapshot)
    facts = snapshot.belief.graph
    shown = _shown_by(snapshot, lives, kind)
    if kind == "shapes":
        _lists(snapshot, shown)
    bars = []
    chosen = set(facts.subjects(RDF.type, KINDS[kind]))
    if group is not None:
        chosen &= set(standing_for(snapshot.belief, group, str(snapshot.path)))
    for thing in sorted(chosen, key=str):
        if isinstance(thing, URIRef):
            bars.append(
                Bar(
                    _called(snapshot, thing),
                    lives.life(thing),
                    _group(snapshot, thing),
                    _noted(snapshot, thing),
                    tuple(shown.get(thing, ())),
                    str(thing),
                    lives.basis(thing),
                )
            )
    bars.sort(key=lambda bar: (bar.group == _NO_MAKER, bar.group, _first(bar), bar.name))
    what = kind.capitalize() if group is None else label(group, snapshot.words)
    title = f"{what}: {snapshot.record.collection.title}"
    note = lives.note
    if any(shown.values()):
        note += " Pieces and lists are ticked whose date is known to within three years."
    return Runs(title, tuple(bars), note)


def _first(bar: Bar) -> int:
    days = [day for day in (*bar.life.begin, *bar.life.end) if day is not None]
    return min(days, default=10**9)


def _group(snapshot: Snapshot, thing: URIRef) -> str:
    names = [label(each, snapshot.words) for each in _makers(snapshot.belief.graph, thing)]
    return " and ".join(names) or _NO_MAKER


def _makers(facts: Graph, thing: URIRef) -> tuple[URIRef, ...]:
    if (thing, RDF.type, GLOST.Kiln) in facts:
        plants = {each for each in facts.objects(thing, GLOST.inPlant) if isinstance(each, URIRef)}
        return tuple(sorted(plants))
    return makers(facts, thing)


def _called(snapshot: Snapshot, thing: URIRef) -> str:
    """Name a thing; a mark by its wording."""
    wording = sorted(str(words) for words in snapshot.belief.graph.objects(thing, GLOST.wording))
    return wording[0] if wording else label(thing, snapshot.words)


def _noted(snapshot: Snapshot, thing: URIRef) -> str:
    """Tell how a mark is applied, or what kind of kiln it is and what it fires."""
    said = []
    for property_ in (GLOST.application, GLOST.kilnKind, GLOST.firing):
        values = {
            label(value, snapshot.words)
            for value in snapshot.belief.graph.objects(thing, property_)
        }
        said += sorted(values)
    return ", ".join(said)


def _shown_by(snapshot: Snapshot, lives: Lives, kind: str) -> dict[URIRef, list[DatedExhibit]]:
    found: dict[URIRef, list[DatedExhibit]] = {}
    if kind not in _SHOWN_BY:
        return found
    facts = snapshot.belief.graph
    for piece, thing in sorted(facts.subject_objects(_SHOWN_BY[kind]), key=repr):
        if not (isinstance(piece, URIRef) and isinstance(thing, URIRef)):
            continue
        if (piece, RDF.type, GLOST.Piece) not in facts:
            continue
        for point in ("made", "decorated"):
            days, _ = lives.when(URIRef(f"{piece}#{point}"))
            if None not in days and days[1] - days[0] <= _CLOSELY:  # type: ignore[operator]
                shows = DatedExhibit(
                    label(piece, snapshot.words), days, "piece", lives.basis(piece, point)
                )
                found.setdefault(thing, []).append(shows)
                break
    return found


def _lists(snapshot: Snapshot, shown: dict[URIRef, list[DatedExhibit]]) -> None:
    """Add the lists that offer each shape; each rests on its date and on its first item."""
    for each in snapshot.lists.all:
        early, late = each.earliest, each.latest
        if early is not None and late is not None and late - early <= _CLOSELY:
            name = label(each.list, snapshot.words)
            offered = each.offers[0].claims if each.offers else ()
            rests = basis((*each.grounds, *offered), snapshot.words)
            shown.setdefault(each.shape, []).append(
                DatedExhibit(name, (early, late), "list", rests)
            )


def runs_in_words(chart: Runs) -> PictureWords:
    """Tell a chart of runs."""
    columns = ("group", "name", "note", "began", "ended", "certainly", "standing", "shown by")
    rows = tuple(
        (
            bar.group,
            bar.name,
            bar.note,
            interval(bar.life.begin),
            interval(bar.life.end),
            interval(bar.life.certain or (None, None)),
            standing(bar.life),
            _shown(bar.exhibits),
            *basis_cells(bar.basis + together(each.basis for each in bar.exhibits)),
        )
        for bar in chart.bars
    )
    disputed = [bar.name for bar in chart.bars if bar.life.disputed]
    summary = f"A chart of {len(chart.bars)} runs along a time axis. {extent(chart.bars)}"
    if disputed:
        summary += f" Disputed: {', '.join(disputed)}."
    return PictureWords(summary.strip(), (*columns, *BASIS), rows)


def _shown(exhibits: Iterable[DatedExhibit]) -> str:
    return "; ".join(f"{each.name} ({interval(each.when)})" for each in exhibits)


_ROOMY, _TIGHT = 16.0, 12.6


def run_chart(chart: Runs) -> Drawing:
    """Draw a chart of runs.

    Parameters
    ----------
    chart
        What is charted.

    Returns
    -------
    Drawing
        Lying on its side if the bars fit so, upright if not, on several sheets if need be.
    """
    basis = together([bar.basis for bar in chart.bars] + [e.basis for _, e in _exhibits(chart)])
    parts = _sheets(chart, basis)
    drawn = [
        partial(_sheet, chart, bars, basis, place, len(parts), wide, pitch)
        for place, (bars, wide, pitch) in enumerate(parts)
    ]
    return Drawing(chart.title, runs_in_words(chart), tuple(drawn))


def _exhibits(chart: Runs) -> list[tuple[Bar, DatedExhibit]]:
    return [(bar, exhibit) for bar in chart.bars for exhibit in bar.exhibits]


def _sheets(chart: Runs, basis: Basis) -> list[tuple[tuple[Bar, ...], float, float]]:
    """Part the bars into sheets: the bars, the width of the sheet, the height of a bar's row."""
    frame = _frame(chart, basis, 0, 2)
    for wide, high, pitch in ((LONG, SHORT, _ROOMY), (SHORT, LONG, _ROOMY), (SHORT, LONG, _TIGHT)):
        if bars_height(chart.bars, pitch) + frame.head(wide) + frame.foot(wide) <= high:
            return [(chart.bars, wide, pitch)]
    room = LONG - frame.head(SHORT) - frame.foot(SHORT)
    sheets: list[list[Bar]] = [[]]
    for bar in chart.bars:
        if sheets[-1] and bars_height([*sheets[-1], bar], _TIGHT) > room:
            sheets.append([])
        sheets[-1].append(bar)
    return [(tuple(bars), SHORT, _TIGHT) for bars in sheets]


def _frame(chart: Runs, basis: Basis, sheet: int, sheets: int) -> SheetFrame:
    kinds = {exhibit.kind for _, exhibit in _exhibits(chart)}
    return SheetFrame(
        chart.title, chart.note, rests_on(basis), run_legend(chart.bars, kinds), sheet, sheets
    )


def _sheet(
    chart: Runs,
    bars: Sequence[Bar],
    basis: Basis,
    sheet: int,
    sheets: int,
    wide: float,
    pitch: float,
) -> Canvas:
    frame = _frame(chart, basis, sheet, sheets)
    high = frame.head(wide) + bars_height(bars, pitch) + frame.foot(wide)
    canvas = Canvas(wide, high)
    left = MARGIN + names_room(bars, wide)
    axis = chart_axis(chart.bars, left, wide - MARGIN)
    top = frame.head(wide) + AXES / 2
    draw_bars(canvas, axis, bars, top, pitch)
    frame.draw(canvas)
    return canvas


def _drawn(snapshot: Snapshot, of: str) -> Drawing:
    kind = of or "shapes"
    if kind not in KINDS and names_of(snapshot.record).find(of, ("group",)):
        return run_chart(runs(snapshot, "shapes", thing_of(snapshot, of, "group")))
    if kind not in KINDS:
        listed = ", ".join(KINDS)
        raise RecordErrors(
            [
                RecordError(
                    str(snapshot.record.collection.path),
                    f'there are no runs of "{of}"',
                    suggestion(of, KINDS, f"there are those of {listed}"),
                )
            ]
        )
    return run_chart(runs(snapshot, kind))


SUBJECT = Subject(
    f"one of {', '.join(KINDS)}",
    _drawn,
    lists=(("shapes", "shape"), ("marks", "mark"), ("kilns", "kiln")),
)
