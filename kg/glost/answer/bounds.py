"""What a query of strangers may read and give back: its dataset, and the size of its result."""

import io
from dataclasses import dataclass
from typing import Any, TypeAlias

import pyoxigraph as ox

_Default: TypeAlias = list[ox.NamedNode | ox.BlankNode | ox.DefaultGraph]
_Named: TypeAlias = list[ox.NamedNode | ox.BlankNode]


class TooMuch(Exception):  # noqa: N818 - said to a user as it stands
    """A result is larger than it may be; the message says by which measure."""


@dataclass(frozen=True, slots=True)
class Graphs:
    """The dataset of a query, named from outside it (SPARQL 1.1 Protocol, section 2.1.4).

    It takes the place of the query's own FROM and FROM NAMED. With no graph named at all, the
    query sees the whole dataset, or what its own FROM says.

    Attributes
    ----------
    default
        IRIs of the graphs whose union is the default graph.
    named
        IRIs of the graphs that GRAPH reaches.
    """

    default: tuple[str, ...] = ()
    named: tuple[str, ...] = ()

    def __bool__(self) -> bool:
        """Say whether any graph is named."""
        return bool(self.default or self.named)

    def nodes(self) -> tuple[_Default, _Named]:
        """Return both sets as the store's terms.

        Raises
        ------
        ValueError
            If one is not an absolute IRI.
        """
        return [ox.NamedNode(iri) for iri in self.default], [
            ox.NamedNode(iri) for iri in self.named
        ]


@dataclass(frozen=True, slots=True)
class Most:
    """How large a result may be.

    Attributes
    ----------
    rows
        Rows of a table, or statements.
    octets
        Octets of the result as tab-separated values or N-Triples, in which a row is a line.
    """

    rows: int
    octets: int


class Lines(io.BytesIO):
    """Where a result is written line by line, and given up when it grows too large."""

    def __init__(self, most: Most, *, header: bool) -> None:
        super().__init__()
        self._most = most
        self._left = most.octets
        self._lines = most.rows + header

    def write(self, chunk: Any) -> int:
        """Take a chunk of octets.

        Raises
        ------
        TooMuch
            If there are more rows or octets than may be.
        """
        taken = bytes(chunk)
        self._left -= len(taken)
        self._lines -= taken.count(b"\n")
        if self._lines < 0:
            raise TooMuch(f"the result has more than {self._most.rows:,} rows")
        if self._left < 0:
            raise TooMuch(f"the result is larger than {self._most.octets:,} octets")
        return super().write(taken)
