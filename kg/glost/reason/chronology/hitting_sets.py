"""The least costly claims that meet every conflict: minimum-weight hitting sets."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Claims = frozenset[int]
_TOLERANCE = 1e-7


@dataclass(frozen=True)
class HittingSets:
    """What to set aside among conflicts that hang together.

    Attributes
    ----------
    options
        Sets of claims of equal, least cost, in order; the first is the one taken.
    cost
        The cost of any of them.
    complete
        Whether these are all such sets, rather than as many as were asked for.
    """

    options: tuple[Claims, ...]
    cost: float
    complete: bool


def components(sets: Iterable[Claims]) -> list[list[Claims]]:
    """Part sets into those that hang together by common members."""
    parent: dict[int, int] = {}

    def root(claim: int) -> int:
        while parent.setdefault(claim, claim) != claim:
            parent[claim] = parent[parent[claim]]
            claim = parent[claim]
        return claim

    unique = sorted(set(sets), key=sorted)
    for each in unique:
        first = min(each)
        for claim in each:
            parent[root(claim)] = root(first)
    parts: dict[int, list[Claims]] = {}
    for each in unique:
        parts.setdefault(root(min(each)), []).append(each)
    return list(parts.values())


def choose(sets: Sequence[Claims], weight: Mapping[int, float], most: int = 16) -> HittingSets:
    """Find the sets of claims of least weight that share a member with each of some sets.

    Parameters
    ----------
    sets
        Non-empty sets of claims.
    weight
        What it costs to set each claim aside; more than 0.
    most
        How many sets of equal cost to look for.

    Returns
    -------
    Choice
        The sets: the least of all minimal ones; where these are very many, proved least by branch
        and bound (HiGHS, through SciPy).
    """
    if len(sets) == 1:
        least = min(weight[claim] for claim in sets[0])
        equal = [c for c in sorted(sets[0]) if weight[c] <= least * (1 + _TOLERANCE)]
        return HittingSets(
            tuple(frozenset([c]) for c in equal[:most]), least, complete=len(equal) <= most
        )
    claims, numbered = _numbered(sets)
    found = _chosen(numbered, tuple(weight[claim] for claim in claims), most)
    return replace(found, options=tuple(_named(claims, each) for each in found.options))


_FEW = 1_024
"""With so many minimal sets at most, the least of them are found by weighing each."""

_TURNS = 4
"""So many sets are grown at most for each that is found, and for each to be met; 2 are usual."""


def _numbered(sets: Sequence[Claims]) -> tuple[list[int], tuple[Claims, ...]]:
    """Give the claims of sets numbers by their place among these, so that the like is known again.

    What is found of numbers is the same of claims, for the order of the claims is kept.
    """
    claims = sorted(frozenset().union(*sets))
    place = {claim: at for at, claim in enumerate(claims)}
    return claims, tuple(frozenset(place[claim] for claim in each) for each in sets)


def _named(claims: list[int], places: Iterable[int]) -> Claims:
    return frozenset(claims[place] for place in places)


@lru_cache(maxsize=256)
def _chosen(sets: tuple[Claims, ...], weights: tuple[float, ...], most: int) -> HittingSets:
    """Choose among claims that are numbered; after a change elsewhere most groups are the same."""
    weight = dict(enumerate(weights))
    ways = _every_way(sets, _FEW)
    return _lightest(ways, weight, most) if ways else _programme(sets, weight, most)


def _lightest(ways: Sequence[Claims], weight: Mapping[int, float], most: int) -> HittingSets:
    """Choose among all minimal sets, of which those of least weight are some."""
    weighed = [(sum(weight[claim] for claim in sorted(way)), way) for way in ways]
    least = min(cost for cost, _ in weighed)
    equal = [way for cost, way in weighed if cost <= least * (1 + _TOLERANCE)]
    return HittingSets(tuple(equal[:most]), least, complete=len(equal) <= most)


def every_way(sets: Sequence[Claims], most: int) -> list[Claims]:
    """Return every minimal set that shares a member with each of some sets; none if too much.

    K. Murakami, T. Uno, "Efficient algorithms for dualizing large-scale hypergraphs", Discrete
    Applied Mathematics 170, 2014 (MMCS): a set grows by a member of a set not yet met, as long as
    each of its members alone meets some set. Sets of sets are the bits of numbers.

    Parameters
    ----------
    sets
        Non-empty sets of claims.
    most
        How many such sets there may be. Where very many grow that lead to none, which takes several
        claims that are in much of all sets, it ends as if there were more.

    Returns
    -------
    list
        The sets, in order.
    """
    claims, numbered = _numbered(sets)
    return [_named(claims, way) for way in _every_way(numbered, most)]


@lru_cache(maxsize=32)
def _every_way(sets: tuple[Claims, ...], most: int) -> list[Claims]:
    meeting: dict[int, int] = {}
    for place, each in enumerate(sets):
        for claim in each:
            meeting[claim] = meeting.get(claim, 0) | 1 << place
    ways: list[Claims] = []
    # What is grown; of each member, which sets it alone meets; sets not met; what may be added.
    pending: list[tuple[tuple[int, ...], tuple[int, ...], int, Claims]] = [
        ((), (), (1 << len(sets)) - 1, frozenset(meeting))
    ]
    turns = _TURNS * (most + len(sets))
    while pending and len(ways) <= most and turns:
        turns -= 1
        way, alone, unmet, candidates = pending.pop()
        if not unmet:
            ways.append(frozenset(way))
            continue
        few = min((candidates & sets[place] for place in _places(unmet)), key=len)
        candidates -= few
        for claim in sorted(few):
            still = [others & ~meeting[claim] for others in alone]
            if all(still):
                more = (*still, unmet & meeting[claim])
                pending.append(((*way, claim), more, unmet & ~meeting[claim], candidates))
                candidates |= {claim}
    return [] if pending or len(ways) > most else sorted(ways, key=sorted)


def _places(bits: int) -> Iterator[int]:
    """Yield the places of the bits of a number that are set."""
    while bits:
        yield (bits & -bits).bit_length() - 1
        bits &= bits - 1


def _programme(sets: Sequence[Claims], weight: Mapping[int, float], most: int) -> HittingSets:
    claims = sorted(frozenset().union(*sets))
    column = {claim: place for place, claim in enumerate(claims)}
    cost = np.array([weight[claim] for claim in claims])
    rows = [[column[claim] for claim in each] for each in sets]
    low, high = [1.0] * len(rows), [np.inf] * len(rows)
    found: list[Claims] = []
    best = np.inf
    while len(found) <= most:
        taken = _solve(rows, low, high, cost)
        if taken is None or cost[taken].sum() > best * (1 + _TOLERANCE):
            break
        best = min(best, float(cost[taken].sum()))
        found.append(frozenset(claims[place] for place in taken))
        rows.append(taken)
        low.append(-np.inf)
        high.append(len(taken) - 1)
    complete = len(found) <= most
    options = sorted(found[:most], key=sorted)
    return HittingSets(tuple(options), best, complete)


def _solve(
    rows: list[list[int]],
    low: list[float],
    high: list[float],
    cost: NDArray[np.float64],
) -> list[int] | None:
    """Solve one integer programme over 0 and 1; return the columns taken."""
    # Takes longer to import than most collections to reckon, and few have conflicts that need it.
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array

    starts = np.cumsum([0, *map(len, rows)])
    members = np.concatenate(rows)
    matrix = csr_array((np.ones(len(members)), members, starts), shape=(len(rows), len(cost)))
    answer = milp(
        cost / cost.min(),
        integrality=np.ones(len(cost), dtype=np.int64),
        bounds=Bounds(0, 1),
        constraints=LinearConstraint(matrix, np.array(low), np.array(high)),
        options={"mip_rel_gap": 0.0},
    )
    if answer.x is None:
        return None
    return [int(place) for place in np.flatnonzero(answer.x > 0.5)]
