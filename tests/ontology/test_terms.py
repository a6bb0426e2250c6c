"""The vocabulary's own terms: described by the rules, and none missing that the tables name."""

import csv
import json
import re
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

import pyshacl
import pytest
from rdflib import Graph, Literal, Namespace, URIRef
from rdflib.namespace import DC, DCTERMS, OWL, RDF, RDFS, SDO, SKOS, TIME, DefinedNamespace

import glost
from glost.data import folder, vocabulary
from glost.names import GLOST, SCHEMES
from glost.names import TABLES as TABLES_OF

HERE = Path(__file__).parent
ONTOLOGY = folder("ontology")
TABLES = sorted((ONTOLOGY / "tables").glob("*.json"))
VANN = Namespace("http://purl.org/vocab/vann/")
VS = Namespace("http://www.w3.org/2003/06/sw-vocab-status/ns#")
STANDARD: tuple[type[DefinedNamespace], ...] = (DC, DCTERMS, OWL, RDF, RDFS, SKOS, TIME)
VOCABULARY = Graph().parse(ONTOLOGY / "glost.ttl")
FORM = URIRef(SCHEMES + "form")
SHAPES = Graph().parse(folder("shapes_shacl") / "terms.ttl")
SOUND = """
@prefix dcterms: <http://purl.org/dc/terms/> .
@prefix glost: <https://w3id.org/glost/ontology#> .
@prefix owl: <http://www.w3.org/2002/07/owl#> .
@prefix rdfs: <http://www.w3.org/2000/01/rdf-schema#> .
@prefix skos: <http://www.w3.org/2004/02/skos/core#> .
@prefix vann: <http://purl.org/vocab/vann/> .
@prefix vs: <http://www.w3.org/2003/06/sw-vocab-status/ns#> .
@prefix xsd: <http://www.w3.org/2001/XMLSchema#> .
<https://w3id.org/glost/ontology> a owl:Ontology ; dcterms:title "A title"@en ;
    dcterms:description "A description."@en ; owl:versionInfo "0.1.0" ;
    owl:versionIRI <https://w3id.org/glost/ontology/0.1.0> ;
    dcterms:creator <https://w3id.org/glost/contributors> ; dcterms:created "2026-11-25"^^xsd:date ;
    vann:preferredNamespacePrefix "glost" ; vann:preferredNamespaceUri "https://w3id.org/glost/" ;
    dcterms:license <https://creativecommons.org/licenses/by/4.0/> .
glost:Stilt a owl:Class ; rdfs:label "stilt"@en ;
    skos:definition "A stilt holds two pieces apart in the firing."@en ;
    skos:scopeNote "A sagger pin is none."@en ; vs:term_status "stable" ;
    dcterms:subject <https://w3id.org/glost/topic/kilns> ;
    skos:example "A three-armed stilt."@en ; rdfs:isDefinedBy <https://w3id.org/glost/ontology> .
glost:points a owl:DatatypeProperty ; rdfs:label "points"@en ; rdfs:domain glost:Stilt ;
    skos:definition "The number is how many points the stilt stands on."@en ;
    skos:example "A stilt stands on three."@en ; vs:term_status "testing" ; rdfs:range xsd:integer ;
    dcterms:subject <https://w3id.org/glost/topic/kilns> ;
    rdfs:isDefinedBy <https://w3id.org/glost/ontology> .
glost:spurs a owl:DatatypeProperty ; rdfs:label "spurs"@en ; owl:deprecated true ;
    skos:definition "The number is how many points the stilt stands on."@en ;
    dcterms:isReplacedBy glost:points ; vs:term_status "archaic" ;
    skos:historyNote "Renamed in version 0.1.0."@en ;
    rdfs:isDefinedBy <https://w3id.org/glost/ontology> .
<https://w3id.org/glost/form/stilt> a skos:Concept ; skos:prefLabel "stilt"@en ;
    skos:inScheme <https://w3id.org/glost/form> ; skos:topConceptOf <https://w3id.org/glost/form> ;
    skos:definition "A stilt holds two pieces apart."@en ; skos:altLabel "spur"@en ;
    skos:closeMatch <http://example.com/stilt> ; skos:notation "stilt" ;
    dcterms:source <https://w3id.org/glost/ground/common-practice> ;
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
    "term-example": ('skos:example "A stilt stands on three."@en ;', ""),
    "class-scope-note": ('skos:scopeNote "A sagger pin is none."@en ;', ""),
    "term-status": ("dcterms:isReplacedBy glost:points ;", ""),
    "term-topic": (
        'vs:term_status "stable" ;\n    dcterms:subject',
        'vs:term_status "stable" ; dcterms:type',
    ),
    "property-scope": (" rdfs:range xsd:integer ;", ""),
    "concept-notation": (' skos:notation "stilt" ;', ""),
    "concept-source": ("dcterms:source <https://w3id.org/glost/ground/common-practice> ;", ""),
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
    assert shapes == {*SPOILT, "foreign-term", "former-term"}


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
    used = set(re.findall(re.escape(TABLES_OF) + r"[A-Za-z]+", text))
    described = Graph().parse(ONTOLOGY / "tables.ttl").subjects(RDF.type, OWL.AnnotationProperty)
    assert used == {str(term) for term in described}


def test_nothing_names_a_term_by_a_name_that_it_had() -> None:
    """Table descriptions, alignments, constraints and questions, by the words themselves."""
    former = {str(term).removeprefix(GLOST) for term in VOCABULARY.subjects(OWL.deprecated)}
    assert len(former) >= 9
    every = "|".join(sorted(former))
    pattern = re.compile(rf"(?:glost:|{re.escape(GLOST)})({every})\b")
    texts = [*TABLES, *(ONTOLOGY / "alignments").iterdir(), *folder("shapes_shacl").rglob("*.t*")]
    texts += (Path(glost.__file__).parent / "answer" / "questions").rglob("*.rq")
    assert len(texts) > 70
    found = {path.name: pattern.findall(path.read_text(encoding="utf-8")) for path in texts}
    assert {name: names for name, names in found.items() if names} == {}
    for term in VOCABULARY.subjects(OWL.deprecated):
        (new,) = VOCABULARY.objects(term, DCTERMS.isReplacedBy)
        assert (new, VS.term_status, Literal("stable")) in vocabulary()


def test_lists_that_properties_choose_from_are_those_of_the_tables() -> None:
    """``glost:valuesFrom`` beside the table descriptions, which readers of cells go by."""
    told: dict[str, set[str]] = defaultdict(set)
    for path in TABLES:
        for column in json.loads(path.read_text(encoding="utf-8"))["tableSchema"]["columns"]:
            for entry in column.get(str(TABLES_OF.refersTo), ()):
                if entry.startswith("scheme/") and column.get("propertyUrl", "").startswith(GLOST):
                    told[column["propertyUrl"]].add(SCHEMES + entry.removeprefix("scheme/"))
    said: dict[str, set[str]] = defaultdict(set)
    for term, scheme in VOCABULARY.subject_objects(GLOST.valuesFrom):
        said[str(term)].add(str(scheme))
        assert (scheme, RDF.type, SKOS.ConceptScheme) in vocabulary()
    assert len(told) == 19
    assert {term: said[term] for term in told} == told
    others = {term.removeprefix(GLOST) for term in set(said) - set(told)}
    assert others == {"certainty", "judgedForm", "sizedBy", "wareClass"}


def test_what_tables_say_of_a_thing_may_be_said_of_it() -> None:
    """Each column's property against the class that the same row gives what the column is about."""
    asked = 0
    for path in TABLES:
        schema = json.loads(path.read_text(encoding="utf-8"))["tableSchema"]
        about = schema.get("aboutUrl", "")
        columns = [
            (c.get("aboutUrl", about), c.get("propertyUrl", ""), c) for c in schema["columns"]
        ]
        kinds = {of: c["valueUrl"] for of, said, c in columns if said == str(RDF.type)}
        for of, said, _ in columns:
            if of in kinds and said.startswith(GLOST):
                near = {*VOCABULARY.transitive_objects(URIRef(kinds[of]), RDFS.subClassOf)}
                near |= {
                    *VOCABULARY.subjects(RDFS.subClassOf, URIRef(kinds[of]))
                }  # as tunnel kilns
                whose = {*VOCABULARY.objects(URIRef(said), RDFS.domain)}
                whose |= {*VOCABULARY.objects(URIRef(said), SDO.domainIncludes)}
                assert near & whose, (path.stem, said)
                asked += 1
    assert asked > 150


