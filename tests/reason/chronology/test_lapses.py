"""Days between events by their order alone: a small case by hand, and brute force."""

import numpy as np
from hypothesis import assume, given, settings

from glost.reason.chronology import FAR, ORIGIN, Lapses, bounds
from glost.reason.chronology.propagate import distances

from .networks import Row, network, rows


def test_the_fewest_and_the_most_days_from_one_event_to_another() -> None:
    """2 comes 3 to 10 days after 1; 3 at most 4 days after 2, and 1 in a year that is known."""
    made = network(
        [
            (1, 2, 10, frozenset({0})),
            (2, 1, -3, frozenset({1})),
            (2, 3, 4, frozenset({2})),
            (ORIGIN, 1, 365, frozenset({3})),
            (1, ORIGIN, 0, frozenset({4})),
            (3, ORIGIN, -300, frozenset({5})),
        ]
    )
    lapses = Lapses(made)
    assert lapses.most(1).tolist()[1:4] == [0, 10, 14]
    assert lapses.least(1).tolist()[1:4] == [0, 3, -FAR]  # the date of 3 is left out of account
    assert lapses.least(2).tolist()[1:4] == [-10, 0, -FAR]
    assert [step.days for step in lapses.why(1, 3, most=True)] == [10, 4]
    assert [step.days for step in lapses.why(1, 2, most=False)] == [-3]
    assert lapses.why(1, 3, most=False) == []


@settings(max_examples=40)
@given(rows())
def test_lapses_are_shortest_paths_that_pass_no_date(given_rows: list[Row]) -> None:
    """Floyd and Warshall on the constraints between events; the fewest days are those backwards."""
    between = [row for row in given_rows if ORIGIN not in row[:2]]
    assume(between)
    made = network(given_rows)
    table = np.full((made.events, made.events), FAR)
    np.fill_diagonal(table, 0)
    for source, target, days, _ in between:
        table[source, target] = min(table[source, target], days)
    for middle in range(made.events):
        table = np.minimum(table, table[:, middle, None] + table[None, middle])
    assume((np.diagonal(table) >= 0).all())
    table[table > FAR // 2] = FAR
    lapses = Lapses(made)
    for event in range(1, made.events):
        assert lapses.most(event).tolist() == table[event].tolist()
        assert lapses.least(event).tolist() == (-table[:, event]).tolist()
        before = [other for other in range(1, made.events) if table[event, other] < 0]
        assert lapses.preceding(event) == before


def test_where_nothing_limits_it_no_number_of_days_is_told() -> None:
    """1 is not before day 100, 2 not after day 900; 3 is bounded by nothing."""
    made = network([(1, ORIGIN, -100, frozenset({0})), (ORIGIN, 2, 900, frozenset({1}))])
    table = distances(made, bounds(made), [1, 2, 3])
    assert table.tolist() == [[0, 800, FAR], [FAR, 0, FAR], [FAR, FAR, 0]]
