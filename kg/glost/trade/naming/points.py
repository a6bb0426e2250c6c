"""What one observation comes to for one candidate, and the scoring table."""

import csv
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
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


@dataclass(frozen=True, slots=True)
class NamingPoint:
    """What one observation comes to for one candidate.

    Attributes
    ----------
    weight
        The row of the scoring table that applies.
    says
        What the record says, in words.
    claims
        The claims it rests on; empty only where the record says nothing.
    """

    weight: Weight
    says: str
    claims: tuple[Claim, ...] = ()

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


def point(observation: str, outcome: str, says: str, claims: Iterable[Claim] = ()) -> NamingPoint:
    """Make a point of the scoring table's row for an outcome."""
    return NamingPoint(weights()[observation, outcome], says, tuple(claims))