def test_three_properties_have_an_inverse_as_the_header_says() -> None:
    pairs = {str(term).removeprefix(GLOST) for term in VOCABULARY.subjects(OWL.inverseOf)}
    assert pairs == {"shownOn", "usedIn", "decalShownOn"}
    notes = [*map(str, VOCABULARY.objects(URIRef(str(GLOST)[:-1]), VANN.usageNote))]
    (policy,) = (note for note in notes if note.startswith("Inverses: "))
    labels = {str(VOCABULARY.value(GLOST[name], RDFS.label)) for name in pairs}
    assert all(label in policy for label in labels)
    begins = {note.partition(":")[0] for note in notes}
    assert begins == {
        "Status",
        "Former names",
        "Inverses",
        "Domains and ranges",
        "Concept schemes",
        "Languages",
        "Measures",
    }


def test_the_header_tells_its_versions() -> None:
    (whole,) = VOCABULARY.subjects(RDF.type, OWL.Ontology)
    version = str(VOCABULARY.value(whole, OWL.versionInfo))
    assert VOCABULARY.value(whole, OWL.versionIRI) == URIRef(f"{whole}/{version}")
    prior = str(VOCABULARY.value(whole, OWL.priorVersion)).rpartition("/")[2]
    assert prior < version
    assert (ONTOLOGY / "migrations" / f"{version}.ru").is_file()


