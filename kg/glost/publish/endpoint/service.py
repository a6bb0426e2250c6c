"""The SPARQL service: a query in, a result out, or a page to try queries on."""

import asyncio
import hashlib
import logging
import re
from collections.abc import AsyncIterator
from dataclasses import dataclass
from functools import cache
from http import HTTPStatus

from rdflib import Graph, Literal, Namespace, URIRef
from rdflib.namespace import DCTERMS, RDF, VOID
from starlette.requests import Request
from starlette.responses import Response, StreamingResponse

from glost.answer.headers import Header
from glost.answer.questions import UnknownQuestion, catalogue, question
from glost.answer.refusals import QueryError, refuse
from glost.publish.endpoint import pages
from glost.publish.endpoint.asking import read
from glost.publish.endpoint.cache import AnswerCache
from glost.publish.endpoint.formats import FORMS, HTML, written
from glost.publish.endpoint.limits import Limits
from glost.publish.endpoint.messages import PAGE, Query, Reply, lasting
from glost.publish.endpoint.negotiate import choose
from glost.publish.endpoint.pool import Busy, Pool
from glost.publish.endpoint.problems import Problem, of_query
from glost.publish.endpoint.static import Published

SD = Namespace("http://www.w3.org/ns/sparql-service-description#")
_FORMATS = Namespace("http://www.w3.org/ns/formats/")

RDF_FORMATS = {
    "text/turtle": "turtle",
    "application/n-triples": "nt",
    "application/ld+json": "json-ld",
    "application/rdf+xml": "xml",
}
"""Media types of the description, with rdflib's names for them."""

_RESULTS = (
    "SPARQL_Results_JSON",
    "SPARQL_Results_XML",
    "SPARQL_Results_CSV",
    "SPARQL_Results_TSV",
    "Turtle",
    "N-Triples",
    "JSON-LD",
    "RDF_XML",
)


def describe(
    address: str, title: str, base: str, statements: int, graphs: Graph | None = None
) -> Graph:
    """Describe an endpoint.

    Parameters
    ----------
    address
        Where it is.
    title
        The collection's title.
    base
        The collection's base IRI.
    statements
        How many statements its dataset holds, every graph counted.
    graphs
        What the site says of its dataset and the graphs in it; see `Published.graphs`.
    """
    graph = Graph()
    graph.bind("sd", SD)
    graph.bind("void", VOID)
    graph.bind("dcterms", DCTERMS)
    service, dataset = URIRef(address), URIRef(f"{base}data/dataset")
    graph.add((service, RDF.type, SD.Service))
    graph.add((service, DCTERMS.title, Literal(title)))
    graph.add((service, SD.endpoint, service))
    graph.add((service, SD.supportedLanguage, SD.SPARQL11Query))
    for name in _RESULTS:
        graph.add((service, SD.resultFormat, _FORMATS[name]))
    graph.add((service, SD.defaultDataset, dataset))
    graph.add((dataset, RDF.type, SD.Dataset))
    graph.add((dataset, RDF.type, VOID.Dataset))
    graph.add((dataset, VOID.uriSpace, Literal(base)))
    graph.add((dataset, VOID.triples, Literal(statements)))
    return graph + graphs if graphs is not None else graph


LOG = logging.getLogger("glost.endpoint")

_CHUNK = 1 << 18
_LATER = 5
_FRESH = "public, no-cache"


