"""What a chronology answers with: bounds, contradictions, and what would settle them."""

from dataclasses import dataclass
from typing import Literal, NamedTuple, TypeAlias

from rdflib import URIRef

from glost.trade.times.arguments import Argument, Ground

Production: TypeAlias = Literal["certainly", "possibly", "no"]

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


class Change(NamedTuple):
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
