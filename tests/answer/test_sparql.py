"""Free SPARQL: every form of query, every format, and what is refused."""

import csv
import io
import json
from xml.etree import ElementTree

import pytest
from rdflib import Graph

from glost.answer.refusals import QueryError, refuse
from glost.answer.snapshot import Snapshot
from glost.answer.sparql import Result, run

BASE = "https://example.org/tarn/"
SPARQL = "{http://www.w3.org/2005/sparql-results#}"
SHAPES = "SELECT ?shape ?name { ?shape a glost:Shape ; rdfs:label ?name } ORDER BY ?name"
NAMES = ["Alder", "Birch", "Cedar", "Dune"]


def asked(snapshot: Snapshot, text: str, seconds: float | None = None) -> Result:
    return run(snapshot.answers.store, text, seconds=seconds)


def refused(text: str) -> QueryError:
    with pytest.raises(QueryError) as caught:
        refuse(text)
    return caught.value


def test_select_gives_a_table_in_the_order_of_the_query(little: Snapshot) -> None:
    result = asked(little, SHAPES)
    assert (result.form, result.variables) == ("table", ("shape", "name"))
    assert [row[1] for row in result.rows()] == NAMES
    read = list(csv.reader(io.StringIO(result.write("csv"))))
    assert read[0] == ["shape", "name"]
    assert read[1] == [f"{BASE}shape/alder", "Alder"]
    assert result.write("tsv").splitlines()[:2] == [
        "?shape\t?name",
        f'<{BASE}shape/alder>\t"Alder"',
    ]
    bindings = json.loads(result.write("json"))["results"]["bindings"]
    assert [row["name"]["value"] for row in bindings] == NAMES
    told = ElementTree.fromstring(result.write("xml"))
    assert [each.text for each in told.iter(f"{SPARQL}literal")] == NAMES
    assert next(each.text for each in told.iter(f"{SPARQL}uri")) == f"{BASE}shape/alder"


def test_empty_cells_are_empty_texts(little: Snapshot) -> None:
    result = asked(little, "SELECT ?a ?b { VALUES (?a ?b) { (1 UNDEF) } }")
    assert list(result.rows()) == [("1", "")]


def test_ask_says_yes_or_no(little: Snapshot) -> None:
    assert asked(little, "ASK { ?k a glost:TunnelKiln }")
    no = asked(little, "ASK { ?k a glost:TunnelKiln, glost:PeriodicKiln }")
    assert not no
    assert list(no.rows()) == [("no",)]
    assert json.loads(no.write("json"))["boolean"] is False


@pytest.mark.parametrize("form", ["nt", "turtle", "json-ld"])
def test_construct_and_describe_give_statements(little: Snapshot, form: str) -> None:
    made = asked(little, "CONSTRUCT { ?s glost:madeBy ?p } { ?s a glost:Shape ; glost:madeBy ?p }")
    assert made.form == "statements"
    assert len(Graph().parse(data=made.write(form), format=form)) == 4
    told = asked(little, f"DESCRIBE <{BASE}shape/alder>")
    assert f"{BASE}shape/alder" in {row[0] for row in told.rows()}


def test_a_result_is_written_only_in_formats_of_its_form(little: Snapshot) -> None:
    with pytest.raises(QueryError, match="choose nt, turtle, json-ld"):
        asked(little, "DESCRIBE glost:Shape").write("csv")
    with pytest.raises(QueryError, match="choose csv, tsv, json, xml"):
        asked(little, SHAPES).write("turtle")


def test_claims_are_reached_by_their_graphs(little: Snapshot) -> None:
    text = (
        "SELECT ?claim ?source { GRAPH ?claim { ?s glost:copiedFrom ?o } "
        "GRAPH ?record { ?claim prov:hadPrimarySource ?source } }"
    )
    assert [row[1] for row in asked(little, text).rows()] == [f"{BASE}source/book50"]


@pytest.mark.parametrize(
    ("text", "line", "column"),
    [
        ("SELECT * {\n ?s ?p }", 2, 9),
        ("SELECT * { ?s foo:bar ?o }", 1, 22),
        ("SELECT (1+ AS ?x) {}", 1, 21),
    ],
)
def test_syntax_errors_say_line_and_column(
    little: Snapshot, text: str, line: int, column: int
) -> None:
    with pytest.raises(QueryError) as caught:
        asked(little, text)
    assert caught.value.line == line
    assert abs(caught.value.column - column) <= 10
    assert f"line {line}, column {caught.value.column}: " in str(caught.value)


