"""Simple temporal networks: events in days, and what is known of how they lie.

R. Dechter, I. Meiri, J. Pearl, "Temporal constraint networks", Artificial Intelligence 49, 1991:
every constraint has the form `target - source <= days`, is an edge of that length from `source` to
`target`, and the tightest bounds are shortest paths. Event 0 is the origin, day 0 of the calendar,
so that a constraint with it is a date.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

ORIGIN = 0
FAR = 1 << 60
"""Stands for no bound; every true day number is far smaller either way."""


@dataclass(frozen=True)
class Reasons:
    """Which claims each reason rests on; all of them together, so without any one it falls.

    Attributes
    ----------
    starts
        Where the claims of each reason start in `claims`, with one entry more than reasons.
    claims
        Claim numbers, reason after reason.
    """

    starts: Ints
    claims: Ints

    @classmethod
    def one_each(cls, count: int) -> "Reasons":
        """Make the table in which reason number r rests on claim number r alone."""
        return cls(np.arange(count + 1, dtype=np.int64), np.arange(count, dtype=np.int64))

    def __len__(self) -> int:
        """Count the reasons."""
        return len(self.starts) - 1

    def of(self, reason: int) -> tuple[int, ...]:
        """Return the claims that a reason rests on."""
        return tuple(self.claims[self.starts[reason] : self.starts[reason + 1]].tolist())

    def of_all(self, reasons: Iterable[int]) -> frozenset[int]:
        """Return all the claims that any of some reasons rests on."""
        return frozenset(claim for reason in reasons for claim in self.of(reason))

    def only(self, reasons: Ints) -> "Reasons":
        """Return the table of some reasons, renumbered in the order given."""
        first, counts = self.starts[reasons], np.diff(self.starts)[reasons]
        starts = np.concatenate([[0], np.cumsum(counts)])
        places = np.arange(counts.sum()) + np.repeat(first - starts[:-1], counts)
        return Reasons(starts, self.claims[places])

    def touching(self, claims: Iterable[int]) -> Bools:
        """Say of each reason whether it rests on any of some claims."""
        hit = np.isin(self.claims, np.fromiter(claims, dtype=np.int64))
        sums = np.concatenate([[0], np.cumsum(hit)])
        touched: Bools = sums[self.starts[1:]] > sums[self.starts[:-1]]
        return touched


@dataclass(frozen=True)
class Network:
    """Constraints `target - source <= days` between numbered events.

    Attributes
    ----------
    events
        How many events, the origin (number 0) included.
    source, target, days, reason
        One entry a constraint. `reason` is a row of `reasons`.
    reasons
        The claims behind each reason.
    """

    events: int
    source: Ints
    target: Ints
    days: Ints
    reason: Ints
    reasons: Reasons = field(repr=False)

    def __post_init__(self) -> None:
        """Refuse constraints on events that are not there, or sums that might overflow."""
        ends = (self.source, self.target)
        sizes = {len(a) for a in (*ends, self.days, self.reason)}
        if len(sizes) != 1:
            raise ValueError(f"source, target, days and reason differ in length: {sorted(sizes)}")
        if any(len(a) and (a.min() < 0 or a.max() >= self.events) for a in ends):
            raise ValueError(f"a constraint names an event outside 0 to {self.events - 1}")
        if len(self.reason) and (self.reason.min() < 0 or self.reason.max() >= len(self.reasons)):
            raise ValueError(f"a constraint has a reason outside 0 to {len(self.reasons) - 1}")
        longest = int(np.abs(self.days[self.relative]).max(initial=0))
        furthest = int(np.abs(self.days).max(initial=0))
        if furthest + longest * self.events >= FAR // 4:
            raise ValueError("a constraint spans too many days to reckon with")

    @classmethod
    def build(
        cls,
        events: int,
        source: ArrayLike,
        target: ArrayLike,
        days: ArrayLike,
        reason: ArrayLike | None = None,
        reasons: Reasons | None = None,
    ) -> "Network":
        """Make a network; without reasons, every constraint is its own claim.

        Raises
        ------
        ValueError
            If the columns differ in length, or name events or reasons that are not there.
        """
        columns = [np.asarray(a, dtype=np.int64).ravel() for a in (source, target, days)]
        why = np.arange(len(columns[0])) if reason is None else np.asarray(reason)
        why = why.astype(np.int64, copy=False)
        if reasons is None:
            reasons = Reasons.one_each(int(why.max(initial=-1)) + 1)
        return cls(events, columns[0], columns[1], columns[2], why, reasons)

    def __len__(self) -> int:
        """Count the constraints."""
        return len(self.source)

    @cached_property
    def relative(self) -> Bools:
        """Which constraints lie between two events proper, the origin not among them."""
        mask: Bools = (self.source != ORIGIN) & (self.target != ORIGIN)
        return mask

    @cached_property
    def by_target(self) -> tuple[Ints, Ints]:
        """Constraint numbers sorted by target, and where those of each event start."""
        return group(self.target, self.events)

    @cached_property
    def by_source(self) -> tuple[Ints, Ints]:
        """Constraint numbers sorted by source, and where those of each event start."""
        return group(self.source, self.events)

    def keep(self, mask: Bools) -> "Network":
        """Return the network with only the constraints that `mask` marks; events stay."""
        return Network(
            self.events,
            self.source[mask],
            self.target[mask],
            self.days[mask],
            self.reason[mask],
            self.reasons,
        )

    def without(self, claims: Iterable[int]) -> "Network":
        """Return the network without every constraint that rests on any of some claims."""
        chosen = list(claims)
        if not chosen:
            return self
        return self.keep(~self.reasons.touching(chosen)[self.reason])

    def adding(
        self, source: ArrayLike, target: ArrayLike, days: ArrayLike, reason: ArrayLike
    ) -> "Network":
        """Return the network with further constraints, for reasons it already has."""
        extra = [np.asarray(a, dtype=np.int64).ravel() for a in (source, target, days, reason)]
        old = (self.source, self.target, self.days, self.reason)
        s, t, d, r = (np.concatenate([a, b]) for a, b in zip(old, extra, strict=True))
        return Network(self.events, s, t, d, r, self.reasons)

    def growing(self, events: int) -> "Network":
        """Return the network with further events, which nothing bounds."""
        more = self.events + events
        return Network(more, self.source, self.target, self.days, self.reason, self.reasons)

    def within(self, events: Bools) -> tuple["Network", Ints, Ints]:
        """Return the part of the network among some events, renumbered.

        Returns
        -------
        tuple
            The part, then the old number of each of its events and of each of its reasons.
            Claims keep their numbers.
        """
        kept = events.copy()
        kept[ORIGIN] = True
        old = np.flatnonzero(kept)
        new = np.cumsum(kept) - 1
        mask = kept[self.source] & kept[self.target]
        reasons, reason = np.unique(self.reason[mask], return_inverse=True)
        part = Network(
            len(old),
            new[self.source[mask]],
            new[self.target[mask]],
            self.days[mask],
            reason,
            self.reasons.only(reasons),
        )
        return part, old, reasons

    def parted(self, lots: Ints) -> list[tuple["Network", Ints, Ints]]:
        """Return the part of the network among the events of each lot, as `within` does.

        Parameters
        ----------
        lots
            The number of the lot of each event, from 0 on; -1 for none. No constraint between
            events proper joins two lots. Those of the origin go with their other end.
        """
        count = int(lots.max(initial=-1)) + 1
        events, event_starts = group(lots + 1, count + 1)
        table, starts = group(lots[np.maximum(self.source, self.target)] + 1, count + 1)
        found = []
        for lot in range(1, count + 1):
            mine = events[event_starts[lot] : event_starts[lot + 1]]
            old = np.concatenate([[ORIGIN], mine[mine != ORIGIN]])
            rows = table[starts[lot] : starts[lot + 1]]
            reasons, reason = np.unique(self.reason[rows], return_inverse=True)
            part = Network(
                len(old),
                np.searchsorted(old, self.source[rows]),
                np.searchsorted(old, self.target[rows]),
                self.days[rows],
                reason,
                self.reasons.only(reasons),
            )
            found.append((part, old, reasons))
        return found


def group(keys: Ints, count: int) -> tuple[Ints, Ints]:
    """Sort positions by key, stably.

    Parameters
    ----------
    keys
        Numbers from 0 to `count - 1`.
    count
        How many keys there may be.

    Returns
    -------
    tuple
        The positions in order of their keys, and `count + 1` places at which each key starts.
    """
    starts = np.concatenate([[0], np.cumsum(np.bincount(keys, minlength=count))])
    return np.argsort(keys, kind="stable"), starts.astype(np.int64)


def joined(one: Ints, other: Ints, count: int) -> Ints:
    """Return for each of some nodes the lowest that lines join it to, itself if there is none.

    Each round, nodes at both ends of a line take the lower label of the two, and then the label of
    their label, so that rounds grow with the logarithm of the length of what hangs together
    (Y. Shiloach, U. Vishkin, "An O(log n) parallel connectivity algorithm", Journal of Algorithms
    3, 1982).

    Parameters
    ----------
    one, other
        The ends of each line, from 0 to `count - 1`.
    count
        How many nodes there are.
    """
    label = np.arange(count, dtype=np.int64)
    while True:
        lower = np.minimum(label[one], label[other])
        new = label.copy()
        for ends in (one, other):
            np.minimum.at(new, label[ends], lower)
        while (new[new] != new).any():
            new = new[new]
        if (new == label).all():
            return label
        label = new
