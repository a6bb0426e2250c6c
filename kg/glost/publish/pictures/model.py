"""What a picture shows, as plain values: whatever reckons them, and whatever draws them.

Days are day numbers of `glost.record.dates` (0001-01-01 is 1, proleptic Gregorian calendar), both
ends of every span included; None is unknown. Every part carries the claims it rests on.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeAlias

Days: TypeAlias = tuple[int | None, int | None]
"""The earliest and the latest day something may have happened; None where nothing is known."""


@dataclass(frozen=True, slots=True)
class Basis:
    """What a part of a picture rests on.

    Attributes
    ----------
    claims
        IRIs of the claims, sorted.
    passages
        Source and place of each, in words, each once.
    """

    claims: tuple[str, ...] = ()
    passages: tuple[str, ...] = ()

    def __add__(self, other: "Basis") -> "Basis":
        """Put two bases together, each claim and passage once."""
        return together((self, other))


NOTHING = Basis()
"""A basis of no claims, for what is only arithmetic."""


def together(bases: Iterable[Basis]) -> Basis:
    """Put any number of bases together, each claim and passage once."""
    claims: set[str] = set()
    passages: dict[str, None] = {}
    for each in bases:
        claims.update(each.claims)
        passages.update(dict.fromkeys(each.passages))
    return Basis(tuple(sorted(claims)), tuple(passages))


@dataclass(frozen=True, slots=True)
class Life:
    """When something ran, as narrowly as is known.

    Attributes
    ----------
    begin, end
        The days between which it began, and between which it ended.
    disputed
        Whether claims about either cannot all hold.
    """

    begin: Days = (None, None)
    end: Days = (None, None)
    disputed: bool = False

    @property
    def certain(self) -> tuple[int, int] | None:
        """First and last day on which it certainly ran; None if there is no such day."""
        first, last = self.begin[1], self.end[0]
        return None if first is None or last is None or first > last else (first, last)

    @property
    def possible(self) -> Days:
        """First and last day on which it may have run; None where it is open."""
        return self.begin[0], self.end[1]

    @property
    def known(self) -> bool:
        """Whether anything at all is known of it."""
        return any(day is not None for day in (*self.begin, *self.end))


@dataclass(frozen=True, slots=True)
class DatedExhibit:
    """A dated piece or list that shows something in its run.

    Attributes
    ----------
    name
        What it is called.
    when
        Between which days it was made or issued.
    kind
        ``piece`` or ``list``.
    """

    name: str
    when: Days
    kind: str = "piece"
    basis: Basis = NOTHING


@dataclass(frozen=True, slots=True)
class Bar:
    """One line of a chart of runs.

    Attributes
    ----------
    name
        What ran.
    life
        When.
    group
        Under which heading it stands: the pottery, the plant.
    note
        A word beside the name: the kind of kiln, the wording of a mark.
    exhibits
        What shows it in its run.
    about
        IRI of the thing.
    """

    name: str
    life: Life
    group: str = ""
    note: str = ""
    exhibits: tuple[DatedExhibit, ...] = ()
    about: str = ""
    basis: Basis = NOTHING


@dataclass(frozen=True, slots=True)
class Lane:
    """A pottery across a picture of a family, with the life of the firm where it is known."""

    name: str
    life: Life = Life()
    about: str = ""
    basis: Basis = NOTHING


@dataclass(frozen=True, slots=True)
class Member:
    """A member of a family.

    Attributes
    ----------
    name
        What it is called.
    lane
        The lane it stands in, counted from 0; see `Family.lanes`.
    life
        When it ran.
    note
        A word beside the name: who designed it.
    about
        Its IRI.
    """

    name: str
    lane: int
    life: Life
    note: str = ""
    about: str = ""
    basis: Basis = NOTHING


@dataclass(frozen=True, slots=True)
class Tie:
    """How one member of a family comes from another.

    Attributes
    ----------
    earlier, later
        Which members, counted from 0; of ties without direction, either way round. Lanes tied by
        succession are counted in `Family.lanes`.
    relation
        A key of `glost.trade.lineage.relations`: ``copied``, ``moulds``, ``succeeded``.
    certainty
        ``certain``, ``probable``, ``possible`` or ``doubtful``; empty if no claim says.
    disputed
        Whether it cannot hold together with the dates or with other ties.
    """

    earlier: int
    later: int
    relation: str
    certainty: str = ""
    disputed: bool = False
    basis: Basis = NOTHING


@dataclass(frozen=True, slots=True)
class Family:
    """A family on a time axis, one lane for each pottery."""

    title: str
    lanes: tuple[Lane, ...]
    members: tuple[Member, ...]
    ties: tuple[Tie, ...]
    successions: tuple[Tie, ...] = ()
    note: str = ""


@dataclass(frozen=True, slots=True)
class Heading:
    """A row or a column of a matrix, or a shape under arcs, with the group it stands in.

    Attributes
    ----------
    about
        IRI of the thing; empty for none.
    """

    name: str
    group: str = ""
    about: str = ""
