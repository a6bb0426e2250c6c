"""A network reckoned in shares that have nothing to do with one another.

What neither a chain of relative constraints nor a claim holds together bears on nothing in
common: its bounds, conflicts and repairs are found by themselves, by the same reckoning, on as many
machines as there are, and put together again. A thousand collections that share no shape are a
thousand such clusters; one in which everything hangs together stays whole, and is reckoned in one
place.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import NamedTuple, Protocol

import numpy as np

from glost.reason.chronology.conflicts import NetworkConflict
from glost.reason.chronology.hitting_sets import HittingSets, components
from glost.reason.chronology.network import ORIGIN, Bools, Ints, Network, joined
from glost.reason.chronology.propagate import NetworkBounds
from glost.reason.chronology.repair import Solution, UnfoundedError, cost, solve


class Share(NamedTuple):
    """A part of a network, as it is sent to whoever reckons it.

    Attributes
    ----------
    network
        The part; its events and reasons are numbered by themselves, claims as in the whole.
    weight
        What it costs to set each of its claims aside.
    """

    network: Network
    weight: Mapping[int, float]


class Solved(NamedTuple):
    """What a share came to: a solution, or a conflict behind which there is no claim."""

    solution: Solution | None
    unfounded: NetworkConflict | None


class Everywhere(Protocol):
    """Does the same with each of some shares, somewhere, and gives the results in their order."""

    def __call__(
        self, do: Callable[[Share], Solved], shares: Sequence[Share], /
    ) -> Iterable[Solved]:
        """Do it."""


def here(do: Callable[[Share], Solved], shares: Sequence[Share], /) -> Iterable[Solved]:
    """Do it in this process, one share after another."""
    return map(do, shares)


def clusters(network: Network) -> Ints:
    """Return for each event the lowest that chains of constraints or common claims join it to."""
    table, relative = network.reasons, network.relative
    owner = np.repeat(np.arange(len(table)), np.diff(table.starts))
    first = network.events + len(table)
    ends = [(network.source[relative], network.target[relative])]
    founded = np.diff(table.starts)[network.reason] > 0
    for event in (network.source, network.target):
        mask = founded & (event != ORIGIN)
        ends.append((event[mask], network.events + network.reason[mask]))
    ends.append((network.events + owner, first + table.claims))
    one, other = (np.concatenate(side) for side in zip(*ends, strict=True))
    return joined(one, other, first + int(table.claims.max(initial=-1)) + 1)[: network.events]


def solve_apart(
    network: Network,
    weight: Mapping[int, float] | Callable[[int], float] | None = None,
    *,
    shares: int = 1,
    everywhere: Everywhere = here,
) -> Solution:
    """Find what `glost.reason.chronology.solve` finds, share by share.

    Parameters
    ----------
    network, weight
        As for `solve`.
    shares
        Into how many shares the network is parted, at most; each is of whole clusters.
    everywhere
        Reckons them.

    Returns
    -------
    Solution
        The same as that of the whole, to the letter.

    Raises
    ------
    UnfoundedError
        As `solve` does.
    """
    costing = cost(weight)
    parts = [network.within(mask) for mask in _parted(network, shares)]
    sent = [
        Share(part, {claim: costing(claim) for claim in np.unique(part.reasons.claims).tolist()})
        for part, _, _ in parts
    ]
    recorded, bounds = _unbounded(network.events), _unbounded(network.events)
    disputed = np.zeros(network.events, dtype=np.bool_)
    conflicts: list[NetworkConflict] = []
    chosen: dict[tuple[frozenset[int], ...], HittingSets] = {}
    for (_, events, reasons), solved in zip(parts, everywhere(reckon, sent), strict=True):
        if solved.unfounded is not None:
            raise UnfoundedError(solved.unfounded.renumbered(events, reasons))
        found = solved.solution
        if found is None:
            raise TypeError("a share came back with neither a solution nor a conflict")
        for whole, own in ((recorded, found.recorded), (bounds, found.bounds)):
            whole.earliest[events], whole.latest[events] = own.earliest, own.latest
        disputed[events] |= found.disputed
        conflicts += [each.renumbered(events, reasons) for each in found.conflicts]
        groups = components(each.claims for each in found.conflicts)
        chosen.update(zip(map(tuple, groups), found.choices, strict=True))
    ordered = sorted(conflicts, key=lambda each: sorted(each.claims))
    choices = [chosen[tuple(group)] for group in components(each.claims for each in ordered)]
    return Solution(network, recorded, bounds, disputed, tuple(ordered), tuple(choices))


def reckon(share: Share) -> Solved:
    """Reckon a share; what is wrong with it comes back as a value, wherever it was reckoned."""
    try:
        return Solved(solve(share.network, share.weight), None)
    except UnfoundedError as error:
        return Solved(None, error.conflict)


def _parted(network: Network, shares: int) -> list[Bools]:
    """Part the events into shares of whole clusters, each cluster to the smallest share so far.

    Clusters go by size, the largest first, and are alike on every run.
    """
    label = clusters(network)
    names, cluster, sizes = np.unique(label, return_inverse=True, return_counts=True)
    filled = np.zeros(max(1, min(shares, len(names))), dtype=np.int64)
    share_of = np.zeros(len(names), dtype=np.int64)
    for each in np.argsort(-sizes, kind="stable").tolist():
        share_of[each] = smallest = int(np.argmin(filled))
        filled[smallest] += sizes[each]
    of_event = share_of[cluster]
    return [of_event == number for number in range(len(filled))]


def _unbounded(events: int) -> NetworkBounds:
    return NetworkBounds(np.zeros(events, dtype=np.int64), np.zeros(events, dtype=np.int64))
