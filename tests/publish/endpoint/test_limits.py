"""Queries and clients that ask for too much: they are stopped, and nobody else is."""

import socket
import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from pathlib import Path
from urllib.parse import urlsplit

import httpx2 as httpx
import pytest

from endpoint import serving
from glost.publish.endpoint.limits import Limits

ENDLESS = "SELECT (COUNT(*) AS ?n) { ?a ?b ?c . ?d ?e ?f . ?g ?h ?i FILTER(?c < ?f && ?f < ?i) }"
GREEDY = "SELECT (COUNT(*) AS ?n) { SELECT DISTINCT ?a ?c ?d ?f { ?a ?b ?c . ?d ?e ?f } }"
GIANT = "SELECT * { ?a ?b ?c . ?d ?e ?f }"
WIDE = 'SELECT (CONCAT(STR(?a), "x") AS ?t) { VALUES ?a { "y" } }'
SHAPES = "SELECT ?shape ?name { ?shape a glost:Shape ; rdfs:label ?name } ORDER BY ?name"
READERS = 200
CONNECTION = ("arriving", "leaving", "idle")


def raw(address: str, sent: bytes, seconds: float) -> bytes:
    """Send octets, and return what comes until the other side closes or nothing more comes."""
    parts = urlsplit(address)
    with socket.create_connection((parts.hostname, parts.port), timeout=seconds) as line:
        line.sendall(sent)
        got = b""
        while piece := line.recv(65_536):
            got += piece
    return got


def ask(client: httpx.Client, query: str) -> httpx.Response:
    return client.get("sparql", params={"query": query})


def test_an_endless_query_is_stopped_and_the_others_are_answered(client: httpx.Client) -> None:
    with ThreadPoolExecutor(4) as threads:
        endless = threads.submit(ask, client, ENDLESS)
        others = list(threads.map(lambda n: ask(client, f"ASK {{ FILTER({n} > 0) }}"), range(40)))
        assert not endless.done()
        assert {other.status_code for other in others} == {200}
        stopped = endless.result()
    assert stopped.status_code == 500
    assert "the query was stopped after 1 seconds" in stopped.text
    assert ask(client, ENDLESS).text == stopped.text
    assert ask(client, SHAPES).status_code == 200


def test_long_queries_never_take_every_process(site: Path, tmp_path: Path) -> None:
    """What counts as long is soon found, so that a busy machine has time for it."""
    queries = [ENDLESS.replace("?a", f"?a{number}") for number in range(6)]
    with (
        serving(site, tmp_path / "store", patience=0.05, seconds=8.0) as where,
        httpx.Client(base_url=where, trust_env=False, verify=False, timeout=60) as client,
        ThreadPoolExecutor(8) as threads,
    ):
        endless = [threads.submit(ask, client, query) for query in queries]
        others = list(threads.map(lambda n: ask(client, f"ASK {{ FILTER({n} = 0) }}"), range(20)))
        assert {other.status_code for other in others} == {200}
        answers = [each.result() for each in endless]
        assert {answer.status_code for answer in answers} == {500, 503}
        busy = next(answer for answer in answers if answer.status_code == 503)
        assert busy.headers["retry-after"]
        assert "the server is busy" in busy.text
        assert ask(client, SHAPES).status_code == 200


def test_a_query_that_needs_too_much_memory_is_stopped(site: Path, tmp_path: Path) -> None:
    with (
        serving(site, tmp_path / "store", seconds=15) as where,
        httpx.Client(base_url=where, trust_env=False, verify=False, timeout=30) as client,
    ):
        answer = ask(client, GREEDY)
        assert answer.status_code == 500
        assert "more than 192 MiB of memory" in answer.text
        assert ask(client, SHAPES).status_code == 200


def test_a_giant_result_is_refused_with_what_to_do(client: httpx.Client) -> None:
    answer = ask(client, GIANT)
    assert answer.status_code == 500
    assert "more than 2,000 rows" in answer.text
    assert "LIMIT" in answer.text
    assert len(ask(client, f"{GIANT} LIMIT 2000").json()["results"]["bindings"]) == 2_000
    made = ask(client, "CONSTRUCT { ?a <x:y> ?f } { ?a ?b ?c . ?d ?e ?f }")
    assert "more than 2,000 rows" in made.text
    text = "x"
    wide = f"SELECT ?t {{ VALUES ?t {{ {' '.join(f'{chr(34)}{text * 600}{n}{chr(34)}' for n in range(20))} }} ?a ?b ?c }} LIMIT 2000"
    assert "larger than 1,048,576 octets" in client.post("sparql", data={"query": wide}).text


