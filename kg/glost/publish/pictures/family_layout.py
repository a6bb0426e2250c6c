"""Where the members of a family stand, and which way the ties between them run.

A lane for each pottery, one under the other; in a lane, members in rows, as few as let no bar or
name touch another. A tie leaves its earlier member's bar, drops or climbs at a place of its own
shortly before the later member begins, and ends at that member's bar.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

from glost.publish.pictures.canvas import Point, fit, width, wrap
from glost.publish.pictures.model import Family, Life, Member, Tie
from glost.publish.pictures.style import MARGIN, SMALL, TINY
from glost.publish.pictures.timeline import Axis, year_span

LANE = 84.0
"""Width of the names of lanes."""
FIRM = 9.0
"""Height of the row that shows a firm's own life."""
_PAD = 5.0
_GUTTER = 120.0
_DISC = 11.0


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
class LanePlace:
    """Where a lane lies, its name broken into lines, and the middle of its firm's own bar."""

    top: float
    bottom: float
    lines: tuple[str, ...]
    firm: float


@dataclass(frozen=True, slots=True)
class Route:
    """The way of a tie: points along it, where its letter stands, whether it ends in an arrow."""

    tie: Tie
    points: tuple[Point, ...]
    letter: Point
    arrow: bool


@dataclass
class Layout:
    """Everything in its place.

    Attributes
    ----------
    axis
        The time axis.
    top, bottom
        Where the lanes begin and end.
    lanes, places, routes
        In the order of the family's lanes, members and ties (then successions).
    """

    axis: Axis
    top: float
    bottom: float = 0.0
    lanes: list[LanePlace] = field(default_factory=list)
    places: list[Place] = field(default_factory=list)
    routes: list[Route] = field(default_factory=list)


def lay_out(family: Family, wide: float, top: float, pitch: float, mutual: Sequence[str]) -> Layout:
    """Put a family in its place.

    Parameters
    ----------
    family
        The family.
    wide
        Width of the sheet, in points.
    top
        Where the lanes begin.
    pitch
        Height of a row.
    mutual
        The relations without direction.
    """
    undated = [member for member in family.members if not member.life.known]
    gutter = max((width(member.name, SMALL) + 18 for member in undated), default=0.0)
    gutter = min(gutter, _GUTTER)
    left = MARGIN + LANE + gutter + 10
    layout = Layout(_axis(family, left, wide - MARGIN), top)
    _place(family, layout, pitch, gutter)
    _route(family, layout, mutual)
    return layout


def _axis(family: Family, left: float, right: float) -> Axis:
    lives = [member.life for member in family.members]
    lives += [lane.life for lane in family.lanes if not family.members]
    for tie in family.successions:
        lives += [Life(begin=family.lanes[tie.later].life.begin)]
    first, last = year_span(day for life in lives for day in (*life.begin, *life.end))
    return Axis(first - 1, last + 1, left, right)


def _place(family: Family, layout: Layout, pitch: float, gutter: float) -> None:
    incoming = [0] * len(family.members)
    for tie in family.ties:
        incoming[tie.later] += 1
    placed: dict[int, Place] = {}
    y = layout.top
    for number, lane in enumerate(family.lanes):
        firm = y + FIRM / 2 + 1 if lane.life.known else y
        start = y + (FIRM if lane.life.known else 2.0)
        own = [at for at, member in enumerate(family.members) if member.lane == number]
        rows = _rows(family.members, own, incoming, layout.axis)
        for row, members in enumerate(rows):
            for at in members:
                placed[at] = _stand(
                    family.members[at], layout.axis, start + row * pitch, pitch, gutter
                )
        lines = tuple(wrap(lane.name, SMALL, LANE - 8))
        end = max(start + len(rows) * pitch + 3, y + len(lines) * SMALL * 1.3 + 6)
        layout.lanes.append(LanePlace(y, end, lines, firm))
        y = end
    layout.bottom = y
    layout.places = [placed[at] for at in range(len(family.members))]


