"""What is kept of results, for whom, and how long."""

import asyncio

import pytest

from glost.answer.refusals import QueryError
from glost.publish.endpoint.cache import AnswerCache
from glost.publish.endpoint.limits import Limits
from glost.publish.endpoint.messages import Query, Reply, lasting


class Asked:
    """Answers queries with as many octets as their text says, and counts them."""

    def __init__(self) -> None:
        self.texts: list[str] = []

    async def __call__(self, query: Query) -> Reply:
        self.texts.append(query.text)
        await asyncio.sleep(0.01)
        if query.text == "endless":
            raise QueryError("too long", trouble="stopped")
        if query.text == "wrong":
            raise QueryError("no query", trouble="malformed")
        return Reply("table", "csv", b"x" * int(query.text))


def query(text: str) -> Query:
    return Query(text, {"table": "csv"})


def test_whoever_asks_at_once_waits_for_one_answer() -> None:
    async def crowd() -> None:
        asked = Asked()
        cache = AnswerCache(asked, 10_000, 1)
        found = await asyncio.gather(*(cache.found(query("10")) for _ in range(50)))
        assert {each.written for each in found} == {b"x" * 10}
        await cache.found(query("10"))
        await cache.found(Query("10", {"table": "json"}))
        assert asked.texts == ["10", "10"]

    asyncio.run(crowd())


def test_one_who_leaves_does_not_take_the_answer_along() -> None:
    async def leaving() -> None:
        asked = Asked()
        cache = AnswerCache(asked, 10_000, 1)
        first = asyncio.ensure_future(cache.found(query("10")))
        second = asyncio.ensure_future(cache.found(query("10")))
        await asyncio.sleep(0)
        first.cancel()
        assert (await second).written == b"x" * 10
        assert asked.texts == ["10"]

    asyncio.run(leaving())


def test_what_was_not_asked_for_longest_is_given_up_first() -> None:
    async def filling() -> None:
        asked = Asked()
        cache = AnswerCache(asked, 10_000, 1)
        for text in ("3000", "3001", "3000", "3002", "3000", "3001", "90000", "90000"):
            await cache.found(query(text))
        assert asked.texts == ["3000", "3001", "3002", "3001", "90000", "90000"]

    asyncio.run(filling())


def test_a_query_that_met_a_limit_is_not_tried_again_for_a_while() -> None:
    async def again() -> None:
        asked = Asked()
        cache = AnswerCache(asked, 10_000, 0.4)
        for _ in range(3):
            with pytest.raises(QueryError, match="too long"):
                await cache.found(query("endless"))
            with pytest.raises(QueryError, match="no query"):
                await cache.found(query("wrong"))
        assert asked.texts == ["endless", "wrong", "wrong", "wrong"]
        await asyncio.sleep(0.45)
        with pytest.raises(QueryError, match="too long"):
            await cache.found(query("endless"))
        assert asked.texts[-1] == "endless"

    asyncio.run(again())


def test_what_asks_for_time_or_chance_does_not_last() -> None:
    assert not lasting("SELECT (NOW() AS ?n) {}")
    assert not lasting("SELECT ?x { FILTER(rand () > 0.5) }")
    assert lasting("SELECT ?now { ?now ?p ?brand }")


def test_messages_are_read_as_they_were_written() -> None:
    whole = Query("", {"table": "page"}, question="kilns", fields=(("a", "b\n"),))
    assert Query.read(whole.line()) == whole


def test_slow_queries_may_not_take_every_process() -> None:
    with pytest.raises(ValueError, match="let slow be below workers"):
        Limits(workers=2, slow=2)
