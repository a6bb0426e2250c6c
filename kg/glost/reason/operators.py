"""What is better done as a whole than by joins: components and reachability."""

from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

N = TypeVar("N", bound=Hashable)
Array = NDArray[np.int32]


def strong_components(nodes: Iterable[N], after: Callable[[N], Sequence[N]]) -> list[list[N]]:
    """Return the strongly connected components of a graph, those that come first first.

    Parameters
    ----------
    nodes
        Where to start; the order decides between equals.
    after
        Gives the nodes an edge leads to.

    Returns
    -------
    list of list
        In topological order.

    References
    ----------
    Tarjan, "Depth-first search and linear graph algorithms", 1972; written without recursion.
    """
    number: dict[N, int] = {}
    low: dict[N, int] = {}
    waiting: list[N] = []
    on_stack: set[N] = set()
    found: list[list[N]] = []

    def enter(node: N) -> tuple[N, list[N]]:
        number[node] = low[node] = len(number)
        waiting.append(node)
        on_stack.add(node)
        return node, list(after(node))[::-1]

    for start in nodes:
        if start in number:
            continue
        work = [enter(start)]
        while work:
            node, edges = work[-1]
            if edges:
                reached = edges.pop()
                if reached not in number:
                    work.append(enter(reached))
                elif reached in on_stack:
                    low[node] = min(low[node], number[reached])
                continue
            work.pop()
            if work:
                low[work[-1][0]] = min(low[work[-1][0]], low[node])
            if low[node] == number[node]:
                component = [waiting.pop()]
                while component[-1] != node:
                    component.append(waiting.pop())
                on_stack.difference_update(component)
                found.append(component)
    return found[::-1]


def components(s: Array, o: Array) -> tuple[Array, Array]:
    """Return each node of an undirected graph with the label of its component.

    Parameters
    ----------
    s, o
        The ends of the edges.

    Returns
    -------
    tuple of arrays
        Nodes, and for each the least node of its component.

    References
    ----------
    Shiloach and Vishkin, "An O(log n) parallel connectivity algorithm", 1982 (labels passed on
    and pointers shortened).
    """
    ids, place = np.unique(np.concatenate([s, o]), return_inverse=True)
    a, b = place[: len(s)], place[len(s) :]
    label = np.arange(len(ids))
    while True:
        least = np.minimum(label[a], label[b])
        new = label.copy()
        np.minimum.at(new, a, least)
        np.minimum.at(new, b, least)
        np.minimum.at(new, label[a], least)
        np.minimum.at(new, label[b], least)
        while not np.array_equal(new, new[new]):
            new = new[new]
        if np.array_equal(new, label):
            return ids, ids[label]
        label = new


def _successors(s: NDArray[Any], o: NDArray[Any], count: int) -> Mapping[int, list[int]]:
    order = np.argsort(s, kind="stable")
    start = np.searchsorted(s[order], np.arange(count + 1))
    ends = o[order]
    return {
        i: ends[start[i] : start[i + 1]].tolist()
        for i in np.flatnonzero(start[1:] > start[:-1]).tolist()
    }


def reachable(s: Array, o: Array) -> tuple[Array, Array]:
    """Return the transitive closure of a directed graph.

    Components are taken in reverse topological order, so that each is the union of what its
    successors reach.

    Parameters
    ----------
    s, o
        From and to, an edge in each row.

    Returns
    -------
    tuple of arrays
        From and to, every pair joined by at least one edge.

    References
    ----------
    Purdom, "A transitive closure algorithm", 1970.
    """
    ids, place = np.unique(np.concatenate([s, o]), return_inverse=True)
    after = _successors(place[: len(s)], place[len(s) :], len(ids))
    parts = strong_components(range(len(ids)), lambda v: after.get(v, []))
    of = np.empty(len(ids), np.int64)
    for k, part in enumerate(parts):
        of[part] = k
    nothing = np.empty(0, np.int64)
    reach: list[NDArray[np.int64]] = [nothing] * len(parts)
    froms, tos = [], []
    for k in range(len(parts) - 1, -1, -1):
        inside = np.asarray(parts[k], np.int64)
        nexts = {int(of[w]) for v in parts[k] for w in after.get(v, [])}
        turns_back = k in nexts
        pieces = [inside] if turns_back else []
        for j in nexts - {k}:
            pieces += [np.asarray(parts[j], np.int64), reach[j]]
        reach[k] = np.unique(np.concatenate(pieces)) if pieces else nothing
        if len(reach[k]):
            froms.append(np.repeat(inside, len(reach[k])))
            tos.append(np.tile(reach[k], len(inside)))
    if not froms:
        return s[:0], o[:0]
    return ids[np.concatenate(froms)], ids[np.concatenate(tos)]
