"""Bounds under every reading of clashing claims, against all sets that could be set aside."""

from itertools import combinations

import numpy as np
import pytest
from hypothesis import assume, given, settings

from glost.reason.chronology import FAR, ORIGIN, UnfoundedError, every_reading, solve
from network_draft import Draft

from .networks import Row, network, rows

Days = dict[tuple[int, int], float]
NEVER = float("inf")


def closed(given_rows: list[Row], events: int, without: frozenset[int]) -> Days | None:
    """Return all distances by Floyd and Warshall; None if the constraints clash."""
    table = {(a, b): 0.0 if a == b else NEVER for a in range(events) for b in range(events)}
    for source, target, days, claims in given_rows:
        if not claims & without:
            table[source, target] = min(table[source, target], days)
    for middle in range(events):
        for a in range(events):
            for b in range(events):
                through = table[a, middle] + table[middle, b]
                table[a, b] = min(table[a, b], through)
    return None if any(table[a, a] < 0 for a in range(events)) else table


def all_readings(given_rows: list[Row], events: int) -> list[Days]:
    claims = sorted({claim for *_, behind in given_rows for claim in behind})
    minimal: list[frozenset[int]] = []
    found = []
    for size in range(len(claims) + 1):
        for chosen in map(frozenset, combinations(claims, size)):
            if any(each <= chosen for each in minimal):
                continue
            table = closed(given_rows, events, chosen)
            if table is not None:
                minimal.append(chosen)
                found.append(table)
    return found


def ours(day: int) -> float:
    return day if abs(day) < FAR // 2 else NEVER if day > 0 else -NEVER


@settings(max_examples=120)
@given(rows(events=5, claims=5, most=9))
def test_the_widest_bounds_of_any_reading(given_rows: list[Row]) -> None:
    try:
        solution = solve(network(given_rows, 5))
    except UnfoundedError:
        assume(False)
    found = every_reading(solution)
    tables = all_readings(given_rows, 5)
    alone = len(found.groups) < 2
    for event in range(1, 5):
        latest = max(table[ORIGIN, event] for table in tables)
        earliest = min(-table[event, ORIGIN] for table in tables)
        late, early = ours(found.bounds.latest[event]), ours(found.bounds.earliest[event])
        assert (
            (late == latest and early == earliest)
            if alone
            else (late >= latest and early <= earliest)
        )
        if len({(t[ORIGIN, event], t[event, ORIGIN]) for t in tables}) > 1:
            assert found.disputed[event]
        for limit, late_side in ((late, True), (early, False)):
            steps = found.why(event, late=late_side)
            assert sum(each.days for each in steps) == (
                0 if abs(limit) == NEVER else limit if late_side else -limit
            )


def test_two_dates_of_one_point_leave_the_years_between() -> None:
    """Begun by day 5, or on day 9 and no sooner; another event, at its end, on day 20."""
    draft = Draft()
    begin, end = draft.event(), draft.event()
    draft.not_after(begin, 5, [0])
    draft.not_before(begin, 1, [1])
    draft.not_before(begin, 9, [2])
    draft.not_after(begin, 9, [3])
    draft.not_before(end, 20, [4])
    draft.not_after(end, 20, [4])
    found = every_reading(solve(draft.network(), {0: 1, 1: 1, 2: 3, 3: 1, 4: 1}))
    assert (found.bounds.earliest[begin], found.bounds.latest[begin]) == (1, 9)
    assert found.disputed[begin]
    assert found.swaying(begin) == {0, 2}
    assert not found.disputed[end]
    assert (found.bounds.earliest[end], found.swaying(end)) == (20, frozenset())


