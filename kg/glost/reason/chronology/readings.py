"""What holds however the contradictions are settled: bounds under every reading of the claims.

A reading is a network without a minimal set of claims that leaves no contradiction. A point's
bounds under every reading are the widest that any of them gives. Conflicts that share no claim are
settled each for itself, so groups of them are tried one by one, with all claims of the other groups
left out; each group gives limits that hold under every reading, and the tightest of these are
taken. Groups across which a further contradiction may lie are settled as one. The limits are exact
where one group alone bears on a point, else on the wide side. Where trying
costs too much, all the claims known to take part are left out.
"""

from collections.abc import Generator, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from glost.reason.chronology.conflicts import NetworkConflict, survey
from glost.reason.chronology.explain import ChainStep, why_not_after, why_not_before
from glost.reason.chronology.hitting_sets import Claims, components, every_way
from glost.reason.chronology.minimise import Minimiser
from glost.reason.chronology.network import FAR, ORIGIN, Bools, Ints, Network, joined
from glost.reason.chronology.propagate import NetworkBounds, parts
from glost.reason.chronology.propagate import bounds as bounds_of
from glost.reason.chronology.repair import Solution
from glost.reason.chronology.straddling import Settled, straddled
from glost.reason.chronology.trying import RepairOutcome, Rest, Trying

_WORK = 1_000_000_000
"""So many sums are made in trials of one group of conflicts at most, counted anew in each round."""

_CELLS = 40_000_000
"""So many distances, of eight bytes each, are held for one group of conflicts at most."""

_KEPT = 4_000_000
"""So many constraints of trials are kept, for the reasons of further bounds."""

_WAYS = 8_192
"""So many ways to settle one group of conflicts are tried at most."""


@dataclass(frozen=True)
class ConflictGroup:
    """Conflicts that hang together, and what every way to settle them comes to.

    Attributes
    ----------
    claims
        The claims that take part.
    ways
        Every minimal set of them that settles the conflicts; none if there are too many to try.
    widest, tightest
        For each side, the widest and the tightest that a way gives; None without ways.
    by
        For each event the places of the ways that give its widest earliest and latest day.
    unsettled
        Events whose bounds hang on the way taken, or that take part in a conflict.
    """

    claims: Claims
    ways: tuple[Claims, ...]
    widest: NetworkBounds | None
    tightest: NetworkBounds | None
    by: tuple[Ints, Ints] | None
    unsettled: Bools


@dataclass(frozen=True)
class PartReadings:
    """Bounds under every reading of a part of a network in which something clashes.

    Attributes
    ----------
    network
        The part, contradictions included; its events are numbered by themselves.
    events, reasons
        The numbers that its events and reasons have in the whole network.
    bounds, tightest, disputed, without, cautious
        As of `Readings`.
    groups
        The groups of conflicts in it.
    """

    network: Network
    events: Ints
    reasons: Ints
    bounds: NetworkBounds
    tightest: NetworkBounds
    disputed: Bools
    without: Claims
    cautious: NetworkBounds
    groups: tuple[ConflictGroup, ...]
    _trials: dict[Claims, tuple[Network, NetworkBounds]] = field(default_factory=dict, repr=False)

    def swaying(self, event: int) -> Claims:
        """Return the claims of the contradictions on whose settling an event's bounds depend."""
        found = [group.claims for group in self.groups if group.unsettled[event]]
        return frozenset[int]().union(*found)

    def why(self, event: int, *, late: bool) -> list[ChainStep]:
        """Give the reasons for a bound, by the numbers of the whole network."""
        steps = self._why(event, late=late)
        return [each.renumbered(self.events, self.reasons) for each in steps]

    def _why(self, event: int, *, late: bool) -> list[ChainStep]:
        explain, side = (why_not_after, "latest") if late else (why_not_before, "earliest")
        day = getattr(self.bounds, side)[event]
        if getattr(self.cautious, side)[event] == day:
            return explain(*self._trial(self.without), event)
        for group in self.groups:
            if group.widest is not None and getattr(group.widest, side)[event] == day:
                assert group.by is not None
                way = group.ways[group.by[late][event]]
                return explain(*self._trial(self.without - group.claims | way), event)
        raise AssertionError("no trial gives the bound")

    def _trial(self, without: Claims) -> tuple[Network, NetworkBounds]:
        """Return the network without some claims, and its bounds; the last few are kept."""
        if without not in self._trials:
            if len(self._trials) * len(self.network) > _KEPT:
                self._trials.clear()
            trial = self.network.without(sorted(without))
            self._trials[without] = trial, bounds_of(trial)
        return self._trials[without]


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
    without
        All claims that take part in a contradiction.
    cautious
        The bounds without any of them.
    parts
        The parts in which something clashes.
    """

    network: Network
    bounds: NetworkBounds
    tightest: NetworkBounds
    disputed: Bools
    without: Claims
    cautious: NetworkBounds
    parts: tuple[PartReadings, ...] = field(repr=False)

    @cached_property
    def _places(self) -> tuple[Ints, Ints]:
        """The place of each event's part, -1 where nothing clashes, and its number there."""
        part, place = np.full((2, self.network.events), -1, dtype=np.int64)
        for number, each in enumerate(self.parts):
            part[each.events], place[each.events] = number, np.arange(len(each.events))
        return part, place

    @property
    def groups(self) -> tuple[ConflictGroup, ...]:
        """All groups of conflicts."""
        return tuple(group for each in self.parts for group in each.groups)

    def swaying(self, event: int) -> Claims:
        """Return the claims of the contradictions on whose settling an event's bounds depend."""
        part, place = (int(each[event]) for each in self._places)
        return frozenset() if part < 0 else self.parts[part].swaying(place)

    def why(self, event: int, *, late: bool) -> list[ChainStep]:
        """Give the reasons for a bound; see `why_not_after` and `why_not_before`."""
        part, place = (int(each[event]) for each in self._places)
        if part >= 0:
            return self.parts[part].why(place, late=late)
        return (why_not_after if late else why_not_before)(self.sound, self.cautious, event)

    @cached_property
    def sound(self) -> Network:
        """The network without anything that takes part in a contradiction."""
        return self.network.without(sorted(self.without))


