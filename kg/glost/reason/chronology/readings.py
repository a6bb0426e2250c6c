"""What holds however the contradictions are settled: bounds under every reading of the claims.

A reading is a network without a minimal set of claims that leaves no contradiction. A point's
bounds under every reading are the widest that any of them gives. Conflicts that share no claim are
settled each for itself, so groups of them are tried one by one, with all claims of the other groups
left out; each group gives limits that hold under every reading, and the tightest of these are
taken. They are exact where one group alone bears on a point, else on the wide side. Where trying
costs too much, all the claims known to take part are left out.
"""

from dataclasses import dataclass, field
from typing import TypeAlias

import numpy as np

from glost.reason.chronology.conflicts import survey
from glost.reason.chronology.explain import Step, why_not_after, why_not_before
from glost.reason.chronology.hitting import Claims, components
from glost.reason.chronology.minimise import Minimiser
from glost.reason.chronology.network import ORIGIN, Bools, Network
from glost.reason.chronology.propagate import Bounds
from glost.reason.chronology.repair import Solution

_WORK = 20_000_000
"""So many constraints are looked at in trials, counted anew in each, before no more are made."""

_WAYS = 128
"""So many ways to settle one group of conflicts are tried at most."""


@dataclass(frozen=True)
class Trial:
    """The network without some claims.

    Attributes
    ----------
    without
        The claims.
    bounds
        The bounds.
    """

    without: Claims
    bounds: Bounds


@dataclass(frozen=True)
class Readings:
    """Bounds under every reading.

    Attributes
    ----------
    network
        The network, contradictions included.
    bounds
        The widest bounds that any reading gives.
    tightest
        For each side the tightest that some reading is known to give.
    disputed
        Events that take part in a contradiction, or whose bounds are not the same in all readings.
    """

    network: Network
    bounds: Bounds
    tightest: Bounds
    disputed: Bools
    _trials: tuple[Trial, ...] = field(repr=False)
    _swayed: tuple[tuple[Claims, Bools], ...] = field(repr=False)

    def swaying(self, event: int) -> Claims:
        """Return the claims of the contradictions on whose settling an event's bounds depend."""
        found = [claims for claims, events in self._swayed if events[event]]
        return frozenset[int]().union(*found)

    def why(self, event: int, *, late: bool) -> list[Step]:
        """Give the reasons for a bound; see `why_not_after` and `why_not_before`."""
        explain, side = (why_not_after, "latest") if late else (why_not_before, "earliest")
        day = getattr(self.bounds, side)[event]
        for trial in self._trials:
            if getattr(trial.bounds, side)[event] == day:
                return explain(self.network.without(sorted(trial.without)), trial.bounds, event)
        raise AssertionError("no trial gives the bound")

    @property
    def sound(self) -> Network:
        """The network without anything that takes part in a contradiction."""
        return self.network.without(sorted(self._trials[0].without))

    @property
    def cautious(self) -> Bounds:
        """The bounds of `sound`."""
        return self._trials[0].bounds


def every_reading(solution: Solution) -> Readings:
    """Find the bounds under every reading.

    Parameters
    ----------
    solution
        What the network comes to.
    """
    network = solution.network
    if not solution.conflicts:
        trial = Trial(frozenset(), solution.bounds)
        plain = solution.bounds
        return Readings(network, plain, plain, solution.disputed, (trial,), ())
    cautious, tried = _tried(network, {each.claims for each in solution.conflicts})
    earliest, latest = cautious.bounds.earliest.copy(), cautious.bounds.latest.copy()
    swayed = []
    for claims, trials in tried:
        found = [each.bounds for each in trials]
        mask = _unsettled(
            [*found, solution.recorded] if found else [cautious.bounds, solution.bounds]
        )
        inside = (each for each in solution.conflicts if each.claims <= claims)
        mask[[step.source for each in inside for step in each.steps]] = True
        swayed.append((claims, mask))
        if found:
            np.maximum(earliest, np.min([each.earliest for each in found], axis=0), out=earliest)
            np.minimum(latest, np.max([each.latest for each in found], axis=0), out=latest)
    bounds = Bounds(earliest, latest)
    disputed = solution.disputed | _differing(bounds, solution.bounds)
    disputed[ORIGIN] = False
    every = (cautious, *(trial for _, trials in tried for trial in trials))
    some = [solution.bounds, *(trial.bounds for trial in every)]
    tightest = Bounds(
        np.max([each.earliest for each in some], axis=0),
        np.min([each.latest for each in some], axis=0),
    )
    return Readings(network, bounds, tightest, disputed, every, tuple(swayed))


_Tried: TypeAlias = list[tuple[Claims, list[Trial]]]
"""The claims of each group of conflicts, and a trial for each way to settle it."""


def _tried(network: Network, sets: set[Claims]) -> tuple[Trial, _Tried]:
    """Try every way to settle each group of conflicts, and all claims of all groups at once.

    Ways that the least costly repair does not take may leave further conflicts; these are taken in,
    until no way leaves any.
    """
    minimiser = Minimiser(network)
    left = max(1, _WORK // len(network))
    while True:
        groups = [(frozenset[int]().union(*part), _ways(part)) for part in components(sets)]
        everything = frozenset[int]().union(*(claims for claims, _ in groups))
        found = survey(network.without(sorted(everything)))
        cautious, tried = Trial(everything, found.bounds), []
        conflicts = list(found.conflicts)
        for claims, ways in groups:
            left -= len(ways)
            trials = []
            for way in ways if left >= 0 else ():
                without = everything - claims | way
                found = survey(network.without(sorted(without)))
                trials.append(Trial(without, found.bounds))
                conflicts += found.conflicts
            tried.append((claims, trials))
        new = {minimiser.minimal(each).claims for each in conflicts}
        if new <= sets:
            return cautious, tried
        sets = sets | new


def _ways(sets: list[Claims]) -> list[Claims]:
    """Return every minimal set that shares a member with each of some sets; none if too many.

    C. Berge, "Hypergraphs", 1989, chapter 2: the sets are met one after another.
    """
    ways: list[Claims] = [frozenset()]
    for each in sets:
        grown = {way if way & each else way | {claim} for way in ways for claim in each}
        ways = [way for way in grown if not any(other < way for other in grown)]
        if len(ways) > _WAYS:
            return []
    return sorted(ways, key=sorted)


def _differing(one: Bounds, other: Bounds) -> Bools:
    mask: Bools = (one.earliest != other.earliest) | (one.latest != other.latest)
    return mask


def _unsettled(found: list[Bounds]) -> Bools:
    """Return the events whose bounds are not the same in all of some bounds."""
    mask = np.zeros(len(found[0].earliest), dtype=np.bool_)
    for each in found[1:]:
        mask |= _differing(found[0], each)
    return mask
