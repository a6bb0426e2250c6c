"""A time axis, and what runs along it: certainly, possibly, without end, disputed."""

from collections.abc import Iterable
from dataclasses import dataclass

from glost.publish.pictures.canvas import Canvas
from glost.publish.pictures.lettering import width
from glost.publish.pictures.model import DatedExhibit, Life
from glost.publish.pictures.style import BLUSH, COBALT, INK, PALE, PAPER, QUIET, RULE, RUST, SMALL
from glost.record.dates import calendar_day, day_number

_STEPS = (1, 2, 5, 10, 20, 25, 50, 100, 200, 500, 1000)
_FINEST = 4.0
"""Points to the year below which single years are not ticked."""


def heights(most: float, lines: int = 6) -> list[float]:
    """Return round heights for the lines of a scale from nothing to at least `most`.

    Parameters
    ----------
    most
        The greatest value; above 0.
    lines
        The most lines there may be.
    """
    step = next(
        step
        for power in range(-2, 15)
        for base in (1, 2, 5)
        if most / (step := base * 10.0**power) <= lines
    )
    return [place * step for place in range(int(most / step) + 1)]


def year_span(
    days: Iterable[int | None], otherwise: tuple[int, int] = (1900, 1940)
) -> tuple[int, int]:
    """Return the first and the last year that hold some days; `otherwise` if there is no day."""
    known = sorted(day for day in days if day is not None)
    if not known:
        return otherwise
    return calendar_day(known[0])[0], calendar_day(known[-1])[0]


@dataclass(frozen=True, slots=True)
class Axis:
    """Years laid out between two points.

    Attributes
    ----------
    first, last
        The first and the last year shown, both whole.
    left, right
        Where the first begins and the last ends, in points.
    """

    first: int
    last: int
    left: float
    right: float

    def at(self, day: float) -> float:
        """Return where a day begins, kept within the axis."""
        start, end = day_number(self.first, 1, 1), day_number(self.last + 1, 1, 1)
        share = (day - start) / (end - start)
        return self.left + min(max(share, 0.0), 1.0) * (self.right - self.left)

    @property
    def step(self) -> int:
        """How many years from one label to the next."""
        room = width("0000", SMALL) + 9
        per_year = (self.right - self.left) / (self.last + 1 - self.first)
        return next((step for step in _STEPS if step * per_year >= room), _STEPS[-1])

    def draw(self, canvas: Canvas, top: float, bottom: float, *, below: bool = True) -> None:
        """Rule the years from top to bottom and label them above, and below as well."""
        per_year = (self.right - self.left) / (self.last + 1 - self.first)
        for year in range(self.first, self.last + 2):
            x = self.at(day_number(year, 1, 1))
            if year % self.step == 0:
                canvas.line([(x, top), (x, bottom)], ink=RULE, weight=0.6)
                for y in (top - 7, bottom + 7) if below else (top - 7,):
                    if year <= self.last:
                        canvas.text(x, y, str(year), SMALL, ink=QUIET, align="center")
            elif per_year >= _FINEST:
                for y in (top, bottom - 3) if below else (top,):
                    canvas.line([(x, y), (x, y + 3)], ink=RULE, weight=0.5)
        for y in (top, bottom):
            canvas.line([(self.left, y), (self.right, y)], ink=QUIET, weight=0.6)


def run(canvas: Canvas, axis: Axis, life: Life, y: float, high: float) -> None:
    """Draw when something ran, its middle at height y.

    Solid: certainly. Hatched: possibly. A dotted line to an arrow: no end (or beginning) known.
    Crossed, with a broken outline: claims about it cannot all hold.
    """
    top = y - high / 2
    days = [day for day in (*life.begin, *life.end) if day is not None]
    if not days:
        return
    low, top_day = min(days), max(days) + 1
    first, last = life.possible
    if first is None:
        _open(canvas, axis.at(low), axis.left, y)
    if last is None:
        _open(canvas, axis.at(top_day), axis.right, y)
    left, right = axis.at(low), max(axis.at(top_day), axis.at(low) + 1.5)
    canvas.box(
        left,
        top,
        right - left,
        high,
        fill=BLUSH if life.disputed else PALE,
        ink=RUST if life.disputed else COBALT,
        hatch="xxxxxx" if life.disputed else "//////",
        weight=0.5,
    )
    if life.certain:
        start, end = axis.at(life.certain[0]), axis.at(life.certain[1] + 1)
        wide = max(end - start, 1.5)
        canvas.box(start, top, wide, high, fill=COBALT, ink=COBALT, weight=0.5)
    if life.disputed:
        canvas.box(
            left - 1.6, top - 1.6, right - left + 3.2, high + 3.2, ink=RUST, weight=0.9,
            dashes=(3.0, 1.6),
        )  # fmt: skip


def _open(canvas: Canvas, start: float, end: float, y: float) -> None:
    """Draw the dotted line that goes on, with an arrow head at the far end."""
    if abs(end - start) < 4:
        return
    way = 1 if end > start else -1
    tip = end - way * 1.0
    canvas.line([(start, y), (tip - way * 3, y)], ink=COBALT, weight=0.9, dashes=(1.0, 2.0))
    back = tip - way * 4
    canvas.shape([(tip, y), (back, y - 2.4), (back, y + 2.4)], fill=COBALT)


def tick(canvas: Canvas, axis: Axis, exhibit: DatedExhibit, y: float, high: float) -> None:
    """Tick an exhibit over its run: a piece with a wedge, a list with a square.

    One whose date is not closer than a few points has a whisker as wide as its date.
    """
    known = [day for day in exhibit.when if day is not None]
    if not known:
        return
    start, end = axis.at(known[0]), axis.at(known[-1] + 1)
    middle, top = (start + end) / 2, y - high / 2
    if end - start > 5:
        canvas.line([(start, top - 1.4), (end, top - 1.4)], ink=INK, weight=0.5)
    mark(canvas, exhibit.kind, middle, top)


def mark(canvas: Canvas, kind: str, x: float, y: float) -> None:
    """Draw the mark of an exhibit, standing on a height y."""
    if kind == "list":
        side = 1.7
        canvas.shape(
            [(x - side, y - 3.6), (x + side, y - 3.6), (x + side, y - 0.2), (x - side, y - 0.2)],
            fill=PAPER, ink=INK, weight=0.7,
        )  # fmt: skip
    else:
        canvas.shape([(x - 2.1, y - 4.0), (x + 2.1, y - 4.0), (x, y + 0.4)], fill=INK)
