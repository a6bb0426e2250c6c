"""The tightest bounds: what must hold of them whatever the network."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from glost.reason.chronology import (
    FAR,
    ORIGIN,
    ContradictionError,
    Network,
    NetworkBounds,
    Reasons,
    bounds,
    survey,
    why_not_after,
    why_not_before,
)
from glost.reason.chronology.propagate import Relaxer, relative_cycles, starting
from glost.reason.chronology.topological import Graph, scan
from network_draft import Draft

from .networks import Row, network, rows


def consistent(given_rows: list[Row]) -> Network:
    made = network(given_rows)
    assume(not survey(made).conflicts)
    return made


@given(rows(), rows(most=2))
def test_adding_never_widens_and_withdrawing_restores(old: list[Row], new: list[Row]) -> None:
    fresh = [(s, t, d, frozenset({6, *(c + 6 for c in claims)})) for s, t, d, claims in new]
    both, before = consistent(old + fresh), bounds(network(old))
    after = bounds(both)
    assert (after.earliest >= before.earliest).all()
    assert (after.latest <= before.latest).all()
    again = bounds(both.without(range(6, 12)))
    assert again.earliest.tolist() == before.earliest.tolist()
    assert again.latest.tolist() == before.latest.tolist()


@given(rows())
def test_adding_through_the_network_is_building_it(given_rows: list[Row]) -> None:
    whole = network(given_rows)
    table = np.array([whole.source, whole.target, whole.days, whole.reason])
    half = Network.build(6, *table[:, :1], reasons=whole.reasons)
    grown = half.adding(*table[:, 1:])
    assert grown.source.tolist() == whole.source.tolist()
    assert [s.claims for s in survey(grown).conflicts] == [
        s.claims for s in survey(whole).conflicts
    ]


@given(rows())
def test_the_earliest_days_are_a_solution(given_rows: list[Row]) -> None:
    made = consistent([*given_rows, *((e, ORIGIN, 50, frozenset([9])) for e in range(1, 6))])
    for days in (bounds(made).earliest,):
        assert (days[made.target] - days[made.source] <= made.days).all()


@given(rows())
def test_the_reasons_of_a_bound_suffice(given_rows: list[Row]) -> None:
    made = consistent(given_rows)
    found = bounds(made)
    for event in range(1, made.events):
        for forward, chain in (
            (True, why_not_after(made, found, event)),
            (False, why_not_before(made, found, event)),
        ):
            value = found.latest[event] if forward else found.earliest[event]
            assert (not chain) == (abs(value) >= FAR)
            only = Network.build(made.events, *np.array(chain, dtype=np.int64).reshape(-1, 4).T[:3])
            alone = bounds(only)
            assert (alone.latest if forward else alone.earliest)[event] == value


def test_a_chain_is_the_shortest_there_is() -> None:
    draft = Draft(4)
    draft.not_after(1, 10, [0])
    draft.at_most(1, 2, 0, [1])
    draft.at_most(2, 3, 0, [2])
    draft.not_after(3, 10, [3])
    made = draft.network()
    assert [step.reason for step in why_not_after(made, bounds(made), 3)] == [3]
    assert why_not_before(made, bounds(made), 3) == []


def test_reasons_ask_for_bounds_of_the_same_network() -> None:
    draft = Draft(2)
    draft.not_after(1, 10, [0])
    wrong = NetworkBounds(np.array([0, -FAR]), np.array([0, 9]))
    with pytest.raises(ValueError, match="not the bounds of this network"):
        why_not_after(draft.network(), wrong, 1)


def chain(length: int, dated: bool) -> Network:
    """Link run after run, from last to first in number, so that order in the table is no help."""
    draft = Draft(length + 1)
    draft.not_before(length, 1_000, [0])
    for event in range(length, 1, -1):
        draft.at_most(event - 1, event, -1, [event])
        if dated:
            draft.not_before(event - 1, 1_000 - 3 * event, [length + event])
    return draft.network()


@pytest.mark.parametrize("dated", [False, True])
def test_a_long_chain_needs_one_look_at_each_link(
    dated: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No walk from link to link is repeated, even where every link has a date of its own."""
    looks: list[int] = []

    def counting(graph: Graph, values: np.ndarray, active: np.ndarray) -> list[list[int]]:
        counted = Graph(graph.tail, graph.head, Counted(graph.days), graph.order, graph.starts)
        return scan(counted, values, active)

    class Counted(list[int]):
        def __getitem__(self, place: int) -> int:  # type: ignore[override]
            looks.append(place)
            return super().__getitem__(place)

    monkeypatch.setattr("glost.reason.chronology.propagate.scan", counting)
    monkeypatch.setattr("glost.reason.chronology.propagate.ROUNDS", 5)
    length = 3_000
    found = bounds(chain(length, dated))
    expected = [1_000 - (event - length) for event in range(1, length + 1)]
    assert found.earliest[1:].tolist() == expected[::1]
    assert len(looks) <= 12 * length


