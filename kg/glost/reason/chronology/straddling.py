"""Groups of contradictions that a further one may join, which no group shows by itself.

Groups share no claim, so each is settled for itself. But a contradiction may lie across them that
shows only where each is settled otherwise than at least cost. It is a cycle of constraints whose
length is negative; it goes by turns over claims of one group and of another. So the shortest
stretches that the claims of each group give under any way to settle it are laid end to end, never
two of one group in a row: where no such walk can grow shorter for ever, no contradiction lies
across. That is the search for negative cycles of R. Bellman, "On a routing problem", Quarterly of
Applied Mathematics 16, 1958. Stretches of ways that cannot be taken together may give an alarm
without a contradiction behind it; none is ever missed.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from glost.reason.chronology.hitting_sets import Claims
from glost.reason.chronology.network import FAR, Ints, Network
from glost.reason.chronology.trying import Rest, Trying

_ROUNDS = 64
"""A walk that still grows shorter after so many stretches is taken to do so for ever."""


@dataclass(frozen=True)
class Settled:
    """A group of contradictions, and the stretches that ways to settle it give.

    Attributes
    ----------
    claims
        Its claims.
    core
        The ends of what they limit, the origin first.
    nearest
        The least distances between these that any way to settle it gives; None if it was not tried.
    """

    claims: Claims
    core: Ints
    nearest: Ints | None

    def stretches(self, core: Ints, table: Ints) -> Ints:
        """Return how much shorter the ways between more events are for it; `FAR` if they are not.

        Parameters
        ----------
        core
            The events, sorted, its own among them.
        table
            The distances between them without any claim of a group.
        """
        own = np.searchsorted(core, self.core)
        assert self.nearest is not None
        onward = np.full((len(core), len(own)), FAR)
        for at, end in enumerate(own.tolist()):
            np.minimum(onward, table[:, end, None] + self.nearest[None, at, :], out=onward)
        found = np.full_like(table, FAR)
        for at, end in enumerate(own.tolist()):
            np.minimum(found, onward[:, at, None] + table[None, end, :], out=found)
        return np.where(found < table, found, FAR)


def straddled(
    network: Network,
    rest: Rest,
    label: Ints,
    groups: Sequence[Settled],
    sums: int,
    cells: int,
) -> list[Claims]:
    """Find the groups that have to be settled together.

    Parameters
    ----------
    network
        The whole network, with its contradictions.
    rest
        The network without any claim of a group.
    label
        The number of the part to which each event belongs.
    groups
        All groups.
    sums, cells
        So many sums are made for one lot of groups at most, and so many numbers held; a lot that
        takes more is settled together untried.

    Returns
    -------
    list of Claims
        All claims of each lot of two groups or more across which a contradiction may lie.
    """
    everything = frozenset[int]().union(*(each.claims for each in groups))
    found = []
    for lot in _in_one_part(network, label, groups):
        claims = frozenset[int]().union(*(each.claims for each in lot))
        trying = Trying(network, rest, everything, claims)
        ends = len(trying.core)
        cost = ends * sum(len(each.core) * (ends + len(each.core)) for each in lot)
        tried = all(each.nearest is not None for each in lot)
        tried = tried and cost <= sums and trying.cells <= cells
        joined = _joined(trying, lot) if tried else [True] * len(lot)
        if any(joined):
            tied = (each.claims for each, held in zip(lot, joined, strict=True) if held)
            found.append(frozenset[int]().union(*tied))
    return found


def _in_one_part(network: Network, label: Ints, groups: Sequence[Settled]) -> list[list[Settled]]:
    """Return the lots of two groups or more that bear on common parts of the network."""
    lots: list[tuple[set[int], list[Settled]]] = []
    for group in groups:
        touched = network.reasons.touching(sorted(group.claims))[network.reason]
        ends = np.maximum(network.source, network.target)[touched]  # not the origin, which is 0
        at, members = set(label[ends].tolist()), [group]
        apart = []
        for labels, others in lots:
            if labels & at:
                at, members = at | labels, others + members
            else:
                apart.append((labels, others))
        lots = [*apart, (at, members)]
    return [members for _, members in lots if len(members) > 1]


def _joined(trying: Trying, lot: Sequence[Settled]) -> list[bool]:
    """Say of each group whether a walk that has its stretches goes on growing shorter."""
    stretches = [each.stretches(trying.core, trying.table) for each in lot]
    across = _across(trying, [each.claims for each in lot])
    layers = len(lot) + 1
    walked = np.zeros((layers, len(trying.core)), dtype=np.int64)
    for _ in range(_ROUNDS):
        longer = walked.copy()
        for place, each in enumerate([*stretches, across]):
            # What rests on claims of several groups at once may follow itself.
            before = [k for k in range(layers) if k != place or place == layers - 1]
            start = walked[before].min(axis=0)
            np.minimum(longer[place], (start[:, None] + each).min(axis=0), out=longer[place])
        shrunk: list[bool] = np.any(longer < walked, axis=1).tolist()
        if not any(shrunk):
            return [False] * len(lot)
        walked = longer
    return shrunk[:-1] if sum(shrunk[:-1]) > 1 else [True] * len(lot)


def _across(trying: Trying, groups: Sequence[Claims]) -> Ints:
    """Return the distances over one constraint that rests on claims of several groups at once.

    `FAR` where there is none.
    """
    table = trying.table
    found: Ints = np.full_like(table, FAR)
    for place, claims in enumerate(trying.resting):
        if sum(not claims.isdisjoint(group) for group in groups) > 1:
            tail, head, days = trying.tail[place], trying.head[place], trying.days[place]
            np.minimum(found, table[:, tail, None] + (days + table[None, head, :]), out=found)
    return found
