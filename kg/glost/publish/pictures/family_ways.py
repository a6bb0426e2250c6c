"""Which way the ties of a family run: clear of one another, of names and of bars."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from glost.publish.pictures.canvas import Point
from glost.publish.pictures.lettering import width
from glost.publish.pictures.model import Tie
from glost.publish.pictures.style import SMALL, TINY
from glost.publish.pictures.timeline import Axis

Numbers = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class MemberPlace:
    """Where a member stands.

    Attributes
    ----------
    left, right
        Ends of its bar; of an undated member, where its ties meet it, twice.
    y
        The middle of its bar.
    name_x, name_y
        Where its name begins, and the middle of it.
    name, note
        What is written there.
    dated
        Whether it has a bar.
    """

    left: float
    right: float
    y: float
    name_x: float
    name_y: float
    name: str
    note: str
    dated: bool

    @property
    def name_end(self) -> float:
        """Where its name and note end."""
        end = self.name_x + width(self.name, SMALL)
        return end + (4 + width(self.note, TINY, False, True) if self.note else 0.0)


@dataclass(frozen=True, slots=True)
class Route:
    """The way of a tie: points along it, where its letter stands, whether it ends in an arrow."""

    tie: Tie
    points: tuple[Point, ...]
    letter: Point
    arrow: bool


class Ways:
    """Finds ways for ties that keep clear of one another and of names.

    Parameters
    ----------
    axis
        The time axis.
    places
        Where the members stand.
    """

    def __init__(self, axis: Axis, places: Sequence[MemberPlace]) -> None:
        self._axis = axis
        names = [
            (place.name_x - 1, place.name_end + 1, place.name_y - 4, place.name_y + 4)
            for place in places
        ]
        self._bars = [(place.left, place.right, place.y) for place in places]
        self._name_edges = _columns(names, 4)
        self._bar_edges = _columns(self._bars, 3)
        self._drops = _columns([], 3)
        self._letters = _columns([], 2)

    def between(self, tie: Tie, start: MemberPlace, end: MemberPlace, *, arrow: bool) -> Route:
        """Find a way for a tie; those found later keep clear of it.

        Parameters
        ----------
        tie
            The tie.
        start, end
            The earlier and the later member; of a tie without direction, in any order.
        arrow
            Whether it has a direction. One without is a straight drop wherever the two bars
            overlap.
        """
        low, high = sorted((start.y, end.y))
        shared = max(start.left, end.left), min(start.right, end.right)
        if not arrow and shared[1] - shared[0] > 8:
            step = (shared[1] - shared[0]) / 12
            options = [shared[0] + step * place for place in (6, 4, 8, 2, 10, 3, 5, 7, 9, 1, 11)]
            x = options[int(np.argmin(self._costs(options, low, high)))]
            points: list[Point] = [(x, start.y), (x, end.y)]
            letter = self._letter_on(x, low, high)
        else:
            first = end.left - 9 if end.dated else end.left + 9
            away = -1 if end.dated else 1
            options = [first + away * 4.5 * place for place in range(16)]
            options = [at for at in options if at > self._axis.left - 16] or [first]
            x = options[int(np.argmin(self._drop_costs(start, end, options)))]
            points = [*self._leave(start, x), (x, end.y), (end.left, end.y)]
            letter = (x, end.y)
        self._drops = np.column_stack((self._drops, (x, low, high)))
        self._letters = np.column_stack((self._letters, letter))
        return Route(tie, tuple(points), letter, arrow)

    def _drop_costs(
        self, start: MemberPlace, end: MemberPlace, options: Sequence[float]
    ) -> Numbers:
        """Reckon how much each place for a drop from a bar to another would touch."""
        low, high = sorted((start.y, end.y))
        x = np.array(options)
        outside = np.where((start.left <= x) & (x <= start.right), 0.0, 3.0)
        at, y = self._letters
        near = at[np.minimum(abs(y - high), abs(y - low)) < 9]
        crowded = (abs(near - x[:, None]) < 9).sum(axis=1)
        left, right, y = self._bar_edges
        beside = right[(y == end.y) & (left < end.left)]
        through = (beside > x[:, None] - 6).sum(axis=1)
        cost: Numbers = self._costs(options, low, high) + outside + 8 * crowded + 20 * through
        return cost + 0.8 * np.arange(len(x))

    def _costs(self, options: Sequence[float], low: float, high: float) -> Numbers:
        """Reckon how much drops at places would touch: other drops most, then names, then bars."""
        x = np.array(options)[:, None]
        at, a, b = self._drops
        drops = (abs(at[(low < b) & (a < high)] - x) < 4).sum(axis=1)
        a, b, top, end = self._name_edges
        beside = (top < high) & (low < end)
        names = ((a[beside] < x) & (x < b[beside])).sum(axis=1)
        a, b, y = self._bar_edges
        across = (low + 1 < y) & (y < high - 1)
        bars = ((a[across] - 3 < x) & (x < b[across] + 3)).sum(axis=1)
        cost: Numbers = 12.0 * drops + 4.0 * names + 0.7 * bars
        return cost

    def _leave(self, start: MemberPlace, x: float) -> list[Point]:
        """Leave a bar: straight down or up where it lies over x, else along the row to x."""
        if start.left <= x <= start.right:
            return [(x, start.y)]
        edge = start.right if x > start.right else start.left
        between = sorted((edge, x))
        free = not any(
            y == start.y and left < between[1] and right > between[0]
            for left, right, y in self._bars
            if (left, right) != (start.left, start.right)
        )
        free = free and not (x < self._axis.left and start.dated)
        under = start.y if free else start.y + 6.0
        return [(edge, start.y), (edge, under), (x, under)]

    def _letter_on(self, x: float, low: float, high: float) -> Point:
        """Find a place for the letter on a drop, clear of names and other letters."""
        shares = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 1.0, 0.0)
        options = [low + (high - low) * share for share in shares]

        y = np.array(options)
        a, b, top, end = self._name_edges
        over = (a - 5 < x) & (x < b + 5)
        names = ((top[over] - 2 < y[:, None]) & (y[:, None] < end[over] + 2)).sum(axis=1)
        a, b, at = self._bar_edges
        bars = (abs(y[:, None] - at[(a - 14 < x) & (x < b + 5)]) < 8).sum(axis=1)
        at, other = self._letters
        near = (abs(y[:, None] - other[abs(at - x) < 10]) < 10).sum(axis=1)
        own = np.where((y == low) | (y == high), 0.8, 0.0)
        cost = 3.0 * names + 1.5 * bars * (own == 0) + own + 2.0 * near
        return x, options[int(np.argmin(cost))]


def _columns(rows: Sequence[tuple[float, ...]], count: int) -> Numbers:
    """Return rows of numbers as columns."""
    return np.array(rows, dtype=np.float64).reshape(-1, count).T
