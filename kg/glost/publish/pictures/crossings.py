"""Crossings between shapes: arcs from home to where treatments were seen, over a matrix."""

from functools import partial

from matplotlib.figure import Figure

from glost.publish.pictures.canvas import Canvas, fit, width
from glost.publish.pictures.counts import Crossing, Crossings
from glost.publish.pictures.frame import Draw, Frame
from glost.publish.pictures.model import Basis, together
from glost.publish.pictures.picture import Picture
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
from glost.publish.pictures.words import crossings_in_words, rests_on

_LEAST, _MOST = 15.0, 30.0
_DASHES = (3.2, 2.2)


def crossing_picture(crossings: Crossings) -> Picture:
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
    Picture
        One upright sheet, larger than A4 only if there are more shapes than fit.
    """
    basis = together(each.basis for each in crossings.crossings)
    return Picture(
        crossings.title, crossings_in_words(crossings), (partial(_sheet, crossings, basis),)
    )


_NAMES = 150.0
"""The most points that names of shapes take, on the left and above."""


def _sheet(crossings: Crossings, basis: Basis) -> Figure:
    count = max(len(crossings.shapes), 1)
    widest = max((width(shape.name, SMALL) for shape in crossings.shapes), default=0.0)
    names = min(widest, _NAMES) + 10
    pitch = min(max((SHORT - 2 * MARGIN - names - 8) / count, _LEAST), _MOST)
    wide = max(2 * MARGIN + names + pitch * count + 8, SHORT * 0.7)
    frame = Frame(crossings.title, crossings.note, rests_on(basis), _legend(crossings))
    left = MARGIN + names
    spans = [abs(each.home - each.seen) for each in crossings.crossings]
    arcs = min(max(spans, default=0) * pitch * 0.42 + 16, 190.0)
    base = frame.head(wide) + arcs
    top = base + names + 4
    row = min(pitch, 17.0)
    canvas = Canvas(wide, max(top + row * count + 8 + frame.foot(wide), LONG * 0.3))
    _groups(canvas, crossings, left, pitch, top, row)
    for each in sorted(crossings.crossings, key=lambda c: -abs(c.home - c.seen)):
        _arc(canvas, each, left, pitch, base, arcs)
    for at, shape in enumerate(crossings.shapes):
        x = left + (at + 0.5) * pitch
        canvas.dot(x, base, 2.0, fill=INK)
        name = fit(shape.name, SMALL, _NAMES)
        canvas.text(x + 2.4, base + 5, name, SMALL, turned=-90)
        canvas.text(left - 5, top + (at + 0.5) * row, name, SMALL, align="right")
    for each in crossings.crossings:
        _count(canvas, each, left, top, pitch, row)
    frame.draw(canvas)
    return canvas.figure


def _legend(crossings: Crossings) -> list[tuple[str, Draw]]:
    found: list[tuple[str, Draw]] = [
        ("home (row), seen on (column), how many treatments", partial(_swatch, 2, 2))
    ]
    if any(each.explained < each.count for each in crossings.crossings):
        found.append(("some without explanation", partial(_swatch, 2, 1)))
        found.append(("none explained", partial(_swatch, 2, 0)))
    return found


def _swatch(count: int, explained: int, canvas: Canvas, x: float, y: float) -> None:
    each = Crossing(0, 0, count, explained)
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


def _ink(each: Crossing) -> str:
    return COBALT if each.explained == each.count else RUST


def _arc(
    canvas: Canvas, each: Crossing, left: float, pitch: float, base: float, room: float
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
    canvas: Canvas, each: Crossing, left: float, top: float, pitch: float, row: float
) -> None:
    x, y = left + each.seen * pitch, top + each.home * row
    _square(canvas, each, x + 1, y + 1, pitch - 2, row - 2)


def _square(canvas: Canvas, each: Crossing, x: float, y: float, wide: float, high: float) -> None:
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
