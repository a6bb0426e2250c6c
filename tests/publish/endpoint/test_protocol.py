"""SPARQL 1.1 Protocol: how queries come in and results go out."""

import csv
import gzip
import io
import json
from xml.etree import ElementTree

import httpx2 as httpx
import pytest
from rdflib import Dataset, Graph
from rdflib.namespace import RDF, VOID

from glost.publish.endpoint.service import SD

BASE = "https://example.org/shelf/"
SHAPES = "SELECT ?shape ?name { ?shape a glost:Shape ; rdfs:label ?name } ORDER BY ?name"
MADE = "CONSTRUCT { ?s a ?c } { ?s a ?c . FILTER(?c = glost:Shape) }"
XML = "{http://www.w3.org/2005/sparql-results#}"
DIRECT = {"content-type": "application/sparql-query"}
COUNT = "SELECT (COUNT(*) AS ?n) { ?s ?p ?o }"
NAMED = "SELECT (COUNT(*) AS ?n) { GRAPH ?g { ?s ?p ?o } }"


def number(answer: httpx.Response) -> int:
    assert answer.status_code == 200, answer.text
    return int(answer.json()["results"]["bindings"][0]["n"]["value"])


@pytest.mark.parametrize("way", ["get", "form", "direct"])
def test_three_ways_of_asking_give_one_answer(client: httpx.Client, way: str) -> None:
    """SPARQL 1.1 Protocol (W3C, 2013), section 2.1, the three query operations."""
    if way == "get":
        answer = client.get("sparql", params={"query": SHAPES})
    elif way == "form":
        answer = client.post("sparql", data={"query": SHAPES})
    else:
        answer = client.post("sparql", content=SHAPES, headers=DIRECT)
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "application/sparql-results+json"
    names = [row["name"]["value"] for row in answer.json()["results"]["bindings"]]
    assert names == ["Alder", "Birch"]


def test_a_table_in_every_format(client: httpx.Client) -> None:
    def got(media: str) -> httpx.Response:
        answer = client.get("sparql", params={"query": SHAPES}, headers={"accept": media})
        assert answer.headers["content-type"].partition(";")[0] == media
        assert "Accept" in answer.headers["vary"]
        return answer

    rows = list(csv.reader(io.StringIO(got("text/csv").text)))
    assert rows == [
        ["shape", "name"],
        [f"{BASE}shape/alder", "Alder"],
        [f"{BASE}shape/birch", "Birch"],
    ]
    lines = got("text/tab-separated-values").text.splitlines()
    assert lines[:2] == ["?shape\t?name", f'<{BASE}shape/alder>\t"Alder"']
    read = ElementTree.fromstring(got("application/sparql-results+xml").text)
    assert [each.text for each in read.iter(f"{XML}literal")] == ["Alder", "Birch"]
    told = json.loads(got("application/sparql-results+json").text)
    assert told["head"]["vars"] == ["shape", "name"]


def test_statements_in_every_format(client: httpx.Client) -> None:
    for media, name in (
        ("text/turtle", "turtle"),
        ("application/n-triples", "nt"),
        ("application/ld+json", "json-ld"),
        ("application/rdf+xml", "xml"),
    ):
        answer = client.get("sparql", params={"query": MADE}, headers={"accept": media})
        assert answer.headers["content-type"].partition(";")[0] == media
        graph = Graph()
        graph.parse(data=answer.text, format=name)
        assert {str(s) for s in graph.subjects(RDF.type)} == {
            f"{BASE}shape/alder",
            f"{BASE}shape/birch",
        }


def test_yes_or_no_and_the_format_of_those_who_do_not_mind(client: httpx.Client) -> None:
    answer = client.get("sparql", params={"query": "ASK { ?s a glost:Shape }"})
    assert answer.json()["boolean"] is True
    answer = client.get("sparql", params={"query": MADE})
    assert answer.headers["content-type"].startswith("text/turtle")


def test_a_format_may_be_named_in_the_request(client: httpx.Client) -> None:
    answer = client.get("sparql", params={"query": SHAPES, "format": "csv"})
    assert answer.headers["content-type"].startswith("text/csv")
    assert answer.headers["content-disposition"] == 'inline; filename="result.csv"'
    unknown = client.get("sparql", params={"query": SHAPES, "format": "none"})
    assert unknown.headers["content-type"] == "application/sparql-results+json"


