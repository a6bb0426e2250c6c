"""Where the members of a family stand, and which way the ties between them run.

A lane for each pottery, one under the other; in a lane, members in rows, as few as let no bar or
name touch another. A tie leaves its earlier member's bar, drops or climbs at a place of its own
shortly before the later member begins, and ends at that member's bar.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

from glost.publish.pictures.family_ways import MemberPlace, Route, Ways
from glost.publish.pictures.lettering import fit, width, wrap
from glost.publish.pictures.model import Family, Life, Member
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
class LanePlace:
    """Where a lane lies, its name broken into lines, and the middle of its firm's own bar."""

    top: float
    bottom: float
    lines: tuple[str, ...]
    firm: float


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
    places: list[MemberPlace] = field(default_factory=list)
    routes: list[Route] = field(default_factory=list)


Shelves = dict[Axis, list[list[list[int]]]]
"""Of lanes by an axis, which members stand in which row; it does not depend on rows' height."""


def lay_out(
    family: Family,
    wide: float,
    top: float,
    pitch: float,
    mutual: Sequence[str] | None,
    shelves: Shelves | None = None,
) -> Layout:
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
        The relations without direction; None leaves members and ties out, to learn how much room
        the lanes take.
    shelves
        The rows of layouts of the same family so far, to be looked up here and added to.
    """
    undated = [member for member in family.members if not member.life.known]
    gutter = max((width(member.name, SMALL) + 18 for member in undated), default=0.0)
    gutter = min(gutter, _GUTTER)
    left = MARGIN + LANE + gutter + 10
    layout = Layout(_axis(family, left, wide - MARGIN), top)
    shelves = {} if shelves is None else shelves
    if layout.axis not in shelves:
        shelves[layout.axis] = _shelve(family, layout.axis)
    starts = _lanes(family, layout, pitch, shelves[layout.axis])
    if mutual is not None:
        layout.places = _places(family, layout, pitch, gutter, shelves[layout.axis], starts)
        _route(family, layout, mutual)
    return layout


def _axis(family: Family, left: float, right: float) -> Axis:
    lives = [member.life for member in family.members]
    lives += [lane.life for lane in family.lanes if not family.members]
    for tie in family.successions:
        lives += [Life(begin=family.lanes[tie.later].life.begin)]
    first, last = year_span(day for life in lives for day in (*life.begin, *life.end))
    return Axis(first - 1, last + 1, left, right)


def _shelve(family: Family, axis: Axis) -> list[list[list[int]]]:
    incoming = [0] * len(family.members)
    for tie in family.ties:
        incoming[tie.later] += 1
    lanes: list[list[int]] = [[] for _ in family.lanes]
    for at, member in enumerate(family.members):
        lanes[member.lane].append(at)
    return [_rows(family.members, own, incoming, axis) for own in lanes]


def _lanes(
    family: Family, layout: Layout, pitch: float, shelves: list[list[list[int]]]
) -> list[float]:
    """Put the lanes under one another; return where the first row of each begins."""
    starts = []
    y = layout.top
    for lane, rows in zip(family.lanes, shelves, strict=True):
        firm = y + FIRM / 2 + 1 if lane.life.known else y
        start = y + (FIRM if lane.life.known else 2.0)
        lines = tuple(wrap(lane.name, SMALL, LANE - 8))
        end = max(start + len(rows) * pitch + 3, y + len(lines) * SMALL * 1.3 + 6)
        layout.lanes.append(LanePlace(y, end, lines, firm))
        starts.append(start)
        y = end
    layout.bottom = y
    return starts


def _places(
    family: Family,
    layout: Layout,
    pitch: float,
    gutter: float,
    shelves: list[list[list[int]]],
    starts: list[float],
) -> list[MemberPlace]:
    placed: dict[int, MemberPlace] = {}
    for start, rows in zip(starts, shelves, strict=True):
        for row, members in enumerate(rows):
            y = start + row * pitch
            for at in members:
                placed[at] = _stand(family.members[at], layout.axis, y, pitch, gutter)
    return [placed[at] for at in range(len(family.members))]


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
    ends: list[float] = []
    for at in sorted(own, key=lambda each: (taken[each], members[each].name)):
        # Members come by where they begin, so that only the end of a row can be in the way.
        left, right = taken[at]
        free = next((row for row, end in enumerate(ends) if left >= end), len(rows))
        if free == len(rows):
            rows.append([])
            ends.append(right)
        rows[free].append(at)
        ends[free] = max(ends[free], right)
    return rows


def _stand(member: Member, axis: Axis, y: float, pitch: float, gutter: float) -> MemberPlace:
    name_y, bar_y = y + pitch * 0.34, y + pitch * 0.76
    if not member.life.known:
        at = axis.left - 10
        name = fit(member.name, SMALL, gutter - 14)
        return MemberPlace(at, at, bar_y, at - 7 - width(name, SMALL), bar_y, name, "", False)
    left, right = _bar(member.life, axis)
    name = fit(member.name, SMALL, axis.right - axis.left)
    long = width(name, SMALL)
    note = fit(member.note, TINY, axis.right - axis.left - long - 4, italic=True)
    long += 4 + width(note, TINY, False, True) if note else 0.0
    return MemberPlace(left, right, bar_y, min(left, axis.right - long), name_y, name, note, True)


def _route(family: Family, layout: Layout, mutual: Sequence[str]) -> None:
    way = Ways(layout.axis, layout.places)
    for tie in family.ties:
        ends = layout.places[tie.earlier], layout.places[tie.later]
        if tie.relation in mutual:
            ends = _in_time(*ends)
        layout.routes.append(way.between(tie, *ends, arrow=tie.relation not in mutual))
    for tie in family.successions:
        firms = [_firm(family, layout, lane) for lane in (tie.earlier, tie.later)]
        layout.routes.append(way.between(tie, *firms, arrow=True))


def _in_time(one: MemberPlace, other: MemberPlace) -> tuple[MemberPlace, MemberPlace]:
    """Put first the one that ends before the other begins, or else the higher one."""
    return (other, one) if other.right < one.left else (one, other)


def _firm(family: Family, layout: Layout, lane: int) -> MemberPlace:
    life, y = family.lanes[lane].life, layout.lanes[lane].firm
    left, right = _bar(life, layout.axis) if life.known else (layout.axis.left,) * 2
    return MemberPlace(left, right, y, left, y, "", "", True)
