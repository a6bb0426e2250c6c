"""No axiom of the vocabulary makes one thing of two, whatever the record says of them."""

from functools import cache
from itertools import product
from pathlib import Path

import pytest
from rdflib import BNode, Graph, Literal, Namespace, URIRef
from rdflib.collection import Collection
from rdflib.namespace import OWL, RDF, RDFS

from glost.reason.closure import close

ONTOLOGY = Path(__file__).resolve().parents[2] / "ontology"
GLOST = Namespace("https://w3id.org/glost/ontology#")
THING = Namespace("https://example.org/equated/")
Facts = list[tuple[URIRef, URIRef, URIRef | Literal]]
Terms = tuple[URIRef, ...]


@cache
def vocabulary() -> Graph:
    """Read the vocabulary with its schemes and alignments."""
    graph = Graph()
    for file in sorted(ONTOLOGY.rglob("*.ttl")):
        graph.parse(file)
    return graph


@cache
def terms(*kinds: URIRef) -> Terms:
    """Return the vocabulary's own terms of some kinds."""
    found = {s for kind in kinds for s in vocabulary().subjects(RDF.type, kind)}
    return tuple(sorted(t for t in found if isinstance(t, URIRef) and t.startswith(GLOST)))


def record(classes: Terms, links: Terms, values: Terms) -> Facts:
    """Return what would set off every axiom that equates, were there one of these terms.

    Of every class two things, which have the same two values of every property: values that
    differ, for what is functional or has at most one value; the same values of two things, for
    what is inverse functional and for keys.
    """
    found: Facts = []
    for kind, which in product(classes, "ab"):
        name = kind.removeprefix(GLOST)
        thing = THING[f"{name}.{which}"]
        found.append((thing, RDF.type, kind))
        for link, value in product(links, "12"):
            other = THING[f"{name}.{link.removeprefix(GLOST)}.{value}"]
            found += [(thing, link, other), (other, RDF.type, kind)]
        found += [(thing, link, Literal(value)) for link, value in product(values, "12")]
    return found


_KINDS = (OWL.Class, OWL.ObjectProperty, OWL.DatatypeProperty)


def same(facts: Facts, schema: Graph) -> set[tuple[str, str]]:
    """Return the names that are one in the closure of a record under a schema."""
    inferred = close(facts, schema).inferred
    return {(str(s), str(o)) for s, p, o in inferred if p == OWL.sameAs and s != o}


def test_nothing_is_equated() -> None:
    classes, links, values = map(terms, _KINDS)
    assert len(classes) > 20 and len(links) > 50 and len(values) > 50
    assert same(record(classes, links, values), vocabulary()) == set()


def axiom(kind: str) -> tuple[Graph, str, str]:
    """Return an axiom that equates, and the ends of the names of two things it would equate."""
    graph = Graph()
    one, two = GLOST.Treatment, BNode()
    if kind == "key":
        graph.add((one, OWL.hasKey, two))
        Collection(graph, two, [GLOST.issuedBy, GLOST.treatmentNumber])
        return graph, "Treatment.a", "Treatment.b"
    if kind == "functional":
        graph.add((GLOST.madeBy, RDF.type, OWL.FunctionalProperty))
        return graph, "Shape.madeBy.1", "Shape.madeBy.2"
    if kind == "inverse functional":
        graph.add((GLOST.builtBy, RDF.type, OWL.InverseFunctionalProperty))
        return graph, "Kiln.a", "Kiln.b"
    graph.add((one, RDFS.subClassOf, two))
    graph.add((two, OWL.onProperty, GLOST.homeShape))
    if kind == "at most one":
        graph.add((two, OWL.maxCardinality, Literal(1)))
    else:
        graph.add((two, OWL.maxQualifiedCardinality, Literal(1)))
        graph.add((two, OWL.onClass, OWL.Thing if kind == "at most one thing" else one))
    return graph, "Treatment.homeShape.1", "Treatment.homeShape.2"


@pytest.mark.parametrize(
    "kind",
    [
        "key",
        "functional",
        "inverse functional",
        "at most one",
        "at most one thing",
        "at most one of a class",
    ],
)
def test_such_an_axiom_would_be_seen(kind: str) -> None:
    """In the part of the whole record that is of its terms: what follows from it follows there."""
    added, one, other = axiom(kind)
    part = record(
        (GLOST.Treatment, GLOST.Shape, GLOST.Kiln),
        (GLOST.issuedBy, GLOST.madeBy, GLOST.builtBy, GLOST.homeShape),
        (GLOST.treatmentNumber,),
    )
    assert set(part) <= set(record(*map(terms, _KINDS)))
    assert (str(THING[one]), str(THING[other])) in same(part, vocabulary() + added)


def test_no_axiom_of_a_form_that_equates() -> None:
    """The same, read off the triples."""
    schema = vocabulary()
    functional = (OWL.FunctionalProperty, OWL.InverseFunctionalProperty)
    assert [s for kind in functional for s in schema.subjects(RDF.type, kind)] == []
    for form in (OWL.hasKey, OWL.sameAs):
        assert list(schema.subject_objects(form)) == []
    most = (OWL.maxCardinality, OWL.maxQualifiedCardinality)
    ones = [s for p in most for s, o in schema.subject_objects(p) if int(str(o)) == 1]
    assert ones == []
