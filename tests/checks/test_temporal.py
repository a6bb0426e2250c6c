"""The chronology against figures and programs from outside.

* R. Dechter, I. Meiri, J. Pearl, "Temporal constraint networks", Artificial Intelligence 49, 1991:
  the simple temporal problem of their example. Problem verified, distance matrix derived.
* J. F. Allen, "Maintaining knowledge about temporal intervals", CACM 26(11), 1983: the table of
  transitivity. Counts derived by brute force, agreeing with a published machine-readable table.
* SciPy's shortest paths, an independent implementation, on random networks.
"""

import csv
from collections import Counter
from itertools import product
from pathlib import Path

import numpy as np
import pytest
from scipy.sparse.csgraph import NegativeCycleError, bellman_ford

from allen_composed import compose
from glost.reason.chronology import Network, bounds, distances, survey
from glost.reason.chronology.allen import relations
from network_draft import Draft

HERE = Path(__file__).parent


def numbers(name: str) -> list[list[int]]:
    with (HERE / name).open(encoding="utf-8", newline="") as file:
        return [[int(cell) for cell in row] for row in list(csv.reader(file))[1:]]


@pytest.fixture(scope="module")
def problem() -> Network:
    draft = Draft(5)
    for claim, (source, target, least, most) in enumerate(numbers("stp_1991.csv")):
        draft.at_most(source, target, most, [claim])
        draft.at_most(target, source, -least, [claim])
    return draft.network()


def test_bounds_of_the_1991_problem(problem: Network) -> None:
    found = bounds(problem)
    assert found.earliest.tolist() == [0, 10, 40, 20, 60]
    assert found.latest.tolist() == [0, 20, 50, 30, 70]
    assert not survey(problem).conflicts


def test_distances_of_the_1991_problem(problem: Network) -> None:
    table = distances(problem, bounds(problem), [0, 1, 2, 3, 4])
    assert table.tolist() == numbers("stp_1991_distances.csv")


def signs(one: tuple[int, int], two: tuple[int, int]) -> tuple[int, ...]:
    return tuple((a > b) - (a < b) for a in one for b in two)


def test_transitivity_has_allens_counts() -> None:
    cells = [compose(a, b) for a in relations() for b in relations()]
    assert len(relations()) == 13
    assert len(cells) == 169
    assert sum(map(len, cells)) == 409
    assert Counter(map(len, cells)) == {1: 97, 3: 42, 5: 24, 9: 3, 13: 3}


def test_transitivity_is_what_intervals_show() -> None:
    """Every cell against all ways of placing three intervals on six points."""
    intervals = [(a, b) for a in range(6) for b in range(6) if a < b]
    name_of = {}
    for relation in relations().values():
        for one, two in product(intervals, intervals):
            ends = (*one, *two)
            if all(ends[t] - ends[s] <= days for s, t, days in relation.limits):
                assert name_of.setdefault(signs(one, two), relation.name) == relation.name
    assert len(name_of) == 13
    shown: dict[tuple[str, str], set[str]] = {}
    for one, two, three in product(intervals, intervals, intervals):
        cell = name_of[signs(one, two)], name_of[signs(two, three)]
        shown.setdefault(cell, set()).add(name_of[signs(one, three)])
    assert shown == {(a, b): set(compose(a, b)) for a in relations() for b in relations()}


def test_inverses_turn_the_table_round() -> None:
    inverse = {name: relation.inverse for name, relation in relations().items()}
    assert all(inverse[inverse[name]] == name for name in inverse)
    for a, b in product(inverse, inverse):
        turned = {inverse[name] for name in compose(a, b)}
        assert turned == compose(inverse[b], inverse[a])


@pytest.mark.parametrize("seed", range(60))
def test_bounds_are_scipys_shortest_paths(seed: int) -> None:
    """Random networks, from loose and long to tight and contradictory."""
    rng = np.random.default_rng(seed)
    events = int(rng.integers(2, 40))
    count = int(rng.integers(1, 4 * events))
    source, target = rng.integers(0, events, (2, count))
    source, target = source[source != target], target[source != target]
    days = rng.integers(-5 - seed // 2, 60, len(source))
    network = Network.build(events, source, target, days)
    lengths = np.full((events, events), np.inf)
    np.minimum.at(lengths, (source, target), days)
    try:
        table = bellman_ford(np.ma.masked_invalid(lengths), indices=None)
    except NegativeCycleError:
        assert survey(network).conflicts
        return
    assert not survey(network).conflicts
    found = bounds(network)
    near = np.isfinite(table)
    assert found.latest[near[0]].tolist() == table[0][near[0]].tolist()
    assert (-found.earliest[near[:, 0]]).tolist() == table[near[:, 0], 0].tolist()
    between = distances(network, found, list(range(events)))
    assert between[near].tolist() == table[near].tolist()
    assert (between[~near] > 10**9).all()