def test_the_dataset_may_be_named_in_the_request(client: httpx.Client) -> None:
    """SPARQL 1.1 Protocol, section 2.1.4: what a request names goes before FROM."""
    record = {"default-graph-uri": f"{BASE}record"}
    whole = number(client.get("sparql", params={"query": COUNT}))
    part = number(client.get("sparql", params={"query": COUNT, **record}))
    assert 0 < part < whole
    as_form = number(client.post("sparql", data={"query": COUNT, **record}))
    direct = client.post("sparql", params=record, content=COUNT, headers=DIRECT)
    assert as_form == number(direct) == part
    both = {"default-graph-uri": [f"{BASE}record", f"{BASE}reckoned"]}
    assert number(client.get("sparql", params={"query": COUNT, **both})) > part
    assert number(client.get("sparql", params={"query": NAMED, **record})) == 0
    named = {"named-graph-uri": f"{BASE}record"}
    assert number(client.get("sparql", params={"query": NAMED, **named})) == part
    assert number(client.get("sparql", params={"query": COUNT, **named})) == 0
    other = COUNT.replace("{ ?s", f"FROM <{BASE}reckoned> {{ ?s", 1)
    assert number(client.get("sparql", params={"query": other, **record})) == part
    wrong = client.get("sparql", params={"query": COUNT, "default-graph-uri": "not an iri"})
    assert wrong.status_code == 400


@pytest.mark.parametrize(
    ("fields", "status", "said"),
    [
        ({"query": "SELECT * {"}, 400, "line 1, column 11"),
        ({"query": ["ASK {}", "ASK {}"]}, 400, "puts several"),
        ({"query": "ASK { ?s unknown:p ?o }"}, 400, "a prefix is used here that is not declared"),
        ({"update": "DROP ALL"}, 403, "only reads"),
        ({"query": "INSERT DATA { <a:a> <a:b> <a:c> }"}, 403, "INSERT would change the record"),
        ({"query": "LOAD <http://127.0.0.1/x>"}, 403, "LOAD would change the record"),
        ({"query": "ASK { SERVICE <http://127.0.0.1/x> { ?s ?p ?o } }"}, 403, "SERVICE"),
        ({"query": "ASK {SERVICE#x\n SILENT <http://127.0.0.1/x>{ ?s ?p ?o } }"}, 403, "SERVICE"),
        ({"question": "crosings"}, 404, 'did you mean "crossings"?'),
        ({"question": "in-production", "yaer": "1912"}, 400, 'did you mean "year"'),
    ],
)
def test_what_is_refused_and_why(
    client: httpx.Client, fields: dict[str, str], status: int, said: str
) -> None:
    for answer in (client.get("sparql", params=fields), client.post("sparql", data=fields)):
        assert answer.status_code == status
        assert said in answer.text
        assert answer.headers["content-type"] == "text/plain; charset=utf-8"


def test_a_body_of_another_kind_is_refused(client: httpx.Client) -> None:
    def sent(media: str, content: bytes = b"ASK {}") -> httpx.Response:
        return client.post("sparql", content=content, headers={"content-type": media})

    assert sent("application/sparql-update").status_code == 403
    assert sent("text/plain").status_code == 415
    assert client.post("sparql", content=b"ASK {}").status_code == 415
    assert sent("application/sparql-query", b"\xff\xfe").status_code == 400
    assert sent("application/x-www-form-urlencoded", b"query=%ff").status_code == 400
    assert sent("application/x-www-form-urlencoded", b"a=1&" * 300).status_code == 400
    assert sent("application/x-www-form-urlencoded", b"other=1").status_code == 400


def test_a_format_there_is_none_of(client: httpx.Client) -> None:
    picture = client.get("sparql", params={"query": SHAPES}, headers={"accept": "image/png"})
    assert picture.status_code == 406
    assert "text/csv" in picture.text
    mismatch = client.get("sparql", params={"query": MADE}, headers={"accept": "text/csv"})
    assert mismatch.status_code == 406
    assert "gives statements" in mismatch.text


def test_relative_iris_stand_under_the_base_of_the_collection(client: httpx.Client) -> None:
    query = "SELECT ?name { <shape/alder> rdfs:label ?name }"
    rows = client.get("sparql", params={"query": query}).json()["results"]["bindings"]
    assert [row["name"]["value"] for row in rows] == ["Alder"]


def test_head_and_options(client: httpx.Client) -> None:
    whole = client.get("sparql", params={"query": SHAPES}, headers={"accept-encoding": "identity"})
    head = client.head("sparql", params={"query": SHAPES}, headers={"accept-encoding": "identity"})
    assert (head.status_code, head.content) == (200, b"")
    assert head.headers["content-length"] == str(len(whole.content))
    assert client.head("shape/alder.html").headers["content-length"] == "35"
    options = client.options("sparql")
    assert (options.status_code, options.headers["allow"]) == (204, "GET, HEAD, OPTIONS, POST")
    assert client.options("shape/alder").headers["allow"] == "GET, HEAD, OPTIONS"


