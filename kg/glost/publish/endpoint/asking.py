"""From a request to the query it puts: SPARQL 1.1 Protocol, section 2.1."""

import asyncio
import re
from dataclasses import dataclass
from http import HTTPStatus
from urllib.parse import parse_qsl

from starlette.requests import ClientDisconnect, Request

from glost.answer.bounds import Graphs
from glost.publish.endpoint.formats import NotAcceptable, wanted
from glost.publish.endpoint.limits import Limits
from glost.publish.endpoint.messages import PAGE, Fields, Query
from glost.publish.endpoint.problems import Problem

FORM = "application/x-www-form-urlencoded"
DIRECT = "application/sparql-query"
UPDATE = "application/sparql-update"

_PROTOCOL = ("query", "update", "default-graph-uri", "named-graph-uri", "format", "question")
_OTHERS = ("output", "results")
"""Other names under which clients name a format."""
_FIELDS = 200
_CHARSET = re.compile(r"charset\s*=\s*\"?([\w.-]+)")


@dataclass(frozen=True, slots=True)
class AskedQuery:
    """What a request asks.

    Attributes
    ----------
    query
        The query it puts; None if it puts none, and wants the page or the description.
    fields
        Its fields, in order.
    """

    query: Query | None
    fields: Fields

    def one(self, name: str) -> str:
        """Return the first value of a field, or nothing."""
        return next((value for key, value in self.fields if key == name), "")


async def read(request: Request, limits: Limits) -> AskedQuery:
    """Read what a request asks.

    Raises
    ------
    Problem
        If it does not keep to the protocol, is too large or too slow, asks for an update, or for
        a format there is none of.
    """
    fields = _fields(request.url.query)
    if request.method == "POST":
        body = await _body(request, limits)
        kind, _, parameters = request.headers.get("content-type", "").lower().partition(";")
        kind = kind.strip()
        charset = _CHARSET.search(parameters)
        if charset and charset[1] not in ("utf-8", "utf8", "us-ascii"):
            raise _no_text()
        if kind == DIRECT:
            fields = (*fields, ("query", _text(body)))
        elif kind == FORM:
            fields = _fields(_text(body))
        elif kind == UPDATE:
            raise _refused()
        else:
            raise Problem(
                HTTPStatus.UNSUPPORTED_MEDIA_TYPE,
                f'a query cannot be sent as "{kind}"' if kind else "the query has no media type",
                f"send it as {FORM} or {DIRECT}",
            )
    return AskedQuery(_query(fields, request.headers.get("accept")), fields)


async def read_form(request: Request, limits: Limits) -> Fields:
    """Read the fields of a request, from its address and, if it is a form, from its body.

    Raises
    ------
    Problem
        If it is no form, too large or too slow.
    """
    fields = _fields(request.url.query)
    if request.method != "POST":
        return fields
    body = await _body(request, limits)
    kind = request.headers.get("content-type", "").lower().partition(";")[0].strip()
    if kind != FORM:
        raise Problem(
            HTTPStatus.UNSUPPORTED_MEDIA_TYPE,
            f'this cannot be sent as "{kind}"' if kind else "the request has no media type",
            f"send it as {FORM}",
        )
    return (*fields, *_fields(_text(body)))


def _query(fields: Fields, accept: str | None) -> Query | None:
    values: dict[str, list[str]] = {}
    for name, value in fields:
        values.setdefault(name, []).append(value)
    if "update" in values:
        raise _refused()
    texts, questions = values.get("query", []), values.get("question", [])
    if len(texts) + len(questions) > 1:
        reason = "a request puts one query, and this puts several"
        raise Problem(HTTPStatus.BAD_REQUEST, reason, "send them one by one")
    if not texts and not questions:
        return None
    names = [value for name in ("format", *_OTHERS) for value in values.get(name, [])]
    try:
        form = wanted(accept, names[0] if names else "")
    except NotAcceptable as bad:
        remedy = "ask for one of those, or name none"
        raise Problem(HTTPStatus.NOT_ACCEPTABLE, str(bad), remedy) from None
    graphs = Graphs(
        tuple(iri for iri in values.get("default-graph-uri", []) if iri),
        tuple(iri for iri in values.get("named-graph-uri", []) if iri),
    )
    parameters: Fields = ()
    if questions:
        own = (*_PROTOCOL, *_OTHERS)
        parameters = tuple(sorted((n, v) for n, v in set(fields) if n not in own and v.strip()))
    shown = fields if PAGE in form.values() else ()
    return Query("".join(texts), form, graphs, "".join(questions), parameters, shown)


def _refused() -> Problem:
    return Problem(
        HTTPStatus.FORBIDDEN,
        "an update would change the record, and this endpoint only reads it",
        "send a query",
    )


def _fields(text: str) -> Fields:
    try:
        return tuple(
            parse_qsl(text, keep_blank_values=True, errors="strict", max_num_fields=_FIELDS)
        )
    except UnicodeDecodeError:
        raise _no_text() from None
    except ValueError:
        reason = f"the request has more than {_FIELDS} fields"
        raise Problem(HTTPStatus.BAD_REQUEST, reason, "send fewer") from None


def _text(body: bytes) -> str:
    try:
        return body.decode()
    except UnicodeDecodeError:
        raise _no_text() from None


def _no_text() -> Problem:
    return Problem(HTTPStatus.BAD_REQUEST, "the request is no text in UTF-8", "encode it so")


async def _body(request: Request, limits: Limits) -> bytes:
    """Read a request's body, as long as it is neither too large nor too slow."""
    whole = bytearray()
    _check_size(int(request.headers.get("content-length", "0")), limits)
    try:
        async with asyncio.timeout(limits.arriving):
            async for chunk in request.stream():
                whole += chunk
                _check_size(len(whole), limits)
    except TimeoutError:
        reason = f"the request did not arrive within {limits.arriving:g} seconds"
        close = {"connection": "close"}
        raise Problem(HTTPStatus.REQUEST_TIMEOUT, reason, "send it again", close) from None
    except ClientDisconnect:
        raise Problem(HTTPStatus.BAD_REQUEST, "the request broke off", "send it again") from None
    return bytes(whole)


def _check_size(octets: int, limits: Limits) -> None:
    if octets > limits.query:
        raise Problem(
            HTTPStatus.REQUEST_ENTITY_TOO_LARGE,
            f"the request is larger than {limits.query:,} octets",
            "ask for less at a time",
            {"connection": "close"},
        )
