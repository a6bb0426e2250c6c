"""Components and reachability against plain closures."""

import networkx as nx
import numpy as np
import pytest

from glost.reason.engine import Sameness
from glost.reason.operators import components, reachable, strong_components


def edges(seed: int) -> tuple[np.ndarray, np.ndarray]:
    """Draw a few edges."""
    draw = np.random.default_rng(seed)
    return tuple(draw.integers(-4, 14, 16).astype(np.int32) for _ in range(2))


@pytest.mark.parametrize("seed", range(60))
def test_reachable_is_what_networkx_finds(seed):
    s, o = edges(seed)
    graph = nx.DiGraph(zip(s.tolist(), o.tolist(), strict=True))
    expected = set(nx.transitive_closure(graph, reflexive=False).edges)
    found = list(zip(*(c.tolist() for c in reachable(s, o)), strict=True))
    assert set(found) == expected
    assert len(found) == len(expected)


@pytest.mark.parametrize("seed", range(60))
def test_components_are_what_networkx_finds(seed):
    s, o = edges(seed)
    node, label = components(s, o)
    groups: dict[int, set[int]] = {}
    for n, k in zip(node.tolist(), label.tolist(), strict=True):
        groups.setdefault(k, set()).add(n)
    graph = nx.Graph(zip(s.tolist(), o.tolist(), strict=True))
    expected = sorted(map(sorted, nx.connected_components(graph)))
    assert sorted(map(sorted, groups.values())) == expected
    assert all(k == min(group) for k, group in groups.items())


def test_a_long_path_is_one_component():
    node = np.arange(5000, dtype=np.int32)
    shuffled = np.random.default_rng(1).permutation(node).astype(np.int32)
    assert set(components(shuffled[:-1], shuffled[1:])[1].tolist()) == {0}


@pytest.mark.parametrize("seed", range(20))
def test_strong_components_come_in_topological_order(seed):
    s, o = edges(seed)
    graph = nx.DiGraph(zip(s.tolist(), o.tolist(), strict=True))
    found = strong_components(graph.nodes, lambda n: list(graph.successors(n)))
    expected = sorted(map(sorted, nx.strongly_connected_components(graph)))
    assert sorted(map(sorted, found)) == expected
    place = {n: i for i, part in enumerate(found) for n in part}
    assert all(place[a] <= place[b] for a, b in graph.edges)


def test_nothing_reaches_nothing():
    empty = np.empty(0, np.int32)
    assert [len(c) for c in reachable(empty, empty)] == [0, 0]
    assert [len(c) for c in components(empty, empty)] == [0, 0]


def test_sameness_keeps_the_least_code():
    same = Sameness()
    assert not same
    assert same.union(7, 5) == (7, 5)
    assert same.union(9, 7) == (9, 5)
    assert same.union(9, 5) is None
    assert same.union(3, 9) == (5, 3)
    assert same.find(7) == same.find(3) == 3
    assert sorted(same.members(9)) == [3, 5, 7, 9]
    assert same.members(4) == [4]
    assert [root for root, _ in same.groups()] == [3]