@dataclass(frozen=True)
class Service:
    """Answers what is asked at ``/sparql``.

    Attributes
    ----------
    pool
        The processes that answer queries.
    cache
        What has been answered.
    published
        The site whose dataset is asked.
    limits
        What a request may take.
    """

    pool: Pool
    cache: AnswerCache
    published: Published
    limits: Limits

    async def __call__(self, request: Request) -> Response:
        """Answer a request.

        Raises
        ------
        Problem
            If there is no answer.
        """
        asked = await read(request, self.limits)
        if asked.query is None:
            return self._unasked(request)
        query = settled(asked.query)
        tag = self._tag(query, request)
        if tag and tag in request.headers.get("if-none-match", ""):
            return Response(status_code=HTTPStatus.NOT_MODIFIED, headers=_headers(tag))
        found = await self.found(query)
        return _sent(found, request, tag)

    async def found(self, query: Query) -> Reply:
        """Answer a query, from what has been answered before if need be.

        Raises
        ------
        Problem
            If there is no answer.
        """
        ask = self.cache.found if lasting(query.text) else self.pool.ask
        try:
            if query.text not in _texts():
                refuse(query.text)
            return await ask(query)
        except QueryError as error:
            raise of_query(error) from None
        except Busy as busy:
            raise Problem(
                HTTPStatus.SERVICE_UNAVAILABLE,
                f"the server is busy: {busy}",
                f"try again in {_LATER} seconds",
                {"retry-after": str(_LATER)},
            ) from None

    async def prepare(self) -> None:
        """Answer every named question that needs no parameter, for those who will ask it."""
        for name, asked in catalogue().items():
            if needed(asked.header):
                continue
            for form in ("json", PAGE):
                forms = dict.fromkeys(FORMS, form)
                fields = (("question", name),) if form == PAGE else ()
                query = settled(Query("", forms, question=name, fields=fields))
                while not await self._made_ready(query, name):
                    await asyncio.sleep(_LATER)

    async def _made_ready(self, query: Query, name: str) -> bool:
        """Answer a query ahead; say whether that is done with, one way or the other."""
        try:
            await self.found(query)
        except Problem as bad:
            if bad.status == HTTPStatus.SERVICE_UNAVAILABLE:
                return False
            LOG.warning("the question %s was not made ready: %s", name, bad)
        return True

    def _unasked(self, request: Request) -> Response:
        accept = request.headers.get("accept")
        media = choose(accept, [HTML, *RDF_FORMATS])
        if media is None or request.method == "POST":
            raise Problem(
                HTTPStatus.BAD_REQUEST, "the request puts no query", "send one in the field query"
            )
        headers = {"vary": "Accept", "cache-control": _FRESH}
        if media == HTML:
            return Response(pages.empty(self.published.named), media_type=HTML, headers=headers)
        graph = describe(
            f"{self.published.base}sparql",
            self.published.title,
            self.published.base,
            self.pool.statements,
            self.published.graphs,
        )
        text = graph.serialize(format=RDF_FORMATS[media])
        return Response(text, media_type=media, headers=headers)

    def _tag(self, query: Query, request: Request) -> str:
        """Return the entity tag of a result; none if it may differ the next time."""
        if not lasting(query.text):
            return ""
        key = self.published.version.encode() + query.line()
        return f'W/"{hashlib.sha256(key).hexdigest()[:32]}"'


def settled(query: Query) -> Query:
    """Write every request for a named question alike, so that one answer serves them all.

    A question without parameters is put as its query; of the formats, only those of tables are
    kept, which is what a question gives.

    Raises
    ------
    Problem
        If there is no such question.
    """
    text = query.text
    if query.question:
        try:
            header = question(query.question).header
        except UnknownQuestion as error:
            remedy = "see the questions on the site, or what `glost ask` lists"
            raise Problem(HTTPStatus.NOT_FOUND, str(error), remedy) from None
        if query.parameters or needed(header):
            return query
        text = header.query
    if text not in _texts():
        return query
    form = {gives: name for gives, name in query.form.items() if gives == "table"}
    return Query(text, form, query.graphs, fields=query.fields)


def needed(header: Header) -> tuple[str, ...]:
    """Return the parameters that a question cannot be asked without."""
    return tuple(each.name for each in header.parameters if not (each.optional or each.default))


@cache
def _texts() -> frozenset[str]:
    return frozenset(asked.header.query for asked in catalogue().values())


def _headers(tag: str) -> dict[str, str]:
    headers = {"vary": "Accept, Accept-Encoding", "cache-control": _FRESH}
    return {**headers, "etag": tag} if tag else {**headers, "cache-control": "no-store"}


def _sent(found: Reply, request: Request, tag: str) -> Response:
    form = written(found.gives, found.form)
    headers = _headers(tag)
    if form.name != PAGE:
        headers["content-disposition"] = f'inline; filename="result.{form.suffix}"'
    body = found.written
    if found.packed and _takes_gzip(request):
        headers["content-encoding"] = "gzip"
        body = found.packed
    headers["content-length"] = str(len(body))
    media = form.media + ("; charset=utf-8" if form.media.startswith("text/") else "")
    return StreamingResponse(_chunks(body), media_type=media, headers=headers)


def _takes_gzip(request: Request) -> bool:
    """Say whether the client takes gzip (RFC 9110, section 12.5.3)."""
    for part in request.headers.get("accept-encoding", "").lower().split(","):
        name, _, weight = part.partition(";")
        if name.strip() in ("gzip", "x-gzip"):
            return not re.fullmatch(r"\s*q\s*=\s*0(\.0*)?\s*", weight)
    return False


async def _chunks(body: bytes) -> AsyncIterator[memoryview]:
    """Yield a body in pieces, each when the reader has taken most of the ones before."""
    view = memoryview(body)
    for start in range(0, len(view), _CHUNK):
        yield view[start : start + _CHUNK]
