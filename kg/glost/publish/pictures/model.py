"""What a picture shows, as plain values: whatever reckons them, and whatever draws them.

Days are day numbers of `glost.record.dates` (0001-01-01 is 1, proleptic Gregorian calendar), both
ends of every span included; None is unknown. Every part carries the claims it rests on.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
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
        return Basis(
            tuple(sorted({*self.claims, *other.claims})),
            tuple(dict.fromkeys((*self.passages, *other.passages))),
        )


NOTHING = Basis()
"""A basis of no claims, for what is only arithmetic."""


def together(bases: Iterable[Basis]) -> Basis:
    """Put any number of bases together."""
    return sum(bases, NOTHING)


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
class Exhibit:
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
    exhibits: tuple[Exhibit, ...] = ()
    about: str = ""
    basis: Basis = NOTHING


@dataclass(frozen=True, slots=True)
class Runs:
    """A chart of runs; bars in the order in which they are drawn, groups together.

    Attributes
    ----------
    title
        What is charted.
    note
        What a reader must know: the margin used, what was left out and why.
    """

    title: str
    bars: tuple[Bar, ...]
    note: str = ""


class Mark(StrEnum):
    """What a cell of a matrix says."""

    OFFERED = "offered"
    ABSENT = "absent from a complete list"
    NOT_SEEN = "not seen"
    SHOWN = "not listed, shown by a piece"
    DISPUTED = "disputed"


@dataclass(frozen=True, slots=True)
class Cell:
    """A cell of a matrix.

    Attributes
    ----------
    row, column
        Where it stands, counted from 0.
    mark
        What it says.
    text
        A word of up to four letters drawn in it, such as a count; may be empty.
    """

    row: int
    column: int
    mark: Mark
    text: str = ""
    basis: Basis = NOTHING


@dataclass(frozen=True, slots=True)
class Heading:
    """A row or a column of a matrix, or a shape under arcs, with the group it stands in."""

    name: str
    group: str = ""


@dataclass(frozen=True, slots=True)
class Matrix:
    """Articles by shapes, or by years. A cell that is not given says `Mark.NOT_SEEN`."""

    title: str
    rows: tuple[Heading, ...]
    columns: tuple[Heading, ...]
    cells: tuple[Cell, ...]
    note: str = ""


@dataclass(frozen=True, slots=True)
class Crossing:
    """Treatments of one shape seen on another.

    Attributes
    ----------
    home, seen
        Which shapes, counted from 0 in `Crossings.shapes`.
    count
        How many treatments crossed so.
    explained
        How many of them have an explanation.
    explanations
        Those explanations, in words.
    """

    home: int
    seen: int
    count: int
    explained: int
    explanations: tuple[str, ...] = ()
    basis: Basis = NOTHING


@dataclass(frozen=True, slots=True)
class Crossings:
    """Crossings between shapes, shapes in the order in which they are drawn."""

    title: str
    shapes: tuple[Heading, ...]
    crossings: tuple[Crossing, ...]
    note: str = ""


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
        A key of `glost.trade.lineage.RELATIONS`: ``copied``, ``moulds``, ``succeeded``.
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
class Production:
    """Production through time.

    Attributes
    ----------
    years
        The years, each from its first to its last day.
    certain, possible
        For each year, how many were certainly, and how many possibly, in production in it.
    bases
        For each year, what its figures rest on.
    pieces
        For each year, how many dated pieces fall in it by aoristic weight; empty if none is dated.
    undated
        How many pieces could not be placed.
    of
        What is counted: ``shapes``.
    """

    title: str
    years: tuple[int, ...]
    certain: tuple[int, ...]
    possible: tuple[int, ...]
    bases: tuple[Basis, ...]
    pieces: tuple[float, ...] = ()
    undated: int = 0
    of: str = "shapes"
    note: str = ""


@dataclass(frozen=True, slots=True)
class Step:
    """What kilns of one firing came to over some whole years.

    Attributes
    ----------
    firing
        Which firing.
    first, last
        The years, both inclusive.
    certain, possible
        How many kilns were certainly and how many possibly in use, the first included.
    low, high
        The least and the most they came to; None if nothing tells.
    left_out
        How many kilns nothing tells the output of, so that the range leaves them out.
    """

    firing: str
    first: int
    last: int
    certain: int
    possible: int
    low: float | None = None
    high: float | None = None
    left_out: int = 0
    basis: Basis = NOTHING


@dataclass(frozen=True, slots=True)
class Firing:
    """A plant's firing history: its kilns, and what they could turn out.

    Attributes
    ----------
    kilns
        The kilns, `Bar.group` being what they fired.
    capacity
        What they came to, firing by firing, in order of time.
    unit
        What capacity is counted in, such as ``dozen a day``.
    assumptions
        What had to be assumed for it, in sentences.
    """

    title: str
    kilns: tuple[Bar, ...]
    capacity: tuple[Step, ...] = ()
    unit: str = ""
    assumptions: tuple[str, ...] = ()
    note: str = ""


@dataclass(frozen=True, slots=True)
class Zone:
    """A zone of a kiln.

    Attributes
    ----------
    name
        Its kind: preheating, firing.
    metres
        Its length.
    written
        Its length as written.
    remark
        What else is said of it, such as its temperature.
    """

    name: str
    metres: float
    written: str
    remark: str = ""
    basis: Basis = NOTHING


@dataclass(frozen=True, slots=True)
class Strip:
    """A kiln as one source gives it: zones in order, then what no zone accounts for.

    Attributes
    ----------
    source
        The source, in words.
    metres, written
        The overall length, and as written; None and empty if the source gives none.
    zones
        The zones in order.
    """

    source: str
    metres: float | None
    written: str
    zones: tuple[Zone, ...]
    basis: Basis = NOTHING


@dataclass(frozen=True, slots=True)
class Plan:
    """A kiln's zones to scale, a strip for each source; one scale for all."""

    title: str
    strips: tuple[Strip, ...]
    note: str = ""