@pytest.mark.parametrize("most", [0, 10**9])
def test_where_trying_costs_too_much_all_that_clashes_is_left_out(
    most: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("glost.reason.chronology.readings._WAYS", min(most, 128))
    draft = Draft()
    begin = draft.event()
    draft.not_after(begin, 5, [0])
    draft.not_before(begin, 9, [1])
    draft.not_after(begin, 30, [2])
    found = every_reading(solve(draft.network(), {0: 1, 1: 2, 2: 1}))
    early = int(found.bounds.earliest[begin])
    assert found.bounds.latest[begin] == 30
    assert early <= -FAR // 2
    assert found.disputed[begin]
    assert found.swaying(begin) == {0, 1}
    assert np.all(~found.disputed[[ORIGIN]])


def test_hundreds_of_ways_to_settle_one_group_are_all_tried() -> None:
    """Of a row of claims each contradicts the next, so that no two neighbours may stand.

    The first can only be set aside to let the second stand, which contradicts it; so one of the two
    stands in every reading, and what either says of another point holds whichever does.
    """
    claims = 24
    draft = Draft()
    shown = draft.event()
    draft.not_before(shown, 3, [0])
    draft.not_before(shown, 4, [1])
    draft.not_after(shown, 50, [2])
    draft.not_after(shown, 60, [claims])
    for one in range(claims - 1):
        between = draft.event()
        draft.not_after(between, 5, [one])
        draft.not_before(between, 9, [one + 1])
    found = every_reading(solve(draft.network(), dict.fromkeys(range(claims + 1), 1)))
    (group,) = found.groups
    standing = [1, 1, 2]  # how many such rows of none, one, two; then as Padovan counts
    for _ in range(3, claims + 1):
        standing.append(standing[-2] + standing[-3])
    assert len(group.ways) == standing[claims] > 400
    assert (found.bounds.earliest[shown], found.bounds.latest[shown]) == (3, 60)
    assert found.tightest.earliest[shown] == 4
    assert found.tightest.latest[shown] == 50
    assert sum(step.days for step in found.why(shown, late=False)) == -3
    assert found.cautious.earliest[shown] < -FAR // 2


def test_what_one_reading_bounds_and_the_least_costly_does_not_is_disputed() -> None:
    """To set the first aside settles it too, and then nothing bounds the event that follows."""
    draft = Draft()
    one, other, third, after = (draft.event() for _ in range(4))
    draft.at_most(one, third, 4, [])
    draft.at_most(other, one, -5, [])
    draft.at_most(other, after, 0, [])
    draft.not_after(one, 0, [0])
    draft.at_most(third, other, 0, [0, 1])
    draft.at_most(third, other, 1, [])
    for weights in ({0: 1, 1: 2}, {0: 2, 1: 1}):
        found = every_reading(solve(draft.network(), weights))
        assert found.disputed[after]
        assert ours(found.bounds.latest[after]) == NEVER
        assert found.tightest.latest[after] == 5


def test_a_contradiction_across_two_groups_that_only_a_dear_reading_shows() -> None:
    """Two dates of one event clash, and two orders; one of each clashes with a date of the other.

    The least costly repair keeps neither the late date nor, with it, the third contradiction. If
    it is kept, and the order, nothing bounds the other event above.
    """
    draft = Draft()
    one, other = draft.event(), draft.event()
    draft.not_after(one, 10, [0])
    draft.not_before(one, 18, [1])
    draft.at_most(other, one, -1, [2])
    draft.at_most(one, other, -1, [3])
    draft.not_after(other, 11, [4])
    found = every_reading(solve(draft.network(), {0: 5, 1: 1, 2: 1, 3: 1, 4: 5}))
    assert found.without == {0, 1, 2, 3, 4}
    assert ours(found.bounds.latest[other]) == NEVER
    assert found.disputed[other]


def test_groups_across_which_nothing_lies_keep_their_own_limits() -> None:
    """Two events clash each in its dates; an order between them clashes with no choice of these."""
    draft = Draft()
    one, other = draft.event(), draft.event()
    for event, claim in ((one, 0), (other, 2)):
        draft.not_after(event, 10, [claim])
        draft.not_before(event, 18, [claim + 1])
        draft.not_after(event, 40, [6])
    draft.at_most(one, other, 30, [5])
    found = every_reading(solve(draft.network(), dict.fromkeys(range(7), 1)))
    assert [group.claims for group in found.groups] == [{0, 1}, {2, 3}]
    assert [len(group.ways) for group in found.groups] == [2, 2]


def test_parts_are_read_by_themselves_and_hold_no_more_than_their_own() -> None:
    """Forty potteries with the same two clashing dates, and a claim that bears on two of them.

    Each point lies as in the one alone, but for the last two: their common claim is one of those
    that clash, so they are settled as one.
    """
    draft, points = Draft(), []
    for number in range(40):
        begin, end = draft.event(), draft.event()
        points.append((begin, end))
        first = 2 * number if number < 39 else 2 * 38
        draft.not_after(begin, 5, [first])
        draft.not_before(begin, 9, [2 * number + 1])
        draft.at_most(begin, end, 30, [100])
        draft.at_most(end, begin, -2, [100])
    found = every_reading(solve(draft.network(), dict.fromkeys(range(101), 1)))
    assert len(found.parts) == 39
    assert sorted(len(each.events) for each in found.parts) == [3] * 38 + [5]
    assert sorted(len(group.unsettled) for group in found.groups) == [3] * 38 + [5]
    for number, (begin, end) in enumerate(points):
        assert ours(found.bounds.earliest[begin]) == -NEVER
        assert ours(found.bounds.latest[begin]) == NEVER
        assert (found.tightest.earliest[begin], found.tightest.latest[begin]) == (9, 5)
        assert (found.tightest.earliest[end], found.tightest.latest[end]) == (11, 35)
        assert found.disputed[begin] and found.disputed[end]
        alone = {2 * number, 2 * number + 1}
        assert found.swaying(end) == (alone if number < 38 else {76, 77, 79})
        assert found.why(begin, late=True) == []


def test_a_part_among_others_is_the_part_by_itself() -> None:
    draft = Draft()
    one, other, third = draft.event(), draft.event(), draft.event()
    draft.not_after(one, 5, [3])
    draft.at_most(third, one, 2, [1, 3])
    draft.not_before(other, 9, [2])
    draft.not_before(third, 1, [0])
    whole = draft.network()
    lots = np.array([-1, 1, 0, 1])
    for lot, parted in enumerate(whole.parted(lots)):
        for told, expected in zip(parted, whole.within(lots == lot), strict=True):
            assert repr(told) == repr(expected)
