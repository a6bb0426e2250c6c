"""Stores on loopback that speak the SPARQL 1.1 Protocol: rdflib's engine, and what goes wrong."""

import threading
import warnings
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from urllib.parse import parse_qs
from wsgiref.simple_server import WSGIRequestHandler, make_server

import pyoxigraph as ox
from rdflib import Dataset

Reply = tuple[str, dict[str, str], bytes]
JSON = "application/sparql-results+json"


class _Silent(WSGIRequestHandler):
    def log_message(self, format: str, *args: object) -> None:
        """Say nothing of each request."""


@contextmanager
def replying(reply: Callable[[str], Reply], allowed: str = "") -> Iterator[str]:
    """Serve what a function gives for each query; the address.

    With `allowed`, only to who sends this as ``Authorization``.
    """

    def application(environ: dict, start: Callable) -> Iterable[bytes]:
        sent = environ["wsgi.input"].read(int(environ.get("CONTENT_LENGTH") or 0))
        if allowed and environ.get("HTTP_AUTHORIZATION") != allowed:
            start("401 Unauthorized", [("WWW-Authenticate", 'Basic realm="store"')])
            return [b"who are you?"]
        status, headers, body = reply(parse_qs(sent.decode())["query"][0])
        start(status, list(headers.items()))
        return [body]

    with make_server("127.0.0.1", 0, application, handler_class=_Silent) as server:
        thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02})
        thread.start()
        try:
            yield f"http://127.0.0.1:{server.server_port}/"
        finally:
            server.shutdown()
            thread.join()


@contextmanager
def oxigraph_here(nquads: bytes, allowed: str = "", *, union: bool = False) -> Iterator[str]:
    """Serve pyoxigraph from this process; see `replying`."""
    data = ox.Store()
    data.bulk_load(nquads, format=ox.RdfFormat.N_QUADS)

    def reply(query: str) -> Reply:
        found = data.query(query, use_default_graph_as_union=union)
        if isinstance(found, ox.QueryTriples):
            lines = found.serialize(format=ox.RdfFormat.N_TRIPLES) or b""
            return "200 OK", {"content-type": "application/n-triples"}, lines
        results = found.serialize(format=ox.QueryResultsFormat.JSON) or b""
        return "200 OK", {"content-type": JSON}, results

    with replying(reply, allowed) as address:
        yield address


@contextmanager
def rdflib_server(nquads: bytes, *, union: bool) -> Iterator[str]:
    """Serve rdflib's own engine; `union`: a query without a graph reads all graphs at once."""
    data = Dataset(default_union=union)
    data.parse(data=nquads.decode(), format="nquads")

    def reply(query: str) -> Reply:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            found = data.query(query).serialize(format="json") or b""
        return "200 OK", {"content-type": JSON}, found

    with replying(reply) as address:
        yield address
