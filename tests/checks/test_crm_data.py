"""What is published in CIDOC CRM fits the CRM, and answers questions as the record itself does.

Domains, ranges and classes: ``crm_713_properties.tsv`` and ``crm_713_classes.tsv`` (ECRM 240920).
Questions: ``crm_questions/``, each the namesake of a named question, in terms of the CRM alone; the
variables it gives are the columns it is compared in.
"""

import re
from collections import defaultdict
from pathlib import Path

import pyoxigraph as ox
import pytest

from glost.answer.questions import question
from glost.answer.snapshot import Snapshot
from glost.publish.data.crm import crm_turtle, paths
from glost.publish.site.holdings import SiteContents

HERE = Path(__file__).parent
CRM = "http://www.cidoc-crm.org/cidoc-crm/"
TYPE = "http://www.w3.org/1999/02/22-rdf-syntax-ns#type"
WEND = "https://example.org/wend/"
QUESTIONS = sorted((HERE / "crm_questions").glob("*.rq"))


@pytest.fixture(scope="module")
def store(valley_held: SiteContents) -> ox.Store:
    made = ox.Store()
    made.bulk_load(crm_turtle(valley_held), format=ox.RdfFormat.TURTLE, lenient=True)
    return made


def rows(name: str) -> list[list[str]]:
    lines = (HERE / name).read_text(encoding="utf-8").splitlines()
    return [line.split("\t") for line in lines if not line.startswith("#")]


def upper() -> dict[str, set[str]]:
    """Return each class with all above it, itself among them."""
    direct = defaultdict(set)
    for lower, above in rows("crm_713_classes.tsv"):
        direct[lower].add(above)
    found: dict[str, set[str]] = {}

    def climb(name: str) -> set[str]:
        if name not in found:
            found[name] = {name}.union(*(climb(each) for each in direct[name]))
        return found[name]

    for name in list(direct):
        climb(name)
    found["E1_CRM_Entity"] = {"E1_CRM_Entity"}
    return found


def misfits(quads: list[ox.Quad]) -> set[tuple[str, str]]:
    """Return each property with what is wrong with a statement of it."""
    above, kinds = upper(), defaultdict(set)
    for quad in quads:
        if quad.predicate.value == TYPE and quad.object.value.startswith(CRM):
            kinds[quad.subject] |= above[quad.object.value.removeprefix(CRM)]
    ends = {name: (domain, scope) for name, domain, scope in rows("crm_713_properties.tsv")}
    found = set()
    for quad in quads:
        name = quad.predicate.value.removeprefix(CRM)
        if name == quad.predicate.value:
            continue
        if name not in ends:
            found.add((name, "no such property"))
            continue
        domain, scope = ends[name]
        if domain not in kinds[quad.subject]:
            found.add((name, "domain"))
        literal = isinstance(quad.object, ox.Literal)
        if literal == bool(scope) or (not literal and scope not in kinds[quad.object]):
            found.add((name, "range"))
    return found


def test_every_statement_fits_the_domain_and_range_of_its_property(store: ox.Store) -> None:
    quads = list(store)
    assert len(quads) > 100_000
    assert misfits(quads) == set()


def test_misfits_are_found() -> None:
    """The check above is not empty: a firm that is a production, as one often sees it."""
    piece, firm = ox.NamedNode("https://e.org/p"), ox.NamedNode("https://e.org/f")
    kinds = ((piece, "E22_Human-Made_Object"), (firm, "E74_Group"))
    quads = [ox.Quad(one, ox.NamedNode(TYPE), ox.NamedNode(CRM + kind)) for one, kind in kinds]
    made = ox.Quad(piece, ox.NamedNode(f"{CRM}P108i_was_produced_by"), firm)
    assert misfits([*quads, made]) == {("P108i_was_produced_by", "range")}


@pytest.mark.parametrize("path", QUESTIONS, ids=lambda path: path.stem)
def test_a_question_is_answered_as_the_record_answers_it(
    path: Path, store: ox.Store, valley: Snapshot
) -> None:
    text = path.read_text(encoding="utf-8")
    parameters = dict(re.findall(r"(\w+)=(\S+)", text.partition("\n")[0]))
    told = store.query(text)
    assert isinstance(told, ox.QuerySolutions)
    columns = [each.value for each in told.variables]
    found = {tuple(each.value if each else "" for each in row) for row in told}
    answer = valley.answers.ask(path.stem, **parameters)
    places = [
        [name for name, _ in question(path.stem).header.columns].index(each) for each in columns
    ]
    native = {
        tuple(str(row.values[at]) if row.values[at] is not None else "" for at in places)
        for row in answer.rows
    }
    if path.stem == "runs-reckoned":
        native = {least_extent(row) for row in native}
    assert found == native
    assert len(found) > 3


