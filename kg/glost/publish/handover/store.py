"""A store to hand over to, and how it is spoken to: requests, queries, and what it says of them."""

import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http import HTTPStatus
from urllib.parse import urlencode

import httpx2 as httpx
import pyoxigraph as ox
from rdflib import URIRef

from glost.publish.handover.batches import Batch, Protocol, graph_fields

_TIMEOUT = httpx.Timeout(120, connect=10)
_TRIES = 4
_PASSING = (
    HTTPStatus.TOO_MANY_REQUESTS,
    HTTPStatus.BAD_GATEWAY,
    HTTPStatus.SERVICE_UNAVAILABLE,
    HTTPStatus.GATEWAY_TIMEOUT,
)
_SHOWN = 300
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
    def open(self, pause: float = 1.0) -> Iterator["Connection"]:
        """Open connections to it; redirects are not followed.

        Parameters
        ----------
        pause
            Seconds before a request that failed in passing is sent again, doubled each time.
        """
        auth: httpx.Auth | None = None
        if self.user:
            kind = httpx.DigestAuth if self.digest else httpx.BasicAuth
            auth = kind(self.user, self.password)
        with httpx.Client(auth=auth, timeout=_TIMEOUT, trust_env=False) as client:
            yield Connection(self, client, pause)


@dataclass(frozen=True)
class Connection:
    """A store that is spoken to.

    Attributes
    ----------
    store
        The store.
    """

    store: Store
    _client: httpx.Client
    _pause: float

    def send(self, batch: Batch) -> httpx.Response:
        """Send a request to where the store takes them.

        Raises
        ------
        HandoverError
            If the store cannot be reached, or refuses.
        """
        return self._send(self.store.address, batch)

    def ask(self, text: str) -> Iterator[ox.QuerySolution]:
        """Put a SELECT query and yield its rows.

        Raises
        ------
        HandoverError
            Likewise, and if the store gives no table in JSON.
        """
        where = self.store.query or self.store.address
        batch = Batch("POST", _FORM, urlencode({"query": text}).encode(), "asking")
        answer = self._send(where, batch, accept=_JSON)
        try:
            parsed = ox.parse_query_results(answer.content, format=ox.QueryResultsFormat.JSON)
        except SyntaxError as error:
            raise HandoverError(f"{where} does not answer queries in JSON: {error}") from None
        if isinstance(parsed, ox.QuerySolutions):
            yield from parsed

    def read(self, name: URIRef | None) -> Iterator[ox.Triple]:
        """Yield the statements of a graph, by the Graph Store HTTP Protocol; none if it is absent.

        Raises
        ------
        HandoverError
            If the store cannot be reached, or refuses.
        """
        batch = Batch("GET", "", b"", "reading", graph_fields(name))
        answer = self._send(self.store.address, batch, accept="application/n-triples", missing=True)
        if answer.status_code != HTTPStatus.NOT_FOUND:
            for triple in ox.parse(answer.content, format=ox.RdfFormat.N_TRIPLES):
                yield triple.triple if isinstance(triple, ox.Quad) else triple

    def remove(self, name: URIRef) -> None:
        """Remove a graph, by the Graph Store HTTP Protocol; one that is not there does no harm.

        Raises
        ------
        HandoverError
            If the store cannot be reached, or refuses.
        """
        batch = Batch("DELETE", "", b"", f"removing GRAPH <{name}>", graph_fields(name))
        self._send(self.store.address, batch, missing=True)

    def _send(
        self, address: str, batch: Batch, *, accept: str = "*/*", missing: bool = False
    ) -> httpx.Response:
        """Send a request, again if it failed in passing; `missing` lets 404 be an answer."""
        headers = {"accept": accept}
        if batch.media:
            headers["content-type"] = batch.media
        pause = self._pause
        for left in range(_TRIES - 1, -1, -1):
            try:
                answer = self._client.request(
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
