"""A claim: what one passage of one source says, who recorded it and how sure they are."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from hashlib import sha256
from typing import TypeAlias

from rdflib import URIRef
from rdflib.term import Node

from glost.record.fragments import FragmentError, read_fragment

Triple: TypeAlias = tuple[Node, Node, Node]
"""Subject, predicate and object as rdflib terms."""


@dataclass(frozen=True, slots=True)
class Passage:
    """Where in which source a claim rests.

    Attributes
    ----------
    source
        IRI of the source, or of the piece that is its own source.
    locator
        Page, plate, item or sheet as written; empty if not given.
    region
        A media fragment of a page image or a recording: ``xywh=10,20,300,40``, ``p7.png#xywh=…``,
        ``t=403,425``.
    """

    source: URIRef
    locator: str = ""
    region: str = ""

    @property
    def place(self) -> str:
        """Where in the source: locator and region, a stretch of a recording as a player counts."""
        try:
            fragment = read_fragment(self.region)
        except FragmentError:  # TriG may hold any text
            return ", ".join(part for part in (self.locator, self.region) if part)
        region = fragment.words if fragment.timed else self.region
        return ", ".join(part for part in (self.locator, region) if part)


@dataclass(frozen=True, slots=True)
class Origin:
    """Which file a claim was read from.

    Attributes
    ----------
    file
        Path relative to the collection's folder.
    row
        Row in the file as a spreadsheet counts, the header being row 1; 0 for TriG.
    table
        Name of the table it was a row of; empty for TriG.
    """

    file: str
    row: int = 0
    table: str = ""

    def __str__(self) -> str:
        """Return the place in words."""
        return f"{self.file} row {self.row}" if self.row else self.file


@dataclass(frozen=True, slots=True)
class Claim:
    """What one passage says, as a small graph with its provenance.

    Attributes
    ----------
    iri
        Name of the claim's graph, ``{base}claim/{id}``.
    passage
        What it rests on.
    certainty
        IRI of a concept of the certainty scheme, or None.
    recorded_by
        Who recorded it, as written; empty if not said.
    recorded_on
        The day it was recorded, ``YYYY-MM-DD``; empty if not said.
    note
        A remark; empty if none.
    origin
        Where it was read from; takes no part in equality or in the id.
    expand
        Makes the statements, each time they are asked for, so that a million claims need not hold
        theirs in memory; a row of a sheet that is not that long holds them once made.
    """

    iri: URIRef
    passage: Passage
    certainty: URIRef | None
    recorded_by: str
    recorded_on: str
    note: str
    origin: Origin = field(compare=False)
    expand: Callable[[], tuple[Triple, ...]] = field(compare=False, repr=False)

    @property
    def id(self) -> str:
        """The last part of the IRI, as tables write it."""
        return str(self.iri).rsplit("/", 1)[-1]

    @property
    def statements(self) -> tuple[Triple, ...]:
        """The statements of the claim's graph, in a fixed order."""
        return self.expand()

    def saying(self, properties: frozenset[str]) -> tuple[Triple, ...]:
        """Return its statements of some properties, by IRI; a row makes no others on the way."""
        some = getattr(self.expand, "saying", None)
        if some is not None:
            return tuple(some(properties))
        return tuple(triple for triple in self.statements if str(triple[1]) in properties)


def content_id(table: str, cells: list[tuple[str, str]]) -> str:
    """Reckon a claim's id from its content: 64 bits of SHA-256, as sixteen hex digits.

    Parameters
    ----------
    table
        Name of the table.
    cells
        Column name and normalised value of every cell that is not empty, save ``claim``; the
        order does not matter.

    Returns
    -------
    str
        The same for the same content, wherever the row or column stands.
    """
    text = "\x1e".join([table, *(f"{name}\x1f{value}" for name, value in sorted(cells))])
    return sha256(text.encode()).hexdigest()[:16]


def in_order(claims: Iterable[Claim]) -> tuple[Claim, ...]:
    """Return claims each once, sorted by file, row and IRI."""
    return tuple(sorted(set(claims), key=lambda c: (c.origin.file, c.origin.row, c.iri)))
