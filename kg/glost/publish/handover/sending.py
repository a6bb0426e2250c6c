"""Sending a plan to a store, going on where it broke off, and counting what has arrived."""

import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from http import HTTPStatus
from pathlib import Path
from urllib.parse import urlencode

import httpx2 as httpx
import pyoxigraph as ox
from rdflib import URIRef

from glost.publish.handover.batches import Batch, Protocol, Size, batches, graph_fields
from glost.publish.handover.plan import Plan
from glost.publish.handover.state import State

Progress = Callable[[str], None]

_TIMEOUT = httpx.Timeout(120, connect=10)
_TRIES = 4
_PASSING = (
    HTTPStatus.TOO_MANY_REQUESTS,
    HTTPStatus.BAD_GATEWAY,
    HTTPStatus.SERVICE_UNAVAILABLE,
    HTTPStatus.GATEWAY_TIMEOUT,
)
_SHOWN = 300
_COUNTED = 100
_JSON = "application/sparql-results+json"
_FORM = "application/x-www-form-urlencoded"


class HandoverError(Exception):
    """A store does not take what it is handed; the message says what it said and what to do."""


@dataclass(frozen=True)
class Store:
    """A store to hand over to.

    Attributes
    ----------
    address
        Where it takes updates, or the statements of graphs.
    protocol
        By which protocol.
    query
        Where it answers queries; empty if it does so at `address` (updates), or if graphs are
        counted by reading them back (graphs).
    user, password
        For stores that ask for them; empty otherwise.
    digest
        Whether they are sent as a digest (RFC 7616) and not as they are (RFC 7617).
    """

    address: str
    protocol: Protocol = "update"
    query: str = ""
    user: str = ""
    password: str = field(default="", repr=False)
    digest: bool = False

    @contextmanager
    def open(self) -> Iterator[httpx.Client]:
        """Open connections to it; redirects are not followed."""
        auth: httpx.Auth | None = None
        if self.user:
            kind = httpx.DigestAuth if self.digest else httpx.BasicAuth
            auth = kind(self.user, self.password)
        with httpx.Client(auth=auth, timeout=_TIMEOUT, trust_env=False) as client:
            yield client


@dataclass(frozen=True, slots=True)
class Count:
    """How many statements a graph was handed, and how many it has."""

    graph: URIRef | None
    sent: int
    found: int


def hand_over(
    plan: Plan,
    store: Store,
    state_file: Path,
    *,
    size: Size | None = None,
    pause: float = 1.0,
    progress: Progress = lambda _: None,
) -> tuple[Count, ...]:
    """Hand a collection over, then count.

    Every graph of the collection is emptied first and then filled, so that the store holds what
    the collection holds, however often it is handed over. Graphs of other names are not touched.

    Parameters
    ----------
    plan
        What is handed over.
    store
        To whom.
    state_file
        Where it is written down how far it has come. If it is there, what has been sent is not
        sent again; it is taken away when all has been sent and counted.
    size
        How large a request may be.
    pause
        Seconds before a request that failed in passing is sent again, doubled each time.
    progress
        Told what has been sent.

    Returns
    -------
    tuple of Count
        The graphs whose counts differ, sorted by name; none if all is well.

    Raises
    ------
    HandoverError
        If the store cannot be reached or refuses a request. What was sent stays sent; handing
        over again goes on from there.
    glost.publish.handover.state.StateError
        If the state file belongs to another hand-over.
    """
    size = size or Size()
    state = State.read(state_file, _identity(plan, store, size))
    with store.open() as client:
        for number, batch in enumerate(batches(plan, store.protocol, size), start=1):
            if number <= state.done:
                continue
            _send(client, store.address, batch, pause)
            state.write(number)
            progress(f"{number} requests answered; {batch.about}")
        progress("counting")
        differing = count(client, plan, store, pause)
    if not differing:
        state.clear()
    return differing


def count(client: httpx.Client, plan: Plan, store: Store, pause: float = 1.0) -> tuple[Count, ...]:
    """Return the graphs whose number of statements in the store is not what was sent."""
    names = list(plan.counts)
    if store.protocol == "graphs" and not store.query:
        found = {name: _read_back(client, store, name, pause) for name in names}
    else:
        found = {}
        for start in range(0, len(names), _COUNTED):
            found |= _counted(client, store, names[start : start + _COUNTED], pause)
    counts = (Count(name, plan.counts[name], found.get(name, 0)) for name in names)
    return tuple(sorted((c for c in counts if c.sent != c.found), key=lambda c: c.graph or ""))


