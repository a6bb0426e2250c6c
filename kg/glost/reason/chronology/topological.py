"""Relaxing in topological order, and the negative cycles met on the way."""

from collections.abc import Iterable
from dataclasses import dataclass

from glost.reason.chronology.network import Ints

Cycle = list[int]
"""Constraint numbers, each ending where the next begins, the last where the first begins."""


@dataclass(frozen=True)
class Graph:
    """Edges as plain lists, for code that looks at one at a time."""

    tail: list[int]
    head: list[int]
    days: list[int]
    order: list[int]
    starts: list[int]

    @classmethod
    def of(cls, tail: Ints, head: Ints, days: Ints, order: Ints, starts: Ints) -> "Graph":
        """Take arrays over into lists."""
        return cls(tail.tolist(), head.tolist(), days.tolist(), order.tolist(), starts.tolist())


def scan(graph: Graph, values: Ints, active: Ints) -> list[Cycle]:
    """Lower values in place until nothing more can fall, passing round no negative cycle.

    Each pass sorts what the active events reach by edges that improve or are tight topologically,
    and relaxes it in that order. A circle of such edges is a negative cycle unless all of them are
    tight: it is noted and its edges are left out from there on (A. V. Goldberg, T. Radzik, "A
    heuristic improvement of the Bellman-Ford algorithm", Applied Mathematics Letters 6(3), 1993).

    Parameters
    ----------
    graph
        The edges.
    values
        A value for every event.
    active
        Events whose value has fallen since their edges were last relaxed.

    Returns
    -------
    list
        Edges round each negative cycle met, no two with an edge in common.
    """
    value = values.tolist()
    dead = bytearray(len(graph.tail))
    cycles: list[Cycle] = []
    improved: dict[int, int] = {}  # the edge that last lowered an event
    passes = 0
    pending: Iterable[int] = active.tolist()
    while pending:
        ordered = _sorted(graph, value, pending, dead, cycles)
        pending = _relax(graph, value, ordered, dead, improved)
        passes += 1
        if not passes & (passes - 1):
            _close(graph, improved, dead, cycles)
    values[:] = value
    return cycles


def _close(graph: Graph, improved: dict[int, int], dead: bytearray, cycles: list[Cycle]) -> None:
    """Note and bar the cycles in which each event was last lowered by the one before it."""
    seen: dict[int, int] = {}
    for start in improved:
        event = start
        while event not in seen:
            seen[event] = start
            edge = improved.get(event, -1)
            if edge < 0 or dead[edge]:
                break
            event = graph.tail[edge]
        else:
            if seen[event] == start:
                cycle = [improved[event]]
                while graph.tail[cycle[-1]] != event:
                    cycle.append(improved[graph.tail[cycle[-1]]])
                cycle.reverse()
                for edge in cycle:
                    dead[edge] = 1
                cycles.append(cycle)


def _sorted(
    graph: Graph, value: list[int], active: Iterable[int], dead: bytearray, cycles: list[Cycle]
) -> list[int]:
    """Sort the events reachable by improving edges, by depth first search."""
    head, days, order, starts = graph.head, graph.days, graph.order, graph.starts
    place: dict[int, int] = {}  # next edge to look at; -1 when the event is done
    done: list[int] = []
    for root in active:
        if root in place:
            continue
        place[root] = starts[root]
        stack, path = [root], [-1]
        while stack:
            event = stack[-1]
            at, end, here = place[event], starts[event + 1], value[event]
            while at < end:
                edge = order[at]
                at += 1
                to = head[edge]
                if here + days[edge] > value[to] or dead[edge]:
                    continue
                state = place.get(to)
                if state is None:
                    place[event], place[to] = at, starts[to]
                    stack.append(to)
                    path.append(edge)
                    break
                if state >= 0 and _length(stack, path, to, edge, days) < 0:
                    place[event] = at
                    _cut(stack, path, place, to, edge, dead, cycles)
                    break
            else:
                place[event] = -1
                done.append(event)
                stack.pop()
                path.pop()
    done.reverse()
    return done


def _length(stack: list[int], path: list[int], start: int, closing: int, days: list[int]) -> int:
    """Add up the circle that an edge closes at the end of the stack."""
    total = days[closing]
    at = len(stack) - 1
    while stack[at] != start:
        total += days[path[at]]
        at -= 1
    return total


def _cut(
    stack: list[int],
    path: list[int],
    place: dict[int, int],
    start: int,
    closing: int,
    dead: bytearray,
    cycles: list[Cycle],
) -> None:
    """Note the cycle at the end of the stack, bar its edges, and go back to where it starts."""
    cycle = [closing]
    while stack[-1] != start:
        del place[stack.pop()]
        cycle.append(path.pop())
    cycle.reverse()
    for edge in cycle:
        dead[edge] = 1
    cycles.append(cycle)


def _relax(
    graph: Graph, value: list[int], ordered: list[int], dead: bytearray, improved: dict[int, int]
) -> list[int]:
    """Relax the edges of events in order; return events whose value fell after their turn."""
    head, days, order, starts = graph.head, graph.days, graph.order, graph.starts
    turn = dict.fromkeys(ordered, False)
    again: dict[int, None] = {}
    for event in ordered:
        turn[event] = True
        again.pop(event, None)
        here = value[event]
        for at in range(starts[event], starts[event + 1]):
            edge = order[at]
            to = head[edge]
            if here + days[edge] < value[to] and not dead[edge]:
                value[to] = here + days[edge]
                improved[to] = edge
                if turn.get(to, True):
                    again[to] = None
    return list(again)
