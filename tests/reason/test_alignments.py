"""The vocabulary with all its alignments: closed together, nothing contradicts anything."""

from pathlib import Path

from rdflib import Graph, Namespace
from rdflib.namespace import OWL, PROV, RDF

from glost.reason.closure import close

ONTOLOGY = Path(__file__).resolve().parents[2] / "ontology"
GLOST = Namespace("https://w3id.org/glost/ontology#")
CRM = "http://www.cidoc-crm.org/cidoc-crm/"
THING = Namespace("https://example.org/alignments/")


def whole() -> Graph:
    """Read the vocabulary and its alignments."""
    files = sorted(ONTOLOGY.rglob("*.ttl"))
    assert {f.name for f in files} >= {"glost.ttl", "crm.ttl", "prov.ttl"}
    graph = Graph()
    for file in files:
        graph.parse(file)
    return graph


def test_the_alignments_clash_with_nothing():
    schema = whole()
    assert close(schema, schema).clashes == ()


def test_every_class_of_the_vocabulary_can_have_a_member():
    schema = whole()
    classes = {c for c in schema.subjects(RDF.type, OWL.Class) if str(c).startswith(str(GLOST))}
    assert len(classes) > 20
    facts = [(THING[str(c).removeprefix(str(GLOST))], RDF.type, c) for c in classes]
    assert close(facts, schema).clashes == ()


def test_things_of_the_vocabulary_are_things_of_cidoc_crm_and_prov():
    facts = [(THING.piece, RDF.type, GLOST.Piece), (THING.works, RDF.type, GLOST.Pottery)]
    closure = close(facts, whole())
    classes = {str(o) for _, p, o in closure.inferred if p == RDF.type}
    assert any(c.startswith(CRM) for c in classes)
    assert any(c.startswith(str(PROV)) for c in classes)
    assert closure.clashes == ()
