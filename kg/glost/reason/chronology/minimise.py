"""Cutting conflicts down to claims none of which can be spared."""

from collections import defaultdict
from collections.abc import Iterable

import numpy as np

from glost.reason.chronology.conflicts import NetworkConflict, conflict
from glost.reason.chronology.explain import step
from glost.reason.chronology.network import ORIGIN, Network, group
from glost.reason.chronology.topological import Cycle, Graph, scan


class Minimiser:
    """Finds in a conflict one that needs all its claims.

    A cycle needs all its constraints; but if a claim stands behind several constraints, the claims
    of a cycle may hold a smaller conflict, with the constraints that rest on no claim.

    Parameters
    ----------
    network
        The network that the conflicts are of.
    """

    def __init__(self, network: Network) -> None:
        self.network = network
        self._order, self._starts = group(network.reason, len(network.reasons))
        table = network.reasons
        counts = np.diff(table.starts)
        self._owner = np.repeat(np.arange(len(table)), counts)
        claims = int(table.claims.max(initial=-1)) + 1
        self._by_claim, self._claim_starts = group(table.claims, claims)
        self._free: dict[int, list[int]] = defaultdict(list)
        for constraint in np.flatnonzero(counts[network.reason] == 0).tolist():
            for event in (network.source[constraint], network.target[constraint]):
                if event != ORIGIN:
                    self._free[int(event)].append(constraint)

    def minimal(self, found: NetworkConflict) -> NetworkConflict:
        """Return a conflict within this one, none of whose claims can be spared."""
        for claim in sorted(found.claims):
            if claim in found.claims and len(found.claims) > 1:
                found = self._clash(found.claims - {claim}) or found
        return found

    def _clash(self, claims: frozenset[int]) -> NetworkConflict | None:
        """Return a conflict of some claims among themselves, if there is one."""
        among = self._among(claims)
        cycles = _negative(self.network, among)
        if not cycles:
            return None
        found = [
            conflict(self.network, [step(self.network, among[edge]) for edge in cycle])
            for cycle in cycles
        ]
        return min(found, key=lambda each: (len(each.claims), sorted(each.claims)))

    def _of_reason(self, reason: int) -> list[int]:
        places: list[int] = self._order[self._starts[reason] : self._starts[reason + 1]].tolist()
        return places

    def _resting(self, claim: int) -> list[int]:
        """Return the reasons that rest on a claim."""
        places = self._by_claim[self._claim_starts[claim] : self._claim_starts[claim + 1]]
        reasons: list[int] = self._owner[places].tolist()
        return reasons

    def _among(self, claims: frozenset[int]) -> list[int]:
        """Return the constraints that rest on no other claims, and those on none round about."""
        reasons = {reason for claim in claims for reason in self._resting(claim)}
        resting = [r for r in reasons if claims.issuperset(self.network.reasons.of(r))]
        chosen = {constraint for reason in resting for constraint in self._of_reason(reason)}
        pending = self._events(chosen)
        reached = set(pending)
        while pending:
            free = self._free.get(pending.pop(), [])
            chosen.update(free)
            further = self._events(free) - reached
            reached |= further
            pending |= further
        return sorted(chosen)

    def _events(self, constraints: Iterable[int]) -> set[int]:
        source, target = self.network.source, self.network.target
        ends = ((int(source[c]), int(target[c])) for c in constraints)
        return {event for pair in ends for event in pair} - {ORIGIN}


def _negative(network: Network, constraints: list[int]) -> list[Cycle]:
    """Find negative cycles among a few constraints, by their places in the list."""
    number: dict[int, int] = {}
    tail, head, days = [], [], []
    for constraint in constraints:
        tail.append(number.setdefault(int(network.source[constraint]), len(number)))
        head.append(number.setdefault(int(network.target[constraint]), len(number)))
        days.append(int(network.days[constraint]))
    order = sorted(range(len(tail)), key=tail.__getitem__)
    starts = [0] * (len(number) + 1)
    for event in tail:
        starts[event + 1] += 1
    for event in range(len(number)):
        starts[event + 1] += starts[event]
    graph = Graph(tail, head, days, order, starts)
    size = len(number)
    return scan(graph, np.zeros(size, dtype=np.int64), np.arange(size))
