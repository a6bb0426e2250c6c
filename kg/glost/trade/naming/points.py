"""What one observation comes to for one candidate, and the scoring table."""

import csv
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from enum import StrEnum
from functools import cache, cached_property
from importlib.resources import files

from glost.record.claims import Claim


class Bearing(StrEnum):
    """What an observation says of a candidate."""

    AGREES = "agrees"
    UNKNOWN = "unknown"
    AGAINST = "against"
    RULES_OUT = "rules out"


@dataclass(frozen=True, slots=True)
class Weight:
    """A row of the scoring table.

    Attributes
    ----------
    observation, outcome
        What was looked at, and what came of it.
    verdict
        What that says of the candidate.
    weight
        What it adds to the candidate's score.
    why
        One sentence that says why.
    """

    observation: str
    outcome: str
    verdict: Bearing
    weight: int
    why: str


Telling = Callable[[], tuple[str, Iterable[Claim]]]
"""Puts what the record says in words, with the claims it rests on."""


@dataclass(frozen=True)
class NamingPoint:
    """What one observation comes to for one candidate.

    Attributes
    ----------
    weight
        The row of the scoring table that applies.
    """

    weight: Weight
    _telling: Telling = field(repr=False, compare=False)

    @cached_property
    def _told(self) -> tuple[str, tuple[Claim, ...]]:
        # Of a thousand candidates a few are shown, and words and claims take longest to find.
        says, claims = self._telling()
        return says, tuple(claims)

    @property
    def says(self) -> str:
        """What the record says, in words."""
        return self._told[0]

    @property
    def claims(self) -> tuple[Claim, ...]:
        """The claims it rests on; empty only where the record says nothing."""
        return self._told[1]

    @property
    def verdict(self) -> Bearing:
        """What it says of the candidate."""
        return self.weight.verdict


@cache
def weights() -> dict[tuple[str, str], Weight]:
    """Read the scoring table, by observation and outcome."""
    text = files("glost.trade.naming").joinpath("weights.csv").read_text(encoding="utf-8")
    return {
        (row["observation"], row["outcome"]): Weight(
            row["observation"], row["outcome"], Bearing(row["verdict"]),
            int(row["weight"]), row["why"],
        )
        for row in csv.DictReader(text.splitlines())
    }  # fmt: skip


def point(observation: str, outcome: str, telling: Telling) -> NamingPoint:
    """Make a point of the scoring table's row for an outcome."""
    return NamingPoint(weights()[observation, outcome], telling)