def every_reading(solution: Solution) -> Readings:
    """Find the bounds under every reading.

    Parameters
    ----------
    solution
        What the network comes to.
    """
    steps = reading_steps(solution)
    while True:
        try:
            next(steps)
        except StopIteration as ended:
            found: Readings = ended.value
            return found


def reading_steps(solution: Solution) -> Generator[None, None, Readings]:
    """Do the same, a group of conflicts at each step, for who has else to do.

    Returns
    -------
    Readings
        What `every_reading` returns, once there are no further steps.
    """
    network, plain = solution.network, solution.bounds
    if not solution.conflicts:
        nothing = frozenset[int]()
        return Readings(network, plain, plain, solution.disputed, nothing, plain, ())
    label = parts(network)
    sets = {each.claims for each in solution.conflicts}
    read: dict[bytes, PartReadings] = {}
    lots = _lots(network, label, sets)
    while True:
        found = []
        for part in _parted(solution, lots):
            key = part[1].tobytes()
            if key not in read:
                read[key] = yield from _read(*part, label[part[1]])
            found.append(read[key])
        # Ways to settle one may bring others to light, whose claims bear on further parts.
        sets |= {group.claims for each in found for group in each.groups}
        before, lots = lots, _lots(network, label, sets)
        if np.array_equal(before, lots):
            break
    bounds, tightest, cautious = (plain.copy() for _ in range(3))
    disputed = solution.disputed.copy()
    for each in found:
        bounds.put(each.events, each.bounds)
        tightest.put(each.events, each.tightest)
        cautious.put(each.events, each.cautious)
        disputed[each.events] = each.disputed
    disputed[ORIGIN] = False
    without = frozenset[int]().union(*(each.without for each in found))
    return Readings(network, bounds, tightest, disputed, without, cautious, tuple(found))