def test_each_text_says_its_language_and_each_term_its_topic() -> None:
    graph = vocabulary()
    texts = (RDFS.label, SKOS.prefLabel, SKOS.altLabel, SKOS.definition, SKOS.scopeNote, SKOS.note,
             SKOS.example, SKOS.historyNote, DCTERMS.title, DCTERMS.description)  # fmt: skip
    untagged = {
        (subject, text)
        for predicate in texts
        for subject, text in graph.subject_objects(predicate)
        if not (isinstance(text, Literal) and text.language == "en")
    }
    assert untagged == set()
    topics = {*graph.subjects(SKOS.inScheme, URIRef(SCHEMES + "topic"))}
    assert {*graph.objects(None, DCTERMS.subject)} == topics


def test_links_within_schemes_are_told_from_both_ends() -> None:
    """Top concepts and narrower ones, so that a scheme is walked from its head without inference."""
    graph = vocabulary()
    tops = {(scheme, top) for top, scheme in graph.subject_objects(SKOS.topConceptOf)}
    assert {*graph.subject_objects(SKOS.hasTopConcept)} == tops
    down = {(wide, narrow) for narrow, wide in graph.subject_objects(SKOS.broader)}
    assert {*graph.subject_objects(SKOS.narrower)} == down
    assert len(tops) > 100 and len(down) > 100
    for scheme in graph.subjects(RDF.type, SKOS.ConceptScheme):
        assert (scheme, SKOS.hasTopConcept, None) in graph


def test_notations_are_what_cells_hold_and_sources_what_there_is() -> None:
    graph = vocabulary()
    grounds = {*graph.subjects(SKOS.inScheme, URIRef(SCHEMES + "ground"))}
    standards = {"https://www.w3.org/TR/2017/REC-owl-time-20171019/",
                 "https://www.w3.org/TR/2009/REC-skos-reference-20090818/"}  # fmt: skip
    named = set()
    for concept in graph.subjects(SKOS.inScheme):
        assert graph.value(concept, SKOS.notation) == Literal(str(concept).rpartition("/")[2])
        sources = {*graph.objects(concept, DCTERMS.source)}
        assert sources <= grounds | {*map(URIRef, standards)}, concept
        named |= sources
    assert grounds <= named
    works = {str(each) for each in graph.objects(None, DCTERMS.bibliographicCitation)}
    assert len(works) == 3
    assert all("1921" in each or each.endswith("Cited from memory.") for each in works)


def test_sizes_of_forms_are_data() -> None:
    """*Common practice*: how the trade told sizes apart, a few forms of it by hand."""
    graph = vocabulary()
    habits = {*graph.subjects(SKOS.inScheme, URIRef(SCHEMES + "size-habit"))}
    forms = {*graph.subjects(SKOS.inScheme, FORM)}
    heads = {*graph.subjects(SKOS.topConceptOf, FORM)}
    assert {*graph.subjects(GLOST.sizedBy)} == forms - heads
    assert {*graph.objects(None, GLOST.sizedBy)} == habits
    told = {
        form: (
            {
                str(o).rpartition("/")[2]
                for o in graph.objects(URIRef(f"{FORM}/{form}"), GLOST.sizedBy)
            },
            {str(o) for o in graph.objects(URIRef(f"{FORM}/{form}"), GLOST.usualSize)},
        )
        for form in ("jug", "bowl", "dessert-plate", "saucer")
    }
    assert told == {
        "jug": ({"count"}, {"6s", "12s", "24s", "30s", "36s", "42s", "48s"}),
        "bowl": ({"count"}, {"24s", "30s", "36s"}),
        "dessert-plate": ({"trade-inches"}, {"5 in"}),
        "saucer": ({"piece-it-goes-with"}, set()),
    }
    butter = graph.value(URIRef(f"{FORM}/covered-butter"), GLOST.usualParts)
    assert butter == Literal(3)


def test_every_list_the_tables_refer_to_is_there() -> None:
    graph = vocabulary()
    schemes = {
        SCHEMES + str(entry).removeprefix("scheme/")
        for _, value in in_tables(str(TABLES_OF.refersTo))
        for entry in (value if isinstance(value, list) else [value])
        if str(entry).startswith("scheme/")
    }
    assert len(schemes) == 17
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
    census = URIRef(SCHEMES + "ground/occupational-terms")
    assert (row["basis"] == "census1921") == ((concept, DCTERMS.source, census) in graph)
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
