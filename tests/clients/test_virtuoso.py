"""Handing over to Virtuoso (Debian ``virtuoso-opensource``), by both protocols, over loopback.

What vanished is handed over to the Oxigraph server too; it is among the ordinary tests as well.
"""

import subprocess
import time
from collections.abc import Iterator
from pathlib import Path
from string import Template
from urllib.parse import urlencode

import httpx2 as httpx
import pytest
from rdflib import URIRef

from glost.answer.remote import RemoteError, at
from glost.answer.snapshot import Snapshot
from glost.publish.handover.batches import Size
from glost.publish.handover.plan import Plan
from glost.publish.handover.sending import Outcome, hand_over
from glost.publish.handover.store import HandoverError, Store
from handed import BASE, GONE, NOTE, before_and_after, handed
from ports import free_port

BELIEVED = URIRef("https://example.org/shelf/believed")
SHAPES = (
    "SELECT ?name FROM <https://example.org/shelf/believed> WHERE { "
    "?s a <https://w3id.org/glost/ontology#Shape> ; "
    "<http://www.w3.org/2000/01/rdf-schema#label> ?name } ORDER BY ?name"
)


@pytest.fixture(scope="module")
def virtuoso(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """A server with an empty database and the password it comes with; its address."""
    folder = tmp_path_factory.mktemp("virtuoso")
    ports = {"sql": free_port(), "http": free_port()}
    text = Path(__file__).with_name("virtuoso.ini").read_text(encoding="utf-8")
    (folder / "virtuoso.ini").write_text(Template(text).substitute(ports))
    command = ["virtuoso-t", "+foreground", "+configfile", "virtuoso.ini"]
    address = f"http://127.0.0.1:{ports['http']}/"
    log = (folder / "out.log").open("w")
    with log, subprocess.Popen(command, cwd=folder, stdout=log, stderr=log) as server:
        try:
            for _ in range(300):
                try:
                    httpx.get(f"{address}sparql-auth", trust_env=False)
                    break
                except httpx.TransportError:
                    time.sleep(0.2)
            yield address
        finally:
            server.terminate()


def asked(address: str, query: str, name: str) -> list[str]:
    """Ask an endpoint and return one column of what it answers."""
    answer = httpx.post(
        address,
        content=urlencode({"query": query}),
        headers={
            "content-type": "application/x-www-form-urlencoded",
            "accept": "application/sparql-results+json",
        },
        trust_env=False,
    )
    return [row[name]["value"] for row in answer.json()["results"]["bindings"]]


def names(virtuoso: str) -> list[str]:
    return asked(f"{virtuoso}sparql", SHAPES, "name")


def test_updates(virtuoso: str, snapshot: Snapshot, tmp_path: Path) -> None:
    plan = Plan(snapshot.contents, BELIEVED)
    store = Store(f"{virtuoso}sparql-auth", "update", "", "dba", "dba", digest=True)
    for _ in range(2):
        assert hand_over(plan, store, tmp_path / "state.json") == Outcome(())
        assert names(virtuoso) == ["Alder", "Birch"]


def test_graphs(virtuoso: str, snapshot: Snapshot, tmp_path: Path) -> None:
    plan = Plan(snapshot.contents, BELIEVED)
    address, query = f"{virtuoso}sparql-graph-crud-auth", f"{virtuoso}sparql"
    store = Store(address, "graphs", query, "dba", "dba", digest=True)
    assert hand_over(plan, store, tmp_path / "state.json", size=Size(1_000)) == Outcome(())
    assert names(virtuoso) == ["Alder", "Birch"]


def test_it_is_not_asked_named_questions(virtuoso: str, snapshot: Snapshot, tmp_path: Path) -> None:
    """Virtuoso 7.2 gives no value for what BIND gives one within GRAPH: answers would be wrong."""
    store = Store(f"{virtuoso}sparql-auth", "update", "", "dba", "dba", digest=True)
    assert hand_over(Plan(snapshot.contents, BELIEVED), store, tmp_path / "s") == Outcome(())
    with (
        pytest.raises(RemoteError, match="UNDEF in VALUES takes what BIND gives"),
        at(f"{virtuoso}sparql"),
    ):
        pass


def test_a_wrong_password(virtuoso: str, snapshot: Snapshot, tmp_path: Path) -> None:
    store = Store(f"{virtuoso}sparql-auth", "update", "", "dba", "wrong", digest=True)
    with pytest.raises(HandoverError, match=r"answered 401 .*--user"):
        hand_over(Plan(snapshot.contents, BELIEVED), store, tmp_path / "state.json")


@pytest.mark.parametrize("protocol", ["update", "graphs", "graphs read back"])
def test_what_vanished_goes_and_nothing_else(virtuoso: str, tmp_path: Path, protocol: str) -> None:
    """A graph under the base that no hand-over put there stays, and one that one did put goes."""
    query = f"{virtuoso}sparql"
    user = ("dba", "dba")
    foreign = f"{BASE}claim/of-somebody-else"
    text = f"INSERT DATA {{ GRAPH <{foreign}> {{ <x:a> <x:b> <x:c> }} }}"
    put = httpx.post(
        f"{virtuoso}sparql-auth",
        content=text,
        headers={"content-type": "application/sparql-update"},
        auth=httpx.DigestAuth(*user),
        trust_env=False,
    )
    assert put.is_success
    if protocol == "update":
        store = Store(f"{virtuoso}sparql-auth", "update", "", *user, digest=True)
    else:
        where = query if protocol == "graphs" else ""
        store = Store(f"{virtuoso}sparql-graph-crud-auth", "graphs", where, *user, digest=True)
    before, after = before_and_after(tmp_path)
    held = f"SELECT ?g {{ VALUES ?g {{ <{GONE}> <{foreign}> <{NOTE}> }} GRAPH ?g {{ ?s ?p ?o }} }} GROUP BY ?g"
    assert handed(before, store, tmp_path) == Outcome(())
    assert sorted(asked(query, held, "g")) == sorted([str(GONE), foreign, str(NOTE)])
    assert handed(after, store, tmp_path) == Outcome((), removed=(GONE,))
    assert sorted(asked(query, held, "g")) == sorted([foreign, str(NOTE)])
    assert handed(after, store, tmp_path) == Outcome(())
    assert names(virtuoso) == ["Alder", "Birch"]
