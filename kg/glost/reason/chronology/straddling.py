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

import numpy as np

from glost.reason.chronology.hitting_sets import Claims
from glost.reason.chronology.network import FAR, Network
from glost.reason.chronology.propagate import NetworkBounds, parts
from glost.reason.chronology.trying import Trying

_ROUNDS = 64
"""A walk that still grows shorter after so many stretches is taken to do so for ever."""

Settled = tuple[Claims, Sequence[Claims]]
"""The claims of a group, and every way to settle it; none if there are too many."""


def straddled(
    network: Network,
    rest: NetworkBounds,
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
        The bounds of the network without any claim of a group.
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
    everything = frozenset[int]().union(*(claims for claims, _ in groups))
    found = []
    for lot in _in_one_part(network, groups):
        claims = frozenset[int]().union(*(each for each, _ in lot))
        trying = Trying(network, rest, everything, claims)
        cost = sum(trying.cost_of_shortest(each, len(ways)) for each, ways in lot)
        tried = all(ways for _, ways in lot) and cost <= sums and trying.cells <= cells
        joined = _joined(trying, lot) if tried else [True] * len(lot)
        if any(joined):
            tied = (each for (each, _), held in zip(lot, joined, strict=True) if held)
            found.append(frozenset[int]().union(*tied))
    return found


def _in_one_part(network: Network, groups: Sequence[Settled]) -> list[list[Settled]]:
    """Return the lots of two groups or more that bear on common parts of the network."""
    label = parts(network)
    lots: list[tuple[set[int], list[Settled]]] = []
    for group in groups:
        touched = network.reasons.touching(sorted(group[0]))[network.reason]
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
    nothing, alone = trying.without_any(), [claims for claims, _ in lot]
    stretches = [trying.shortest(claims, ways) for claims, ways in lot]
    stretches = [np.where(each < nothing, each, FAR) for each in stretches]
    across = trying.across(alone)
    layers = len(lot) + 1
    walked = np.zeros((layers, len(nothing)), dtype=np.int64)
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
