"""The desk as an ASGI application."""

import asyncio
import logging
from collections.abc import AsyncIterator, Callable
from concurrent.futures import Future, ThreadPoolExecutor, wait
from contextlib import asynccontextmanager
from functools import partial
from http import HTTPStatus
from pathlib import Path
from typing import Any

from starlette.applications import Starlette
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from glost.desk.asked import Asked, Missing, Unclear, View
from glost.desk.frame import HERE, compiling, page
from glost.desk.guard import DeskGuard
from glost.desk.opened import Opened
from glost.desk.views import (
    asking,
    bringing,
    doubting,
    entering,
    hearing,
    identifying,
    looking,
    paging,
    reviewing,
    righting,
    running,
    talking,
)
from glost.limits import CELL, IMAGE_FILE
from glost.record.errors import RecordErrors

LOG = logging.getLogger("glost.desk")

_ROOMS = (
    looking,
    asking,
    righting,
    paging,
    entering,
    hearing,
    identifying,
    bringing,
    talking,
    doubting,
    running,
    reviewing,
)
_FIELDS = 400
_PATIENCE = 1.5
"""Seconds that a page waits for the collection to be opened before it says that it waits."""
WORKER = "desk"
"""What the name of the thread begins with that does all that touches the collection."""
_HEARD = 0.001
"""Seconds between two steps of what is made ready."""
_READING = 0.05
"""Seconds after which it is looked again whether anybody asks for anything."""
_LEAVING = 2.0
"""So many seconds are waited, once the desk is told to stop, for what is being read."""
_STOPPED = "the desk was stopped before this was answered; look again whether it was saved"
_FORM = 4 << 20
_UPLOAD = IMAGE_FILE + (1 << 20)


def application(folder: Path, told: Callable[[str], None]) -> DeskGuard:
    """Make the application that shows and changes a collection.

    Parameters
    ----------
    folder
        The collection's folder.
    told
        Told each address that opens the desk after the first, as it comes to be.

    Returns
    -------
    DeskGuard
        An ASGI application. `DeskGuard.address` says where it opens.
    """
    opened = Opened(folder)
    # One thread does all that touches the collection: what follows from it is patched in place.
    worker = ThreadPoolExecutor(1, thread_name_prefix=WORKER)
    saving: Future[Any] | None = None
    last: Future[Any] | None = None

    @asynccontextmanager
    async def lifespan(app: Starlette) -> AsyncIterator[None]:
        nonlocal last
        app.state.begun = last = worker.submit(_begin, opened)
        app.state.readying = None
        try:
            yield
        finally:
            if app.state.readying is not None:
                app.state.readying.cancel()
            worker.shutdown(wait=False, cancel_futures=True)
            # What is being saved is saved; for what is read nobody waits any more.
            wait([each for each in (saving,) if each is not None])
            wait([each for each in (last,) if each is not None], _LEAVING)
            opened.left()

    turn = asyncio.Lock()
    quiet_from = 0.0

    async def readying() -> None:
        """Make ready, while nobody asks for anything, what is asked for later."""
        nonlocal last
        loop, steps = asyncio.get_running_loop(), opened.readying(compiling())
        pause: float | None = _READING
        while pause is not None:
            while turn.locked() or loop.time() < quiet_from + pause:
                await asyncio.sleep(_READING)
            last = step = worker.submit(next, steps, None)
            pause = await asyncio.wrap_future(step)
            await asyncio.sleep(_HEARD)  # in which no step keeps who asks from being heard

    async def answered(view: View, request: Request) -> Response:
        try:
            return await answering(view, request)
        except asyncio.CancelledError:  # the desk is being stopped; what is being saved is, still
            return page("problem", status=HTTPStatus.SERVICE_UNAVAILABLE, said=_STOPPED)

    async def answering(view: View, request: Request) -> Response:
        nonlocal last, saving, quiet_from
        asked = await _read(request)
        begun = asyncio.wrap_future(request.app.state.begun)
        if not (await asyncio.wait({begun}, timeout=_PATIENCE))[0] and not asked.saves:
            answer = page("opening")
            answer.headers["refresh"] = "2"
            return answer
        loop = asyncio.get_running_loop()
        async with turn:
            if not asked.saves and await request.is_disconnected():
                return Response(status_code=HTTPStatus.NO_CONTENT)  # somebody has typed on since
            last = running = worker.submit(view, opened, asked)
            saving = running if asked.saves else saving
            found = await asyncio.wrap_future(running)
            quiet_from = loop.time()
        if request.app.state.readying is None:  # while that page is read
            request.app.state.readying = asyncio.create_task(readying())
        return found if isinstance(found, Response) else await loop.run_in_executor(None, found)

    routes = [
        Route(path, partial(answered, view), methods=["GET", "POST"])
        for room in _ROOMS
        for path, view in room.ROUTES
    ]
    app = Starlette(
        routes=[*routes, Mount("/assets", StaticFiles(directory=HERE / "assets"))],
        exception_handlers={
            RecordErrors: _errors,
            Missing: _missing,
            Unclear: _unclear,
            HTTPException: _wrong,
            Exception: _fault,
        },
        lifespan=lifespan,
    )
    app.router.redirect_slashes = False  # such a redirect would repeat the Host header
    return DeskGuard(app, told, {"": _FORM, "bring": _UPLOAD})


def _begin(opened: Opened) -> None:
    """Open the collection before it is asked for; what is wrong is told when it is."""
    try:
        opened.state()
    except RecordErrors:
        LOG.info("the collection cannot be read yet")


async def _read(request: Request) -> Asked:
    """Read a request: fields of its query, and of the form it sent."""
    pairs = [*request.query_params.multi_items()]
    files: list[tuple[str, bytes]] = []
    if request.method == "POST":
        form = await request.form(max_files=20, max_fields=_FIELDS, max_part_size=4 * CELL)
        for name, value in form.multi_items():
            if isinstance(value, UploadFile):
                if value.filename:
                    files.append((value.filename, await value.read()))
            else:
                pairs.append((name, value))
        await form.close()
    several: dict[str, list[str]] = {}
    for name, value in pairs:
        several.setdefault(name, []).append(value.replace("\r\n", "\n"))
    query = f"?{request.url.query}" if request.url.query else ""
    return Asked(
        request.method,
        request.url.path + query,
        dict(request.path_params),
        {name: values[-1] for name, values in several.items()},
        {name: tuple(values) for name, values in several.items()},
        tuple(files),
    )


async def _errors(request: Request, error: Exception) -> Response:
    assert isinstance(error, RecordErrors)
    return looking.errors_page(error, HTTPStatus.CONFLICT)


async def _missing(request: Request, error: Exception) -> Response:
    return page("problem", status=HTTPStatus.NOT_FOUND, said=str(error))


async def _unclear(request: Request, error: Exception) -> Response:
    return page("problem", status=HTTPStatus.BAD_REQUEST, said=str(error))


async def _wrong(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    status = HTTPStatus(error.status_code)
    said = "there is nothing at this address" if status == HTTPStatus.NOT_FOUND else error.detail
    return page("problem", status=status, said=said)


async def _fault(request: Request, error: Exception) -> Response:
    LOG.error("a fault over %s", request.url.path, exc_info=error)
    said = f"a fault of the desk itself, {type(error).__name__}; nothing was changed"
    return page("problem", status=HTTPStatus.INTERNAL_SERVER_ERROR, said=said)
