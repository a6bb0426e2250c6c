"""Handing over: to the Oxigraph server, and to a server that breaks off."""

import json
import re
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import httpx2 as httpx
import pyoxigraph as ox
import pytest
from rdflib import BNode, URIRef

from glost.answer.dataset import Contents, quads
from glost.answer.snapshot import Snapshot
from glost.publish.handover.batches import Batch, Size, batches
from glost.publish.handover.plan import Plan
from glost.publish.handover.sending import GraphCount, Outcome, hand_over
from glost.publish.handover.state import StateError
from glost.publish.handover.store import HandoverError, Store
from glost.record.terms import to_oxigraph

BASE = "https://example.org/shelf/"
BELIEVED = URIRef(f"{BASE}believed")
NOTE = f"{BASE}.well-known/handed-over"
SMALL = Size(400, 80_000)
DONE = Outcome(())


@pytest.fixture
def plan(snapshot: Snapshot) -> Plan:
    return Plan(snapshot.contents, BELIEVED)


@contextmanager
def server(failing: list[int], status: int = 500) -> Iterator[tuple[str, list[tuple[str, bytes]]]]:
    """Serve on loopback; answer the requests with the numbers in `failing` with an error."""
    taken: list[tuple[str, bytes]] = []
    seen = iter(range(1, 1_000_000))

    class Handler(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            body = self.rfile.read(int(self.headers["content-length"]))
            code = status if next(seen) in failing else 204
            if code == 204:
                taken.append((self.path, body))
            self.send_response(code)
            self.send_header("content-length", "0")
            self.end_headers()

        do_PUT = do_POST  # noqa: N815 - the name the library looks for

        def log_message(self, format: str, *args: object) -> None:
            pass

    with ThreadingHTTPServer(("127.0.0.1", 0), Handler) as served:
        thread = threading.Thread(target=served.serve_forever)
        thread.start()
        try:
            yield f"http://127.0.0.1:{served.server_address[1]}/", taken
        finally:
            served.shutdown()
            thread.join()


def dumped(address: str) -> set[ox.Quad]:
    """Read all that the Oxigraph server holds."""
    answer = httpx.get(
        f"{address}store", headers={"accept": "application/n-quads"}, trust_env=False, verify=False
    )
    return set(ox.parse(answer.content, format=ox.RdfFormat.N_QUADS))


def normal(lines: bytes) -> set[ox.Quad]:
    """Return quads as a store of Oxigraph's keeps them."""
    store = ox.Store()
    store.load(lines, format=ox.RdfFormat.N_QUADS)
    return set(store)


def expected(contents: Contents, believed: URIRef | None) -> set[ox.Quad]:
    """Write the dataset without the plan, blank nodes named; nothing is shared with the code."""

    def word(term: object) -> str:
        if isinstance(term, BNode):
            return f"<{contents.base}.well-known/genid/{term}>"
        return str(to_oxigraph(term))  # type: ignore[arg-type]

    lines = []
    for s, p, o, name in quads(contents):
        graph = believed if name is None else name
        lines.append(f"{word(s)} {word(p)} {word(o)} {f'<{graph}>' if graph else ''} .\n")
        if graph:
            lines.append(f"<{NOTE}> <http://purl.org/dc/terms/hasPart> <{graph}> <{NOTE}> .\n")
    return normal("".join(lines).encode())


@pytest.mark.parametrize("believed", [BELIEVED, None])
def test_updates_bring_all_of_it_to_oxigraph(
    oxigraph: str, snapshot: Snapshot, tmp_path: Path, believed: URIRef | None
) -> None:
    plan = Plan(snapshot.contents, believed)
    store = Store(f"{oxigraph}update", "update", f"{oxigraph}query")
    state = tmp_path / "state.json"
    assert hand_over(plan, store, state, size=SMALL) == DONE
    assert dumped(oxigraph) == expected(snapshot.contents, believed)
    assert not state.exists()
    assert hand_over(plan, store, state, size=SMALL) == DONE
    assert dumped(oxigraph) == expected(snapshot.contents, believed)


@pytest.mark.parametrize("queried", [False, True])
def test_graphs_bring_all_of_it_to_oxigraph(
    oxigraph: str, snapshot: Snapshot, tmp_path: Path, queried: bool
) -> None:
    plan = Plan(snapshot.contents, None)
    query = f"{oxigraph}query" if queried else ""
    store = Store(f"{oxigraph}store", "graphs", query)
    assert hand_over(plan, store, tmp_path / "state.json", size=Size(1_000)) == DONE
    assert dumped(oxigraph) == expected(snapshot.contents, None)


def test_graphs_of_others_are_left_alone_and_own_ones_replaced(
    oxigraph: str, plan: Plan, tmp_path: Path
) -> None:
    text = (
        "INSERT DATA { <x:a> <x:b> <x:c> GRAPH <x:other> { <x:a> <x:b> <x:c> } "
        f"GRAPH <{BASE}record> {{ <x:stale> <x:b> <x:c> }} }}"
    )
    media = {"content-type": "application/sparql-update"}
    httpx.post(f"{oxigraph}update", content=text, headers=media, trust_env=False, verify=False)
    store = Store(f"{oxigraph}update", "update", f"{oxigraph}query")
    assert hand_over(plan, store, tmp_path / "state.json") == DONE
    held = {str(each) for each in dumped(oxigraph)}
    assert "<x:a> <x:b> <x:c>" in held
    assert "<x:a> <x:b> <x:c> <x:other>" in held
    assert not [each for each in held if "x:stale" in each]


def test_a_graph_that_lost_something_is_found_out(
    oxigraph: str, plan: Plan, tmp_path: Path
) -> None:
    class Losing(Plan):
        """A plan whose counts say one more than is sent."""

        @property
        def counts(self) -> dict[URIRef | None, int]:  # type: ignore[override]
            return {name: count + (name == BELIEVED) for name, count in plan.counts.items()}

    store = Store(f"{oxigraph}update", "update", f"{oxigraph}query")
    state = tmp_path / "state.json"
    held = plan.counts[BELIEVED]
    found = hand_over(Losing(plan.contents, BELIEVED), store, state)
    assert found == Outcome((GraphCount(BELIEVED, held + 1, held),))
    assert state.exists()


@pytest.mark.parametrize("protocol", ["update", "graphs"])
def test_what_broke_off_goes_on_where_it_was(plan: Plan, tmp_path: Path, protocol: str) -> None:
    whole = list(batches(plan, protocol, SMALL))  # type: ignore[arg-type]
    state = tmp_path / "state.json"
    break_at = len(whole) // 2
    with server([break_at]) as (address, taken):
        store = Store(address, protocol)  # type: ignore[arg-type]
        with pytest.raises(HandoverError, match=r"answered 500 .* hand over again to go on"):
            hand_over(plan, store, state, size=SMALL, pause=0.01)
        assert len(taken) == break_at - 1
        assert json.loads(state.read_text())["done"] == break_at - 1
        with pytest.raises(HandoverError, match=r"does not answer queries|answered 501"):
            hand_over(plan, store, state, size=SMALL, pause=0.01)
        sent = [body for _, body in taken][: len(whole)]
        assert sent == [batch.body for batch in whole]
        with pytest.raises(StateError, match="statements per request"):
            hand_over(plan, store, state, size=Size(50, 80_000))
    state.write_text("[]")
    with pytest.raises(StateError, match="no record of a hand-over"):
        hand_over(plan, store, state, size=SMALL)


def test_a_server_that_is_busy_in_passing_is_asked_again(plan: Plan, tmp_path: Path) -> None:
    with server([1, 2, 5], 503) as (address, taken):
        with pytest.raises(HandoverError, match="does not answer queries"):
            hand_over(plan, Store(address), tmp_path / "s.json", size=Size(2_000), pause=0.01)
        whole = list(batches(plan, "update", Size(2_000)))
        assert [body for _, body in taken][: len(whole)] == [batch.body for batch in whole]


def test_a_server_that_is_not_there(plan: Plan, tmp_path: Path) -> None:
    with server([]) as (address, _):
        pass
    for wrong in (address, "http://127.0.0.1:1/", "nonsense", "ftp://127.0.0.1/"):
        with pytest.raises(HandoverError, match="cannot be reached"):
            hand_over(plan, Store(wrong), tmp_path / "s.json", pause=0.01)


def test_requests_are_bounded_and_the_same_every_time(plan: Plan) -> None:
    for protocol in ("update", "graphs"):
        whole: list[Batch] = list(batches(plan, protocol, SMALL))  # type: ignore[arg-type]
        assert whole == list(batches(plan, protocol, SMALL))  # type: ignore[arg-type]
        assert max(batch.body.count(b" .\n") for batch in whole) <= SMALL.statements
        assert len(whole) > 10


def test_no_text_can_be_taken_for_an_escape(snapshot: Snapshot) -> None:
    r"""SPARQL 1.1 Query (W3C, 2013), section 19.2: \uXXXX is undone before anything is read."""
    escape = re.compile(r"\\u([0-9A-Fa-f]{4})|\\U([0-9A-Fa-f]{8})")
    hard = 0
    for _, lines in Plan(snapshot.contents, None).graphs():
        for line in lines:
            undone = escape.sub(lambda found: chr(int(found[1] or found[2], 16)), line)
            hard += undone != line
            read = list(ox.parse(line, format=ox.RdfFormat.N_TRIPLES))
            assert list(ox.parse(undone, format=ox.RdfFormat.N_TRIPLES)) == read
    assert hard
