"""Claims that cannot all hold: negative cycles, cut down to claims none of which can be spared."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from glost.reason.chronology.explain import Step, step, why_not_after, why_not_before
from glost.reason.chronology.network import ORIGIN, Bools, Ints, Network, group
from glost.reason.chronology.propagate import Bounds, bounds, relative_cycles


@dataclass(frozen=True)
class Conflict:
    """Constraints that cannot all hold, each ending where the next begins, the last at the first.

    Attributes
    ----------
    steps
        The constraints round the cycle, from the origin if it is on it.
    claims
        The claims they rest on. Without any one of them the conflict is gone.
    """

    steps: tuple[Step, ...]
    claims: frozenset[int]

    @property
    def excess(self) -> int:
        """Days by which the constraints fail to fit."""
        return -sum(each.days for each in self.steps)

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

    conflicts: list[Conflict]
    bounds: Bounds
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
    unique: dict[frozenset[int], list[Step]] = {}
    for each in steps:
        unique.setdefault(frozenset(s.reason for s in each), each)
    conflicts = [_conflict(network, each) for each in unique.values()]
    return Survey(conflicts, found, disputed)


def _conflict(network: Network, steps: list[Step]) -> Conflict:
    first = min(range(len(steps)), key=lambda place: steps[place].source)
    turned = (*steps[first:], *steps[:first])
    return Conflict(turned, network.reasons.of_all(each.reason for each in turned))


def _clashing_dates(network: Network, found: Bounds) -> list[list[Step]]:
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


class Minimiser:
    """Cuts conflicts down to claims that all are needed.

    A cycle without crossings needs all its constraints; but if a claim stands behind several
    constraints, the claims of a cycle may hold a smaller conflict.

    Parameters
    ----------
    network
        The network that the conflicts are of.
    """

    def __init__(self, network: Network) -> None:
        self.network = network

    @cached_property
    def _by_reason(self) -> tuple[Ints, Ints]:
        return group(self.network.reason, len(self.network.reasons))

    @cached_property
    def _by_claim(self) -> tuple[Ints, Ints, Ints]:
        """Reasons in use, by claim."""
        reasons = self.network.reasons
        owner = np.repeat(np.arange(len(reasons)), np.diff(reasons.starts))
        used = np.bincount(self.network.reason, minlength=len(reasons)) > 0
        claims, owner = reasons.claims[used[owner]], owner[used[owner]]
        order, starts = group(claims, reasons.claim_count)
        return owner, order, starts

    def minimal(self, conflict: Conflict) -> Conflict:
        """Return a conflict within this one, none of whose claims can be spared."""
        needed = set(conflict.claims)
        if len(self._resting_on(needed)) <= len(conflict.steps):
            return conflict
        for claim in sorted(needed):
            smaller = self._clash(needed - {claim}) if claim in conflict.claims else None
            if smaller is not None:
                needed = set(smaller.claims)
                conflict = smaller
        return conflict

    def _clash(self, claims: set[int]) -> Conflict | None:
        """Return a conflict of some claims among themselves, if there is one."""
        local, old = self._local(self._resting_on(claims))
        found = survey(local).conflicts
        if not found:
            return None
        best = min(found, key=lambda each: (len(each.claims), sorted(each.claims)))
        steps = [
            each._replace(source=old[each.source], target=old[each.target]) for each in best.steps
        ]
        return _conflict(self.network, steps)

    def _local(self, constraints: list[int]) -> tuple[Network, list[int]]:
        whole = self.network
        source, target = whole.source[constraints], whole.target[constraints]
        old = np.union1d([ORIGIN], np.concatenate([source, target]))
        local = Network(
            len(old),
            np.searchsorted(old, source),
            np.searchsorted(old, target),
            whole.days[constraints],
            whole.reason[constraints],
            whole.reasons,
        )
        return local, old.tolist()

    def _resting_on(self, claims: Iterable[int]) -> list[int]:
        """Return the constraints that rest on no other claims than these."""
        allowed = set(claims)
        owner, order, starts = self._by_claim
        reasons = {
            int(owner[place])
            for claim in allowed
            for place in order[starts[claim] : starts[claim + 1]].tolist()
        }
        positions, first = self._by_reason
        return sorted(
            constraint
            for reason in reasons
            if allowed.issuperset(self.network.reasons.of(reason))
            for constraint in positions[first[reason] : first[reason + 1]].tolist()
        )
