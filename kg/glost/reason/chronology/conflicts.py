"""Claims that cannot all hold: the negative cycles of a network."""

from dataclasses import dataclass

import numpy as np

from glost.reason.chronology.explain import ChainStep, step, why_not_after, why_not_before
from glost.reason.chronology.network import ORIGIN, Bools, Ints, Network
from glost.reason.chronology.propagate import NetworkBounds, bounds, relative_cycles


@dataclass(frozen=True)
class NetworkConflict:
    """Constraints that cannot all hold, each ending where the next begins, the last at the first.

    Attributes
    ----------
    steps
        The constraints round the cycle, from the origin if it is on it.
    claims
        The claims they rest on. Without any one of them this cycle is gone.
    """

    steps: tuple[ChainStep, ...]
    claims: frozenset[int]

    @property
    def excess(self) -> int:
        """Days by which the constraints fail to fit."""
        return -sum(each.days for each in self.steps)

    def renumbered(self, events: Ints, reasons: Ints) -> "NetworkConflict":
        """Return the conflict of a part of a network as one of the whole; see `Network.within`."""
        steps = tuple(each.renumbered(events, reasons) for each in self.steps)
        return NetworkConflict(steps, self.claims)

    @property
    def relative(self) -> bool:
        """Whether no date takes part in it."""
        return all(each.source != ORIGIN for each in self.steps)


@dataclass(frozen=True)
class Survey:
    """What clashes in a network.

    Attributes
    ----------
    conflicts
        One for each cycle of relative constraints and each date that clashes.
    bounds
        Bounds that leave out the relative constraints which clash among themselves.
    disputed
        Events that take part in a relative clash, or whose bounds contradict each other.
    """

    conflicts: list[NetworkConflict]
    bounds: NetworkBounds
    disputed: Bools


def survey(network: Network) -> Survey:
    """Find what clashes; nothing is found exactly if the network has a solution."""
    cycles = relative_cycles(network)
    rest = network
    disputed = np.zeros(network.events, dtype=np.bool_)
    if cycles:
        dead = np.fromiter((c for cycle in cycles for c in cycle), dtype=np.int64)
        disputed[network.source[dead]] = True
        mask = np.ones(len(network), dtype=np.bool_)
        mask[dead] = False
        rest = network.keep(mask)
    found = bounds(rest)
    disputed |= found.violated
    steps = [[step(network, c) for c in cycle] for cycle in cycles]
    steps += _clashing_dates(rest, found)
    unique: dict[frozenset[int], list[ChainStep]] = {}
    for each in steps:
        unique.setdefault(frozenset(s.reason for s in each), each)
    conflicts = [conflict(network, each) for each in unique.values()]
    return Survey(conflicts, found, disputed)


def conflict(network: Network, steps: list[ChainStep]) -> NetworkConflict:
    """Make a conflict of a cycle, turned so that its lowest event comes first."""
    first = min(range(len(steps)), key=lambda place: steps[place].source)
    turned = (*steps[first:], *steps[:first])
    return NetworkConflict(turned, network.reasons.of_all(each.reason for each in turned))


def _clashing_dates(network: Network, found: NetworkBounds) -> list[list[ChainStep]]:
    """Return a cycle through the origin for every date that the rest of the network excludes."""
    clashing = []
    upper = network.source == ORIGIN
    late = upper & (network.days < found.earliest[network.target])
    for date in np.flatnonzero(late).tolist():
        last = step(network, date)
        clashing.append([last, *why_not_before(network, found, last.target)])
    early = (network.target == ORIGIN) & ~upper & (-network.days > found.latest[network.source])
    for date in np.flatnonzero(early).tolist():
        first = step(network, date)
        clashing.append([*why_not_after(network, found, first.source), first])
    return clashing
