"""What the schema says once closed: the part of it that rules about facts are made from."""

from collections import defaultdict
from collections.abc import Iterable, Iterator

import owlrl  # type: ignore[import-untyped]
from rdflib import BNode, Graph, URIRef
from rdflib.collection import Collection
from rdflib.namespace import OWL, RDF, RDFS, XSD
from rdflib.term import Node

from glost.reason.rules import Triple

_CLASS_LINKS = (RDFS.subClassOf, OWL.equivalentClass)
_PROPERTY_LINKS = (RDFS.subPropertyOf, OWL.equivalentProperty)
_RESTRICTIONS = (OWL.onProperty, OWL.someValuesFrom, OWL.allValuesFrom, OWL.hasValue)
_LISTS = (OWL.intersectionOf, OWL.unionOf)
_LITERAL_CLASSES = frozenset({RDFS.Literal, RDF.PlainLiteral, RDF.langString, RDF.HTML})
EVERYTHING = frozenset({OWL.Thing, RDFS.Resource})


class _SchemaRules(owlrl.OWLRL_Semantics):  # type: ignore[misc]
    """The rules ``scm-*`` of table 9 and no others."""

    def rules(self, t: Triple, cycle_num: int) -> None:
        self._schema_vocabulary(t, cycle_num)

    def one_time_rules(self) -> None:
        """Add nothing: axiomatic triples are of no use here."""


def members(schema: Graph, head: Node) -> tuple[Node, ...]:
    """Return the members of an RDF list."""
    return tuple(Collection(schema, head))


def is_datatype(schema: Graph, term: Node) -> bool:
    """Tell whether a class of literals, not of things, is meant."""
    named = isinstance(term, URIRef) and (term in XSD or term in _LITERAL_CLASSES)
    return named or (term, RDF.type, RDFS.Datatype) in schema


def _extract(schema: Graph) -> Graph:
    """Copy what the schema rules read.

    Terms that are the same become equivalent both as properties and as classes: whatever they are,
    and however declared, each stands for the other as a property (eq-rep-p) and as a class
    (eq-rep-o).
    """
    small = Graph()
    for p in (*_CLASS_LINKS, *_PROPERTY_LINKS, *_RESTRICTIONS):
        for s, o in schema.subject_objects(p):
            small.add((s, p, o))
    for a, b in schema.subject_objects(OWL.sameAs):
        for link in (OWL.equivalentProperty, OWL.equivalentClass):
            small.add((a, link, b))
    for p in _LISTS:
        for c, head in schema.subject_objects(p):
            for d in members(schema, head):
                small.add(
                    (c, RDFS.subClassOf, d) if p == OWL.intersectionOf else (d, RDFS.subClassOf, c)
                )
    named = {*schema.subjects(RDF.type, OWL.Class), *schema.subjects(RDF.type, RDFS.Class)}
    for p in _CLASS_LINKS:
        named |= {term for pair in small.subject_objects(p) for term in pair}
    for p in (OWL.someValuesFrom, OWL.allValuesFrom):
        named |= {term for pair in small.subject_objects(p) for term in pair}
    for c in named:
        if not is_datatype(schema, c):
            small.add((c, RDF.type, OWL.Class))
    return small


def _reaches(edges: dict[Node, set[Node]], start: Node, goal: Node) -> bool:
    seen, stack = {start}, [start]
    while stack:
        for after in edges.get(stack.pop(), ()):
            if after == goal:
                return True
            if after not in seen:
                seen.add(after)
                stack.append(after)
    return False


def _new_links(before: Graph, after: Graph, links: Iterable[URIRef]) -> Iterator[Triple]:
    """Yield the links that the closure found and that a path of known links does not give."""
    below, same = links
    edges: dict[Node, set[Node]] = defaultdict(set)
    for a, b in before.subject_objects(below):
        edges[a].add(b)
    for a, b in before.subject_objects(same):
        edges[a].add(b)
        edges[b].add(a)
    for a, b in sorted(after.subject_objects(below), key=str):
        empty = a == OWL.Nothing or (a, RDFS.subClassOf, OWL.Nothing) in after
        trivial = a == b or b in EVERYTHING or empty
        if not trivial and not _reaches(edges, a, b):
            edges[a].add(b)
            yield a, below, b


def close_schema(schema: Graph) -> Graph:
    """Close a schema under the rules ``scm-*``, keeping only what a rule about facts needs.

    Subclass and subproperty links that follow from others by a path are left out: the rules
    about facts follow the path.  Links that only the restrictions give (``scm-svf1`` and its
    like) are added.

    Parameters
    ----------
    schema
        The ontology; it is not changed.

    Returns
    -------
    Graph
        The ontology's triples with the links added.

    References
    ----------
    W3C, *OWL 2 Profiles*, table 9, as implemented by ``owlrl``.
    """
    known = _extract(schema)
    closed = Graph()
    for triple in known:
        closed.add(triple)
    _SchemaRules(closed, False, False, False).closure()
    full = Graph()
    for triple in schema:
        full.add(triple)
    for a, b in schema.subject_objects(OWL.sameAs):
        for link in (OWL.equivalentProperty, OWL.equivalentClass):
            full.add((a, link, b))
    for links in (_CLASS_LINKS, _PROPERTY_LINKS):
        for found in _new_links(known, closed, links):
            full.add(found)
    return full


def inverse_names(schema: Graph) -> dict[Node, Node]:
    """Return, for each nameless inverse, the property it is the inverse of."""
    return {a: b for a, b in schema.subject_objects(OWL.inverseOf) if isinstance(a, BNode)}
