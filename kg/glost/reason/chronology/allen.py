"""The thirteen relations between intervals, as constraints between their ends.

J. F. Allen, "Maintaining knowledge about temporal intervals", Communications of the ACM 26(11),
1983; names as in OWL-Time (W3C). The table `allen.csv` says how the start and end of one interval
lie to those of the other; all else here follows from it.

Runs are known by their first and last day. As an interval a run starts with its first day and
ends as its last day is over, so one run meets another that begins on the day after its last.
"""

import csv
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from itertools import product
from pathlib import Path

import numpy as np

from glost.reason.chronology.network import FAR, Ints, Network
from glost.reason.chronology.propagate import NetworkBounds, distances

_ENDS = ("start", "end")
_SIGNS = {"<": ((0, 1, -1),), "=": ((0, 1, 0), (1, 0, 0)), ">": ((1, 0, -1),)}


@dataclass(frozen=True)
class Relation:
    """One of the thirteen relations.

    Attributes
    ----------
    name, inverse
        Its name and that of the relation seen from the other interval.
    owl_time
        The local name of the OWL-Time property.
    words
        What it says of the first interval, to follow its name.
    limits
        Constraints `target - source <= days` between the four ends: 0 and 1 start and end of the
        first interval, 2 and 3 start and end of the second.
    """

    name: str
    inverse: str
    owl_time: str
    words: str
    limits: tuple[tuple[int, int, int], ...]


def _relation(row: dict[str, str]) -> Relation:
    limits = []
    for (one, mine), (two, yours) in product(enumerate(_ENDS), enumerate(_ENDS)):
        pair = (one, 2 + two)
        for source, target, days in _SIGNS[row[f"{mine}_{yours}"]]:
            # `mine < yours` reads mine - yours <= -1: from yours to mine
            limits.append((pair[1 - source], pair[1 - target], days))
    return Relation(row["name"], row["inverse"], row["owl_time"], row["words"], tuple(limits))


@cache
def relations() -> dict[str, Relation]:
    """Return the thirteen relations by name."""
    with Path(__file__).with_name("allen.csv").open(encoding="utf-8", newline="") as file:
        return {row["name"]: _relation(row) for row in csv.DictReader(file)}


def on_runs(name: str) -> tuple[tuple[int, int, int], ...]:
    """Return a relation's constraints in days between first and last days of two runs.

    Parameters
    ----------
    name
        One of the thirteen names.

    Returns
    -------
    tuple
        `(source, target, days)`, each demanding `target - source <= days`; 0 and 1 are the first
        and last day of the first run, 2 and 3 those of the second.
    """
    after = (0, 1, 0, 1)  # the end of a run comes when its last day is over
    return tuple((s, t, days + after[s] - after[t]) for s, t, days in relations()[name].limits)


def possible(
    network: Network, found: NetworkBounds, one: tuple[int, int], two: tuple[int, int]
) -> list[str]:
    """Name the relations in which one run may stand to another.

    Parameters
    ----------
    network
        A network without contradiction.
    found
        Its bounds.
    one, two
        For each run, the events of its first and of its last day.

    Returns
    -------
    list of str
        Those of the thirteen relations that some solution of the network shows.
    """
    table = distances(network, found, [*one, *two])
    limits = np.minimum(table, FAR // 8)
    for start, end in ((0, 1), (2, 3)):
        limits[end, start] = min(limits[end, start], 0)
    return [name for name in relations() if _consistent(limits, on_runs(name))]


def _limits(size: int) -> Ints:
    limits = np.full((size, size), FAR // 8, dtype=np.int64)
    np.fill_diagonal(limits, 0)
    return limits


def _consistent(limits: Ints, more: Iterable[tuple[int, int, int]]) -> bool:
    """Say whether a matrix of distances, with further limits, still has a solution."""
    matrix = limits.copy()
    for source, target, days in more:
        matrix[source, target] = min(matrix[source, target], days)
    for middle in range(len(matrix)):
        through = matrix[:, middle, None] + matrix[None, middle, :]
        matrix = np.minimum(matrix, through)
    return bool((np.diagonal(matrix) >= 0).all())