def _lots(network: Network, label: Ints, sets: Iterable[Claims]) -> Ints:
    """Give events of parts that claims of conflicts bear on the number of their lot, others -1.

    Parts are of one lot if claims of one conflict bear on both.
    """
    sets = sorted(sets, key=sorted)
    claims = np.array(sorted(frozenset[int]().union(*sets)), dtype=np.int64)
    reasons = network.reasons
    mine = np.isin(reasons.claims, claims)
    owner = np.repeat(np.arange(len(reasons)), np.diff(reasons.starts))[mine]
    bearing = np.zeros(len(reasons), dtype=np.bool_)
    bearing[owner] = True
    rows = np.flatnonzero(bearing[network.reason])
    ends = np.maximum(network.source[rows], network.target[rows])
    # Lines between parts, reasons and claims, numbered on from one another.
    place = {claim: at for at, claim in enumerate(claims.tolist())}
    first = network.events + len(reasons)
    pairs = [(place[min(each)], place[claim]) for each in sets for claim in each]
    same = np.array(pairs, dtype=np.int64).reshape(-1, 2) + first
    one = np.concatenate([label[ends], network.events + owner, same[:, 0]])
    bearers = first + np.searchsorted(claims, reasons.claims[mine])
    other = np.concatenate([network.events + network.reason[rows], bearers, same[:, 1]])
    joint = joined(one, other, first + len(claims))
    _, numbers = np.unique(joint[label[ends]], return_inverse=True)
    found = np.full(network.events, -1, dtype=np.int64)
    found[label[ends]] = numbers
    return found[label]


def _parted(solution: Solution, lots: Ints) -> Iterator[tuple[Solution, Ints, Ints]]:
    """Yield what a network comes to lot by lot, with the numbers of events and reasons before."""
    conflicts: dict[int, list[NetworkConflict]] = {}
    for each in solution.conflicts:
        lot = int(lots[max(step.source for step in each.steps)])
        conflicts.setdefault(lot, []).append(each)
    for lot, (network, events, reasons) in enumerate(solution.network.parted(lots)):
        # Numbers of the whole are found among those of the part, which are sorted.
        clashing = tuple(
            replace(each, steps=tuple(_placed(step, events, reasons) for step in each.steps))
            for each in conflicts.get(lot, ())
        )
        part = Solution(
            network,
            solution.recorded.only(events),
            solution.bounds.only(events),
            solution.disputed[events],
            clashing,
            (),
        )
        yield part, events, reasons


def _placed(step: ChainStep, events: Ints, reasons: Ints) -> ChainStep:
    source, target = (int(np.searchsorted(events, each)) for each in (step.source, step.target))
    return step._replace(
        source=source, target=target, reason=int(np.searchsorted(reasons, step.reason))
    )


def _read(
    solution: Solution, events: Ints, reasons: Ints, label: Ints
) -> Generator[None, None, PartReadings]:
    """Find the bounds under every reading of a part, a group of conflicts at each step."""
    network, plain = solution.network, solution.bounds
    cautious, groups = yield from _tried(solution, label)
    tried = [(group.widest, group.tightest) for group in groups]
    wide = [cautious, *(widest for widest, _ in tried if widest is not None)]
    close = [cautious, plain, *(tightest for _, tightest in tried if tightest is not None)]
    bounds, tightest = _closest(wide), _closest(close)
    disputed = solution.disputed | _differing(bounds, tightest)
    if len(groups) > 1:
        disputed |= _bounded_by_several(network, bounds, groups, label)
    without = frozenset[int]().union(*(group.claims for group in groups))
    return PartReadings(
        network, events, reasons, bounds, tightest, disputed, without, cautious, tuple(groups)
    )


def _bounded_by_several(
    network: Network, found: NetworkBounds, groups: list[ConflictGroup], label: Ints
) -> Bools:
    """Find events without a day on a side where claims of several groups together would give one.

    A group is tried with all claims of the others left out, so that no trial shows it; but on such
    an event something does bear.
    """
    near: Bools = np.sum([_near(network, group.claims, label) for group in groups], axis=0) > 1
    before, after = found.earliest <= -FAR // 2, found.latest >= FAR // 2
    if not np.any(near & (before | after)):
        return np.zeros(len(near), dtype=np.bool_)
    forward = _reached(network.source, network.target, network.events)
    backward = _reached(network.target, network.source, network.events)
    mask: Bools = near & ((before & backward) | (after & forward))
    return mask


def _reached(source: Ints, target: Ints, events: int) -> Bools:
    """Find the events to which a chain of constraints leads from the origin."""
    found = np.zeros(events, dtype=np.bool_)
    found[ORIGIN] = True
    while True:
        new = target[found[source] & ~found[target]]
        if not len(new):
            return found
        found[new] = True


def _closest(found: list[NetworkBounds]) -> NetworkBounds:
    """Return for each side the tightest that any of some bounds gives."""
    return NetworkBounds(
        np.max([each.earliest for each in found], axis=0),
        np.min([each.latest for each in found], axis=0),
    )


