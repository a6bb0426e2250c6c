"""Bounds in spite of contradictions, and the least that would have to give way.

The conflicts found so far are met by a hitting set of least weight; the network without it is
surveyed again; what still clashes is added; and so on until nothing clashes. Since each hitting
set is least for conflicts that are all real, the last one, which meets every conflict, is least
for the whole (E. Moreno-Centeno, R. M. Karp, "The implicit hitting set approach to solve
combinatorial optimization problems", Operations Research 61, 2013).
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from itertools import islice, product, zip_longest

import numpy as np

from glost.reason.chronology.conflicts import NetworkConflict, survey
from glost.reason.chronology.hitting_sets import Claims, HittingSets, choose, components
from glost.reason.chronology.minimise import Minimiser
from glost.reason.chronology.network import ORIGIN, Bools, Ints, Network, joined
from glost.reason.chronology.propagate import NetworkBounds, parts, surroundings

_COMBINATIONS = 64


class UnfoundedError(ValueError):
    """Constraints behind which there is no claim contradict one another.

    Parameters
    ----------
    conflict
        The conflict.
    """

    def __init__(self, conflict: NetworkConflict) -> None:
        super().__init__(
            f"constraints without any claim clash ({conflict.steps}); turn off one of their rules"
        )
        self.conflict = conflict


@dataclass(frozen=True)
class Solution:
    """What a network comes to.

    Attributes
    ----------
    network
        The network as given.
    recorded
        Bounds with nothing set aside, save relative constraints that clash among themselves.
    bounds
        Bounds with the best repair's claims left out: those that hold together.
    disputed
        Events inside a contradiction, and those whose bounds depend on how it is settled.
    conflicts
        The minimal conflicts found.
    choices
        For each group of conflicts that hang together, the least costly sets to set aside.
    """

    network: Network
    recorded: NetworkBounds
    bounds: NetworkBounds
    disputed: Bools
    conflicts: tuple[NetworkConflict, ...]
    choices: tuple[HittingSets, ...]

    @property
    def set_aside(self) -> Claims:
        """The claims of the best repair; nothing is done with them but to reckon without them."""
        return frozenset[int]().union(*(choice.options[0] for choice in self.choices))

    @property
    def cost(self) -> float:
        """What the best repair costs."""
        return sum(choice.cost for choice in self.choices)

    @property
    def sound(self) -> Network:
        """The network without the set-aside claims, whose bounds are `bounds`."""
        return self.network.without(sorted(self.set_aside))

    @property
    def changed(self) -> Ints:
        """Events whose bounds would be others if the repair were made."""
        return np.flatnonzero(_differing(self.recorded, self.bounds))


def solve(
    network: Network, weight: Mapping[int, float] | Callable[[int], float] | None = None
) -> Solution:
    """Find all bounds, all contradictions and the least costly repair.

    Parameters
    ----------
    network
        The network.
    weight
        What it costs to set a claim aside, more than 0; 1 for every claim by default.

    Returns
    -------
    Solution
        Bounds, conflicts and choices, the same on every run.

    Notes
    -----
    The repair is proved least. Each option of a choice is a repair too, with the first options of
    the others, and so are combinations of options, unless choices bear on one another and have more
    than 64 combinations, or relative claims clash and beside them lies a clash of more than 64
    constraints.

    Raises
    ------
    UnfoundedError
        If constraints without claims clash, so that no repair is possible.
    """
    first = found = survey(network)
    suspect = first.disputed.copy()
    repair = _Repair(cost(weight))
    while found.conflicts:
        steps = (step for each in found.conflicts if each.relative for step in each.steps)
        if relative := [step.source for step in steps]:
            label = parts(network)
            wide = surroundings(network, suspect)
            suspect |= wide & np.isin(label, label[relative])
        repair.settle(network, suspect)
        found = survey(network.without(sorted(repair.set_aside)))
        suspect |= found.disputed
    disputed = first.disputed | _differing(first.bounds, found.bounds)
    disputed[[step.source for each in repair.conflicts.values() for step in each.steps]] = True
    disputed[ORIGIN] = False
    conflicts = tuple(sorted(repair.conflicts.values(), key=lambda each: sorted(each.claims)))
    return Solution(network, first.bounds, found.bounds, disputed, conflicts, tuple(repair.choices))


def _differing(one: NetworkBounds, other: NetworkBounds) -> Bools:
    mask: Bools = (one.earliest != other.earliest) | (one.latest != other.latest)
    return mask


def cost(weight: Mapping[int, float] | Callable[[int], float] | None) -> Callable[[int], float]:
    """Return what gives the weight of a claim; 1 for each if no weights are given."""
    if weight is None:
        return lambda claim: 1.0
    return weight.__getitem__ if isinstance(weight, Mapping) else weight


class _Repair:
    """The conflicts met so far, and the choices that settle them."""

    def __init__(self, cost: Callable[[int], float]) -> None:
        self.cost = cost
        self.conflicts: dict[Claims, NetworkConflict] = {}
        self.choices: list[HittingSets] = []
        self._known: dict[tuple[Claims, ...], HittingSets] = {}

    @property
    def set_aside(self) -> Claims:
        return frozenset[int]().union(*(choice.options[0] for choice in self.choices))

    def settle(self, network: Network, disputed: Bools) -> None:
        """Find the least costly repair of the part of a network that lies within a dispute."""
        part, events, reasons = network.within(disputed)
        minimiser = Minimiser(part)
        clusters = _Clusters(part)

        def clash(taken: Claims) -> bool:
            """Survey the part without some claims, and take in what still clashes."""
            found = survey(part.without(sorted(taken))).conflicts
            for each in found:
                self._take_in(minimiser.minimal(each), events, reasons)
            return bool(found)

        while clash(self.set_aside) or any(map(clash, self._trials(clusters))):
            self._choose()

    def _take_in(self, conflict: NetworkConflict, events: Ints, reasons: Ints) -> None:
        conflict = conflict.renumbered(events, reasons)
        if not conflict.claims:
            raise UnfoundedError(conflict)
        self.conflicts.setdefault(conflict.claims, conflict)

    def _choose(self) -> None:
        known = {}
        for part in components(self.conflicts):
            key = tuple(part)
            weight = {claim: self.cost(claim) for each in part for claim in each}
            known[key] = self._known.get(key) or choose(part, weight)
        self._known = known
        self.choices = list(known.values())

    def _trials(self, clusters: "_Clusters") -> Iterator[Claims]:
        """Yield what is set aside if other options of the choices are taken.

        Choices that touch no common part of the network are tried together; those that do, one at
        a time and then in combination, `_COMBINATIONS` at most.
        """
        parts: dict[int, list[int]] = {}
        for place, choice in enumerate(self.choices):
            parts.setdefault(clusters.of(min(choice.options[0])), []).append(place)
        first = [choice.options[0] for choice in self.choices]
        for trial in zip_longest(*map(self._variations, parts.values()), fillvalue={}):
            taken = dict(enumerate(first))
            for variation in trial:
                taken.update(variation)
            yield frozenset[int]().union(*taken.values())

    def _variations(self, places: list[int]) -> Iterator[dict[int, Claims]]:
        """Yield other options for the choices at some places."""
        options = [self.choices[place].options for place in places]
        for place, others in zip(places, options, strict=True):
            yield from ({place: option} for option in others[1:])
        if len(places) > 1:
            for chosen in islice(product(*options), _COMBINATIONS):
                yield dict(zip(places, chosen, strict=True))


class _Clusters:
    """Parts of a network that neither a chain of constraints nor a claim holds together."""

    def __init__(self, network: Network) -> None:
        table = network.reasons
        owner = np.repeat(np.arange(len(table)), np.diff(table.starts))
        self._claims, claim = np.unique(table.claims, return_inverse=True)
        ends = []  # of lines between events, reasons and claims, numbered on from one another
        reason = network.events + network.reason
        for event in (network.source, network.target):
            mask = event != ORIGIN
            ends.append((event[mask], reason[mask]))
        self._first = network.events + len(table)
        ends.append((network.events + owner, self._first + claim))
        size = self._first + len(self._claims)
        one, other = (np.concatenate(side) for side in zip(*ends, strict=True))
        self._labels = joined(one, other, size)

    def of(self, claim: int) -> int:
        return int(self._labels[self._first + np.searchsorted(self._claims, claim)])
