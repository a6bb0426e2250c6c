"""Many repairs of one network tried at little cost each, all that they have in common done once.

The repairs put back different constraints of a few, on a network that stays the same. What lies
between the ends of those few is contracted beforehand to the lengths of shortest paths. A trial
adds its constraints one by one to a small table of distances; what comes of all is spread to all
other events at the end. R. W. Floyd, "Algorithm 97: Shortest path", Communications of the ACM 5,
1962, gives the step that takes something new into a table of all distances.

What trials come to hangs on that table and those constraints alone, and is kept by them: after a
change elsewhere, and from one round to the next, most are the same.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np

from glost.reason.chronology.hitting_sets import Claims
from glost.reason.chronology.network import FAR, ORIGIN, Bools, Ints, Network
from glost.reason.chronology.propagate import NetworkBounds, Relaxer


@dataclass(frozen=True)
class Tried:
    """What some repairs come to, none of which leaves a contradiction.

    Attributes
    ----------
    widest, tightest
        For each side the widest and the tightest bounds that any gives.
    by
        For each event the places of the repairs that give its widest earliest and latest day.
    """

    widest: NetworkBounds
    tightest: NetworkBounds
    by: tuple[Ints, Ints]


@dataclass(frozen=True)
class RepairOutcome:
    """What repairs come to between the ends of what they put back, all by places among these.

    Attributes
    ----------
    failing
        The places of the repairs that leave a contradiction.
    early, late
        What other repairs give from each end to the origin, and from the origin to each end: every
        different row once, with the place of the first repair that gives it.
    nearest
        The least distances that any gives.
    """

    failing: tuple[int, ...]
    early: dict[bytes, int]
    late: dict[bytes, int]
    nearest: Ints


class Rest:
    """A network without any claim that takes part in a contradiction.

    Parameters
    ----------
    network
        The network.
    bounds
        Its bounds.
    """

    def __init__(self, network: Network, bounds: NetworkBounds) -> None:
        self.network, self.bounds = network, bounds
        self._rows: dict[int, tuple[Ints, ...]] = {ORIGIN: (bounds.latest, -bounds.earliest)}

    @cached_property
    def _relaxers(self) -> tuple[Relaxer, Relaxer]:
        return Relaxer(self.network, forward=True), Relaxer(self.network, forward=False)

    def rows(self, core: Ints) -> tuple[Ints, Ints]:
        """Return the distances from each of some events to all, and to each from all.

        Those of the origin, which is the first of them, are those of dates.
        """
        new = core[[event not in self._rows for event in core.tolist()]]
        both = np.full((2, len(new), self.network.events), FAR, dtype=np.int64)
        for values, relaxer in zip(both, self._relaxers, strict=True):
            values[np.arange(len(new)), new] = 0
            relaxer.relax_rows(values, new)
        self._rows.update(zip(new.tolist(), zip(*both, strict=True), strict=True))
        found = [self._rows[event] for event in core.tolist()]
        onward, back = (np.stack([pair[side] for pair in found]) for side in (0, 1))
        return onward, back

    def table(self, core: Ints) -> Ints:
        """Return the distances between some events, the first of which is the origin."""
        onward, back = self.rows(core)
        through = back[0][core][:, None] + onward[0][core][None, :]
        table: Ints = np.minimum(onward[:, core], np.minimum(through, FAR))
        table[0, :], table[:, 0] = onward[0][core], back[0][core]
        table[0, 0] = 0
        return table


class Trying:
    """Tries what some claims come to, put back into a network without any that take part.

    Parameters
    ----------
    network
        The whole network, with its contradictions.
    rest
        The same without `everything`.
    everything
        All claims that take part in any contradiction.
    claims
        Those of one group of contradictions, which are put back; the others stay out.

    Attributes
    ----------
    core
        The ends of the constraints that are put back, the origin first.
    cost
        How many sums a trial takes at most.
    cells
        How many numbers are held for all trials.
    """

    def __init__(self, network: Network, rest: Rest, everything: Claims, claims: Claims) -> None:
        self._rest = rest
        mine, others = (network.reasons.touching(each) for each in (claims, everything - claims))
        put = np.flatnonzero((mine & ~others)[network.reason])
        self.resting = [
            frozenset(network.reasons.of(reason)) & claims
            for reason in network.reason[put].tolist()
        ]
        ends = np.concatenate([[ORIGIN], network.source[put], network.target[put]])
        core, places = np.unique(
            ends, return_inverse=True
        )  # the origin is number 0, so it is first
        self.tail, self.head = places[1 : len(put) + 1], places[len(put) + 1 :]
        self.days = network.days[put]
        self.core = core
        self.cost = len(core) * (2 * network.events + len(core) * max(1, len(put)))
        self.cells = 2 * len(core) * network.events

    @cached_property
    def table(self) -> Ints:
        """The distances between the ends of what is put back, with none of it put back."""
        return self._rest.table(self.core)

    def outcome(self, repairs: Sequence[Claims]) -> RepairOutcome:
        """Try every repair: each a set of claims that stay out."""
        claims = sorted(frozenset[int]().union(*self.resting, *repairs))
        rests = _members(self.resting, claims)
        out = (_members(repairs, claims).astype(np.int64) @ rests.T.astype(np.int64)) > 0
        told = (self.tail, self.head, self.days)
        return _outcome(
            len(self.core),
            self.table.tobytes(),
            np.stack(told).astype(np.int64).tobytes(),
            np.packbits(out).tobytes(),
            len(repairs),
        )

    def spread(self, outcome: RepairOutcome) -> Tried:
        """Spread what repairs come to, if none of them fails, to all events."""
        onward, back = self._rest.rows(self.core)
        reached = (onward[1:] < FAR // 2) | (back[1:] < FAR // 2)
        events = np.flatnonzero(reached.any(axis=0))
        low, high = (np.full((2, len(events)), way) for way in (FAR, -FAR))
        by = np.zeros((2, len(onward[0])), dtype=np.int64)
        # Earliest days with their sign turned, so that greater is wider on either side.
        for side, found, rows in ((0, outcome.early, back), (1, outcome.late, onward)):
            near = np.ascontiguousarray(rows[:, events])
            for row, place in found.items():
                days = _nearest(np.frombuffer(row, dtype=np.int64), near)
                by[side, events[days > high[side]]] = place
                np.maximum(high[side], days, out=high[side])
                np.minimum(low[side], days, out=low[side])
        widest, tightest = self._bounds(events, high), self._bounds(events, low)
        return Tried(widest, tightest, (by[0], by[1]))

    def _bounds(self, events: Ints, found: Ints) -> NetworkBounds:
        earliest, latest = self._rest.bounds.earliest.copy(), self._rest.bounds.latest.copy()
        earliest[events], latest[events] = -found[0], found[1]
        return NetworkBounds(earliest, latest)


def _members(sets: Sequence[Claims], claims: list[int]) -> Bools:
    """Return a row for each set, which says of each claim whether it is in it."""
    place = {claim: at for at, claim in enumerate(claims)}
    found = np.zeros((len(sets), len(claims)), dtype=np.bool_)
    for row, each in enumerate(sets):
        found[row, [place[claim] for claim in each]] = True
    return found


@lru_cache(maxsize=128)
def _outcome(
    size: int, distances: bytes, constraints: bytes, out: bytes, repairs: int
) -> RepairOutcome:
    """Try every repair; what stays out of each are bits, a row a repair.

    Repairs that put back the same so far are tried together: they part where one puts back what
    another leaves out.
    """
    base = np.frombuffer(distances, dtype=np.int64).reshape(size, size)
    columns = np.frombuffer(constraints, dtype=np.int64).reshape(3, -1)
    count = columns.shape[1]
    bits = np.unpackbits(np.frombuffer(out, dtype=np.uint8), count=repairs * count)
    back = bits.reshape(repairs, count) == 0
    order = np.argsort(-back.sum(axis=0), kind="stable")  # what most have in common comes first
    back, put = back[:, order], list(zip(*columns[:, order].tolist(), strict=True))
    failing: list[int] = []
    ended: list[tuple[int, bytes, bytes]] = []
    nearest = base.copy()
    pending = [(0, base, np.arange(repairs))]
    while pending:
        at, table, places = pending.pop()
        for tail, head, days in put[at:]:
            here = back[places, at]
            at += 1
            if not here.any():
                continue
            if not here.all():
                pending.append((at, table, places[~here]))
                places = places[here]
            if table[head, tail] + days < 0:
                failing += places.tolist()
                break
            if days < table[tail, head]:
                table = np.minimum(table, table[:, tail, None] + (days + table[None, head, :]))
        else:
            ended.append((int(places[0]), table[:, 0].tobytes(), table[0].tobytes()))
            np.minimum(nearest, table, out=nearest)
    early: dict[bytes, int] = {}
    late: dict[bytes, int] = {}
    for place, to_origin, from_origin in sorted(ended):
        early.setdefault(to_origin, place)
        late.setdefault(from_origin, place)
    return RepairOutcome(tuple(sorted(failing)), early, late, nearest)


def _nearest(distances: Ints, rows: Ints) -> Ints:
    """Return the shortest way over any event of the core; `FAR` where there is none."""
    found: Ints = (distances[:, None] + rows).min(axis=0)
    found[found > FAR // 2] = FAR
    return found