def test_a_giant_query_is_refused(address: str, client: httpx.Client) -> None:
    text = "ASK { " + "?s ?p ?o . " * 10_000 + "}"
    assert client.post("sparql", data={"query": text}).status_code == 413
    direct = {"content-type": "application/sparql-query"}
    assert client.post("sparql", content=text, headers=direct).status_code == 413

    def piecemeal():  # type: ignore[no-untyped-def]
        yield from (b"#" * 1_000 for _ in range(100))

    assert client.post("sparql", content=piecemeal(), headers=direct).status_code == 413
    long = f"GET /sparql?query={'x' * 30_000} HTTP/1.1\r\nHost: x\r\n\r\n"
    assert raw(address, long.encode(), 5).startswith((b"HTTP/1.1 400", b"HTTP/1.1 431"))
    nested = "SELECT * { " + "{ " * 4_000 + "?s ?p ?o" + " }" * 4_000 + " }"
    deep = client.post("sparql", content=nested, headers=direct)
    assert (deep.status_code, "more than 100 brackets" in deep.text) == (403, True)
    assert ask(client, SHAPES).status_code == 200


@pytest.mark.parametrize(
    "path",
    [
        "../../../../etc/passwd",
        "shape/../../../../etc/passwd",
        "%2e%2e/%2e%2e/etc/passwd",
        "..%2f..%2fetc%2fpasswd",
        "%252e%252e%252fetc%252fpasswd",
        "//etc/passwd",
        "..%5c..%5cetc%5cpasswd",
        "shape/%00",
        "shape/alder%00.html",
        "sparql/../../pages.py",
        "sparql/%2e%2e/templates/base.html",
        "%ff%fe",
        "x" * 5_000,
        "shape/" + "%C3%A9" * 300,
    ],
)
def test_no_path_leads_out_of_the_site(address: str, path: str) -> None:
    sent = f"GET /{path} HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n".encode()
    got = raw(address, sent, 5)
    assert got.startswith(b"HTTP/1.1 404")
    assert b"root:" not in got


def test_what_is_no_request_is_refused(address: str) -> None:
    assert raw(address, b"\x16\x03\x01\r\n\r\n", 5).startswith(b"HTTP/1.1 400")
    long = b"GET / HTTP/1.1\r\nHost: x\r\nX-Long: " + b"y" * 40_000
    assert raw(address, long, 5).startswith(b"HTTP/1.1 400")


def test_a_head_that_is_too_long_and_comes_at_once_is_refused(address: str) -> None:
    long = b"GET /sparql?query=ASK%7B%7D HTTP/1.1\r\nHost: x\r\nX-Long: "
    got = raw(address, long + b"y" * 20_000 + b"\r\n\r\n", 5)
    assert got.startswith((b"HTTP/1.1 431", b"HTTP/1.1 400"))
    assert b"boolean" not in got


def test_a_request_that_trickles_in_is_given_up(address: str, client: httpx.Client) -> None:
    head = b"POST /sparql HTTP/1.1\r\nHost: x\r\nContent-Type: application/sparql-query\r\n"
    late = head + b"Content-Length: 30\r\n\r\nASK"
    begun = (b"", b"GET / HTTP/1.1\r\nHost: x\r\nX-Slow: ", late)
    with ThreadPoolExecutor(3) as threads:
        nothing, no_more, late = threads.map(lambda sent: raw(address, sent, 10), begun)
    assert nothing == no_more == b""
    assert late.startswith(b"HTTP/1.1 408")
    assert ask(client, SHAPES).status_code == 200


def test_a_reader_who_takes_nothing_is_given_up(address: str, client: httpx.Client) -> None:
    parts = urlsplit(address)
    query = "SELECT%20*%20%7B%3Fa%20%3Fb%20%3Fc.%3Fd%20%3Fe%20%3Ff%7DLIMIT%202000"
    request = f"GET /sparql?query={query} HTTP/1.1\r\nHost: x\r\n\r\n".encode()
    with socket.socket() as line:
        line.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4_096)
        line.connect((parts.hostname, parts.port))
        line.settimeout(20)
        line.sendall(request * 20)
        time.sleep(1.2)
        got = 0
        with suppress(ConnectionError):
            while piece := line.recv(65_536):
                got += len(piece)
    assert got < len(ask(client, GIANT + " LIMIT 2000").content) * 15
    assert ask(client, SHAPES).status_code == 200


def test_two_hundred_readers_at_once(site: Path, tmp_path: Path) -> None:
    """With the times that are given in earnest: a busy machine may keep a reader for a second."""
    usual = Limits()
    times = {name: getattr(usual, name) for name in ("patience", "seconds", *CONNECTION)}
    queries = [SHAPES, "SELECT (COUNT(*) AS ?n) { ?s ?p ?o }", "ASK { ?s a glost:Shape }"]

    limits = httpx.Limits(max_connections=READERS)

    def reader(number: int) -> list[int]:
        own = f"SELECT ?s {{ ?s a glost:Shape FILTER({number % 20} >= 0) }}"
        answers = [ask(client, query) for query in (*queries, own)]
        answers.append(client.get("shape/alder", follow_redirects=True))
        return [answer.status_code for answer in answers]

    with (
        serving(site, tmp_path / "store", **times) as where,
        httpx.Client(
            base_url=where, trust_env=False, verify=False, timeout=60, limits=limits
        ) as client,
        ThreadPoolExecutor(READERS) as threads,
    ):
        found = list(threads.map(reader, range(READERS)))
    assert found == [[200] * 5] * READERS
