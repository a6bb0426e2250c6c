"""Relations between runs."""

from itertools import product

from hypothesis import assume, given, settings

from glost.reason.chronology import bounds, survey
from glost.reason.chronology.allen import on_runs, possible, relations
from network_draft import Draft

from .networks import Row, network, rows


def holds(name: str, days: tuple[int, int, int, int]) -> bool:
    return all(days[target] - days[source] <= most for source, target, most in on_runs(name))


def test_runs_of_days_stand_in_exactly_one_relation() -> None:
    runs = [(a, b) for a in range(5) for b in range(a, 5)]
    seen = set()
    for one, two in product(runs, runs):
        (name,) = [name for name in relations() if holds(name, (*one, *two))]
        assert holds(relations()[name].inverse, (*two, *one))
        seen.add(name)
    assert len(seen) == 13


def test_a_run_meets_the_one_that_begins_the_day_after() -> None:
    assert holds("meets", (1, 10, 11, 20))
    assert not holds("meets", (1, 10, 10, 20))
    assert holds("overlaps", (1, 10, 10, 20))
    assert holds("before", (1, 10, 12, 20))
    assert holds("equals", (3, 3, 3, 3))


def two_runs(one: tuple[int, int, int, int], two: tuple[int, int, int, int]) -> list[str]:
    """Name what is possible given earliest and latest first day and last day of each."""
    draft = Draft(5)
    for event, (low, high) in zip(range(1, 5), (one[:2], one[2:], two[:2], two[2:]), strict=True):
        draft.not_before(event, low, [0])
        draft.not_after(event, high, [0])
    made = draft.network()
    return possible(made, bounds(made), (1, 2), (3, 4))


def test_what_loose_dates_leave_open() -> None:
    assert two_runs((1, 5, 10, 20), (25, 30, 40, 50)) == ["before"]
    assert two_runs((1, 5, 10, 20), (15, 30, 40, 50)) == ["before", "meets", "overlaps"]
    assert len(two_runs((1, 50, 1, 50), (1, 50, 1, 50))) == 13


@settings(max_examples=50)
@given(rows(events=5))
def test_possible_is_what_some_solution_shows(given_rows: list[Row]) -> None:
    made = network(given_rows, 5)
    assume(not survey(made).conflicts)
    named = possible(made, bounds(made), (1, 2), (3, 4))
    for name in relations():
        further = [(s + 1, t + 1, days) for s, t, days in on_runs(name)]
        further += [(2, 1, 0), (4, 3, 0)]
        demanded = made.adding(*zip(*further, strict=True), [0] * len(further))
        assert (name in named) == (not survey(demanded).conflicts)
