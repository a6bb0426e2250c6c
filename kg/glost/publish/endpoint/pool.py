"""The processes that answer queries: started ahead, handed out in turn, ended when need be."""

import asyncio
import logging
import signal
from collections import OrderedDict
from collections.abc import AsyncIterator, Coroutine
from contextlib import asynccontextmanager, suppress
from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path

from glost.answer.refusals import QueryError
from glost.publish.endpoint.child import Child, Ended
from glost.publish.endpoint.limits import Limits
from glost.publish.endpoint.messages import Query, Reply, Titled, kind

LOG = logging.getLogger("glost.endpoint")

_LESS = "ask for less at a time: name a thing, or add LIMIT"
_FULL = "as many long queries are running as may run at once"
_AGAIN = 1.0
_LOOK = 0.1
_KNOWN = 10_000
_POLITE = 15


class Busy(Exception):  # noqa: N818 - said to a user as it stands
    """No process is free for the query; it may be asked again later."""


@dataclass
class Pool:
    """Processes that answer queries.

    Attributes
    ----------
    folder
        Where the dataset lies, as `glost.answer.store.store` makes it.
    named
        The collection, as its pages name it.
    limits
        What a query may take.
    """

    folder: Path
    named: Titled
    limits: Limits
    statements: int = 0
    _free: asyncio.LifoQueue[Child] = field(default_factory=asyncio.LifoQueue, repr=False)
    _alive: set[Child] = field(default_factory=set, repr=False)
    _tasks: set[asyncio.Task[None]] = field(default_factory=set, repr=False)
    _waiting: int = 0
    _slow: int = 0
    _long: "OrderedDict[bytes, None]" = field(default_factory=OrderedDict, repr=False)
    _closed: bool = False

    @property
    def alive(self) -> int:
        """How many processes are ready or at work."""
        return len(self._alive)

    @property
    def waiting(self) -> int:
        """How many queries wait for a process."""
        return self._waiting

    async def start(self) -> None:
        """Start the processes.

        Raises
        ------
        Ended
            If one does not start.
        """
        await asyncio.gather(*(self._add() for _ in range(self.limits.workers)))

    async def close(self) -> None:
        """End every process, whatever it is doing."""
        self._closed = True
        for task in self._tasks:
            task.cancel()
        await asyncio.gather(*self._tasks, return_exceptions=True)
        await asyncio.gather(*(child.kill() for child in self._alive))
        self._alive.clear()

    async def ask(self, query: Query) -> Reply:
        """Answer a query.

        A query whose process is killed from outside is put to another, as often as there are some.

        Raises
        ------
        QueryError
            If there is no answer; its `trouble` is ``stopped`` if a limit was met.
        Busy
            If there is no process for it.
        """
        left = self.limits.workers  # all may have been killed, and none be known to be gone
        while True:
            try:
                return await self._once(query)
            except Ended as end:
                if not (end.killed and left):
                    raise self._why(end) from None
            left -= 1

    async def _once(self, query: Query) -> Reply:
        """Answer a query, unless its kind was found long and no more long ones may run."""
        key = sha256(kind(query.text).encode() if query.text else query.line()).digest()
        self._refuse(key)
        async with self._turn() as child:
            self._refuse(key)
            answering = asyncio.ensure_future(child.ask(query))
            try:
                return await self._patiently(child, answering, key)
            finally:
                answering.cancel()
                with suppress(asyncio.CancelledError, Ended, QueryError):
                    await answering

    def _refuse(self, key: bytes) -> None:
        if key in self._long and self._slow >= self.limits.slow:
            raise Busy(_FULL)

    @asynccontextmanager
    async def _turn(self) -> AsyncIterator[Child]:
        """Wait for a free process; afterwards free it, or put another in its place."""
        if self._waiting >= self.limits.waiting:
            raise Busy("too many queries are waiting")
        self._waiting += 1
        try:
            child = await asyncio.wait_for(self._living(), self.limits.turn)
        except TimeoutError:
            raise Busy("other queries kept every process busy") from None
        finally:
            self._waiting -= 1
        try:
            yield child
        finally:
            if child.clean:
                self._free.put_nowait(child)
            else:
                self._instead(child)

    async def _living(self) -> Child:
        """Wait for a free process that nobody has ended from outside."""
        while (child := await self._free.get()).gone:
            self._instead(child)
        return child

    def _instead(self, child: Child) -> None:
        self._alive.discard(child)
        self._later(self._replace(child))

    async def _patiently(self, child: Child, answering: "asyncio.Task[Reply]", key: bytes) -> Reply:
        """Wait for an answer as long as a query may take."""
        try:
            async with asyncio.timeout(self.limits.seconds):
                return await self._counted(child, answering, key)
        except TimeoutError:
            reason = f"the query was stopped after {self.limits.seconds:g} seconds"
            raise QueryError(reason, _LESS, trouble="stopped") from None

    async def _counted(self, child: Child, answering: "asyncio.Task[Reply]", key: bytes) -> Reply:
        """Wait for an answer; a query that turns out long goes on as one, or is turned away.

        A query of a kind that was long before takes the place of a long one from the start.
        """
        slow = key in self._long
        self._slow += slow
        try:
            if await self._within_patience(child, answering):
                self._long.pop(key, None)
                return answering.result()
            self._remember(key)
            if not slow and self._slow >= self.limits.slow:
                raise Busy(_FULL)
            self._slow += not slow
            slow = True
            child.step_back(_POLITE)
            return await asyncio.shield(answering)
        finally:
            self._slow -= slow

    async def _within_patience(self, child: Child, answering: "asyncio.Task[Reply]") -> bool:
        """Wait until a query is answered, or counts as long.

        That is a matter of the processor's time it took: a crowd of short queries, or a busy
        machine, makes each wait and is not to blame. While as many long queries run as may, a
        quarter of the patience is all there is.
        """
        limits = self.limits
        began = child.effort
        while True:
            if (await asyncio.wait({answering}, timeout=_LOOK))[0]:
                return True
            some = 4 if self._slow >= limits.slow else 1
            if child.effort - began > limits.patience / some:
                return False

    def _remember(self, key: bytes) -> None:
        self._long[key] = None
        while len(self._long) > _KNOWN:
            self._long.popitem(last=False)

    def _why(self, end: Ended) -> QueryError:
        """Say why a process ended in the midst of a query."""
        if end.code == -signal.SIGABRT:
            mebibytes = self.limits.memory >> 20
            reason = f"the query needed more than {mebibytes:,} MiB of memory"
            return QueryError(reason, _LESS, trouble="stopped")
        if not self._closed:
            LOG.error("a process that answers queries ended: %s", end)
        reason = "the query was too much for the process that answered it"
        return QueryError(reason, _LESS, trouble="stopped")

    async def _add(self) -> None:
        child = await Child.start(self.folder, self.named, self.limits)
        self.statements = child.statements
        self._alive.add(child)
        self._free.put_nowait(child)

    async def _replace(self, child: Child) -> None:
        await child.kill()
        while not self._closed:
            try:
                await self._add()
                return
            except (Ended, OSError) as error:
                LOG.error("no new process to answer queries: %s", error)
                await asyncio.sleep(_AGAIN)

    def _later(self, work: Coroutine[None, None, None]) -> None:
        task = asyncio.ensure_future(work)
        self._tasks.add(task)
        task.add_done_callback(self._tasks.discard)