@pytest.mark.parametrize("size", [2, 3, 50, 4_000])
def test_a_relative_clash_is_met_at_once(size: int) -> None:
    """Round the circle it is out by a day, between links of ten years; nothing has a date."""
    draft = Draft(size + 1)
    for event in range(1, size):
        draft.at_most(event, event + 1, 3_650, [event])
    draft.at_most(size, 1, -3_650 * (size - 1) - 1, [size])
    made = draft.network()
    (cycle,) = relative_cycles(made)
    assert sorted(cycle) == list(range(size))
    with pytest.raises(ContradictionError) as caught:
        bounds(made.adding([ORIGIN], [1], [0], [0]))
    assert len(caught.value.cycles) == 1


@given(rows(), st.booleans())
def test_every_way_of_relaxing_ends_alike(given_rows: list[Row], forward: bool) -> None:
    made = consistent(given_rows)
    relaxer = Relaxer(made, forward=forward)
    start = starting(made, forward=forward)
    at_once, bit_by_bit, in_order = start.copy(), start.copy(), start.copy()
    while len(relaxer.all_at_once(at_once)):
        pass
    active = np.flatnonzero(start < FAR)
    while len(active):
        active = relaxer.leaving(bit_by_bit, active)
    graph = Graph.of(relaxer.tail, relaxer.head, relaxer.days, *relaxer.out)
    assert scan(graph, in_order, np.flatnonzero(start < FAR)) == []
    assert at_once.tolist() == bit_by_bit.tolist() == in_order.tolist()


@settings(max_examples=60)
@given(rows(), st.booleans(), st.sampled_from([0, 1, 200]))
def test_many_rows_relaxed_at_once_are_each_by_itself(
    given_rows: list[Row], forward: bool, rounds: int
) -> None:
    relaxer = Relaxer(consistent(given_rows), forward=forward)
    events = np.arange(1, relaxer.events)
    together = np.full((len(events), relaxer.events), FAR, dtype=np.int64)
    together[np.arange(len(events)), events] = 0
    apart = together.copy()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("glost.reason.chronology.propagate._ROUNDS_OF_ROWS", rounds)
        relaxer.relax_rows(together, events)
    for row, event in zip(apart, events, strict=True):
        relaxer.relax(row, np.array([event]))
    assert (together == apart).all()


@pytest.mark.parametrize(
    ("columns", "message"),
    [
        (([0], [5], [1]), "outside 0 to 2"),
        (([0], [-1], [1]), "outside 0 to 2"),
        (([0, 1], [1], [1]), "differ in length"),
        (([0], [1], [1 << 60]), "too many days"),
        (([1], [2], [1 << 57]), "too many days"),
    ],
)
def test_unsound_networks_are_refused(columns: tuple[list[int], ...], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        Network.build(3, *columns)


def test_unknown_reasons_are_refused() -> None:
    with pytest.raises(ValueError, match="reason outside 0 to 0"):
        Network.build(2, [0], [1], [1], [1], Reasons.one_each(1))
