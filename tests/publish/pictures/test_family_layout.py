"""Sixty members on one sheet: no bar and no name touches another."""

from itertools import combinations

import pytest

from glost.publish.pictures.family_layout import Layout, lay_out
from glost.publish.pictures.kinds.family import family_tree
from glost.publish.pictures.style import LONG, MARGIN, SHORT, SMALL
from large_family import large_family

MUTUAL = ("moulds", "flatware")
SEEDS = (1, 2, 3)


def laid_out(count: int, seed: int) -> Layout:
    return lay_out(large_family(count, seed=seed), SHORT, 60.0, 16.5, MUTUAL)


def boxes(layout: Layout) -> list[tuple[float, float, float, float]]:
    """Return left, right, top and bottom of every name and every bar."""
    found = []
    for place in layout.places:
        half = SMALL / 2
        found.append(
            (place.name_x, place.name_end, place.name_y - half + 0.3, place.name_y + half - 0.3)
        )
        if place.dated:
            found.append((place.left, place.right, place.y - 2.3, place.y + 2.3))
    return found


@pytest.mark.parametrize("seed", SEEDS)
def test_no_name_and_no_bar_touches_another(seed: int) -> None:
    for one, other in combinations(boxes(laid_out(60, seed)), 2):
        apart = one[1] <= other[0] or other[1] <= one[0] or one[3] <= other[2] or other[3] <= one[2]
        assert apart, (one, other)


@pytest.mark.parametrize("seed", SEEDS)
def test_everything_stands_in_its_lane_and_on_the_sheet(seed: int) -> None:
    made = large_family(60, seed=seed)
    layout = laid_out(60, seed)
    for member, place in zip(made.members, layout.places, strict=True):
        lane = layout.lanes[member.lane]
        assert lane.top <= place.name_y - SMALL / 2 and place.y + 2.3 <= lane.bottom
        assert place.name_x >= MARGIN and place.name_end <= SHORT - MARGIN + 1
    assert [lane.bottom for lane in layout.lanes][:-1] == [lane.top for lane in layout.lanes][1:]


@pytest.mark.parametrize("seed", SEEDS)
def test_every_tie_leaves_the_one_member_and_reaches_the_other(seed: int) -> None:
    made = large_family(60, seed=seed)
    layout = laid_out(60, seed)
    for tie, route in zip(made.ties, layout.routes, strict=True):
        ends = {layout.places[tie.earlier].y, layout.places[tie.later].y}
        assert {route.points[0][1], route.points[-1][1]} == ends
        for x, y in (route.points[0], route.points[-1]):
            near = [p for p in (layout.places[tie.earlier], layout.places[tie.later]) if p.y == y]
            assert any(p.left - 0.01 <= x <= p.right + 0.01 for p in near)
        for (a, b), (c, d) in zip(route.points, route.points[1:], strict=False):
            assert a == c or b == d


@pytest.mark.parametrize("seed", SEEDS)
def test_sixty_members_fit_one_sheet_with_type_of_six_points_when_printed(seed: int) -> None:
    picture = family_tree(large_family(60, seed=seed))
    assert len(picture.sheets) == 1
    sheet = picture.sheets[0]()
    wide, high = sheet.wide, sheet.high
    scale = max(wide / SHORT, high / LONG) if high > wide else max(wide / LONG, high / SHORT)
    assert SMALL / scale >= 6.0


def test_members_without_dates_stand_before_the_axis() -> None:
    layout = laid_out(60, 1)
    undated = [place for place in layout.places if not place.dated]
    assert len(undated) == 6
    assert all(place.name_end < place.left < layout.axis.left for place in undated)
