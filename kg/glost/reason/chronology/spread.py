"""What reckons a network: this machine, or Spark, where one machine is too small.

Each share of whole clusters (`glost.reason.chronology.apart`) is sent to a worker as arrays, and
reckoned there by the code that reckons on one machine. A share whose worker is lost is reckoned
again by another, and comes to the same. Spark needs the extra ``spark``, and Java.
"""

import os
from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import TYPE_CHECKING, TypeAlias

from glost.reason.chronology.apart import Everywhere, Share, Solved, solve_apart
from glost.reason.chronology.network import Network
from glost.reason.chronology.repair import Solution, solve
from glost.record.partitioned import EACH, MASTER, each_on, session

if TYPE_CHECKING:
    from pyspark.sql import SparkSession  # type: ignore[import-not-found,unused-ignore]

Solving: TypeAlias = Callable[[Network, Mapping[int, float] | Callable[[int], float]], Solution]
"""Gives what a network comes to; see `glost.reason.chronology.solve`."""


def chosen() -> Solving:
    """Return what reckons a network: this machine, or Spark where `MASTER` names one.

    It is the environment's choice and not a collection's, which may come from a stranger.

    Raises
    ------
    glost.usage.UsageError
        If Spark is chosen and is not installed.
    """
    master = os.environ.get(MASTER, "")
    return solved_on(session(master)) if master else solve


def solved_on(spark: "SparkSession") -> Solving:
    """Return what reckons a network on Spark, in so many shares that every core has several."""
    shares = EACH * spark.sparkContext.defaultParallelism
    return partial(solve_apart, shares=shares, everywhere=workers_of(spark))


def workers_of(spark: "SparkSession") -> Everywhere:
    """Return what does the same with each of some shares on the workers of Spark."""

    def everywhere(do: Callable[[Share], Solved], shares: Sequence[Share], /) -> list[Solved]:
        return each_on(spark, do, shares, len(shares))

    return everywhere
