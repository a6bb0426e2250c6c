"""Terms from rdflib to pyoxigraph, to the letter."""

from functools import lru_cache

import pyoxigraph as ox
from rdflib import BNode, Literal, URIRef
from rdflib.term import Node

from glost.record.claims import Triple

Term = ox.NamedNode | ox.BlankNode | ox.Literal
"""A term as pyoxigraph has it."""


def to_oxigraph(term: Node) -> Term:
    """Return an rdflib term as pyoxigraph's, its lexical form as it is; tags are lower-cased.

    Raises
    ------
    ValueError
        If it is an IRI or a language tag that is not well formed.
    """
    if isinstance(term, Literal):
        if term.language:
            return ox.Literal(str(term), language=term.language)
        if term.datatype is not None:
            return ox.Literal(str(term), datatype=named(term.datatype))
        return ox.Literal(str(term))
    return ox.BlankNode(str(term)) if isinstance(term, BNode) else named(term)


@lru_cache(maxsize=1 << 17)
def named(iri: Node) -> ox.NamedNode:
    """Return a name; the same one each time, as most names stand in many statements.

    Raises
    ------
    ValueError
        If it is no well-formed IRI.
    """
    return ox.NamedNode(str(iri))


def quad(triple: Triple, graph: URIRef | None) -> ox.Quad:
    """Return a statement in a graph; None is the default graph.

    Raises
    ------
    ValueError
        If its subject is a literal.
    """
    subject = to_oxigraph(triple[0])
    if isinstance(subject, ox.Literal):
        raise ValueError(f"a literal cannot be a subject: {subject}")
    name = ox.DefaultGraph() if graph is None else named(graph)
    return ox.Quad(subject, named(triple[1]), to_oxigraph(triple[2]), name)
