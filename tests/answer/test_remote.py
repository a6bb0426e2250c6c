"""Named questions put to stores elsewhere by the SPARQL 1.1 Protocol."""

import json
import subprocess
import sys
import time
import tomllib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx2 as httpx
import pytest
from rdflib import URIRef

from commands import glost_ends
from glost.answer.questions import Answer, catalogue
from glost.answer.remote import AnswersAt, RemoteError, RemoteStore, at, within
from glost.answer.snapshot import Snapshot
from glost.publish.exports import rdf_bytes
from glost.publish.handover.plan import Plan
from ports import free_port
from sparql_servers import JSON, Reply, rdflib_server, replying

NAMES = sorted(catalogue())
EXPECTED = Path(__file__).parent / "expected"
ASKED = tomllib.loads((EXPECTED / "parameters.toml").read_text(encoding="utf-8"))["little"]
SLOW = {"corrections", "one-witness"}
"""Half a minute and five seconds of rdflib's engine, which the clients' tests give it."""
BELIEVED = "https://example.org/tarn/believed"


@contextmanager
def oxigraph(nquads: bytes, *words: str) -> Iterator[str]:
    """The Oxigraph server, which holds what it is given in memory."""
    port = free_port()
    program = str(Path(sys.executable).parent / "oxigraph")
    command = [program, "serve", "--bind", f"127.0.0.1:{port}", *words]
    with subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as server:
        try:
            address = f"http://127.0.0.1:{port}/"
            media = {"content-type": "application/n-quads"}
            for _ in range(200):
                try:
                    httpx.post(f"{address}store", content=nquads, headers=media, trust_env=False)
                    break
                except httpx.TransportError:
                    time.sleep(0.05)
            yield f"{address}query"
        finally:
            server.terminate()


def handed_over(little: Snapshot) -> bytes:
    """What ``glost upload`` puts into a store: no statement stands in the default graph."""
    plan = Plan(little.contents, URIRef(BELIEVED))
    return "".join(
        f"{line.removesuffix(' .')} <{name}> .\n" for name, lines in plan.graphs() for line in lines
    ).encode()


STORES = ("oxigraph", "oxigraph-union", "rdflib")


@pytest.fixture(scope="module")
def stores(little: Snapshot) -> Iterator[dict[str, AnswersAt]]:
    """Oxigraph with its own default graph, with the union of all, and rdflib with the union."""
    own, handed = rdf_bytes(little.contents, "nquads"), handed_over(little)
    with (
        oxigraph(own) as first,
        oxigraph(handed, "--union-default-graph") as second,
        rdflib_server(handed, union=True) as third,
        at(first) as one,
        at(second) as two,
        at(third) as three,
    ):
        yield dict(zip(STORES, (one, two, three), strict=True))


def told(answer: Answer) -> tuple[object, ...]:
    rows = [row.values for row in answer.rows]
    return answer.columns, rows, [note.text(str) for note in answer.notes]


@pytest.mark.parametrize("store", STORES)
@pytest.mark.parametrize("name", NAMES)
def test_every_store_gives_the_answer_of_the_collection(
    name: str, store: str, stores: dict[str, AnswersAt], little: Snapshot
) -> None:
    if store == "rdflib" and name in SLOW:
        return
    given = ASKED.get(name, {})
    assert told(stores[store].ask(name, **given)) == told(little.answers.once(name, given))


def test_where_what_is_believed_stands_is_found_by_asking(stores: dict[str, AnswersAt]) -> None:
    assert [stores[name].store.believed for name in STORES] == ["", BELIEVED, BELIEVED]


def test_things_are_called_as_in_the_collection(
    stores: dict[str, AnswersAt], little: Snapshot
) -> None:
    for name in ("in-production", "runs-reckoned", "never-seen-at-home"):
        given = ASKED.get(name, {})
        there, here = stores["oxigraph-union"].ask(name, **given), little.answers.once(name, given)
        words, own = stores["oxigraph-union"].words(there), little.words
        assert [[v and words.findable(v) for v in row.values] for row in there.rows] == [
            [v and own.findable(v) for v in row.values] for row in here.rows
        ]


