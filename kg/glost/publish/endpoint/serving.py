"""The endpoint run by uvicorn, on one address, until it is told to stop."""

import asyncio
import resource
import signal
import socket
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import uvicorn
from starlette.types import ASGIApp

from glost.publish.endpoint.connections import patient
from glost.publish.endpoint.limits import Limits

_LAST = 1
_OTHER_FILES = 200
_SIGNALS = (signal.SIGINT, signal.SIGTERM)


class Server(uvicorn.Server):
    """A server that says where it is, and ends without error when it is told to.

    Parameters
    ----------
    config
        uvicorn's.
    ready
        Told the address once requests are answered.
    """

    def __init__(self, config: uvicorn.Config, ready: Callable[[str], None]) -> None:
        super().__init__(config)
        self._ready = ready

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        """Begin to answer requests."""
        await super().startup(sockets)
        if self.started:
            host, port = self.servers[0].sockets[0].getsockname()[:2]
            self._ready(f"http://{f'[{host}]' if ':' in host else host}:{port}/")

    @contextmanager
    def capture_signals(self) -> Iterator[None]:
        """Stop at the first signal, at once at the second."""
        loop = asyncio.get_running_loop()
        for number in _SIGNALS:
            loop.add_signal_handler(number, self.handle_exit, number, None)
        try:
            yield
        finally:
            for number in _SIGNALS:
                loop.remove_signal_handler(number)


def serve(app: ASGIApp, host: str, port: int, limits: Limits, ready: Callable[[str], None]) -> bool:
    """Serve an application until SIGINT or SIGTERM.

    Parameters
    ----------
    app
        The application, such as `glost.publish.endpoint.app.application` makes.
    host, port
        Where; port 0 is any that is free.
    limits
        What a connection may take.
    ready
        Told the address once requests are answered.

    Returns
    -------
    bool
        Whether it could be served at all; what went wrong is in the log of ``uvicorn.error``.

    Raises
    ------
    OSError
        If the address cannot be had.
    """
    config = uvicorn.Config(
        app,
        http=patient(limits),
        ws="none",
        loop="asyncio",
        lifespan="on",
        log_config=None,
        access_log=False,
        server_header=False,
        proxy_headers=False,
        h11_max_incomplete_event_size=limits.headers,
        timeout_keep_alive=int(limits.idle),
        timeout_graceful_shutdown=_LAST,
    )
    server = Server(config, ready)
    _make_room(limits.connections + _OTHER_FILES)
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    # With the protocol named, asyncio turns off the delay of small segments.
    with socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP) as bound:
        bound.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            bound.bind((host, port))
        except OSError as error:
            raise OSError(error.errno, error.strerror, f"{host}:{port}") from None
        server.run([bound])
    return server.started


def _make_room(files: int) -> None:
    """Let the process hold so many files open, as far as the system allows it."""
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    if soft != resource.RLIM_INFINITY and soft < files:
        most = files if hard == resource.RLIM_INFINITY else min(files, hard)
        resource.setrlimit(resource.RLIMIT_NOFILE, (max(soft, most), hard))
