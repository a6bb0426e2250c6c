"""The service over HTTP: its routes, and how much of it may go on at once."""

import asyncio
import re
from collections.abc import Callable
from http import HTTPStatus
from typing import TypeVar
from urllib.parse import quote

import pyoxigraph as ox
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, RedirectResponse, Response
from starlette.routing import BaseRoute, Route

from glost.publish.endpoint import pages
from glost.publish.endpoint.asking import read_form
from glost.publish.endpoint.limits import Limits
from glost.publish.endpoint.problems import Problem
from glost.publish.endpoint.reconciling import answers
from glost.publish.endpoint.reconciling.candidates import Candidates
from glost.publish.endpoint.reconciling.limits import MOST, TEXT, WAITING
from glost.publish.endpoint.reconciling.reading import batch, extension
from glost.publish.endpoint.reconciling.things import PublishedThings
from glost.publish.endpoint.static import Published

PATH = "/reconcile"
"""Where the service is."""

FRAMED = "; ".join(
    ("default-src 'none'", "style-src 'self'", "base-uri 'none'", "form-action 'none'",
     "frame-ancestors *")
)  # fmt: skip
"""The policy of a preview, which others show in a frame: nothing runs in it."""

_LATER = 2
_LOCAL = re.compile(r"(localhost|127\.0\.0\.1|\[::1\])(:[0-9]{1,5})?")
_MOST_SKIPPED = 100_000

T = TypeVar("T")


class Reconciling:
    """Answers what is asked at ``/reconcile``.

    Parameters
    ----------
    published
        The site whose dataset is reconciled to.
    store
        The dataset, open for reading.
    limits
        What a request may take.
    """

    def __init__(self, published: Published, store: ox.Store, limits: Limits) -> None:
        self._published, self._limits = published, limits
        self._things = PublishedThings(store, published.base)
        self._candidates = Candidates(self._things)
        self._turn = asyncio.Semaphore(1)  # one list of candidates is weighed at a time
        self._waiting = 0

    def routes(self) -> list[BaseRoute]:
        """Return the routes of the service."""
        return [
            Route(PATH, self.service, methods=["GET", "POST"]),
            Route(f"{PATH}/suggest/{{what}}", self.suggest),
            Route(f"{PATH}/properties", self.properties),
            Route(f"{PATH}/preview", self.preview),
            Route(f"{PATH}/view", self.view),
        ]

    async def service(self, request: Request) -> Response:
        """Answer a batch of queries or a data extension query; without one, with the manifest."""
        fields = dict(await read_form(request, self._limits))
        if "queries" in fields:
            asked = batch(fields["queries"], self._things)
            wanted = [each.wanted for each in asked.values()]
            found = await self._in_turn(lambda: self._candidates.of(wanted))
            cut = {
                key: own[: each.limit]
                for (key, each), own in zip(asked.items(), found, strict=True)
            }
            return _json(answers.results(self._things, cut))
        if "extend" in fields:
            values = extension(fields["extend"], self._things)
            return _json(await self._in_turn(lambda: answers.extended(self._things, values)))
        if request.method == "POST":
            raise Problem(
                HTTPStatus.BAD_REQUEST, "the request asks nothing", "send queries or extend"
            )
        told = answers.manifest(self._things, self._published.title, self._address(request))
        return _json(told)

    async def suggest(self, request: Request) -> Response:
        """Suggest things, types or properties by the beginning of a name."""
        prefix, skipped = _short(request, "prefix"), _number(request, "cursor", 0)
        what = request.path_params["what"]
        if what == "entity":
            return _json(answers.entities(self._things, prefix, skipped or 0))
        known = {"type": self._things.types, "property": self._things.properties}.get(what)
        if known is None:
            reason = "nothing of that kind is suggested"
            raise Problem(HTTPStatus.NOT_FOUND, reason, "ask for entity, type or property")
        return _json(answers.terms(known.values(), prefix, skipped or 0))

    async def properties(self, request: Request) -> Response:
        """Propose properties of a type."""
        limit = _number(request, "limit", 1)
        return _json(answers.proposals(self._things, _short(request, "type"), limit))

    async def preview(self, request: Request) -> Response:
        """Show a thing in a few words, to stand in a frame of another page."""
        iri = self._thing(request)
        lines = [
            (self._things.properties[each].name, [str(value.get("name", next(iter(value.values()))))
             for value in self._things.values(iri, each)][:MOST])
            for each in self._things.shown
        ]  # fmt: skip
        text = pages.preview(
            self._published.named,
            name=self._things.name(iri),
            description=self._things.description(iri),
            address=f"view?id={quote(self._things.id(iri), safe='')}",
            lines=[(name, values) for name, values in lines if values],
        )
        return HTMLResponse(text, headers={**_FRESH, "content-security-policy": FRAMED})

    async def view(self, request: Request) -> Response:
        """Lead from an id to the thing's page."""
        id_ = self._things.id(self._thing(request))
        return RedirectResponse(f"../{quote(id_, safe='/%')}", HTTPStatus.SEE_OTHER, _FRESH)

    def _thing(self, request: Request) -> str:
        found = self._things.thing(_short(request, "id"))
        if found is None:
            reason = "there is no thing of that id to reconcile to"
            raise Problem(HTTPStatus.NOT_FOUND, reason, "take the id from a candidate")
        return found

    def _address(self, request: Request) -> str:
        """Return where the service is: what a browser on this machine calls it, or the base.

        A name that comes with a request is not repeated to others unless it is of this machine.
        """
        host = request.headers.get("host", "")
        top = f"http://{host}/" if _LOCAL.fullmatch(host) else self._published.base
        return f"{top}{PATH[1:]}"

    async def _in_turn(self, work: Callable[[], T]) -> T:
        """Do some work aside, one after another; turn away what would wait too long."""
        if self._waiting >= WAITING:
            raise _busy()
        self._waiting += 1
        try:
            async with asyncio.timeout(self._limits.turn):
                async with self._turn:
                    return await asyncio.to_thread(work)
        except TimeoutError:
            raise _busy() from None
        finally:
            self._waiting -= 1


_FRESH = {"cache-control": "public, no-cache"}


def _json(told: answers.Json) -> Response:
    return JSONResponse(told, headers=_FRESH)


def _busy() -> Problem:
    return Problem(
        HTTPStatus.SERVICE_UNAVAILABLE,
        "the server is busy: too many queries wait to be reconciled",
        f"try again in {_LATER} seconds",
        {"retry-after": str(_LATER)},
    )


def _short(request: Request, name: str) -> str:
    text = request.query_params.get(name, "")
    if len(text) > TEXT:
        reason = f"{name} is longer than {TEXT:,} characters"
        raise Problem(HTTPStatus.BAD_REQUEST, reason, "send less")
    return text


def _number(request: Request, name: str, least: int) -> int | None:
    text = request.query_params.get(name, "")
    if not text:
        return None
    if not re.fullmatch("[0-9]{1,6}", text) or not least <= int(text) <= _MOST_SKIPPED:
        reason = f"{name} is not a whole number of {least} or more"
        raise Problem(HTTPStatus.BAD_REQUEST, reason, "correct it or leave it out")
    return int(text)