def _identity(plan: Plan, store: Store, size: Size) -> dict[str, str | int]:
    return {
        "address": store.address,
        "protocol": store.protocol,
        "content": plan.digest,
        "statements per request": size.statements,
        "octets per request": size.octets,
    }


def _counted(
    client: httpx.Client, store: Store, names: Sequence[URIRef | None], pause: float
) -> dict[URIRef | None, int]:
    found: dict[URIRef | None, int] = {}
    listed = " ".join(f"<{name}>" for name in names if name is not None)
    if listed:
        text = (
            f"SELECT ?g (COUNT(*) AS ?n) {{ VALUES ?g {{ {listed} }} GRAPH ?g {{ ?s ?p ?o }} }} "
            "GROUP BY ?g"
        )
        for row in _asked(client, store, text, pause):
            if isinstance(row["g"], ox.NamedNode):
                found[URIRef(row["g"].value)] = int(_plain(row["n"]))
    if None in names:
        rows = _asked(client, store, "SELECT (COUNT(*) AS ?n) { ?s ?p ?o }", pause)
        found[None] = sum(int(_plain(row["n"])) for row in rows)
    return found


def _asked(
    client: httpx.Client, store: Store, text: str, pause: float
) -> Iterator[ox.QuerySolution]:
    batch = Batch("POST", _FORM, urlencode({"query": text}).encode(), "counting")
    answer = _send(client, store.query or store.address, batch, pause, accept=_JSON)
    try:
        parsed = ox.parse_query_results(answer.content, format=ox.QueryResultsFormat.JSON)
    except SyntaxError as error:
        where = store.query or store.address
        raise HandoverError(f"{where} does not answer queries in JSON: {error}") from None
    if isinstance(parsed, ox.QuerySolutions):
        yield from parsed


def _plain(term: object) -> str:
    return str(getattr(term, "value", "0"))


def _read_back(client: httpx.Client, store: Store, name: URIRef | None, pause: float) -> int:
    batch = Batch("GET", "", b"", "counting", graph_fields(name))
    answer = _send(
        client, store.address, batch, pause, accept="application/n-triples", missing=True
    )
    if answer.status_code == HTTPStatus.NOT_FOUND:
        return 0
    return sum(1 for _ in ox.parse(answer.content, format=ox.RdfFormat.N_TRIPLES))


def _send(
    client: httpx.Client,
    address: str,
    batch: Batch,
    pause: float,
    *,
    accept: str = "*/*",
    missing: bool = False,
) -> httpx.Response:
    """Send a request, again if it failed in passing; `missing` lets status 404 be an answer."""
    headers = {"accept": accept}
    if batch.media:
        headers["content-type"] = batch.media
    for left in range(_TRIES - 1, -1, -1):
        try:
            answer = client.request(
                batch.method,
                httpx.URL(address).copy_merge_params(dict(batch.params)),
                content=batch.body,
                headers=headers,
            )
        except (httpx.HTTPError, httpx.InvalidURL) as error:
            passing = isinstance(error, httpx.TransportError)
            if not left or not passing or isinstance(error, httpx.ConnectError):
                reason = f"{address} cannot be reached ({batch.about}): {error or 'no answer'}"
                raise HandoverError(f"{reason}; hand over again to go on from there") from None
        else:
            if answer.is_success or (missing and answer.status_code == HTTPStatus.NOT_FOUND):
                return answer
            if not left or answer.status_code not in _PASSING:
                raise HandoverError(_told(address, batch, answer))
        time.sleep(pause)
        pause *= 2
    raise AssertionError("every try ends in an answer or an error")


_REMEDIES = {
    HTTPStatus.UNAUTHORIZED: "name a user with --user, and --digest if the store wants it so",
    HTTPStatus.FORBIDDEN: "give the user the right to write",
    HTTPStatus.NOT_FOUND: "look the address up in the store's manual",
    HTTPStatus.METHOD_NOT_ALLOWED: "the address takes no such request; see --protocol",
    HTTPStatus.UNSUPPORTED_MEDIA_TYPE: "the address takes no such request; see --protocol",
    HTTPStatus.REQUEST_ENTITY_TOO_LARGE: "make requests smaller with --statements",
}


def _told(address: str, batch: Batch, answer: httpx.Response) -> str:
    status = HTTPStatus(answer.status_code)
    said = " ".join(answer.text.split())[:_SHOWN]
    remedy = _REMEDIES.get(status, "what was sent before stays; hand over again to go on")
    text = f'{address} answered {status.value} {status.phrase} ({batch.about}): "{said}"'
    return f"{text}; {remedy}"
