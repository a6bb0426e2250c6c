"""A plant's kilns and their capacity, through time."""

from dataclasses import dataclass
from functools import partial

from rdflib import URIRef

from glost.answer.showing import find_thing
from glost.answer.snapshot import Snapshot
from glost.names import GLOST
from glost.publish.pictures.bars import bars_height, chart_axis, draw_bars, names_room, run_legend
from glost.publish.pictures.canvas import Canvas
from glost.publish.pictures.frame import Draw, SheetFrame
from glost.publish.pictures.lettering import wrap
from glost.publish.pictures.lives import Lives, basis
from glost.publish.pictures.model import NOTHING, Bar, Basis, together
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
    SHORT,
    SMALL,
    TINY,
)
from glost.publish.pictures.subjects import Subject, every, must_be
from glost.publish.pictures.timeline import Axis, heights
from glost.record.dates import day_number
from glost.trade.kilns.plants import FIRINGS, UNIT, PlantResult, plant_result
from glost.trade.kilns.timeline import Stay
from glost.words.labels import label
from glost.words.pictures import BASIS, basis_cells, cited, extent, rests_on, standing
from glost.words.spans import interval


@dataclass(frozen=True, slots=True)
class CapacityStep:
    """What kilns of one firing came to over some whole years.

    Attributes
    ----------
    firing
        Which firing.
    first, last
        The years, both inclusive.
    certain, possible
        How many kilns were certainly and how many possibly in use, the first included; the second
        is None where a source says several and does not count them, and then nothing bounds
        `high` either.
    low, high
        The least and the most they came to; None if nothing tells.
    left_out
        How many kilns nothing tells the output of, so that the range leaves them out.
    """

    firing: str
    first: int
    last: int
    certain: int
    possible: int | None
    low: float | None = None
    high: float | None = None
    left_out: int = 0
    basis: Basis = NOTHING


@dataclass(frozen=True, slots=True)
class Firing:
    """A plant's firing history: its kilns, and what they could turn out.

    Attributes
    ----------
    kilns
        The kilns, `Bar.group` being what they fired.
    capacity
        What they came to, firing by firing, in order of time.
    unit
        What capacity is counted in, such as ``dozen a day``.
    assumptions
        What had to be assumed for it, in sentences.
    number
        How many kilns the bars stand for, in words; a bar may stand for several.
    """

    title: str
    kilns: tuple[Bar, ...]
    capacity: tuple[CapacityStep, ...] = ()
    unit: str = ""
    assumptions: tuple[str, ...] = ()
    note: str = ""
    number: str = "no kilns"


_HISTORY = "Reckoned for history, not for running a kiln."


def firing(snapshot: Snapshot, plant: URIRef) -> Firing:
    """Make a plant's firing history; RecordErrors if the thing is no plant."""
    must_be(snapshot, plant, GLOST.Plant)
    lives = Lives(snapshot)
    report = plant_result(snapshot.belief, snapshot.words, plant, snapshot.chronology)
    order = {each: place for place, each in enumerate(FIRINGS)}
    stays = sorted(report.stays, key=lambda stay: [order.get(f, 9) for f in stay.firings] or [10])
    return Firing(
        f"Kilns of {label(plant, snapshot.words)}",
        tuple(_kiln(snapshot, lives, report, stay) for stay in stays),
        _steps(snapshot, report),
        UNIT,
        report.assumptions,
        f"{_HISTORY} {lives.note}",
        report.number,
    )


def _kiln(snapshot: Snapshot, lives: Lives, report: PlantResult, stay: Stay) -> Bar:
    names = report.names
    numbers = sorted(str(n) for n in snapshot.belief.graph.objects(stay.kiln, GLOST.kilnNumber))
    kinds = ", ".join(names[kind] for kind in stay.kinds)
    return Bar(
        f"No. {numbers[0]}" if numbers else label(stay.kiln, snapshot.words),
        lives.life(stay.kiln),
        " and ".join(names[each] for each in stay.firings) or "firing not said",
        f"{kinds}; {stay.count.words}" if stay.count.stated else kinds,
        (),
        str(stay.kiln),
        basis(stay.claims, snapshot.words) + lives.basis(stay.kiln),
    )


def _steps(snapshot: Snapshot, report: PlantResult) -> tuple[CapacityStep, ...]:
    return tuple(
        CapacityStep(
            report.names[period.firing],
            period.first,
            period.last,
            period.at_least,
            period.at_most,
            float(period.capacity.low) if period.capacity else None,
            float(period.capacity.high) if period.capacity else None,
            len(period.left_out),
            basis(period.claims, snapshot.words),
        )
        for period in report.periods
    )


def firing_in_words(firing: Firing) -> PictureWords:
    """Tell a plant's firing history: a row for each kiln, then for each span of capacity."""
    columns = ("what", "kind", "firing", "began or from", "ended or to", "standing", "came to")
    rows = [
        (
            kiln.name,
            kiln.note,
            kiln.group,
            interval(kiln.life.begin),
            interval(kiln.life.end),
            standing(kiln.life),
            "",
            *basis_cells(kiln.basis),
        )
        for kiln in firing.kilns
    ]
    for step in firing.capacity:
        open_above = step.possible is None
        kilns = f"{step.certain} {'or more' if open_above else f'to {step.possible}'} kilns"
        if step.left_out:
            kilns += f", {step.left_out} left out"
        years = (str(step.first), str(step.last))
        cells = ("capacity", kilns, step.firing, *years, "reckoned", _came_to(step, firing.unit))
        rows.append((*cells, *basis_cells(step.basis)))
    summary = f"{firing.number} along a time axis. {extent(firing.kilns)}"
    if firing.assumptions:
        summary += f" Assumed: {'; '.join(firing.assumptions)}."
    return PictureWords(summary, (*columns, *BASIS), tuple(rows))


