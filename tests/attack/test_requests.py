"""Requests made to deceive or to wear the endpoint out: refused, and nobody else waits for it."""

import json
import os
import signal
import socket
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack
from pathlib import Path
from urllib.parse import urlsplit

import httpx2 as httpx
import pytest

from endpoint import serving, write_site
from glost.answer.refusals import DEEPEST, QueryError, refuse
from hostile_requests import exchange, kinds, mixed
from shelf import write

ASK = b"query=ASK%7B%7D"
FORM = b"Content-Type: application/x-www-form-urlencoded\r\n"
DIRECT = {"content-type": "application/sparql-query"}
ANSWERS = {0, 200, 204, 303, 304, 400, 403, 404, 405, 406, 408, 413, 415, 431, 501}
SECOND = b"GET /health HTTP/1.1\r\nHost: x\r\n\r\n"


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("attacked")
    return write_site(folder / "site", write(folder / "shelf"))


@pytest.fixture(scope="module")
def address(site: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    with serving(
        site,
        tmp_path_factory.mktemp("store") / "store",
        arriving=5.0,
        idle=5.0,
        seconds=20.0,
        patience=5.0,
    ) as where:
        yield where


def children(pid: int) -> list[int]:
    return [int(each) for each in Path(f"/proc/{pid}/task/{pid}/children").read_text().split()]


@pytest.mark.parametrize(
    "head",
    [
        b"Host: x\r\nTransfer-Encoding: chunked\r\nContent-Length: 15\r\n",
        b"Host: x\r\nContent-Length: 15\r\nTransfer-Encoding: chunked\r\n",
        b"Host: x\r\nContent-Length: 15\r\nTransfer-Encoding: identity\r\n",
        b"Host: x\r\nContent-Length: 15\r\nContent-Length: 16\r\n",
        b"Host: x\r\nContent-Length: +15\r\n",
        b"Host: x\r\nContent-Length: 0x0f\r\n",
        b"Host: x\r\nTransfer-Encoding: chunked, chunked\r\n",
        b"Host: x\r\nHost: y\r\nContent-Length: 15\r\n",
        b"Content-Length: 15\r\n",
        b"Host: x\r\nContent-Length : 15\r\n",
    ],
)
def test_a_request_that_can_be_read_in_two_ways_is_refused_and_ends_the_connection(
    address: str, head: bytes
) -> None:
    body = b"f\r\nquery=ASK%7B%7D\r\n0\r\n\r\n" if b"chunked" in head else ASK
    sent = b"POST /sparql HTTP/1.1\r\n" + head + FORM + b"\r\n" + body + SECOND
    got = exchange(address, sent)
    assert got.startswith((b"HTTP/1.1 400", b"HTTP/1.1 501"))
    assert got.count(b"HTTP/1.1 ") == 1, "what came behind it was read as another request"
    assert b"boolean" not in got, "the query ran"


def test_the_host_header_is_repeated_nowhere(address: str) -> None:
    paths = (
        "",
        "shape",
        "sparql",
        "sparql/",
        "nothing/",
        "health",
        "shape/alder",
        "sparql?query=x",
    )
    for path in paths:
        for accept in ("text/html", "text/turtle", "application/problem+json", "*/*"):
            sent = (
                f"GET /{path} HTTP/1.1\r\nHost: rebound.example\r\nAccept: {accept}\r\n"
                "X-Forwarded-Host: rebound.example\r\nConnection: close\r\n\r\n"
            )
            assert b"rebound" not in exchange(address, sent.encode())


def test_whoever_opens_connections_without_end_keeps_nobody_waiting(
    site: Path, tmp_path: Path
) -> None:
    with serving(site, tmp_path / "store", arriving=30.0, idle=30.0, connections=60, each=40) as at:
        parts = urlsplit(at)
        with ExitStack() as open_:
            for number in range(90):
                line = socket.create_connection((parts.hostname, parts.port), timeout=10)
                open_.enter_context(line)
                if number % 3 == 0:
                    line.sendall(b"GET / HTTP/1.1\r\nHost: x\r\nX-Slow: ")
            got = exchange(at, b"GET /health HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n")
            assert got.startswith(b"HTTP/1.1 200")


def test_a_connection_at_work_is_not_closed_for_an_idle_one(site: Path, tmp_path: Path) -> None:
    endless = (
        "SELECT (COUNT(*) AS ?n) { ?a ?b ?c . ?d ?e ?f . ?g ?h ?i FILTER(?c < ?f && ?f < ?i) }"
    )
    with (
        serving(site, tmp_path / "store", seconds=2.0, each=5, arriving=30.0) as at,
        ThreadPoolExecutor(1) as threads,
        ExitStack() as open_,
    ):
        parts = urlsplit(at)
        with httpx.Client(base_url=at, trust_env=False, verify=False, timeout=20) as client:
            busy = threads.submit(client.get, "sparql", params={"query": endless})
            time.sleep(0.5)
            for _ in range(20):
                open_.enter_context(socket.create_connection((parts.hostname, parts.port)))
            assert busy.result().status_code == 500, "it was stopped by its limit, not cut off"


def test_when_all_processes_are_killed_the_next_query_is_answered(
    site: Path, tmp_path: Path
) -> None:
    with (
        serving(site, tmp_path / "store", seconds=10.0, patience=5.0) as at,
        httpx.Client(base_url=at, trust_env=False, verify=False, timeout=60) as client,
    ):
        client.get("health").raise_for_status()
        server = next(
            pid
            for pid in children(os.getpid())
            if str(tmp_path).encode() in Path(f"/proc/{pid}/cmdline").read_bytes()
        )
        for round_ in range(3):
            for worker in children(server):
                os.kill(worker, signal.SIGKILL)
            answer = client.get("sparql", params={"query": f"ASK {{ FILTER({round_} = 0) }}"})
            assert answer.status_code == 200, answer.text


def test_a_query_nested_too_deep_never_reaches_a_process(address: str) -> None:
    with httpx.Client(base_url=address, trust_env=False, verify=False, timeout=20) as client:
        before = client.get("health").json()
        for text in (
            "SELECT * { " + "{ " * 4_000 + "?s ?p ?o" + " }" * 4_000 + " }",
            "ASK { FILTER(" + "(" * 4_000 + "1" + ")" * 4_000 + ") }",
            "ASK { FILTER(" + r"\u0028" * 900 + "1" + ")" * 900 + ") }",
            "ASK { ?s ?p " + "[ ?p " * 900 + "1" + " ]" * 900 + " }",
        ):
            answer = client.post("sparql", content=text, headers=DIRECT)
            assert (answer.status_code, "brackets" in answer.text) == (403, True)
        assert client.get("health").json() == before


@pytest.mark.parametrize(
    "text",
    [
        "ASK { FILTER(?a<?b&&" + "(" * 300 + "1" + ")" * 300 + ">2) }",
        "ASK { FILTER(" + "?a<(1>(" * 200 + ")" * 900,
        "ASK { ex:a\\#b " + "(" * 300,
        "ASK { ex:a\\'b " + "(" * 300 + "'",
        "ASK { ?s ?p <x\\u0027>, " + "(" * 300 + "'",
        "ASK { ?s ?p 'a'" + "{" * 300,
        "ASK { ?s ?p '''a\\''''" + "[" * 300,
        "ASK { # ( \n" + "(" * 300,
    ],
)
def test_brackets_are_counted_however_they_are_hidden(text: str) -> None:
    with pytest.raises(QueryError, match="brackets"):
        refuse(text)


@pytest.mark.parametrize(
    "text",
    [
        'ASK { ?s ?p "' + "{" * 300 + '" }',
        "ASK { ?s ?p '''" + "(\n" * 300 + "''' }",
        "ASK { # " + "(" * 300 + "\n ?s ?p ?o }",
        "ASK { FILTER(?a < 3 " + "&& (?b > (1))" * 300 + ") }",
        "ASK { VALUES ?x { " + "<http://e.x/A_(b)> " * 300 + "} }",
        "ASK { FILTER" + "(" * (DEEPEST - 1) + "1" + ")" * (DEEPEST - 1) + " }",
    ],
)
def test_brackets_that_open_nothing_are_not_counted(text: str) -> None:
    refuse(text)


def test_every_refusal_says_what_to_do(address: str) -> None:
    with httpx.Client(base_url=address, trust_env=False, verify=False, timeout=20) as client:
        answers = [
            client.get("nothing", headers={"accept": "text/plain"}),
            client.put("shape/alder", headers={"accept": "text/plain"}),
            client.get("sparql", params={"query": "SELEKT"}),
            client.get("sparql", params={"query": "DROP ALL"}),
            client.get("sparql", params={"question": "no-such"}),
            client.get("sparql", params=[("query", "ASK{}"), ("query", "ASK{}")]),
            client.post("sparql", content=b"x"),
        ]
    for answer in answers:
        assert answer.status_code >= 400
        assert "; " in answer.text, answer.text


def test_mixed_requests_are_answered_one_by_one(address: str) -> None:
    """A few hundred of `hostile_requests`; ``python tests/attack/long_requests.py`` sends more."""
    statuses = [mixed(address, seed) for seed in range(200)]
    assert set(statuses) <= ANSWERS
    assert len({kinds(seed) for seed in range(200)}) > 8
    with httpx.Client(base_url=address, trust_env=False, verify=False, timeout=20) as client:
        assert client.get("health").json()["status"] == "ok"
        json.loads(client.get("sparql", params={"query": "ASK {}"}).text)
