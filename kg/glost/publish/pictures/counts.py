"""What pictures of tables and quantities show: matrices, crossings, production, plants, kilns.

As in `glost.publish.pictures.model`, every part carries the claims it rests on.
"""

from dataclasses import dataclass
from enum import StrEnum

from glost.publish.pictures.model import NOTHING, Bar, Basis


class Mark(StrEnum):
    """What a cell of a matrix says."""

    OFFERED = "offered"
    ABSENT = "absent, by a complete list or a source"
    DROPPED = "no longer in a complete list"
    NEVER = "modelled, never produced"
    NOT_SEEN = "not seen"
    SHOWN = "not listed, shown by a piece"
    SAID = "not listed, said to be produced"
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
        How many kilns were certainly and how many possibly in use, the first included; the second
        is None where a source says several and does not count them, and then nothing bounds
        `high` either.
    low, high
        The least and the most they came to; None if nothing tells.
    left_out
        How many kilns nothing tells the output of, so that the range leaves them out.
    """

    firing: str
    first: int
    last: int
    certain: int
    possible: int | None
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
    number
        How many kilns the bars stand for, in words; a bar may stand for several.
    """

    title: str
    kilns: tuple[Bar, ...]
    capacity: tuple[Step, ...] = ()
    unit: str = ""
    assumptions: tuple[str, ...] = ()
    note: str = ""
    number: str = "no kilns"


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
