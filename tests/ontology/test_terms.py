"""The vocabulary's own terms: described by the rules, and none missing that the tables name."""

import csv
import json
import re
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

import pyshacl
import pytest
from rdflib import Graph, Literal, URIRef
from rdflib.namespace import DCTERMS, OWL, RDF, RDFS, SKOS, TIME, DefinedNamespace

from glost.data import folder, vocabulary
from glost.names import GLOST, SCHEMES

HERE = Path(__file__).parent
ONTOLOGY = folder("ontology")
TABLES = sorted((ONTOLOGY / "tables").glob("*.json"))
STANDARD: tuple[type[DefinedNamespace], ...] = (DCTERMS, OWL, RDF, RDFS, SKOS, TIME)
VOCABULARY = Graph().parse(ONTOLOGY / "glost.ttl")
FORM = URIRef(SCHEMES + "form")
SHAPES = Graph().parse(folder("shapes_shacl") / "terms.ttl")
SOUND = """
@prefix dcterms: <http://purl.org/dc/terms/> .
@prefix glost: <https://w3id.org/glost/ontology#> .
@prefix owl: <http://www.w3.org/2002/07/owl#> .
@prefix rdfs: <http://www.w3.org/2000/01/rdf-schema#> .
@prefix skos: <http://www.w3.org/2004/02/skos/core#> .
<https://w3id.org/glost/ontology> a owl:Ontology ; dcterms:title "A title"@en ;
    dcterms:description "A description."@en ; owl:versionInfo "0.1.0" ;
    dcterms:license <https://creativecommons.org/licenses/by/4.0/> .
glost:Stilt a owl:Class ; rdfs:label "stilt"@en ;
    skos:definition "A stilt holds two pieces apart in the firing."@en ;
    skos:example "A three-armed stilt."@en ; rdfs:isDefinedBy <https://w3id.org/glost/ontology> .
<https://w3id.org/glost/form/stilt> a skos:Concept ; skos:prefLabel "stilt"@en ;
    skos:inScheme <https://w3id.org/glost/form> ; skos:topConceptOf <https://w3id.org/glost/form> ;
    skos:definition "A stilt holds two pieces apart."@en ; skos:altLabel "spur"@en ;
    skos:closeMatch <http://example.com/stilt> ;
    rdfs:isDefinedBy <https://w3id.org/glost/ontology> .
"""
SPOILT = {
    "ontology-undescribed": (' owl:versionInfo "0.1.0" ;', ""),
    "term-label": ('rdfs:label "stilt"@en ;', 'rdfs:label "Stilt"@en ;'),
    "term-definition": ("in the firing.", "in the firing"),
    "term-defined-by": (
        '"A three-armed stilt."@en ; rdfs:isDefinedBy <https://w3id.org/glost/ontology> .',
        '"A three-armed stilt."@en .',
    ),
    "class-example": (' skos:example "A three-armed stilt."@en ;', ""),
    "concept-label": ('skos:altLabel "spur"@en', 'skos:altLabel "spur"'),
    "concept-definition": ('skos:definition "A stilt holds two pieces apart."@en ;', ""),
    "concept-place": (" skos:topConceptOf <https://w3id.org/glost/form> ;", ""),
    "concept-slug": ("glost/form/stilt>", "glost/form/Stilt>"),
    "thesaurus-match": ("skos:closeMatch", "skos:exactMatch"),
}


def failing(data: Graph) -> set[str]:
    """Return the names of the shapes that `data` does not meet."""
    report = pyshacl.validate(data, shacl_graph=SHAPES, inference="none", advanced=False)[1]
    assert isinstance(report, Graph)
    query = "SELECT ?s { ?r <http://www.w3.org/ns/shacl#sourceShape> ?s FILTER(isIRI(?s)) }"
    return {str(row[0]).rsplit("#", 1)[-1] for row in report.query(query)}


def in_tables(key: str) -> Iterator[tuple[str, object]]:
    """Yield table and value of every entry of the table descriptions with the key `key`."""
    for path in TABLES:
        waiting = [json.loads(path.read_text(encoding="utf-8"))]
        while waiting:
            item = waiting.pop()
            if isinstance(item, dict):
                if key in item:
                    yield path.stem, item[key]
                waiting += item.values()
            elif isinstance(item, list):
                waiting += item


def test_the_vocabulary_and_its_schemes_are_described_by_the_rules() -> None:
    assert failing(Graph() + vocabulary()) == set()


def test_a_sound_term_and_concept_pass() -> None:
    assert failing(Graph().parse(data=SOUND)) == set()


@pytest.mark.parametrize("shape", sorted(SPOILT))
def test_each_rule_finds_what_breaks_it(shape: str) -> None:
    old, new = SPOILT[shape]
    assert SOUND.count(old) == 1
    assert failing(Graph().parse(data=SOUND.replace(old, new))) == {shape}


def test_every_rule_has_something_that_breaks_it() -> None:
    query = "SELECT ?s { ?s a <http://www.w3.org/ns/shacl#NodeShape> FILTER(isIRI(?s)) }"
    shapes = {str(row[0]).rsplit("#", 1)[-1] for row in SHAPES.query(query)}
    assert shapes == {*SPOILT, "foreign-term"}


def test_every_property_and_class_of_the_tables_is_defined() -> None:
    named = {URIRef(str(value)) for _, value in in_tables("propertyUrl")}
    named |= {
        URIRef(str(value)) for _, value in in_tables("valueUrl") if str(value).startswith(GLOST)
    }
    defined = {*VOCABULARY.subjects(RDFS.isDefinedBy)}
    unknown = {
        term for term in named - defined if not any(term in standard for standard in STANDARD)
    }
    assert len(named) > 100
    assert unknown == set()