def _tried(
    solution: Solution, label: Ints
) -> Generator[None, None, tuple[NetworkBounds, list[ConflictGroup]]]:
    """Try every way to settle each group of conflicts; and leave all claims of all groups out.

    Ways that the least costly repair does not take may leave further conflicts; these are taken in,
    until no way leaves any.
    """
    network = solution.network
    minimiser = Minimiser(network)
    sets = {each.claims for each in solution.conflicts}
    ties: set[Claims] = set()
    while True:
        # Ties only hold a group together.
        parts = [[each for each in part if each not in ties] for part in components([*sets, *ties])]
        everything = frozenset[int]().union(*(each for part in parts for each in part))
        left = network.without(sorted(everything))
        found = survey(left)
        new = {minimiser.minimal(each).claims for each in found.conflicts}
        groups = []
        rest = Rest(left, found.bounds)
        for part in parts if not new else ():
            group = _Group.of(network, rest, everything, part)
            groups.append(group)
            yield
            new |= _further(minimiser, everything - group.claims, group.failing)
        if not new <= sets:
            sets = sets | new
            continue
        settled = [each.settled for each in groups]
        tied = straddled(network, rest, label, settled, _WORK, _CELLS)
        if not tied:
            return found.bounds, [each.told(solution, label) for each in groups]
        ties.update(tied)


def _further(minimiser: Minimiser, others: Claims, failing: Sequence[Claims]) -> set[Claims]:
    """Find the conflicts that ways to settle a group leave, with the claims of others left out.

    A way that leaves one found already is not looked at: it is none once that is taken in.
    """
    found: set[Claims] = set()
    for way in failing:
        if not any(each.isdisjoint(way) for each in found):
            left = minimiser.network.without(sorted(others | way))
            found |= {minimiser.minimal(each).claims for each in survey(left).conflicts}
    return found


@dataclass(frozen=True)
class _Group:
    """A group of conflicts, and what every way to settle it comes to; see `ConflictGroup`."""

    claims: Claims
    ways: Sequence[Claims]
    trying: Trying
    rest: NetworkBounds
    outcome: RepairOutcome | None

    @classmethod
    def of(
        cls, network: Network, rest: Rest, everything: Claims, conflicts: Sequence[Claims]
    ) -> "_Group":
        """Try every way to settle it, if that does not cost too much."""
        claims = frozenset[int]().union(*conflicts)
        trying = Trying(network, rest, everything, claims)
        most = min(_WAYS, _WORK // trying.cost) if trying.cells <= _CELLS else 0
        ways = every_way(conflicts, most) if most else []
        outcome = trying.outcome(ways) if ways else None
        return cls(claims, ways, trying, rest.bounds, outcome)

    @property
    def failing(self) -> list[Claims]:
        """The ways that leave a further conflict."""
        return [self.ways[place] for place in self.outcome.failing] if self.outcome else []

    @property
    def settled(self) -> Settled:
        """What it comes to for other groups."""
        nearest = self.outcome.nearest if self.outcome else None
        return Settled(self.claims, self.trying.core, nearest)

    def told(self, solution: Solution, label: Ints) -> ConflictGroup:
        """Return what it comes to for all events, where no way fails."""
        claims, near = self.claims, _near(solution.network, self.claims, label)
        inside = (each for each in solution.conflicts if each.claims <= claims)
        mask = np.zeros(solution.network.events, dtype=np.bool_)
        mask[[step.source for each in inside for step in each.steps]] = True
        if self.outcome is None:
            mask |= near & _differing(self.rest, solution.bounds)
            return ConflictGroup(claims, (), None, None, None, mask)
        found = self.trying.spread(self.outcome)
        differ = _differing(found.widest, found.tightest)
        mask |= near & (differ | _differing(found.widest, solution.recorded))
        ways = tuple(self.ways)
        return ConflictGroup(claims, ways, found.widest, found.tightest, found.by, mask)


def _near(network: Network, claims: Claims, label: Ints) -> Bools:
    """Return the events of those parts of a network on which any of some claims bears."""
    touched = network.reasons.touching(sorted(claims))[network.reason]
    ends = np.maximum(network.source, network.target)[touched]  # not the origin, which is 0
    mask: Bools = np.isin(label, label[ends])
    return mask


def _differing(one: NetworkBounds, other: NetworkBounds) -> Bools:
    mask: Bools = (one.earliest != other.earliest) | (one.latest != other.latest)
    return mask