def test_a_point_in_a_life_is_called_by_the_thing(stores: dict[str, AnswersAt]) -> None:
    answer = stores["oxigraph"].ask("dates-given", thing="birch")
    asked = stores["oxigraph"].ask("source-supports", source="notice")
    words = stores["oxigraph"].words(asked)
    assert words.label(URIRef("https://example.org/tarn/shape/cedar")) == "Cedar"
    points = {v for row in (*answer.rows, *asked.rows) for v in row.values if "#begin" in str(v)}
    assert points and {words.label(point) for point in points} <= {
        "start of Birch", "start of Cedar", "start of Alder"
    }  # fmt: skip


@pytest.mark.parametrize(
    ("query", "expected"),
    [
        ("SELECT ?a { ?a ?b ?c }", "SELECT ?a { GRAPH <x:g> { ?a ?b ?c } }"),
        (
            'SELECT ?a { { ?a ?b "}" } # }\n } ORDER BY ?a',
            'SELECT ?a { GRAPH <x:g> { { ?a ?b "}" } # }\n } } ORDER BY ?a',
        ),
    ],
)
def test_a_query_is_asked_of_a_graph_whole(query: str, expected: str) -> None:
    assert within(query, "x:g") == expected


def test_the_command(
    stores: dict[str, AnswersAt],
    little: Snapshot,
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)  # it needs no collection beside it
    address = stores["oxigraph-union"].store.address
    assert glost_ends("ask", "in-production", "year=1912", "--at", address) == 0
    there = capsys.readouterr().out
    assert glost_ends("ask", "in-production", "year=1912", "-c", str(little.path)) == 0
    assert there == capsys.readouterr().out
    for form in ("csv", "json"):
        assert glost_ends("ask", "crossings", "--at", address, "--as", form) == 0
        assert "A1" in capsys.readouterr().out
    assert glost_ends("ask", "crossings", "--evidence", "--at", address) == 2
    assert "--evidence: only the collection can tell" in capsys.readouterr().err
    assert glost_ends("ask", "in-production", "year=x", "--at", address) == 2
    assert '"x" is not a year' in capsys.readouterr().err
    assert glost_ends("ask", "crosings", "--at", address) == 2
    assert 'did you mean "crossings"' in capsys.readouterr().err


def rows(*graphs: str) -> bytes:
    bindings = [{"graph": {"type": "uri", "value": graph}} for graph in graphs]
    return json.dumps({"head": {"vars": ["graph"]}, "results": {"bindings": bindings}}).encode()


def table(*graphs: str) -> Reply:
    return "200 OK", {"content-type": JSON}, rows(*graphs)


PAGE: Reply = ("200 OK", {"content-type": "text/html; charset=utf-8"}, b"<p>Hello</p>")
PLAIN = {"content-type": "text/plain"}


@pytest.mark.parametrize(
    ("reply", "message"),
    [
        (PAGE, "gave a page (text/html), not the results of a query; look up"),
        (("200 OK", {"content-type": JSON}, b"{"), f"gave {JSON} that cannot be read"),
        (("200 OK", {"content-type": JSON}, b"[]"), f"gave {JSON} that cannot be read"),
        (("200 OK", {}, b""), "gave something else (of no media type)"),
        (("404 Not Found", PLAIN, b"no\nsuch"), 'answered 404 Not Found: "no such"; look up'),
        (("401 Unauthorized", PLAIN, b""), "answered 401 Unauthorized; it must be open"),
        (("302 Found", {"location": "http://127.0.0.1:1/"}, b""), "302 Found; give the address"),
        (("500 Internal Server Error", PLAIN, b"x" * 999), '"' + "x" * 200 + '"'),
        (table(), "holds no collection; hand the collection over with glost upload"),
        (table("x:a/record", "x:b/record"), "holds 2 collections (x:a/, x:b/)"),
        (
            ("200 OK", {"content-type": JSON, "x-sparql-maxrows": "5"}, rows("x:a/record")),
            "gave only the first 5 rows",
        ),
    ],
)
def test_what_a_store_does_wrong_is_one_clear_line(reply: Reply, message: str) -> None:
    with replying(lambda _: reply) as address, pytest.raises(RemoteError) as caught, at(address):
        pass
    assert message in str(caught.value)
    assert "\n" not in str(caught.value)
    assert str(caught.value).startswith(address)


