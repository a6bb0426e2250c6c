"""Which way the ties of a family run: clear of one another, of names and of bars."""

from collections.abc import Sequence
from dataclasses import dataclass

from glost.publish.pictures.canvas import Point, width
from glost.publish.pictures.model import Tie
from glost.publish.pictures.style import SMALL, TINY
from glost.publish.pictures.timeline import Axis


@dataclass(frozen=True, slots=True)
class Place:
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

    def __init__(self, axis: Axis, places: Sequence[Place]) -> None:
        self._axis = axis
        self._names = [
            (place.name_x - 1, place.name_end + 1, place.name_y - 4, place.name_y + 4)
            for place in places
        ]
        self._bars = [(place.left, place.right, place.y) for place in places]
        self._drops: list[tuple[float, float, float]] = []
        self._letters: list[Point] = []

    def between(self, tie: Tie, start: Place, end: Place, *, arrow: bool) -> Route:
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
            x = min(options, key=lambda at: (self._cost(at, low, high), options.index(at)))
            points: list[Point] = [(x, start.y), (x, end.y)]
            letter = self._letter_on(x, low, high)
        else:
            first = end.left - 9 if end.dated else end.left + 9
            away = -1 if end.dated else 1
            options = [first + away * 4.5 * place for place in range(16)]
            options = [at for at in options if at > self._axis.left - 16] or [first]
            x = min(options, key=lambda at: self._drop_cost(at, start, end, options))
            points = [*self._leave(start, x), (x, end.y), (end.left, end.y)]
            letter = (x, end.y)
        self._drops.append((x, low, high))
        self._letters.append(letter)
        return Route(tie, tuple(points), letter, arrow)

    def _drop_cost(self, x: float, start: Place, end: Place, options: Sequence[float]) -> float:
        low, high = sorted((start.y, end.y))
        outside = 0.0 if start.left <= x <= start.right else 3.0
        crowded = sum(
            abs(at - x) < 9 and min(abs(y - high), abs(y - low)) < 9 for at, y in self._letters
        )
        through = sum(
            y == end.y and left < end.left and right > x - 6 for left, right, y in self._bars
        )
        cost = self._cost(x, low, high) + outside + 8 * crowded + 20 * through
        return cost + 0.8 * options.index(x)

    def _cost(self, x: float, low: float, high: float) -> float:
        """Reckon how much a drop at x would touch: other drops most, then names, then bars."""
        drops = sum(abs(at - x) < 4 and low < b and a < high for at, a, b in self._drops)
        names = sum(a < x < b and top < high and low < end for a, b, top, end in self._names)
        bars = sum(a - 3 < x < b + 3 and low + 1 < y < high - 1 for a, b, y in self._bars)
        return 12.0 * drops + 4.0 * names + 0.7 * bars

    def _leave(self, start: Place, x: float) -> list[Point]:
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

        def cost(y: float) -> float:
            names = sum(
                a - 5 < x < b + 5 and top - 2 < y < end + 2 for a, b, top, end in self._names
            )
            bars = sum(a - 14 < x < b + 5 and abs(y - at) < 8 for a, b, at in self._bars)
            near = sum(abs(at - x) < 10 and abs(y - other) < 10 for at, other in self._letters)
            own = 0.8 if y in (low, high) else 0.0
            return 3.0 * names + 1.5 * bars * (not own) + own + 2.0 * near

        return x, min(options, key=lambda y: (cost(y), options.index(y)))
