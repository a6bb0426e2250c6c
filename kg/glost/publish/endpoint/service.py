"""The SPARQL service: a query in, a result out, or a page to try queries on."""

import hashlib
import re
from collections.abc import AsyncIterator
from dataclasses import dataclass
from http import HTTPStatus

from starlette.requests import Request
from starlette.responses import Response, StreamingResponse

from glost.answer.questions import UnknownQuestion, catalogue, question
from glost.answer.sparql import QueryError
from glost.publish.endpoint import description, pages
from glost.publish.endpoint.asking import Asked, read
from glost.publish.endpoint.cache import Cache
from glost.publish.endpoint.formats import HTML, written
from glost.publish.endpoint.limits import Limits
from glost.publish.endpoint.messages import PAGE, Found, Query
from glost.publish.endpoint.negotiate import choose
from glost.publish.endpoint.pool import Busy, Pool
from glost.publish.endpoint.problems import Problem, of_query
from glost.publish.endpoint.static import Published

_CHUNK = 1 << 18
_FICKLE = re.compile(r"\b(now|rand|uuid|struuid)\s*\(", re.IGNORECASE)
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
    cache: Cache
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
            return self._unasked(request, asked)
        query = settled(asked.query)
        tag = self._tag(query, request)
        if tag and tag in request.headers.get("if-none-match", ""):
            return Response(status_code=HTTPStatus.NOT_MODIFIED, headers=_headers(tag))
        found = await self.found(query)
        if found.form == PAGE:
            page = pages.result(self.published, asked, found)
            return Response(page, media_type=HTML, headers=_headers(tag))
        return _sent(found, request, tag)

    async def found(self, query: Query) -> Found:
        """Answer a query, from what has been answered before if need be.

        Raises
        ------
        Problem
            If there is no answer.
        """
        ask = self.pool.ask if _FICKLE.search(query.text) else self.cache.found
        try:
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
            if any(not (each.optional or each.default) for each in asked.parameters):
                continue
            for form in ("json", PAGE):
                forms = dict.fromkeys(("table", "yes or no", "statements"), form)
                await self.found(settled(Query("", forms, question=name)))

    def _unasked(self, request: Request, asked: Asked) -> Response:
        accept = request.headers.get("accept")
        media = choose(accept, [HTML, *description.RDF_FORMATS])
        if media is None or request.method == "POST":
            raise Problem(
                HTTPStatus.BAD_REQUEST, "the request puts no query", "send one in the field query"
            )
        headers = {"vary": "Accept", "cache-control": _FRESH}
        if media == HTML:
            return Response(pages.empty(self.published), media_type=HTML, headers=headers)
        graph = description.describe(
            str(request.url.replace(query="")),
            self.published.title,
            self.published.base,
            self.pool.statements,
        )
        text = graph.serialize(format=description.RDF_FORMATS[media])
        return Response(text, media_type=media, headers=headers)

    def _tag(self, query: Query, request: Request) -> str:
        """Return the entity tag of a result; none if it may differ the next time."""
        if _FICKLE.search(query.text):
            return ""
        key = self.published.version.encode() + query.line()
        return f'W/"{hashlib.sha256(key).hexdigest()[:32]}"'


def settled(query: Query) -> Query:
    """Put the text of a named question in its place, where it has no parameters to work out.

    Raises
    ------
    Problem
        If there is no such question.
    """
    if not query.question:
        return query
    try:
        header = question(query.question).header
    except UnknownQuestion as error:
        raise Problem(HTTPStatus.NOT_FOUND, str(error)) from None
    if query.parameters:
        return query
    if any(not (each.optional or each.default) for each in header.parameters):
        return query
    return Query(header.query, query.form, query.graphs)


def _headers(tag: str) -> dict[str, str]:
    headers = {"vary": "Accept, Accept-Encoding", "cache-control": _FRESH}
    return {**headers, "etag": tag} if tag else {**headers, "cache-control": "no-store"}


def _sent(found: Found, request: Request, tag: str) -> Response:
    form = written(found.gives, found.form)
    headers = _headers(tag)
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