def _bar(life: Life, axis: Axis) -> tuple[float, float]:
    """Return the ends of what is known of a life."""
    days = [day for day in (*life.begin, *life.end) if day is not None]
    left, right = axis.at(min(days)), axis.at(max(days) + 1)
    return left, max(right, left + 1.5)


def _taken(member: Member, incoming: int, axis: Axis) -> tuple[float, float]:
    """Return from where to where a member keeps others out of its row."""
    if not member.life.known:
        return float("-inf"), axis.left - 4
    left, right = _bar(member.life, axis)
    name = width(member.name, SMALL)
    name += 4 + width(member.note, TINY, False, True) if member.note else 0.0
    begins = min(left, axis.right - name)
    ends = max(right, begins + name)
    if member.life.end[1] is None:
        ends = axis.right
    if member.life.begin[0] is None:
        begins = axis.left
    return begins - _PAD - _DISC * incoming, ends + _PAD


def _rows(
    members: Sequence[Member], own: Sequence[int], incoming: Sequence[int], axis: Axis
) -> list[list[int]]:
    taken = {at: _taken(members[at], incoming[at], axis) for at in own}
    rows: list[list[int]] = []
    for at in sorted(own, key=lambda each: (taken[each], members[each].name)):
        left, right = taken[at]
        for row in rows:
            if all(left >= taken[other][1] or right <= taken[other][0] for other in row):
                row.append(at)
                break
        else:
            rows.append([at])
    return rows


def _stand(member: Member, axis: Axis, y: float, pitch: float, gutter: float) -> Place:
    name_y, bar_y = y + pitch * 0.34, y + pitch * 0.76
    if not member.life.known:
        at = axis.left - 10
        name = fit(member.name, SMALL, gutter - 14)
        return Place(at, at, bar_y, at - 7 - width(name, SMALL), bar_y, name, "", False)
    left, right = _bar(member.life, axis)
    name = fit(member.name, SMALL, axis.right - axis.left)
    long = width(name, SMALL)
    note = fit(member.note, TINY, axis.right - axis.left - long - 4, italic=True)
    long += 4 + width(note, TINY, False, True) if note else 0.0
    return Place(left, right, bar_y, min(left, axis.right - long), name_y, name, note, True)


def _route(family: Family, layout: Layout, mutual: Sequence[str]) -> None:
    way = _Ways(layout)
    for tie in family.ties:
        ends = layout.places[tie.earlier], layout.places[tie.later]
        if tie.relation in mutual:
            ends = _in_time(*ends)
        layout.routes.append(way.between(tie, *ends, arrow=tie.relation not in mutual))
    for tie in family.successions:
        firms = [_firm(family, layout, lane) for lane in (tie.earlier, tie.later)]
        layout.routes.append(way.between(tie, *firms, arrow=True))


def _in_time(one: Place, other: Place) -> tuple[Place, Place]:
    """Put first the one that ends before the other begins, or else the higher one."""
    return (other, one) if other.right < one.left else (one, other)


def _firm(family: Family, layout: Layout, lane: int) -> Place:
    life, y = family.lanes[lane].life, layout.lanes[lane].firm
    left, right = _bar(life, layout.axis) if life.known else (layout.axis.left,) * 2
    return Place(left, right, y, left, y, "", "", True)


class _Ways:
    """Finds ways for ties that keep clear of one another and of names."""

    def __init__(self, layout: Layout) -> None:
        self._axis = layout.axis
        self._names = [
            (place.name_x - 1, place.name_end + 1, place.name_y - 4, place.name_y + 4)
            for place in layout.places
        ]
        self._bars = [(place.left, place.right, place.y) for place in layout.places]
        self._drops: list[tuple[float, float, float]] = []
        self._letters: list[Point] = []

    def between(self, tie: Tie, start: Place, end: Place, *, arrow: bool) -> Route:
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