def test_pages_of_others_may_read(client: httpx.Client) -> None:
    answer = client.get("sparql", params={"query": SHAPES}, headers={"origin": "https://a.test"})
    assert answer.headers["access-control-allow-origin"] == "*"
    asked = {
        "origin": "https://a.test",
        "access-control-request-method": "POST",
        "access-control-request-headers": "content-type",
    }
    preflight = client.options("sparql", headers=asked)
    assert preflight.status_code == 200
    assert "POST" in preflight.headers["access-control-allow-methods"]
    refused = client.options("sparql", headers={**asked, "access-control-request-method": "PUT"})
    assert refused.status_code == 400


def test_every_answer_is_guarded(client: httpx.Client) -> None:
    for path in ("", "sparql", "health", "nowhere", "sparql?query=ASK%7B%7D", "sparql?query=x"):
        headers = client.get(path).headers
        assert headers["x-content-type-options"] == "nosniff"
        assert "default-src 'none'" in headers["content-security-policy"]
        assert "unsafe" not in headers["content-security-policy"]
        assert "server" not in headers


def test_a_result_that_is_known_already_is_not_sent_again(client: httpx.Client) -> None:
    first = client.get("sparql", params={"query": SHAPES})
    again = client.get(
        "sparql", params={"query": SHAPES}, headers={"if-none-match": first.headers["etag"]}
    )
    assert (again.status_code, again.content) == (304, b"")
    fickle = client.get("sparql", params={"query": "SELECT (RAND() AS ?n) {}"})
    assert "etag" not in fickle.headers
    assert fickle.headers["cache-control"] == "no-store"
    other = client.get("sparql", params={"query": "SELECT (RAND() AS ?n) {}"})
    assert fickle.json() != other.json()


def test_a_large_result_is_packed_for_those_who_take_it(client: httpx.Client) -> None:
    query = {"query": "SELECT * { ?s ?p ?o } LIMIT 100"}
    plain = client.get("sparql", params=query, headers={"accept-encoding": "identity"})
    refused = client.get("sparql", params=query, headers={"accept-encoding": "gzip;q=0"})
    assert "content-encoding" not in plain.headers
    assert "content-encoding" not in refused.headers
    with client.stream("GET", "sparql", params=query, headers={"accept-encoding": "gzip"}) as sent:
        packed = b"".join(sent.iter_raw())
    assert sent.headers["content-encoding"] == "gzip"
    assert gzip.decompress(packed) == plain.content
    assert len(packed) < len(plain.content)


def test_the_endpoint_describes_itself(client: httpx.Client) -> None:
    """SPARQL 1.1 Service Description (W3C, 2013), section 2: where no query is put.

    It is named under the collection's base, and not as the request's Host header would have it.
    """
    answer = client.get("sparql", headers={"accept": "text/turtle"})
    graph = Graph().parse(data=answer.text, format="turtle")
    service = graph.value(predicate=RDF.type, object=SD.Service)
    assert str(service) == "https://example.org/shelf/sparql"
    assert graph.value(service, SD.supportedLanguage) == SD.SPARQL11Query
    dataset = graph.value(service, SD.defaultDataset)
    whole = number(client.get("sparql", params={"query": COUNT}))
    assert graph.value(dataset, VOID.triples).toPython() > whole
    default = graph.value(dataset, SD.defaultGraph)
    assert graph.value(default, VOID.triples).toPython() == whole
    names = {
        str(graph.value(each, SD.name)).removeprefix("https://example.org/shelf/"): each
        for each in graph.objects(dataset, SD.namedGraph)
    }
    assert {"inferred", "reckoned", "record", "https://w3id.org/glost/ontology"} == set(names)
    query = "SELECT (COUNT(*) AS ?n) { GRAPH <https://example.org/shelf/record> { ?s ?p ?o } }"
    size = graph.value(graph.value(names["record"], SD.graph), VOID.triples)
    assert size.toPython() == number(client.get("sparql", params={"query": query}))
    read = Dataset()
    read.parse(
        data=client.get("sparql", headers={"accept": "application/ld+json"}).text, format="json-ld"
    )
    assert len(read) > 0


def test_health(client: httpx.Client) -> None:
    told = client.get("health").json()
    assert told["status"] == "ok"
    assert told["processes"] >= 1
    assert told["statements"] > 1_000
