"""Bars along a time axis: what charts of runs, of families and of plants have in common."""

from collections.abc import Sequence
from functools import partial

from glost.publish.pictures.canvas import Canvas
from glost.publish.pictures.frame import Draw
from glost.publish.pictures.lettering import fit, width
from glost.publish.pictures.model import Bar, Life, Member
from glost.publish.pictures.style import (
    BAND,
    INK,
    LABEL,
    MARGIN,
    PAPER,
    QUIET,
    RUST,
    SMALL,
    TINY,
)
from glost.publish.pictures.timeline import Axis, mark, run, tick, year_span
from glost.words.pictures import told_of

_BAR = 5.6
AXES = 34.0
"""The height that a chart's two axes take, in points."""
"""Height of both rows of years."""
_GROUP = 15.0


def bars_height(bars: Sequence[Bar], pitch: float) -> float:
    """Return how much height bars, their headings and both rows of years take."""
    before = ("", *(bar.group for bar in bars))
    groups = sum(
        bool(bar.group) and bar.group != last for bar, last in zip(bars, before, strict=False)
    )
    return AXES + groups * _GROUP + len(bars) * pitch


def run_legend(bars: Sequence[Bar | Member], kinds: set[str]) -> list[tuple[str, Draw]]:
    """Return the signs that a chart of these bars needs, with what they mean."""

    def swatch(life: Life) -> Draw:
        return lambda canvas, x, y: run(canvas, Axis(1, 9, x, x + 22), life, y, _BAR)

    day = [0, *(365 * year + 1 for year in range(10))]
    certain = Life((day[1], day[1]), (day[9], day[9]))
    possible = Life((day[1], day[9]), (day[1], day[9]))
    going = Life((day[1], day[1]), (day[3], None))
    disputed = Life((day[1], day[9]), (day[1], day[9]), disputed=True)
    found = [("certainly", swatch(certain)), ("possibly", swatch(possible))]
    if any(bar.life.known and None in bar.life.possible for bar in bars):
        found.append(("no end (or beginning) known", swatch(going)))
    if any(bar.life.disputed for bar in bars):
        found.append(("sources cannot all be right", swatch(disputed)))
    for kind, text in (("piece", "dated piece"), ("list", "dated list")):
        if kind in kinds:
            found.append((text, partial(_mark, kind)))
    return found


def _mark(kind: str, canvas: Canvas, x: float, y: float) -> None:
    mark(canvas, kind, x + 11, y + 2)


def names_room(bars: Sequence[Bar], wide: float) -> float:
    """Return how much width the names of bars need: up to a third of the sheet."""
    widest = max((width(_name(bar), LABEL) + _note(bar) for bar in bars), default=0.0)
    return min(widest + 20, wide * 0.36)


def _name(bar: Bar) -> str:
    return bar.name


def _note(bar: Bar) -> float:
    return width(bar.note, TINY, False, True) + 6 if bar.note else 0.0


def chart_axis(bars: Sequence[Bar], left: float, right: float) -> Axis:
    """Lay out a time axis that holds all that is known of some bars."""
    days = [day for bar in bars for day in (*bar.life.begin, *bar.life.end)]
    days += [day for bar in bars for exhibit in bar.exhibits for day in exhibit.when]
    first, last = year_span(days)
    return Axis(first - 1, last + 1, left, right)


def draw_bars(canvas: Canvas, axis: Axis, bars: Sequence[Bar], top: float, pitch: float) -> float:
    """Draw bars under their headings; return the height at which they end."""
    bottom = top + bars_height(bars, pitch) - AXES
    axis.draw(canvas, top, bottom)
    y, group = top, ""
    for bar in bars:
        if bar.group and bar.group != group:
            canvas.box(MARGIN, y, canvas.wide - 2 * MARGIN, _GROUP, fill=BAND)
            canvas.text(MARGIN + 3, y + _GROUP / 2, bar.group, SMALL, bold=True, ink=QUIET)
            y += _GROUP
        group = bar.group
        with canvas.part(bar.about, told_of(bar.name, bar.life, bar.basis)):
            _bar(canvas, axis, bar, y + pitch / 2 + 1)
        y += pitch
    return bottom


def _bar(canvas: Canvas, axis: Axis, bar: Bar, y: float) -> None:
    room = axis.left - MARGIN - 8
    ink = RUST if bar.life.disputed else INK
    name = fit(bar.name, LABEL, room)
    canvas.text(MARGIN + 3, y, name, LABEL, ink=ink)
    used = width(name, LABEL) + 8
    if bar.note:
        note = fit(bar.note, TINY, room - used, italic=True)
        canvas.text(MARGIN + 3 + used, y + 0.4, note, TINY, ink=QUIET, italic=True)
    if not bar.life.known:
        text = "nothing known of its dates"
        canvas.text(axis.left + 6, y, text, TINY, ink=QUIET, italic=True, halo=PAPER)
    run(canvas, axis, bar.life, y, _BAR)
    for exhibit in bar.exhibits:
        tick(canvas, axis, exhibit, y, _BAR)
