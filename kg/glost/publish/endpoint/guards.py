"""What holds of every request: its headers, its line in the log, and errors nobody foresaw."""

import json
import logging
import time
from http import HTTPStatus

from starlette.datastructures import MutableHeaders
from starlette.responses import PlainTextResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

REQUESTS = logging.getLogger("glost.requests")
"""One line of JSON for every request answered."""

POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' data:",
        "font-src 'self'",
        "connect-src 'self'",
        "manifest-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)
"""The Content-Security-Policy: nothing is loaded from elsewhere, and no script stands in a page."""

HEADERS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "cross-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=()",
}
_METHODS = dict.fromkeys(("/reconcile", "/sparql"), "GET, HEAD, OPTIONS, POST")
_READS = "GET, HEAD, OPTIONS"
_LONGEST = 2_000


class Guard:
    """Adds the headers and the log to an application.

    Parameters
    ----------
    app
        The application.
    octets
        Octets that the head of a request may have.
    """

    def __init__(self, app: ASGIApp, octets: int) -> None:
        self._app = app
        self._octets = octets

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        began = time.perf_counter()
        seen = {"status": 0, "octets": 0}

        async def sending(message: Message) -> None:
            if message["type"] == "http.response.start":
                seen["status"] = message["status"]
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers.setdefault(name, value)
            elif message["type"] == "http.response.body":
                seen["octets"] += len(message.get("body", b""))
            await send(message)

        app = _options if _asks_for_methods(scope) else self._app
        wrong = _wrong(scope, self._octets)
        if wrong is not None:
            app = wrong
        try:
            await app(scope, receive, sending)
        finally:
            _log(scope, seen, time.perf_counter() - began)


def _asks_for_methods(scope: Scope) -> bool:
    """Say whether a request asks what may be done, and not, as browsers do, by whom."""
    names = {name for name, _ in scope["headers"]}
    return scope["method"] == "OPTIONS" and b"access-control-request-method" not in names


def _wrong(scope: Scope, octets: int) -> Response | None:
    """Refuse a request that servers in a row may read in two ways, or with too long a head.

    h11 refuses two Host headers, two lengths and folded headers by itself, and a head that comes
    in pieces and grows too long; it takes a length beside a transfer coding, where RFC 9112,
    section 6.1, allows to refuse, and a long head that comes in one piece.
    """
    names = [name for name, _ in scope["headers"]]
    if b"transfer-encoding" in names and b"content-length" in names:
        return _refusal(
            HTTPStatus.BAD_REQUEST,
            "the request gives its length in two ways",
            "send Content-Length or Transfer-Encoding, not both",
        )
    head = len(scope["raw_path"]) + len(scope["query_string"])
    if head + sum(len(name) + len(value) for name, value in scope["headers"]) > octets:
        return _refusal(
            HTTPStatus.REQUEST_HEADER_FIELDS_TOO_LARGE,
            f"the head of the request is longer than {octets:,} octets",
            "send a long query by POST",
        )
    return None


def _refusal(status: HTTPStatus, reason: str, remedy: str) -> Response:
    """Refuse a request without looking at it further; the connection ends with it."""
    headers = {"connection": "close", "cache-control": "no-store"}
    return PlainTextResponse(f"{reason}; {remedy}\n", status, headers)


async def _options(scope: Scope, receive: Receive, send: Send) -> None:
    allowed = _METHODS.get(scope["path"], _READS)
    await Response(status_code=HTTPStatus.NO_CONTENT, headers={"allow": allowed})(
        scope, receive, send
    )


def _log(scope: Scope, seen: dict[str, int], seconds: float) -> None:
    address = scope["raw_path"] + (b"?" + scope["query_string"] if scope["query_string"] else b"")
    told = {
        "at": time.strftime("%Y-%m-%dT%H:%M:%SZ", time.gmtime()),
        "from": scope["client"][0] if scope.get("client") else "",
        "method": scope["method"],
        "address": address[:_LONGEST].decode("latin-1"),
        "status": seen["status"] or int(HTTPStatus.INTERNAL_SERVER_ERROR),
        "octets": seen["octets"],
        "ms": round(seconds * 1000, 1),
    }
    REQUESTS.info(json.dumps(told))
