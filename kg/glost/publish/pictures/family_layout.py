"""Where the members of a family stand, and which way the ties between them run.

A lane for each pottery, one under the other; in a lane, members in rows, as few as let no bar or
name touch another. A tie leaves its earlier member's bar, drops or climbs at a place of its own
shortly before the later member begins, and ends at that member's bar.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

from glost.publish.pictures.canvas import fit, width, wrap
from glost.publish.pictures.family_ways import Place, Route, Ways
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
    places: list[Place] = field(default_factory=list)
    routes: list[Route] = field(default_factory=list)


def lay_out(
    family: Family, wide: float, top: float, pitch: float, mutual: Sequence[str] | None
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
        The relations without direction; None leaves the ties out, to learn how much room the
        members take.
    """
    undated = [member for member in family.members if not member.life.known]
    gutter = max((width(member.name, SMALL) + 18 for member in undated), default=0.0)
    gutter = min(gutter, _GUTTER)
    left = MARGIN + LANE + gutter + 10
    layout = Layout(_axis(family, left, wide - MARGIN), top)
    _place(family, layout, pitch, gutter)
    if mutual is not None:
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
    way = Ways(layout.axis, layout.places)
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