def test_an_unknown_prefix_is_named_as_such(little: Snapshot) -> None:
    with pytest.raises(QueryError, match="prefix is used here that is not declared"):
        asked(little, "SELECT * { ?s foo:bar ?o }")


SERVICES = [
    "SELECT * { SERVICE <http://127.0.0.1:9/> { ?s ?p ?o } }",
    "SELECT * { service silent <http://127.0.0.1:9/> { ?s ?p ?o } }",
    "PREFIX : <http://127.0.0.1:9/> SELECT * {SERVICE:x{}}",
    "PREFIX : <http://127.0.0.1:9/> SELECT * {SERVICESILENT:x{}}",
    "SELECT * { BIND(<http://127.0.0.1:9/> AS ?v) SERVICE?v{ ?s ?p ?o } }",
    "SELECT * {FILTER(1<2)SERVICE#>\n<http://127.0.0.1:9/>{}}",
    "SELECT * {FILTER(?a<'>'||1=1)SERVICE<http://127.0.0.1:9/>{}FILTER('a'='a')}",
    "SELECT * { ?s ?p ?o.SERVICE # here\n SILENT # there\n <http://127.0.0.1:9/> # so\n {} }",
    "ASK { { SELECT * { OPTIONAL { SERVICE <http://127.0.0.1:9/> {} } } } }",
]


@pytest.mark.parametrize("text", SERVICES)
def test_other_servers_are_never_asked(little: Snapshot, text: str) -> None:
    assert "SERVICE would ask another server" in refused(text).reason
    with pytest.raises(QueryError, match="SERVICE"):
        asked(little, text)


@pytest.mark.parametrize("text", [SERVICES[place] for place in (0, 2, 5, 6)])
def test_the_store_alone_would_have_asked(little: Snapshot, text: str) -> None:
    with pytest.raises(OSError, match="port 9"):
        list(little.answers.store.query(text))


@pytest.mark.parametrize(
    "text",
    [
        'SELECT * { ?s rdfs:label ?n FILTER(CONTAINS(?n, "dinner service")) }',
        "SELECT * { ?s <http://example.org/service> ?o . ?o <http://example.org/a?service> ?x }",
        "SELECT ?service { ?service glost:offeredIn ?o } # a service of plates",
        "PREFIX service: <http://example.org/> SELECT * { ?s service:plate ?o }",
        "SELECT * { ?s <urn:x:tea-service> ?o { ?s ?p ?o } }",
    ],
)
def test_the_word_alone_is_not_refused(little: Snapshot, text: str) -> None:
    refuse(text)
    asked(little, text)


@pytest.mark.parametrize(
    "text",
    [
        "LOAD <http://127.0.0.1:9/>",
        "PREFIX x: <urn:x:>\n# a comment\nINSERT DATA { x:a x:b x:c }",
        "BASE <urn:x:>\ndelete where { ?s ?p ?o }",
        "CLEAR ALL",
        "WITH <urn:x:g> DELETE { ?s ?p ?o } WHERE { ?s ?p ?o }",
    ],
)
def test_the_record_is_never_changed(little: Snapshot, text: str) -> None:
    size = len(little.answers.store)
    assert "would change the record" in refused(text).reason
    with pytest.raises(QueryError):
        asked(little, text)
    assert len(little.answers.store) == size


def test_a_process_of_its_own_answers_alike(little: Snapshot) -> None:
    for text in (SHAPES, "ASK { ?s a glost:Shape }", f"DESCRIBE <{BASE}shape/alder>"):
        assert asked(little, text, seconds=60) == asked(little, text)
    with pytest.raises(QueryError) as direct:
        asked(little, "SELECT * {\n ?s ?p }")
    with pytest.raises(QueryError) as apart:
        asked(little, "SELECT * {\n ?s ?p }", seconds=60)
    assert str(direct.value) == str(apart.value)


def test_a_query_that_takes_too_long_is_stopped(little: Snapshot) -> None:
    endless = "SELECT (COUNT(*) AS ?n) { ?a ?b ?c . ?d ?e ?f . ?g ?h ?i . ?j ?k ?l }"
    with pytest.raises(QueryError, match="stopped after 2 seconds"):
        asked(little, endless, seconds=2)
