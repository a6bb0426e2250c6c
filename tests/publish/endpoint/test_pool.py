"""What becomes of a query whose process is ended from outside."""

import asyncio
import signal
from pathlib import Path

import pytest

from glost.answer.refusals import QueryError
from glost.publish.endpoint.child import Ended
from glost.publish.endpoint.limits import Limits
from glost.publish.endpoint.messages import Query, Reply, Titled
from glost.publish.endpoint.pool import Pool


class Failing(Pool):
    """Processes of which the first few end over a query."""

    ends: list[int]

    async def _once(self, query: Query) -> Reply:
        if self.ends:
            raise Ended(self.ends.pop())
        return ANSWERED


ANSWERED = Reply("yes or no", "csv", b"true")


def asked(*ends: int) -> Reply:
    pool = Failing(Path(), Titled("A shelf", "https://example.org/shelf/"), Limits(workers=3))
    pool.ends = list(ends)
    return asyncio.run(pool.ask(Query("ASK {}", {})))


def test_all_processes_may_have_been_killed_at_once() -> None:
    assert asked(*[-signal.SIGKILL] * 3) is ANSWERED


def test_a_query_is_not_put_for_ever() -> None:
    with pytest.raises(QueryError, match="too much for the process"):
        asked(*[-signal.SIGKILL] * 4)


def test_what_a_query_does_itself_is_not_done_again() -> None:
    with pytest.raises(QueryError, match="MiB of memory"):
        asked(-signal.SIGABRT)
