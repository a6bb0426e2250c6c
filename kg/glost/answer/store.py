"""The dataset as pyoxigraph holds it, and terms to and from it.

The store answers SPARQL and nothing else: it rewrites literals (``007`` to ``7``, ``1.50`` to
``1.5``, ``xsd:nonNegativeInteger`` to ``xsd:integer``, ``@en-GB`` to ``@en-gb``), so what is
exported or checked is never read back from it.
"""

import io
import tempfile
from collections.abc import Callable, Iterator
from functools import lru_cache
from itertools import islice
from pathlib import Path
from typing import IO, Protocol

import pyoxigraph as ox
from rdflib import BNode, Literal, URIRef
from rdflib.term import Node

from glost.answer.dataset import Contents, Quad, Statements, unsorted
from glost.record.terms import Term, to_oxigraph

_NAMES = 1 << 20
_AT_ONCE = 10_000
"""Lines that are written at once."""


class Queried(Protocol):
    """A store that questions are put to: the embedded one, or one elsewhere."""

    def query(self, /, query: str) -> ox.QuerySolutions | ox.QueryBoolean | ox.QueryTriples:
        """Answer a query."""

    def quads_for_pattern(
        self,
        /,
        subject: ox.NamedNode | ox.BlankNode | ox.Triple | None,
        predicate: ox.NamedNode | None,
        object: ox.NamedNode | ox.BlankNode | ox.Literal | ox.Triple | None,
        graph_name: ox.NamedNode | ox.BlankNode | ox.DefaultGraph | None = None,
    ) -> Iterator[ox.Quad]:
        """Yield the statements of a pattern, of any graph unless one is named."""


def store(contents: Contents, folder: Path | None = None) -> ox.Store:
    """Load a dataset into a new store.

    The default graph's statements are put into the default graph: unlike rdflib's, the store's
    is no union of the named graphs.

    Parameters
    ----------
    contents
        What the dataset is made of.
    folder
        Where to keep the store; it must not exist yet. None keeps it in memory.
    """
    try:
        with tempfile.TemporaryFile() as file:  # it has no name, so that none is left behind
            return _loaded(contents, file, folder)
    except OSError:
        if folder is not None:
            raise
        return _loaded(contents, io.BytesIO(), None)  # no room on the disk


def _loaded(contents: Contents, file: IO[bytes], folder: Path | None) -> ox.Store:
    write_lines(contents, file)
    file.seek(0)
    result = ox.Store() if folder is None else ox.Store(str(folder))
    result.bulk_load(input=file, format=ox.RdfFormat.N_QUADS, lenient=True)
    if folder is not None:
        result.flush()
    return result


def write_lines(contents: Contents, file: IO[bytes]) -> None:
    """Write a dataset as N-Quads, to the letter, in no order, some lines more than once."""
    lines = map(liner(), unsorted(contents, worded=False))
    while some := "".join(islice(lines, _AT_ONCE)):
        file.write(some.encode())
    file.write(_worded(contents.words))


@lru_cache(maxsize=2)
def _worded(words: Statements) -> bytes:
    """Return the lines of the vocabulary, which mostly is one and the same."""
    lines = map(liner(), unsorted(Contents("", (), frozenset(), words=words)))
    return "".join(lines).encode()


def liner() -> Callable[[Quad], str]:
    """Return what writes a statement as a line of N-Quads; it keeps the names it has written."""
    word: Callable[[Node], str] = lru_cache(maxsize=_NAMES)(lambda term: str(to_oxigraph(term)))

    def line(quad: Quad) -> str:
        s, p, o, graph = quad
        value = str(to_oxigraph(o)) if isinstance(o, Literal) else word(o)
        name = "" if graph is None else f"{word(graph)} "
        return f"{word(s)} {word(p)} {value} {name}.\n"

    return line


_STRING = "http://www.w3.org/2001/XMLSchema#string"


def from_store(term: Term | ox.Triple) -> URIRef | BNode | Literal:
    """Return one of the store's terms as rdflib's, its written form kept."""
    if isinstance(term, ox.NamedNode):
        return URIRef(term.value)
    if isinstance(term, ox.BlankNode):
        return BNode(term.value)
    if isinstance(term, ox.Triple):
        raise TypeError(f"a statement about a statement is no term of the record: {term}")
    if term.language:
        return Literal(term.value, lang=term.language)
    datatype = term.datatype.value
    if datatype == _STRING:
        return Literal(term.value)
    return Literal(term.value, datatype=URIRef(datatype), normalize=False)
