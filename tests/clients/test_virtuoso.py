"""Handing over to Virtuoso (Debian ``virtuoso-opensource``), by both protocols, over loopback."""

import subprocess
import time
from collections.abc import Iterator
from pathlib import Path
from string import Template
from urllib.parse import urlencode

import httpx2 as httpx
import pytest
from rdflib import URIRef

from glost.answer.desk import Desk
from glost.publish.handover.batches import Size
from glost.publish.handover.plan import Plan
from glost.publish.handover.sending import HandoverError, Store, hand_over
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


def names(virtuoso: str) -> list[str]:
    answer = httpx.post(
        f"{virtuoso}sparql",
        content=urlencode({"query": SHAPES}),
        headers={
            "content-type": "application/x-www-form-urlencoded",
            "accept": "application/sparql-results+json",
        },
        trust_env=False,
    )
    return [row["name"]["value"] for row in answer.json()["results"]["bindings"]]


def test_updates(virtuoso: str, desk: Desk, tmp_path: Path) -> None:
    plan = Plan(desk.contents, BELIEVED)
    store = Store(f"{virtuoso}sparql-auth", "update", "", "dba", "dba", digest=True)
    for _ in range(2):
        assert hand_over(plan, store, tmp_path / "state.json") == ()
        assert names(virtuoso) == ["Alder", "Birch"]


def test_graphs(virtuoso: str, desk: Desk, tmp_path: Path) -> None:
    plan = Plan(desk.contents, BELIEVED)
    address, query = f"{virtuoso}sparql-graph-crud-auth", f"{virtuoso}sparql"
    store = Store(address, "graphs", query, "dba", "dba", digest=True)
    assert hand_over(plan, store, tmp_path / "state.json", size=Size(1_000)) == ()
    assert names(virtuoso) == ["Alder", "Birch"]


def test_a_wrong_password(virtuoso: str, desk: Desk, tmp_path: Path) -> None:
    store = Store(f"{virtuoso}sparql-auth", "update", "", "dba", "wrong", digest=True)
    with pytest.raises(HandoverError, match=r"answered 401 .*--user"):
        hand_over(Plan(desk.contents, BELIEVED), store, tmp_path / "state.json")
