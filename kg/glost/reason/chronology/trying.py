"""Many repairs of one network tried at little cost each, all that they have in common done once.

The repairs put back different constraints of a few, on a network that stays the same. What lies
between the ends of those few is contracted beforehand to the lengths of shortest paths. A trial
adds its constraints one by one to a small table of distances, and spreads the outcome to all other
events in one step. R. W. Floyd, "Algorithm 97: Shortest path", Communications of the ACM 5, 1962,
gives the step that takes something new into a table of all distances.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from glost.reason.chronology.hitting_sets import Claims
from glost.reason.chronology.network import FAR, ORIGIN, Ints, Network
from glost.reason.chronology.propagate import NetworkBounds, Relaxer


@dataclass(frozen=True)
class Tried:
    """What some repairs come to.

    Attributes
    ----------
    failing
        Those that leave a contradiction.
    widest, tightest
        For each side the widest and the tightest bounds that any other gives.
    by
        For each event the places of the repairs that give its widest earliest and latest day.
    """

    failing: list[Claims]
    widest: NetworkBounds
    tightest: NetworkBounds
    by: tuple[Ints, Ints]


class Trying:
    """Tries what some claims come to, put back into a network without any that take part.

    Parameters
    ----------
    network
        The whole network, with its contradictions.
    rest
        The bounds of the network without `everything`, which holds no contradiction.
    everything
        All claims that take part in any contradiction.
    claims
        Those of one group of contradictions, which are put back; the others stay out.
    """

    def __init__(
        self, network: Network, rest: NetworkBounds, everything: Claims, claims: Claims
    ) -> None:
        self._rest, self._claims = rest, claims
        base = network.without(sorted(everything))
        mine, others = (network.reasons.touching(each) for each in (claims, everything - claims))
        put = np.flatnonzero((mine & ~others)[network.reason])
        self._resting = [
            frozenset(network.reasons.of(reason)) & claims
            for reason in network.reason[put].tolist()
        ]
        ends = np.concatenate([[ORIGIN], network.source[put], network.target[put]])
        core, places = np.unique(
            ends, return_inverse=True
        )  # the origin is number 0, so it is first
        self._tail, self._head = places[1 : len(put) + 1], places[len(put) + 1 :]
        self._days = network.days[put]
        self._base, self._core = base, core
        self._table: Ints = np.empty((0, 0), dtype=np.int64)
        self.cost = len(core) * (2 * network.events + len(core) * max(1, len(put)))
        """How many sums a trial takes at most."""
        self.cells = 2 * len(core) * network.events
        """How many numbers are held for all trials."""

    def cost_of_shortest(self, group: Claims, ways: int) -> int:
        """Return how many sums `shortest` takes at most."""
        put = sum(not claims.isdisjoint(group) for claims in self._resting)
        return ways * put * len(self._core) ** 2

    def without_any(self) -> Ints:
        """Return the distances between the ends of what is put back, with none of it put back."""
        self._contracted()
        return self._table

    def shortest(self, group: Claims, ways: Iterable[Claims]) -> Ints:
        """Return the least distances that any way to settle a group gives, all others left out.

        Raises
        ------
        ValueError
            If a way leaves a contradiction.
        """
        self._contracted()
        found = self._table.copy()
        for way in ways:
            table = self._with(self._claims - group | way)
            if table is None:
                raise ValueError(f"{sorted(way)} does not settle the group")
            np.minimum(found, table, out=found)
        return found

    def across(self, groups: Sequence[Claims]) -> Ints:
        """Return the distances over one constraint that rests on claims of several groups at once.

        `FAR` where there is none.
        """
        self._contracted()
        found: Ints = np.full_like(self._table, FAR)
        for place, claims in enumerate(self._resting):
            if sum(not claims.isdisjoint(group) for group in groups) > 1:
                tail, head, days = self._tail[place], self._head[place], self._days[place]
                over = self._table[:, tail, None] + (days + self._table[None, head, :])
                np.minimum(found, over, out=found)
        return found

    def _contracted(self) -> None:
        """Find the shortest ways from and to each end of what is put back, once."""
        if self._table.size:
            return
        core, rest = self._core, self._rest
        onward = _rows(self._base, core, rest.latest, forward=True)
        back = _rows(self._base, core, -rest.earliest, forward=False)
        through = back[0][core][:, None] + onward[0][core][None, :]
        self._table = np.minimum(onward[:, core], np.minimum(through, FAR))
        self._table[0, :], self._table[:, 0] = onward[0][core], back[0][core]
        self._table[0, 0] = 0
        reached = (onward[1:] < FAR // 2) | (back[1:] < FAR // 2)
        self._events = np.flatnonzero(reached.any(axis=0))
        self._onward, self._back = onward[:, self._events], back[:, self._events]

    def every(self, repairs: list[Claims]) -> Tried:
        """Try every repair: each a set of claims that stay out."""
        self._contracted()
        low, high = (np.full((2, len(self._events)), way) for way in (FAR, -FAR))
        by = np.zeros((2, len(self._events)), dtype=np.int64)
        failing = []
        for place, repair in enumerate(repairs):
            table = self._with(repair)
            if table is None:
                failing.append(repair)
                continue
            # Earliest days with their sign turned, so that greater is wider on either side.
            early = _nearest(table[:, 0], self._back)
            found = np.stack([early, _nearest(table[0], self._onward)])
            by[found > high] = place
            np.maximum(high, found, out=high)
            np.minimum(low, found, out=low)
        whole = np.zeros((2, len(self._rest.earliest)), dtype=np.int64)
        whole[:, self._events] = by
        return Tried(failing, self._spread(high), self._spread(low), (whole[0], whole[1]))

    def _with(self, repair: Claims) -> Ints | None:
        """Return the distances with all put back but what rests on a repair; None if they clash."""
        table: Ints = self._table.copy()
        for place, claims in enumerate(self._resting):
            if claims & repair:
                continue
            tail, head, days = self._tail[place], self._head[place], self._days[place]
            if table[head, tail] + days < 0:
                return None
            if days < table[tail, head]:
                np.minimum(table, table[:, tail, None] + (days + table[None, head, :]), out=table)
        return table

    def _spread(self, found: Ints) -> NetworkBounds:
        earliest, latest = self._rest.earliest.copy(), self._rest.latest.copy()
        earliest[self._events], latest[self._events] = -found[0], found[1]
        return NetworkBounds(earliest, latest)


def _rows(base: Network, core: Ints, dated: Ints, *, forward: bool) -> Ints:
    """Return the distances from each event of the core, or to it; of the origin those of dates."""
    relaxer = Relaxer(base, forward=forward)
    rows = np.full((len(core), base.events), FAR, dtype=np.int64)
    rows[0] = dated
    for row, event in enumerate(core.tolist()):
        if event != ORIGIN:
            rows[row, event] = 0
            relaxer.relax(rows[row], np.array([event]))
    return rows


def _nearest(distances: Ints, rows: Ints) -> Ints:
    """Return the shortest way over any event of the core; `FAR` where there is none."""
    found: Ints = (distances[:, None] + rows).min(axis=0)
    found[found > FAR // 2] = FAR
    return found
