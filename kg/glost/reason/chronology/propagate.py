"""The tightest bounds, by relaxing constraints many at a time.

Three ways of relaxing, each used where it is cheapest, on a network's relative constraints:

* all at once, the minimum by target with `numpy.minimum.reduceat`, while much is changing;
* only those that leave events just changed, while little is;
* B. V. Cherkassky, A. V. Goldberg, T. Radzik, "Shortest paths algorithms: theory and experimental
  evaluation", Mathematical Programming 73, 1996: scan in topological order of what can improve.
  It is linear where there is no cycle, so long chains cost no more than their length, and it
  meets a negative cycle at once instead of going round it day by day.

Dates never take part in the relaxing: they are the values it starts from.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from glost.reason.chronology.network import FAR, ORIGIN, Bools, Ints, Network, group, joined
from glost.reason.chronology.topological import Cycle, Graph, scan

_OVERHEAD = 1_000  # edges that could be relaxed in the time a vectorised round costs anyway
ROUNDS = 2_000
"""About how many vectorised rounds may pass before relaxing goes on in topological order."""

_ROUNDS_OF_ROWS = 200
"""After so many rounds of all rows at once each goes on by itself."""


class ContradictionError(ValueError):
    """The network has no solution at all, since relative constraints clash.

    Parameters
    ----------
    cycles
        Constraint numbers round each negative cycle that was met.
    """

    def __init__(self, cycles: list[Cycle]) -> None:
        super().__init__(
            f"{len(cycles)} groups of relative constraints cannot hold together; "
            "find the conflicts and set some aside first"
        )
        self.cycles = cycles


@dataclass(frozen=True)
class NetworkBounds:
    """Earliest and latest possible day of every event.

    Attributes
    ----------
    earliest, latest
        Day numbers, inclusive; `-FAR` and `FAR` where nothing bounds the event.
    """

    earliest: Ints
    latest: Ints

    @property
    def violated(self) -> Bools:
        """Which events would have to happen before they may."""
        mask: Bools = self.earliest > self.latest
        return mask

    def only(self, events: Ints) -> "NetworkBounds":
        """Return those of some events, numbered in the order given."""
        return NetworkBounds(self.earliest[events], self.latest[events])

    def put(self, events: Ints, found: "NetworkBounds") -> None:
        """Put those of some events in place of what is there."""
        self.earliest[events], self.latest[events] = found.earliest, found.latest

    def copy(self) -> "NetworkBounds":
        """Return a copy, which may be changed."""
        return NetworkBounds(self.earliest.copy(), self.latest.copy())


class Relaxer:
    """The relative constraints of a network in one direction, sorted both ways.

    Parameters
    ----------
    network
        The network.
    forward
        True to carry latest days along the constraints; False to carry earliest days, with their
        sign turned, against them.
    """

    def __init__(self, network: Network, *, forward: bool) -> None:
        order, starts = network.by_target if forward else network.by_source
        tail, head = network.source, network.target
        if not forward:
            tail, head = head, tail
        kept = order[network.relative[order]]
        self.edges = kept
        self.tail, self.days = tail[kept], network.days[kept]
        counts = np.diff(starts)
        counts -= np.bincount(head[~network.relative], minlength=network.events)
        self.filled = np.flatnonzero(counts)
        self.starts = (np.cumsum(counts) - counts)[self.filled]
        self.head = np.repeat(self.filled, counts[self.filled])
        self.events = network.events

    @cached_property
    def out(self) -> tuple[Ints, Ints]:
        """Positions of the constraints sorted by tail, and where those of each event start."""
        return group(self.tail, self.events)

    @cached_property
    def degree(self) -> Ints:
        """How many constraints leave each event."""
        return np.diff(self.out[1])

    def all_at_once(self, values: Ints) -> Ints:
        """Relax every constraint once; return the events whose value fell."""
        if not len(self.edges):
            return self.filled
        least = np.minimum.reduceat(values[self.tail] + self.days, self.starts)
        better = (least < values[self.filled]) & (least < FAR // 2)
        changed = self.filled[better]
        values[changed] = least[better]
        return changed

    def leaving(self, values: Ints, events: Ints) -> Ints:
        """Relax the constraints that leave some events; return the events whose value fell."""
        order, starts = self.out
        first, counts = starts[events], starts[events + 1] - starts[events]
        ends = np.cumsum(counts)
        places = order[np.arange(counts.sum()) + np.repeat(first - (ends - counts), counts)]
        reached = np.repeat(values[events], counts) + self.days[places]
        head = self.head[places]
        better = reached < values[head]
        head = head[better]
        np.minimum.at(values, head, reached[better])
        return np.unique(head)

    def once(self, values: Ints, active: Ints) -> tuple[Ints, int]:
        """Relax what leaves some events, the cheaper way; return who changed, and the cost."""
        leaving = int(self.degree[active].sum())
        if 8 * leaving > len(self.edges) > 10 * _OVERHEAD:
            return self.all_at_once(values), len(self.edges) + _OVERHEAD
        return self.leaving(values, active), 3 * leaving + _OVERHEAD

    def relax(self, values: Ints, active: Ints | None = None) -> list[Cycle]:
        """Lower values in place until nothing more changes.

        Parameters
        ----------
        values
            A value for every event, `FAR` where none is known.
        active
            Events from which to start; all of them by default.

        Returns
        -------
        list
            Constraint numbers round each negative cycle; if there is any, the values mean nothing.
        """
        if active is None:
            active = self.all_at_once(values)
        size = len(self.edges)
        budget = 4 * size + min(20 * size, ROUNDS * _OVERHEAD)
        while len(active) and budget > 0:
            active, cost = self.once(values, active)
            budget -= cost
        if not len(active):
            return []
        graph = Graph.of(self.tail, self.head, self.days, *self.out)
        cycles = scan(graph, values, active)
        return [[int(e) for e in self.edges[cycle]] for cycle in cycles]

    def relax_rows(self, values: Ints, events: Ints) -> None:
        """Lower rows of values in place, each from one event, all of them at once.

        Parameters
        ----------
        values
            A row for each of `events`, as `relax` takes it; no cycle may be negative.
        events
            From which event each row starts.
        """
        flat, size = values.reshape(-1), self.events
        active = np.arange(len(events)) * size + events
        order, starts = self.out
        for _ in range(_ROUNDS_OF_ROWS):
            if not len(active):
                return
            event = active % size
            first, counts = starts[event], starts[event + 1] - starts[event]
            ends = np.cumsum(counts)
            places = order[np.arange(counts.sum()) + np.repeat(first - (ends - counts), counts)]
            reached = np.repeat(flat[active], counts) + self.days[places]
            at = np.repeat(active - event, counts) + self.head[places]
            better = reached < flat[at]
            changed = np.zeros(len(flat), dtype=np.bool_)
            changed[at[better]] = True
            np.minimum.at(flat, at[better], reached[better])
            active = np.flatnonzero(changed)
        for row in np.unique(active // size).tolist():
            self.relax(values[row], active[active // size == row] % size)


def starting(network: Network, *, forward: bool) -> Ints:
    """Return the values that dates alone give: latest days, or earliest with their sign turned."""
    fixed, free = network.source, network.target
    if not forward:
        fixed, free = free, fixed
    values = np.full(network.events, FAR, dtype=np.int64)
    dated = np.flatnonzero((fixed == ORIGIN) & (free != ORIGIN))
    np.minimum.at(values, free[dated], network.days[dated])
    values[ORIGIN] = 0
    return values


def bounds(network: Network) -> NetworkBounds:
    """Find the earliest and latest day of every event.

    Where dates clash, some events come out with an earliest day after their latest.

    Raises
    ------
    ContradictionError
        If relative constraints among themselves clash, so that there are no bounds.
    """
    found = []
    for forward in (True, False):
        values = starting(network, forward=forward)
        cycles = Relaxer(network, forward=forward).relax(values)
        if cycles:
            raise ContradictionError(cycles)
        found.append(values)
    return NetworkBounds(-found[1], found[0])


def relative_cycles(network: Network) -> list[Cycle]:
    """Find negative cycles among relative constraints, no two with a constraint in common.

    Returns
    -------
    list
        Constraint numbers round each cycle; empty exactly if there is no such cycle.
    """
    relaxer = Relaxer(network, forward=True)
    if not (relaxer.days < 0).any():
        return []
    return relaxer.relax(np.zeros(network.events, dtype=np.int64))


def surroundings(network: Network, disputed: Bools, rounds: int = 64) -> Bools:
    """Find the events that may take part in clashes, beyond those seen to.

    Where relative constraints clash, events round about may clash too once some of the claims are
    set aside. Those are events that relative constraints join to the disputed ones in a circle, and
    events whose bounds contradict each other if all constraints are relaxed for some rounds. It
    finds every event on a clash of at most `rounds` constraints.

    Parameters
    ----------
    network
        The network, with relative constraints that clash.
    disputed
        Events known to take part.
    rounds
        How many rounds to relax for.
    """
    # They take long to import, and few collections have relative constraints that clash.
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    relative = network.relative
    size = (network.events, network.events)
    ends = network.source[relative], network.target[relative]
    lines = coo_array((np.ones(len(ends[0]), np.int8), ends), shape=size)
    label = connected_components(lines, connection="strong")[1]
    wide: Bools = disputed | np.isin(label, label[disputed])
    latest = _after_rounds(network, rounds, forward=True)
    wide |= -_after_rounds(network, rounds, forward=False) > latest
    return wide


def parts(network: Network) -> Ints:
    """Return for each event the number of its part: of all that relative constraints join to it.

    What clashes in one part, and what bounds it, has nothing to do with another.
    """
    relative = network.relative
    return joined(network.source[relative], network.target[relative], network.events)


def _after_rounds(network: Network, rounds: int, *, forward: bool) -> Ints:
    values = starting(network, forward=forward)
    relaxer = Relaxer(network, forward=forward)
    active = relaxer.all_at_once(values)
    for _ in range(rounds):
        if not len(active):
            break
        active, _ = relaxer.once(values, active)
    return values


def distances(network: Network, found: NetworkBounds, events: list[int]) -> Ints:
    """Find how many days any of some events can lie after any other.

    Parameters
    ----------
    network
        A network without contradiction.
    found
        Its bounds.
    events
        Events of interest.

    Returns
    -------
    numpy.ndarray
        `[i, j]` is the most days by which event j can follow event i, `FAR` without limit.
    """
    relaxer = Relaxer(network, forward=True)
    table = np.empty((len(events), len(events)), dtype=np.int64)
    for row, event in enumerate(events):
        values = np.full(relaxer.events, FAR, dtype=np.int64)
        values[event] = 0
        relaxer.relax(values, np.array([event]))
        table[row] = np.minimum(values[events], found.latest[events] - found.earliest[event])
    table[table > FAR // 2] = FAR
    return table
