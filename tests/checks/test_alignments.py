"""Every term the alignments name exists, and what they put under it fits its domain and range.

Sources: ``crm_713_properties.tsv`` and ``crm_713_classes.tsv`` (CIDOC CRM 7.1.3, from ECRM 240920),
``crminf_10_terms.tsv`` (CRMinf 1.0), ``oa_terms.tsv`` (W3C Web Annotation Vocabulary 2017); each
file states its standing. PROV-O and OWL-Time are checked against the terms that rdflib carries.
"""

import csv
from collections import defaultdict
from pathlib import Path

import owlrl
import pytest
from rdflib import Graph, Namespace, URIRef
from rdflib.namespace import OWL, PROV, RDF, RDFS, SKOS, TIME

from glost.data import folder
from glost.names import CRM, CRMINF, GLOST, OA
from glost.publish.data.crm import paths

HERE = Path(__file__).parent
FOLDER = folder("ontology") / "alignments"
VOCABULARY = Graph().parse(folder("ontology") / "glost.ttl")
ANYTHING = CRM["E1_CRM_Entity"]


def rows(name: str) -> list[list[str]]:
    lines = (HERE / name).read_text(encoding="utf-8").splitlines()
    return [line.split("\t") for line in lines if not line.startswith("#")]


def read(name: str) -> Graph:
    return Graph().parse(FOLDER / f"{name}.ttl")


def crm_classes() -> Graph:
    """Return the class hierarchy of the CRM, as far as it is carried."""
    graph = Graph()
    for lower, upper in rows("crm_713_classes.tsv"):
        graph.add((CRM[lower], RDFS.subClassOf, CRM[upper]))
    return graph


def crm_properties() -> dict[URIRef, tuple[str, str]]:
    return {CRM[name]: (domain, scope) for name, domain, scope in rows("crm_713_properties.tsv")}


def named(graph: Graph, namespace: Namespace) -> set[str]:
    """Return the local names of every term of a namespace that a graph speaks of."""
    terms = {*graph.subjects(), *graph.predicates(), *graph.objects()}
    return {str(term).removeprefix(namespace) for term in terms if str(term).startswith(namespace)}


def above(graph: Graph, term: URIRef) -> set[URIRef]:
    return {*graph.transitive_objects(term, RDFS.subClassOf)}


def test_the_crm_tables_are_whole() -> None:
    assert len(crm_properties()) == 309
    assert len(crm_classes()) == 89


def test_every_crm_term_exists() -> None:
    classes = {name for pair in rows("crm_713_classes.tsv") for name in pair}
    properties = {str(name).removeprefix(CRM) for name in crm_properties()}
    used = named(read("crm"), CRM)
    assert len(used) >= 35
    assert used <= classes | properties


def test_the_crm_tables_speak_of_the_same_classes() -> None:
    """A misspelt class would be the end of no property; these are the end of none anyway."""
    spoken = {name for _, *ends in rows("crm_713_properties.tsv") for name in ends if name}
    carried = {name for pair in rows("crm_713_classes.tsv") for name in pair}
    bare = {
        "E20_Biological_Object", "E22_Human-Made_Object", "E25_Human-Made_Feature", "E27_Site",
        "E33_E41_Linguistic_Appellation", "E34_Inscription", "E37_Mark",
    }  # fmt: skip
    assert carried - spoken == bare


SSSOM = FOLDER / "near_matches.sssom.tsv"


def matches() -> tuple[dict[str, str], list[dict[str, str]]]:
    """Return the metadata and the rows of the near matches, every CURIE of these written out.

    SSSOM 1.0: metadata stand as YAML in comments before the header of the table.
    """
    lines = SSSOM.read_text(encoding="utf-8").splitlines()
    head = [line[1:] for line in lines if line.startswith("#")]
    prefixes = dict(line.strip().split(": ", 1) for line in head if line.startswith("  "))
    told = dict(line.split(": ", 1) for line in head if line[0] != " " and ": " in line)
    found = list(csv.DictReader(lines[len(head) :], delimiter="\t"))
    for row in found:
        for column in ("subject_id", "predicate_id", "object_id", "mapping_justification"):
            prefix, _, name = row[column].partition(":")
            row[column] = prefixes[prefix] + name
    return told, found


def test_near_matches_have_what_sssom_asks_for() -> None:
    told, found = matches()
    assert {"license", "mapping_set_id", "sssom_version"} <= set(told)
    assert len(found) > 15
    semapv = "https://w3id.org/semapv/vocab/ManualMappingCuration"
    assert {row["mapping_justification"] for row in found} == {semapv}
    assert {row["predicate_id"] for row in found} <= {str(SKOS.closeMatch), str(SKOS.relatedMatch)}
    assert all(row["comment"].endswith(".") for row in found)
    keys = {(row["subject_id"], row["object_id"]) for row in found}
    assert len(keys) == len(found)


