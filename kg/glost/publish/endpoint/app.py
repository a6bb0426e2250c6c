"""The endpoint as an ASGI application."""

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from http import HTTPStatus
from pathlib import Path

import pyoxigraph as ox
from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.middleware.cors import CORSMiddleware
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, PlainTextResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from glost.publish.endpoint import pages
from glost.publish.endpoint.cache import AnswerCache
from glost.publish.endpoint.formats import HTML
from glost.publish.endpoint.guards import Guard
from glost.publish.endpoint.limits import Limits
from glost.publish.endpoint.negotiate import choose
from glost.publish.endpoint.pool import Pool
from glost.publish.endpoint.problems import Problem
from glost.publish.endpoint.reconciling.service import Reconciling
from glost.publish.endpoint.service import Service
from glost.publish.endpoint.static import Published, Site, in_crm

_TEXT, _PROBLEM = "text/plain", "application/problem+json"
_REASONS = {
    HTTPStatus.NOT_FOUND: (
        "there is nothing at this address",
        "look at the front page, or search there",
    ),
    HTTPStatus.METHOD_NOT_ALLOWED: ("this address is only read", "send GET or HEAD"),
}
_OTHERWISE = "look at the front page for what there is"
_DAY = 86_400
_EXPOSED = ("Content-Disposition", "Content-Profile", "ETag", "Link", "Location", "Retry-After")


def application(published: Published, store: Path, limits: Limits) -> Guard:
    """Make the application that serves a published site and its dataset.

    Parameters
    ----------
    published
        The site.
    store
        Where the dataset lies, as `glost.answer.store.store` makes it in a folder.
    limits
        What a request and a query may take.

    Returns
    -------
    Guard
        An ASGI application, whose processes for queries are started and ended by its lifespan.
    """
    pool = Pool(store, published.named, limits)
    cache = AnswerCache(pool.ask, limits.cached, limits.seconds)
    service = Service(pool, cache, published, limits)
    beside = in_crm(store)
    crm = ox.Store.read_only(str(beside)) if beside.is_dir() else None
    reconciling = Reconciling(published, ox.Store.read_only(str(store)), limits)

    @asynccontextmanager
    async def lifespan(app: Starlette) -> AsyncIterator[None]:
        await pool.start()
        preparing = asyncio.ensure_future(service.prepare())
        try:
            yield
        finally:
            preparing.cancel()
            await asyncio.gather(preparing, return_exceptions=True)
            await pool.close()

    async def health(request: Request) -> Response:
        told = {
            "status": "ok" if pool.alive else "no process answers queries",
            "processes": pool.alive,
            "waiting": pool.waiting,
            "statements": pool.statements,
            "version": published.version,
        }
        status = HTTPStatus.OK if pool.alive else HTTPStatus.SERVICE_UNAVAILABLE
        return JSONResponse(told, status, {"cache-control": "no-store"})

    async def sparql(request: Request) -> Response:
        return await service(request)

    async def problem(request: Request, error: Exception) -> Response:
        return told(published, request, error)

    app = Starlette(
        routes=[
            Route("/sparql", sparql, methods=["GET", "POST"]),
            Route("/health", health),
            *reconciling.routes(),
            Mount("/sparql", StaticFiles(directory=pages.HERE / "assets")),
            Mount("/", Site(published, crm)),
        ],
        middleware=[
            Middleware(
                CORSMiddleware,
                allow_origins=["*"],
                allow_methods=["GET", "HEAD", "POST"],
                allow_headers=["Accept", "Accept-Profile", "Content-Type"],
                expose_headers=_EXPOSED,
                max_age=_DAY,
            ),
        ],
        exception_handlers={Problem: problem, HTTPException: problem, Exception: problem},
        lifespan=lifespan,
    )
    app.router.redirect_slashes = False  # such a redirect would repeat the Host header
    return Guard(app, limits.headers)


def told(site: Published, request: Request, error: Exception) -> Response:
    """Say what is wrong with a request: as a page, as a text, or as a problem (RFC 9457)."""
    bad = _problem(error)
    headers = {**bad.headers, "cache-control": "no-store", "vary": "Accept"}
    media = choose(request.headers.get("accept"), [_TEXT, _PROBLEM, HTML])
    if media == HTML:
        text = request.query_params.get("query", "")
        root = "../" * (request.scope["path"].count("/") - 1)
        return HTMLResponse(pages.problem(site.named, root, text, bad), bad.status, headers)
    if media == _PROBLEM:
        fields = {"status": int(bad.status), "title": bad.status.phrase, "detail": str(bad)}
        return JSONResponse(fields, bad.status, headers, _PROBLEM)
    return PlainTextResponse(f"{bad}\n", bad.status, headers)


def _problem(error: Exception) -> Problem:
    if isinstance(error, Problem):
        return error
    if isinstance(error, HTTPException):
        status = HTTPStatus(error.status_code)
        reason, remedy = _REASONS.get(status, (status.phrase, _OTHERWISE))
        return Problem(status, reason, remedy, error.headers or {})
    return Problem(
        HTTPStatus.INTERNAL_SERVER_ERROR,
        "the server failed over this request; its log says more",
        "try again, and tell whoever keeps the server if it fails again",
    )