def _came_to(step: CapacityStep, unit: str) -> str:
    """Say what kilns came to; empty if nothing tells."""
    if step.high is None:
        return ""
    low = f"{step.low or 0:,.0f}"
    return (
        f"at least {low} {unit}" if step.possible is None else f"{low} to {step.high:,.0f} {unit}"
    )


def _years(step: CapacityStep) -> str:
    return str(step.first) if step.first == step.last else f"{step.first}–{step.last}"


_PITCH, _PANEL = 14.0, 54.0


def firing_history(firing: Firing) -> Drawing:
    """Draw a plant's kilns and their capacity, on one upright sheet or one on its side.

    Capacity is drawn as a range: whole up to the least, hatched from there to the most.

    Parameters
    ----------
    firing
        The plant's kilns, and what they came to.
    """
    basis = together(
        [kiln.basis for kiln in firing.kilns] + [step.basis for step in firing.capacity]
    )
    return Drawing(firing.title, firing_in_words(firing), (partial(_sheet, firing, basis),))


def _sheet(firing: Firing, basis: Basis) -> Canvas:
    note = " ".join((firing.note, *_assumed(firing))).strip()
    frame = SheetFrame(firing.title, note, rests_on(basis), _legend(firing))
    panels = list(dict.fromkeys(step.firing for step in firing.capacity if step.high is not None))
    body = bars_height(firing.kilns, _PITCH) + len(panels) * (_PANEL + 18) + 8
    wide = LONG if body + frame.head(LONG) + frame.foot(LONG) <= SHORT else SHORT
    canvas = Canvas(wide, frame.head(wide) + body + frame.foot(wide))
    axis = chart_axis(firing.kilns, MARGIN + names_room(firing.kilns, wide), wide - MARGIN)
    top = frame.head(wide) + 17
    y = draw_bars(canvas, axis, firing.kilns, top, _PITCH) + 26
    for name in panels:
        steps = [step for step in firing.capacity if step.firing == name]
        _panel(canvas, axis, name, steps, firing.unit, y)
        y += _PANEL + 18
    frame.draw(canvas)
    return canvas


def _assumed(firing: Firing) -> tuple[str, ...]:
    if not firing.assumptions:
        return ()
    return (f"Assumed: {'; '.join(firing.assumptions)}.",)


def _legend(firing: Firing) -> list[tuple[str, Draw]]:
    found = run_legend(firing.kilns, set())
    if any(step.high is not None for step in firing.capacity):
        found.append(("came to at least", _least))
        found.append(("and at most", _most))
    return found


def _least(canvas: Canvas, x: float, y: float) -> None:
    canvas.box(x, y - 4.5, 22, 9, fill=COBALT, ink=COBALT, weight=0.5)


def _most(canvas: Canvas, x: float, y: float) -> None:
    canvas.box(x, y - 4.5, 22, 9, fill=PALE, ink=COBALT, hatch="//////", weight=0.5)


def _panel(
    canvas: Canvas, axis: Axis, name: str, steps: list[CapacityStep], unit: str, top: float
) -> None:
    bottom = top + _PANEL
    most = max((step.high or 0.0 for step in steps), default=0.0) or 1.0
    scale = (_PANEL - 6) / most
    for place, line in enumerate(wrap(f"{name}, {unit}", SMALL, axis.left - MARGIN - 40)):
        canvas.text(MARGIN + 3, top + 6 + place * 9.5, line, SMALL, ink=INK)
    for year in range(axis.first, axis.last + 2):
        if year % axis.step == 0:
            x = axis.at(day_number(year, 1, 1))
            canvas.line([(x, top), (x, bottom)], ink=RULE, weight=0.6)
    for value in heights(most, 4):
        y = bottom - value * scale
        if value:
            canvas.line([(axis.left, y), (axis.right, y)], ink=RULE, weight=0.5)
        canvas.text(axis.left - 4, y, f"{value:,.12g}", TINY, ink=QUIET, align="right")
    for step in steps:
        with canvas.part(
            told=f"{name}, {_years(step)}: {_came_to(step, unit)}. {cited(step.basis)}"
        ):
            _step(canvas, axis, step, bottom, scale)
    canvas.line([(axis.left, bottom), (axis.right, bottom)], ink=QUIET, weight=0.6)


def _step(canvas: Canvas, axis: Axis, step: CapacityStep, bottom: float, scale: float) -> None:
    """Draw the least as a whole box and what may come on top of it as a hatched one."""
    left = axis.at(day_number(step.first, 1, 1))
    right = axis.at(day_number(step.last + 1, 1, 1))
    middle, wide = (left + right) / 2, right - left
    if step.high is None:
        canvas.text(middle, bottom - 6, "?", SMALL, ink=QUIET, align="center")
        return
    low, top = bottom - (step.low or 0.0) * scale, bottom - step.high * scale
    canvas.box(
        left, top, wide, max(low - top, 0.8), fill=PALE, ink=COBALT, hatch="//////", weight=0.5
    )
    if low < bottom:
        canvas.box(left, low, wide, bottom - low, fill=COBALT, ink=COBALT, weight=0.5)
    if step.possible is None:
        canvas.text(middle, top - 2, "or more", 5.6, ink=INK, align="center", halo=PAPER)
    if step.left_out:
        said = f"+{step.left_out}?"
        canvas.text(middle, bottom - 5, said, 5.6, ink=INK, align="center", halo=PAPER)


def _drawn(snapshot: Snapshot, of: str) -> Drawing:
    return firing_history(firing(snapshot, find_thing(snapshot.record, of, "plant")))


SUBJECT = Subject("a plant", _drawn, needed=True, things=every(GLOST.Plant))