def least_extent(row: tuple[str, ...]) -> tuple[str, ...]:
    """Leave out bounds of a least extent (P81) where there is none: it may begin after its end."""
    shape, begun_from, begun_by, ended_from, ended_by = row
    if begun_by and ended_from and begun_by > ended_from:
        return (shape, begun_from, "", "", ended_by)
    return row


def test_questions_are_those_that_the_crm_can_hold() -> None:
    assert len(QUESTIONS) >= 10
    for path in QUESTIONS:
        assert "glost/ontology" not in path.read_text(encoding="utf-8")


def ask(store: ox.Store, text: str) -> list[tuple[str, ...]]:
    told = store.query(f"PREFIX crm: <{CRM}> PREFIX i: <{CRM[:-11]}/extensions/crminf/> {text}")
    assert isinstance(told, ox.QuerySolutions)
    return [tuple(str(each.value) for each in row) for row in told]


def test_every_claim_has_content_and_says_whether_it_stands(
    store: ox.Store, valley: Snapshot
) -> None:
    claims = {str(claim.iri) for claim in valley.record.claims}
    told = dict(
        ask(
            store,
            "SELECT DISTINCT ?claim ?status { ?claim a i:I4_Proposition_Set ; crm:P2_has_type ?status }",
        )
    )
    assert claims <= set(told)
    gone = {name for name, status in told.items() if status.endswith("/withdrawn")}
    assert {name for name in gone if "#" not in name} == {
        str(each) for each in valley.belief.withdrawn
    }
    assert any("#withdrawn-" in name for name in gone)
    held = {
        row[0]
        for row in ask(
            store,
            "SELECT DISTINCT ?claim { ?adopting i:J6_adopted ?belief . ?belief i:J4_that ?claim ; i:J5_holds_to_be ?value . ?adopting crm:P9_consists_of ?one . ?one crm:P140_assigned_attribute_to ?x ; crm:P141_assigned ?y ; crm:P177_assigned_property_of_type ?z }",
        )
    }
    assert claims <= held


def test_time_spans_have_bounds_in_order(store: ox.Store) -> None:
    bound = "VALUES ?p { crm:P82a_begin_of_the_begin crm:P82b_end_of_the_end crm:P81a_end_of_the_begin crm:P81b_begin_of_the_end } ?span ?p ?day"
    spans = {row[0] for row in ask(store, "SELECT ?span { ?span a crm:E52_Time-Span }")}
    bounded = {row[0] for row in ask(store, f"SELECT DISTINCT ?span {{ {bound} }}")}
    assert len(spans) > 1000
    assert len(spans - bounded) < 20
    kinds = ask(store, f"SELECT DISTINCT (DATATYPE(?day) AS ?kind) {{ {bound} }}")
    assert kinds == [("http://www.w3.org/2001/XMLSchema#dateTime",)]
    crossed = "SELECT ?s { ?s crm:P82a_begin_of_the_begin ?a ; crm:P82b_end_of_the_end ?b FILTER(?a > ?b) }"
    least = "SELECT ?s { ?s crm:P81a_end_of_the_begin ?a ; crm:P81b_begin_of_the_end ?b FILTER(?a > ?b) }"
    assert ask(store, least) == []
    assert ask(store, crossed) == []


def test_a_source_and_the_paper_it_is_on_are_two_things(store: ox.Store) -> None:
    both = "SELECT ?s { ?s a crm:E31_Document , crm:E22_Human-Made_Object }"
    assert ask(store, both) == []
    kept = "SELECT ?source { ?paper crm:P128_carries ?source ; crm:P50_has_current_keeper ?keeper }"
    assert len(ask(store, kept)) > 20


def test_every_path_has_a_reason_and_is_of_terms_that_exist() -> None:
    known = {row[0] for row in rows("crm_713_properties.tsv")} | set(upper())
    assert len(paths()) > 100
    for path in paths():
        assert path.reason.endswith(".") and len(path.reason) > 15, path
        terms = re.findall(r"[: ]([EP]\d+\w*_[\w-]+)", path.text)
        assert terms or "rdfs:label" in path.text, path
        assert set(terms) <= known, path
