"""A plant's firing history: its kilns along time, and under them what they came to."""

from functools import partial

from matplotlib.figure import Figure

from glost.publish.pictures.canvas import Canvas, wrap
from glost.publish.pictures.counts import Firing, Step
from glost.publish.pictures.frame import Draw, Frame
from glost.publish.pictures.model import Basis, together
from glost.publish.pictures.picture import Picture
from glost.publish.pictures.runs import bars_height, chart_axis, draw_bars, names_room, run_legend
from glost.publish.pictures.style import (
    COBALT,
    INK,
    LONG,
    MARGIN,
    PALE,
    QUIET,
    RULE,
    SHORT,
    SMALL,
    TINY,
)
from glost.publish.pictures.timeline import Axis
from glost.publish.pictures.words import firing_in_words, rests_on
from glost.record.dates import day_number

_PITCH, _PANEL = 14.0, 54.0


def firing_history(firing: Firing) -> Picture:
    """Draw a plant's kilns and their capacity, on one upright sheet or one on its side.

    Capacity is drawn as a range: hatched from the least to the most, never as one figure.

    Parameters
    ----------
    firing
        The plant's kilns, and what they came to.
    """
    basis = together(
        [kiln.basis for kiln in firing.kilns] + [step.basis for step in firing.capacity]
    )
    return Picture(firing.title, firing_in_words(firing), (partial(_sheet, firing, basis),))


def _sheet(firing: Firing, basis: Basis) -> Figure:
    note = " ".join((firing.note, *_assumed(firing))).strip()
    frame = Frame(firing.title, note, rests_on(basis), _legend(firing))
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
    return canvas.figure


def _assumed(firing: Firing) -> tuple[str, ...]:
    if not firing.assumptions:
        return ()
    return (f"Assumed: {'; '.join(firing.assumptions)}.",)


def _legend(firing: Firing) -> list[tuple[str, Draw]]:
    found = run_legend(firing.kilns, set())
    if any(step.high is not None for step in firing.capacity):
        found.append(("from the least to the most they came to", _range))
    return found


def _range(canvas: Canvas, x: float, y: float) -> None:
    canvas.box(x, y - 4.5, 22, 9, fill=PALE, ink=COBALT, hatch="\\\\\\\\", weight=0.5)
    canvas.line([(x, y + 4.5), (x + 22, y + 4.5)], ink=COBALT, weight=1.6)


def _panel(canvas: Canvas, axis: Axis, name: str, steps: list[Step], unit: str, top: float) -> None:
    bottom = top + _PANEL
    most = max((step.high or 0.0 for step in steps), default=0.0) or 1.0
    scale = (_PANEL - 6) / most
    for place, line in enumerate(wrap(f"{name}, {unit}", SMALL, axis.left - MARGIN - 40)):
        canvas.text(MARGIN + 3, top + 6 + place * 9.5, line, SMALL, ink=INK)
    for year in range(axis.first, axis.last + 2):
        if year % axis.step == 0:
            x = axis.at(day_number(year, 1, 1))
            canvas.line([(x, top), (x, bottom)], ink=RULE, weight=0.6)
    for share in (0.5, 1.0):
        y = bottom - most * share * scale
        canvas.line([(axis.left, y), (axis.right, y)], ink=RULE, weight=0.5)
        text = f"{most * share:,.0f}"
        canvas.text(axis.left - 4, y, text, TINY, ink=QUIET, align="right")
    for step in steps:
        _step(canvas, axis, step, bottom, scale)
    canvas.line([(axis.left, bottom), (axis.right, bottom)], ink=QUIET, weight=0.6)
    canvas.text(axis.left - 4, bottom, "0", TINY, ink=QUIET, align="right")


def _step(canvas: Canvas, axis: Axis, step: Step, bottom: float, scale: float) -> None:
    left = axis.at(day_number(step.first, 1, 1))
    right = axis.at(day_number(step.last + 1, 1, 1))
    low, high = step.low or 0.0, step.high
    if high is None:
        canvas.text((left + right) / 2, bottom - 6, "?", SMALL, ink=QUIET, align="center")
        return
    canvas.box(
        left, bottom - high * scale, right - left, max((high - low) * scale, 0.8),
        fill=PALE, ink=COBALT, hatch="\\\\\\\\", weight=0.5,
    )  # fmt: skip
    y = bottom - low * scale
    canvas.line([(left, y), (right, y)], ink=COBALT, weight=1.6)
    if step.possible is None:
        canvas.text(
            (left + right) / 2, bottom - high * scale - 2, "or more", 5.6, ink=INK, align="center"
        )
    if step.left_out:
        canvas.text(
            (left + right) / 2, bottom - 5, f"+{step.left_out}?", 5.6, ink=INK, align="center"
        )
