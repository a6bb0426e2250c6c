"""Results kept for those who ask the same again; the dataset does not change while it is served."""

import asyncio
import time
from collections import OrderedDict
from collections.abc import Awaitable, Callable

from glost.answer.refusals import QueryError
from glost.publish.endpoint.messages import Query, Reply

Ask = Callable[[Query], Awaitable[Reply]]
"""Answers a query, as `glost.publish.endpoint.pool.Pool.ask` does."""

_OVERHEAD = 500


class AnswerCache:
    """Results by query, the ones not asked for longest given up first.

    Whoever asks what is being worked out already waits for that result. A query that met a limit
    is not tried again for a while.

    Parameters
    ----------
    ask
        Answers a query for the first time.
    octets
        How much may be kept.
    again
        Seconds after which a query that met a limit may be tried again.
    """

    def __init__(self, ask: Ask, octets: int, again: float) -> None:
        self._ask = ask
        self._whole = self._left = octets
        self._again = again
        self._kept: OrderedDict[bytes, Reply] = OrderedDict()
        self._stopped: dict[bytes, tuple[float, QueryError]] = {}
        self._asked: dict[bytes, asyncio.Task[Reply]] = {}

    async def found(self, query: Query) -> Reply:
        """Answer a query.

        Raises
        ------
        QueryError, glost.publish.endpoint.pool.Busy
            As `glost.publish.endpoint.pool.Pool.ask` does.
        """
        key = query.line()
        kept = self._kept.get(key)
        if kept is not None:
            self._kept.move_to_end(key)
            return kept
        self._refuse(key)
        task = self._asked.get(key)
        if task is None:
            task = asyncio.ensure_future(self._first(key, query))
            self._asked[key] = task
            task.add_done_callback(lambda done: self._done(key, done))
        return await asyncio.shield(task)

    async def _first(self, key: bytes, query: Query) -> Reply:
        try:
            found = await self._ask(query)
        except QueryError as error:
            if error.trouble == "stopped":
                self._stopped[key] = (time.monotonic() + self._again, error)
            raise
        self._keep(key, found)
        return found

    def _done(self, key: bytes, task: "asyncio.Task[Reply]") -> None:
        self._asked.pop(key, None)
        if not task.cancelled():
            task.exception()

    def _refuse(self, key: bytes) -> None:
        now = time.monotonic()
        for old in [each for each, (until, _) in self._stopped.items() if until <= now]:
            del self._stopped[old]
        if key in self._stopped:
            error = self._stopped[key][1]
            raise QueryError(**error.as_dict())  # type: ignore[arg-type]

    def _keep(self, key: bytes, found: Reply) -> None:
        size = _size(key, found)
        if size > self._whole:
            return
        self._kept[key] = found
        self._left -= size
        while self._left < 0:
            self._left += _size(*self._kept.popitem(last=False))


def _size(key: bytes, found: Reply) -> int:
    return len(key) + len(found.written) + len(found.packed) + _OVERHEAD
