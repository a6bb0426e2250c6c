"""Production through time: how much ran in each year, and how the dated pieces spread."""

from functools import partial

from matplotlib.figure import Figure

from glost.publish.pictures.canvas import Canvas
from glost.publish.pictures.counts import Production
from glost.publish.pictures.frame import Draw, Frame
from glost.publish.pictures.model import together
from glost.publish.pictures.picture import Picture
from glost.publish.pictures.style import (
    COBALT,
    INK,
    LONG,
    MARGIN,
    PALE,
    QUIET,
    RULE,
    SMALL,
    TINY,
)
from glost.publish.pictures.timeline import Axis
from glost.publish.pictures.words import production_in_words, rests_on
from glost.record.dates import day_number

_HIGH, _PIECES = 170.0, 96.0
_LEFT = MARGIN + 34


def production_chart(production: Production) -> Picture:
    """Draw production through time, on a sheet on its side.

    Parameters
    ----------
    production
        Counts of what ran in each year, and the spread of dated pieces.
    """
    return Picture(
        production.title, production_in_words(production), (partial(_sheet, production),)
    )


def _sheet(production: Production) -> Figure:
    frame = Frame(
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
    return canvas.figure


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
                fill=COBALT, ink="#ffffff", weight=0.3,
            )  # fmt: skip
    canvas.text(MARGIN, top - 7, production.of, SMALL, ink=INK, bold=True)


def _heights(canvas: Canvas, axis: Axis, most: float, bottom: float, scale: float) -> None:
    step = next(
        step
        for power in range(-2, 9)
        for base in (1, 2, 5)
        if most / (step := base * 10.0**power) <= 6
    )
    for place in range(1, int(most / step) + 1):
        y = bottom - place * step * scale
        canvas.line([(axis.left, y), (axis.right, y)], ink=RULE, weight=0.5)
        canvas.text(axis.left - 5, y, f"{place * step:g}", SMALL, ink=QUIET, align="right")
    canvas.text(axis.left - 5, bottom, "0", SMALL, ink=QUIET, align="right")


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
            canvas.box(
                left, bottom - high, right - left, high, fill=QUIET, ink="#ffffff", weight=0.3
            )
    canvas.line([(axis.left, bottom), (axis.right, bottom)], ink=QUIET, weight=0.6)
    said = "pieces a year"
    if production.undated:
        said += f"; {production.undated} more cannot be placed"
    canvas.text(MARGIN, top - 7, said, TINY, ink=INK, bold=True)
