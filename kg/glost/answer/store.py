"""The dataset as pyoxigraph holds it, and terms to and from it.

The store answers SPARQL and nothing else: it rewrites literals (``007`` to ``7``, ``1.50`` to
``1.5``, ``xsd:nonNegativeInteger`` to ``xsd:integer``, ``@en-GB`` to ``@en-gb``), so what is
exported or checked is never read back from it.
"""

from collections.abc import Callable, Iterable, Iterator
from functools import lru_cache

import pyoxigraph as ox
from rdflib import BNode, Literal, URIRef

from glost.answer.dataset import Contents, Quad, quads
from glost.record.terms import Term, to_oxigraph


def store(contents: Contents) -> ox.Store:
    """Load a dataset into a new store in memory.

    The default graph's statements are put into the default graph: unlike rdflib's, the store's
    is no union of the named graphs.
    """
    result = ox.Store()
    result.bulk_extend(_converted(quads(contents)))
    return result


def _converted(statements: Iterable[Quad]) -> Iterator[ox.Quad]:
    node: Callable[[str], ox.NamedNode] = lru_cache(maxsize=200_000)(ox.NamedNode)
    default = ox.DefaultGraph()
    for subject, predicate, value, name in statements:
        yield ox.Quad(
            node(str(subject)) if isinstance(subject, URIRef) else ox.BlankNode(str(subject)),
            node(str(predicate)),
            node(str(value)) if isinstance(value, URIRef) else to_oxigraph(value),
            default if name is None else node(str(name)),
        )


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
