"""Who may ask: the browser of whoever started the desk, on this machine, and nobody else.

A page anywhere on the web may have a browser send requests to this machine, and may have its own
name lead here (DNS rebinding). So a request counts only if it names this very address and port as
its host, bears the cookie that the first address was exchanged for, and, if it would change
anything, comes from a page of the desk itself. Each of the three would do against most attacks;
none is left out.

References
----------
W3C, *Fetch Metadata Request Headers*; RFC 6454, *The Web Origin Concept*; RFC 9110, section 7.2;
W3C, *Content Security Policy Level 3*; RFC 6265bis, section 5.2 (SameSite).
"""

import secrets
from collections.abc import Callable
from hmac import compare_digest
from http import HTTPStatus
from http.cookies import CookieError, SimpleCookie
from urllib.parse import parse_qsl

from starlette.datastructures import MutableHeaders
from starlette.requests import Request
from starlette.responses import HTMLResponse, PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

HOST = "127.0.0.1"
"""The only address that the desk is served at."""

POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self'",
        "connect-src 'self'",
        "media-src blob:",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)
"""The Content-Security-Policy: nothing is loaded from elsewhere, and no script stands in a page.
A recording is played from a file that was chosen on the page (``blob:``), and goes nowhere."""

HEADERS = {
    "Content-Security-Policy": POLICY,
    "Cache-Control": "no-store",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=()",
}

KEY = "key"
"""The field of the first address that holds the key."""

_METHODS = ("GET", "HEAD", "POST")
_AGAIN = (
    "<!doctype html><html lang=en><meta charset=utf-8><title>The desk is locked</title>"
    '<link rel=stylesheet href="/assets/desk.css"><main class=alone><h1>The desk is locked</h1>'
    "<p>It opens with the address that <code>glost desk</code> printed last, and each such address "
    'opens it once.</p><p>If you have just used it: <a href="/">go on to the desk</a>.</p></main>'
)


class DeskGuard:
    """Lets through what comes from the desk's own pages, and gives every answer its headers.

    Parameters
    ----------
    app
        The application.
    told
        Told the address that opens the desk next: at the start, and again whenever one was used.
    octets
        Octets that the body of a request may have, by the first part of its path; ``""`` for all
        others.
    """

    def __init__(self, app: ASGIApp, told: Callable[[str], None], octets: dict[str, int]) -> None:
        self._app, self._told, self._octets = app, told, octets
        self._session = secrets.token_urlsafe(32)
        self._key = secrets.token_urlsafe(32)

    def address(self, port: int) -> str:
        """Return the address that opens the desk, once."""
        return f"http://{_host(port)}/?{KEY}={self._key}"

    def tell(self, port: int) -> None:
        """Have the address told that opens the desk next."""
        self._told(self.address(port))

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return

        async def sending(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers.setdefault(name, value)
            await send(message)

        await (self._answer(scope) or self._app)(scope, receive, sending)

    def _answer(self, scope: Scope) -> Response | None:
        """Return what is answered instead, if the request is not let through."""
        port = scope["server"][1]
        request = Request(scope)
        wrong = _misdirected(request, port) or _foreign(request, port) or self._too_long(request)
        if wrong is not None:
            return wrong
        fields = dict(parse_qsl(scope["query_string"].decode("latin-1")))
        if scope["path"] == "/" and KEY in fields and request.method == "GET":
            return self._exchange(fields[KEY], port)
        if scope["path"].startswith("/assets/") or self._known(request, port):
            return None
        return HTMLResponse(_AGAIN, HTTPStatus.FORBIDDEN)

    def _exchange(self, key: str, port: int) -> Response:
        """Give the cookie for the key, once: an address that somebody saw opens nothing later."""
        if not compare_digest(key.encode(), self._key.encode()):
            return HTMLResponse(_AGAIN, HTTPStatus.FORBIDDEN)
        self._key = secrets.token_urlsafe(32)
        self.tell(port)
        answer = RedirectResponse("/", HTTPStatus.SEE_OTHER)
        answer.set_cookie(_cookie(port), self._session, httponly=True, samesite="strict", path="/")
        return answer

    def _known(self, request: Request, port: int) -> bool:
        try:
            found = [
                SimpleCookie(text)[_cookie(port)].value
                for text in request.headers.getlist("cookie")
                if _cookie(port) in SimpleCookie(text)
            ]
        except CookieError:
            return False
        return len(found) == 1 and compare_digest(found[0].encode(), self._session.encode())

    def _too_long(self, request: Request) -> Response | None:
        first = request.url.path.split("/")[1]
        most = self._octets.get(first, self._octets[""])
        told = request.headers.get("content-length", "0")
        if "transfer-encoding" in request.headers:
            return _refused(HTTPStatus.LENGTH_REQUIRED, "a request must say how long it is")
        if not told.isascii() or not told.isdigit() or int(told[:20]) > most:
            return _refused(
                HTTPStatus.REQUEST_ENTITY_TOO_LARGE, f"no more than {most:,} octets are taken here"
            )
        return None


def _misdirected(request: Request, port: int) -> Response | None:
    """Refuse a request that is not addressed to this address and port, and to nothing else."""
    if request.headers.getlist("host") != [_host(port)]:
        return _refused(HTTPStatus.MISDIRECTED_REQUEST, "the request is meant for another host")
    if request.method not in _METHODS:
        return _refused(HTTPStatus.METHOD_NOT_ALLOWED, "GET, HEAD and POST are all there is")
    return None


def _foreign(request: Request, port: int) -> Response | None:
    """Refuse what another page sent: all that changes anything must come from the desk's own."""
    origins = request.headers.getlist("origin")
    sites = request.headers.getlist("sec-fetch-site")
    own = f"http://{_host(port)}"
    if request.method != "POST" and not origins:
        return None
    if any(origin != own for origin in origins) or len(origins) > 1:
        return _refused(HTTPStatus.FORBIDDEN, "the request comes from another page")
    if any(site != "same-origin" for site in sites) or len(sites) > 1:
        return _refused(HTTPStatus.FORBIDDEN, "the request comes from another site")
    if request.method == "POST" and not origins and not sites:
        return _refused(HTTPStatus.FORBIDDEN, "the request does not say what page sent it")
    return None


def _host(port: int) -> str:
    return HOST if port == 80 else f"{HOST}:{port}"


def _cookie(port: int) -> str:
    """Name the cookie after the port: cookies do not know ports, and two desks may be open."""
    return f"glost-desk-{port}"


def _refused(status: HTTPStatus, reason: str) -> Response:
    return PlainTextResponse(f"{reason}; open the desk by the address it printed\n", status)
