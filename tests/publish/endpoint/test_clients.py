"""Clients that others wrote: SPARQLWrapper and rdflib's SPARQLStore."""

from urllib.error import HTTPError

import pytest
from rdflib import Graph, URIRef
from rdflib.namespace import RDF, RDFS
from rdflib.plugins.stores.sparqlstore import SPARQLStore
from SPARQLWrapper import CSV, GET, JSON, JSONLD, POST, POSTDIRECTLY, RDFXML, TSV, TURTLE, XML
from SPARQLWrapper import SPARQLWrapper as Wrapper
from SPARQLWrapper.SPARQLExceptions import EndPointInternalError, QueryBadFormed

from glost.names import GLOST

BASE = "https://example.org/shelf/"
SHAPES = """PREFIX glost: <https://w3id.org/glost/ontology#>
PREFIX rdfs: <http://www.w3.org/2000/01/rdf-schema#>
SELECT ?shape ?name { ?shape a glost:Shape ; rdfs:label ?name } ORDER BY ?name"""
MADE = """PREFIX glost: <https://w3id.org/glost/ontology#>
CONSTRUCT { ?s a glost:Shape } WHERE { ?s a glost:Shape }"""
COUNT = "SELECT (COUNT(*) AS ?n) WHERE { ?s ?p ?o }"


@pytest.fixture
def wrapper(address: str) -> Wrapper:
    return Wrapper(f"{address}sparql")


@pytest.mark.parametrize("method", [GET, POST])
@pytest.mark.parametrize("direct", [False, True])
def test_sparqlwrapper_gets_tables(wrapper: Wrapper, method: str, direct: bool) -> None:
    wrapper.setMethod(method)
    if direct and method == POST:
        wrapper.setRequestMethod(POSTDIRECTLY)
    wrapper.setQuery(SHAPES)
    wrapper.setReturnFormat(JSON)
    rows = wrapper.query().convert()["results"]["bindings"]
    assert [row["name"]["value"] for row in rows] == ["Alder", "Birch"]
    wrapper.setReturnFormat(XML)
    assert "Alder" in wrapper.query().convert().toxml()
    for form in (CSV, TSV):
        wrapper.setReturnFormat(form)
        assert b"Birch" in wrapper.query().convert()


def test_sparqlwrapper_gets_statements(wrapper: Wrapper) -> None:
    wrapper.setQuery(MADE)
    for form in (RDFXML, JSONLD):
        wrapper.setReturnFormat(form)
        graph = wrapper.query().convert()
        assert {str(s) for s in graph.subjects(RDF.type, GLOST.Shape)} == {
            f"{BASE}shape/alder",
            f"{BASE}shape/birch",
        }
    wrapper.setReturnFormat(TURTLE)
    assert len(Graph().parse(data=wrapper.query().convert(), format="turtle")) == 2


def test_sparqlwrapper_names_graphs_and_hears_what_is_wrong(wrapper: Wrapper) -> None:
    wrapper.setReturnFormat(JSON)

    def count() -> int:
        wrapper.setQuery(COUNT)
        return int(wrapper.query().convert()["results"]["bindings"][0]["n"]["value"])

    whole = count()
    wrapper.addDefaultGraph(f"{BASE}record")
    assert 0 < count() < whole
    wrapper.setQuery("SELECT * {")
    with pytest.raises(QueryBadFormed, match=r"before every \{ is closed") as malformed:
        wrapper.query()
    wrapper.setQuery("SELECT * { ?a ?b ?c . ?d ?e ?f }")
    with pytest.raises(EndPointInternalError, match="more than 2,000 rows") as stopped:
        wrapper.query()
    # SPARQLWrapper 2.0 leaves the answer of an error open, of which Python 3.14 warns.
    for caught in (malformed, stopped):
        answer = caught.value.__context__
        assert isinstance(answer, HTTPError)
        answer.close()


@pytest.mark.parametrize("method", ["GET", "POST", "POST_FORM"])
def test_rdflib_reads_the_endpoint_as_a_graph(address: str, method: str) -> None:
    store = SPARQLStore(f"{address}sparql", method=method, returnFormat="xml")
    graph = Graph(store)
    assert str(graph.value(URIRef(f"{BASE}shape/alder"), RDFS.label)) == "Alder"
    rows = graph.query(SHAPES)
    assert [str(row[1]) for row in rows] == ["Alder", "Birch"]
    assert graph.query("ASK { ?s ?p ?o }").askAnswer
    assert len(graph.query(MADE).graph) == 2