def test_every_annotation_of_the_tables_is_defined() -> None:
    text = "".join(path.read_text(encoding="utf-8") for path in TABLES)
    used = set(re.findall(re.escape(GLOST) + r"[A-Za-z]+", text))
    assert used <= {str(term) for term in VOCABULARY.subjects(RDFS.isDefinedBy)}


def test_every_list_the_tables_refer_to_is_there() -> None:
    graph = vocabulary()
    schemes = {
        SCHEMES + str(entry).removeprefix("scheme/")
        for _, value in in_tables(str(GLOST.refersTo))
        for entry in (value if isinstance(value, list) else [value])
        if str(entry).startswith("scheme/")
    }
    assert len(schemes) == 15
    assert schemes <= {str(term) for term in graph.subjects(RDF.type, SKOS.ConceptScheme)}
    for scheme in schemes:
        assert len({*graph.subjects(SKOS.inScheme, URIRef(scheme))}) >= 2


def test_no_two_concepts_of_a_scheme_share_a_label() -> None:
    """A cell may name a concept by any label, so a label must lead to one concept."""
    graph = vocabulary()
    owners: dict[tuple[str, str], set[str]] = defaultdict(set)
    for concept, scheme in graph.subject_objects(SKOS.inScheme):
        slug = str(concept).rsplit("/", 1)[-1]
        labels = [*graph.objects(concept, SKOS.prefLabel), *graph.objects(concept, SKOS.altLabel)]
        for label in [slug, *map(str, labels)]:
            owners[str(scheme), re.sub(r"[\W_]+", "", label.casefold())].add(slug)
    assert len(owners) > 400
    assert {label: slugs for label, slugs in owners.items() if len(slugs) > 1} == {}


def ware_forms() -> list[dict[str, str]]:
    """Read the forms of the trade: *common practice*, save where the row names its source."""
    with (HERE / "ware_forms.csv").open(encoding="utf-8", newline="") as file:
        return [*csv.DictReader(line for line in file if not line.startswith("#"))]


@pytest.mark.parametrize("row", ware_forms(), ids=lambda row: row["slug"])
def test_a_form_of_the_trade_is_in_the_scheme(row: dict[str, str]) -> None:
    graph = vocabulary()
    concept = URIRef(f"{FORM}/{row['slug']}")
    kind = {"F": GLOST.FlatwareForm, "H": GLOST.HollowWareForm}[row["class"]]
    assert (concept, RDF.type, kind) in graph
    assert (concept, SKOS.scopeNote, None) in graph
    assert (row["basis"] == "census1921") == ((concept, DCTERMS.source, None) in graph)
    if row["aat"]:
        match = URIRef(f"http://vocab.getty.edu/aat/{row['aat']}")
        assert (concept, SKOS.closeMatch, match) in graph


def test_the_scheme_of_forms_is_whole() -> None:
    graph = vocabulary()
    forms = {*graph.subjects(SKOS.inScheme, FORM)}
    heads = {URIRef(f"{FORM}/flatware"), URIRef(f"{FORM}/hollow-ware")}
    assert len(ware_forms()) == 43
    assert len(forms) >= 80
    assert {*graph.subjects(SKOS.topConceptOf, FORM)} == heads
    for form in forms:
        assert len(heads & {*graph.transitive_objects(form, SKOS.broader)}) == 1


def test_matches_with_the_thesaurus_come_from_the_list() -> None:
    """Source: ``aat_ids.txt``, ids from published mapping sheets, from the thesaurus itself none."""
    lines = (HERE / "aat_ids.txt").read_text(encoding="utf-8").splitlines()
    known = {f"http://vocab.getty.edu/aat/{line}" for line in lines if line[0] != "#"}
    used = {str(match) for match in vocabulary().objects(None, SKOS.closeMatch)}
    assert len(used) > 35
    assert used <= known


def test_certainty_is_in_order() -> None:
    graph = vocabulary()
    ranks = {
        str(concept).rsplit("/", 1)[-1]: rank.toPython()
        for concept, rank in graph.subject_objects(GLOST["rank"])
        if isinstance(rank, Literal)
    }
    assert ranks == {"certain": 4, "probable": 3, "possible": 2, "doubtful": 1}


def test_the_relations_of_time_are_those_of_owl_time() -> None:
    """Source: OWL-Time (W3C Recommendation, 19 October 2017), the thirteen interval relations."""
    graph = vocabulary()
    stands_for = {
        concept: {
            str(term).removeprefix(str(TIME)) for term in graph.objects(concept, GLOST.relationOf)
        }
        for concept in graph.subjects(SKOS.inScheme, URIRef(SCHEMES + "relation"))
    }
    together = URIRef(f"{SCHEMES}relation/ran-together")
    assert stands_for.pop(together) == set()
    assert len(stands_for) == 13
    drawn = {concept: graph.value(concept, GLOST.drawing) for concept in [*stands_for, together]}
    assert len(set(map(str, drawn.values()))) == 14
    for concept, drawing in drawn.items():
        first, other = str(drawing).splitlines()
        assert (len(first), first[:7], other[:7]) == (len(other), "first  ", "other  "), concept
        assert graph.value(concept, SKOS.note), concept
    for concept, terms in stands_for.items():
        slug = str(concept).rsplit("/", 1)[-1]
        name = "interval" + "".join(part.capitalize() for part in slug.split("-"))
        assert name in terms
        assert all(TIME[term] in TIME for term in terms)
    instants = {*graph.subjects(GLOST.appliesToInstants, Literal(True))}
    assert {str(term).rsplit("/", 1)[-1] for term in instants} == {"before", "after", "equals"}
