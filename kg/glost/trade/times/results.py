"""What a chronology answers with: bounds, contradictions, and what would settle them."""

from dataclasses import dataclass
from typing import NamedTuple

from rdflib import URIRef

from glost.trade.times.arguments import Argument, Ground
from glost.verdicts import Verdict

DEFAULT_LAG_YEARS = 1
"""Years by which a list may lag behind, or run ahead of, what is in production."""


class Bounds(NamedTuple):
    """When something happened at the earliest and at the latest.

    Attributes
    ----------
    earliest, latest
        Day numbers as in `glost.record.dates`, both inclusive; None where nothing bounds it.
    disputed
        Whether it takes part in a contradiction, or would have other bounds if what clashes
        were not set aside. The bounds are then those under the least costly repair.
    """

    earliest: int | None
    latest: int | None
    disputed: bool = False


class Lapse(NamedTuple):
    """How long after one point another falls, by the order of events.

    Attributes
    ----------
    first, second
        The points.
    at_least, at_most
        Days from the first to the second, negative if the second comes first; None where there is
        no limit, or the bounds of the two say as much. They hold however contradictions are
        settled.
    """

    first: URIRef
    second: URIRef
    at_least: int | None
    at_most: int | None


class Outside(NamedTuple):
    """A piece or list that shows a shape before it began or after it ended.

    What pieces and lists show is left out of account for the run, and the run for them.

    Attributes
    ----------
    witness, shape
        The piece or list, and the shape.
    point
        ``begin``, if it shows the shape before that; ``end``, if after.
    verdict
        Yes, or possibly if it is so by some way to settle a contradiction, but not by all.
    bounds
        When the piece was made, or the list came out.
    limit
        The first day on which the shape can have begun, or the last on which it can have ended;
        None if there is none in some reading of what is disputed.
    """

    witness: URIRef
    shape: URIRef
    point: str
    verdict: Verdict
    bounds: Bounds
    limit: int | None


class BoundsChange(NamedTuple):
    """What a point's bounds would be if a repair were made.

    Attributes
    ----------
    point
        The point.
    before
        Its bounds as all that is recorded gives them; they may cross.
    after
        Its bounds with what the repair sets aside left out.
    """

    point: URIRef
    before: Bounds
    after: Bounds


@dataclass(frozen=True, slots=True)
class Conflict:
    """Statements that cannot all hold, as two arguments that meet at one point.

    Attributes
    ----------
    point
        The point at which they meet.
    not_before, not_after
        Why it cannot be earlier than one day and not later than another that comes before it.
        If no date takes part, both count from `origin`.
    origin
        None, or the point from which days are counted.
    grounds
        All statements that take part; without any of them the conflict is gone.
    days
        Days by which the arguments miss each other.
    """

    point: URIRef
    not_before: Argument
    not_after: Argument
    origin: URIRef | None
    grounds: tuple[Ground, ...]
    days: int

    @property
    def points(self) -> tuple[URIRef, ...]:
        """Every point that takes part, in the order of the two arguments."""
        steps = (*self.not_before.steps, *self.not_after.steps)
        return tuple(dict.fromkeys(step.reached for step in steps))


@dataclass(frozen=True, slots=True)
class Choice:
    """What could be set aside to settle conflicts that hang together.

    Attributes
    ----------
    options
        Sets of statements of equal, least cost; bounds are given as if the first were set aside.
    cost
        The cost of each option.
    complete
        Whether these are all the options of that cost.
    conflicts
        The conflicts it settles.
    """

    options: tuple[tuple[Ground, ...], ...]
    cost: float
    complete: bool
    conflicts: tuple[Conflict, ...]