def asks(answers: Callable[[str], bool]) -> Callable[[str], Reply]:
    def reply(query: str) -> Reply:
        if "ASK" in query:
            body = json.dumps({"head": {}, "boolean": answers(query)}).encode()
            return "200 OK", {"content-type": JSON}, body
        return table("x:a/record")

    return reply


def test_what_is_believed_must_stand_by_itself() -> None:
    """Every graph at once holds the record too, and several graphs the vocabulary."""

    def reply(query: str) -> Reply:
        if "FILTER(?graph" in query:
            return table("x:a/one", "x:a/two")
        return asks(lambda each: "glost:Piece a owl:Class" not in each)(query)

    with replying(reply) as address:
        with pytest.raises(RemoteError, match="several graphs hold what is believed; name it"):
            at(address).__enter__()
        with at(address, graph="x:a/two") as store:
            assert store.store.believed == "x:a/two"


def test_a_store_that_answers_otherwise_than_specified_is_not_asked() -> None:
    wrong = asks(
        lambda query: "VALUES ?one { UNDEF } VALUES" not in query and "?claim" not in query
    )
    with replying(wrong) as address, pytest.raises(RemoteError) as caught, at(address):
        pass
    assert "SPARQL 1.1 Query, section 10.2: UNDEF in VALUES joins with anything" in str(
        caught.value
    )


def test_a_table_for_ask_is_read_as_one() -> None:
    """Virtuoso 7 gives what BIND gives no value, within GRAPH, and rows of 1 for yes."""

    def reply(query: str) -> Reply:
        if "BIND(?two AS ?one)" in query:
            body: object = {"head": {"vars": ["one"]}, "results": {"bindings": [{}]}}
            return "200 OK", {"content-type": JSON}, json.dumps(body).encode()
        return asks(lambda _: "?claim a glost:Claim" not in query)(query)

    with replying(reply) as address, pytest.raises(RemoteError) as caught, at(address):
        pass
    assert "UNDEF in VALUES takes what BIND gives" in str(caught.value)


def test_too_large_and_too_late() -> None:
    with replying(lambda _: table("x:a/record")) as address:
        with pytest.raises(RemoteError, match=r"more than 10 octets; ask of one thing"):
            RemoteStore(address, octets=10).query("SELECT * {}")
        with pytest.raises(RemoteError, match=r"took longer than 1e-09 seconds"):
            RemoteStore(address, seconds=1e-9).query("SELECT * {}")


@pytest.mark.parametrize("address", ["ftp://127.0.0.1/", "file:///etc/hosts", "store", "http://"])
def test_only_http_is_asked(address: str) -> None:
    with pytest.raises(RemoteError, match="is no address of a store"), at(address):
        pass


def test_nobody_there() -> None:
    with (
        pytest.raises(RemoteError, match="cannot be reached: "),
        at(f"http://127.0.0.1:{free_port()}"),
    ):
        pass


def test_truth_as_a_number_is_truth() -> None:
    """XML Schema Datatypes, part 2, section 3.3.2.1: ``1`` and ``true`` are one value."""
    boolean = "http://www.w3.org/2001/XMLSchema#boolean"
    row = {"graph": {"type": "literal", "value": "1", "datatype": boolean}}
    body = {"head": {"vars": ["graph"]}, "results": {"bindings": [row]}, "metadata": {"took": 1}}
    reply = ("200 OK", {"content-type": JSON}, json.dumps(body).encode())
    with replying(lambda _: reply) as address:
        ((value,),) = RemoteStore(address).query("SELECT ?graph {}")
        assert value.value == "true"