def test_near_matches_are_of_terms_that_exist_and_are_what_they_are_said_to_be() -> None:
    kinds = {"owl class": OWL.Class, "owl object property": OWL.ObjectProperty,
             "owl data property": OWL.DatatypeProperty}  # fmt: skip
    known = {str(CRM) + name for pair in rows("crm_713_classes.tsv") for name in pair}
    known |= {str(CRMINF) + row[0] for row in rows("crminf_10_terms.tsv")}
    known |= {str(OA) + row[0] for row in rows("oa_terms.tsv")}
    for row in matches()[1]:
        assert (URIRef(row["subject_id"]), RDF.type, kinds[row["subject_type"]]) in VOCABULARY, row
        other = URIRef(row["object_id"])
        assert row["object_id"] in known or any(
            other.startswith(str(space)) and other in space for space in (PROV, TIME)
        ), row


def test_no_class_or_property_is_matched_by_skos() -> None:
    """SKOS matches are of concepts."""
    for path in FOLDER.glob("*.ttl"):
        assert "Match" not in path.read_text(encoding="utf-8"), path


SUB_PROPERTIES = sorted(read("crm").subject_objects(RDFS.subPropertyOf))


@pytest.fixture(scope="module")
def with_crm() -> Graph:
    return VOCABULARY + read("crm") + crm_classes()


@pytest.mark.parametrize(
    ("ours", "theirs"), SUB_PROPERTIES, ids=lambda term: str(term).rsplit("/", 1)[-1]
)
def test_domain_and_range_fit_the_crm(with_crm: Graph, ours: URIRef, theirs: URIRef) -> None:
    supers = {*VOCABULARY.transitive_objects(ours, RDFS.subPropertyOf)}
    for end, name in zip((RDFS.domain, RDFS.range), crm_properties()[theirs], strict=True):
        wanted = CRM[name]
        stated = {kind for term in supers for kind in VOCABULARY.objects(term, end)}
        reached = {upper for kind in stated for upper in above(with_crm, kind)}
        assert wanted == ANYTHING or wanted in reached, f"{end}: {name}"


def test_there_are_properties_to_fit() -> None:
    assert len(SUB_PROPERTIES) >= 35


def test_no_class_is_made_impossible() -> None:
    """A member of each class, with the disjointness the standards state, is no contradiction.

    CIDOC CRM: E2 is disjoint with E77 (scope note of E2). PROV-O: an entity is no activity.
    """
    graph = VOCABULARY + read("crm") + read("prov") + crm_classes()
    graph.add((CRM["E2_Temporal_Entity"], OWL.disjointWith, CRM["E77_Persistent_Item"]))
    graph.add((PROV.Entity, OWL.disjointWith, PROV.Activity))
    classes = [term for term in graph.subjects(RDF.type, OWL.Class) if str(term).startswith(GLOST)]
    assert len(classes) >= 32
    for term in classes:
        graph.add((URIRef(f"http://example.com/one/{term}"), RDF.type, term))
    closure = owlrl.OWLRL_Semantics(graph, axioms=False, daxioms=False, rdfs=False)
    closure.closure()
    assert closure.error_messages == []


def test_every_crminf_term_exists() -> None:
    used = named(read("crminf"), CRMINF)
    assert used
    assert used <= {row[0] for row in rows("crminf_10_terms.tsv")}


def test_crminf_agrees_with_the_crm_on_what_is_an_event_and_what_is_not(with_crm: Graph) -> None:
    """A class under both stands under the CRM class that the CRMinf class stands under."""
    upper = {CRMINF[row[0]]: CRM[row[1]] for row in rows("crminf_10_terms.tsv") if row[2] == ""}
    pairs = [*read("crminf").subject_objects(RDFS.subClassOf)]
    assert len(pairs) == 3
    for ours, theirs in pairs:
        assert upper[theirs] in above(with_crm, ours)


def test_every_web_annotation_term_exists() -> None:
    used = named(read("oa"), Namespace(OA))
    assert used
    assert used <= {row[0] for row in rows("oa_terms.tsv")}


@pytest.mark.parametrize(("name", "namespace"), [("prov", PROV), ("time", TIME)])
def test_every_term_is_one_that_rdflib_carries(name: str, namespace: type) -> None:
    used = named(read(name), Namespace(str(namespace)))
    assert used
    assert [term for term in sorted(used) if URIRef(str(namespace) + term) not in namespace] == []


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.ttl")), ids=lambda path: path.stem)
def test_what_is_aligned_is_defined(path: Path) -> None:
    ours = defaultdict(int)
    for subject, predicate, _ in Graph().parse(path):
        if predicate in (RDFS.subClassOf, RDFS.subPropertyOf):
            ours[subject] += 1
    defined = {*VOCABULARY.subjects(RDFS.isDefinedBy), SKOS.Concept}
    assert ours
    assert {*ours} <= defined


def test_what_one_step_says_stands_in_the_table_of_paths_too() -> None:
    """The alignment, for those who reason, and the paths, for those who map, do not part."""
    inverse = {"shownOn", "decalShownOn", "usedIn"}
    steps = {
        (str(path.mapped), chain[1])
        for path in paths()
        for chain in path.chains
        if len(chain) == 3 and not path.point
    }
    for ours, theirs in SUB_PROPERTIES:
        if str(ours).removeprefix(GLOST) not in inverse:
            assert (str(ours), str(theirs).removeprefix(CRM)) in steps, ours
