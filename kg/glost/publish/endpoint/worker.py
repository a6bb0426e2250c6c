"""The process that answers queries: it holds the dataset to read, and can be ended at any time.

It is started by `glost.publish.endpoint.pool`, talks over its standard input and output in the
messages of `glost.publish.endpoint.messages`, and limits itself: in memory, in the processor's
time for each query, and to the files it holds open at its start, so that it can neither open
another nor reach a network.
"""

import gzip
import json
import math
import os
import resource
import sys
import time
from pathlib import Path

import pyoxigraph as ox

from glost.answer.bounds import Graphs, Most
from glost.answer.parameters import ParameterError, Things, about, bind
from glost.answer.questions import Question, UnknownQuestion, question
from glost.answer.refusals import QueryError
from glost.answer.sparql import Result, answer
from glost.publish.endpoint import pages
from glost.publish.endpoint.grounds import Grounds, following
from glost.publish.endpoint.messages import PAGE, Query, Reply, Titled, lasting
from glost.publish.endpoint.shown import ShownResult, heading, show
from glost.record.tables import kinds

_GRACE = 2.0
_POLITE = 5
_EFFORT = 3
_SMALL = 1_000
_STACK = 100 << 20
"""Octets; below the 128 MiB that Linux leaves free under every stack."""
_GIVES = {"table": "a table", "yes or no": "yes or no", "statements": "statements"}
_STANDARD = 3
"""Descriptors of the standard streams, the only ones that may be opened again."""


class Worker:
    """Answers one query after another.

    Parameters
    ----------
    store
        The dataset.
    named
        The collection, as its pages name it.
    most
        How large a result may be.
    following
        What a site says its inferred and reckoned statements rest on; None if it does not.
    """

    def __init__(
        self, store: ox.Store, named: Titled, most: Most, following: ox.Store | None = None
    ) -> None:
        self._store = store
        self._grounds = Grounds(store, following, named.base)
        self._named = named
        self._most = most
        self._things = Things(store, named.base)
        self._last: tuple[tuple[str, Graphs], Result] | None = None

    def found(self, query: Query) -> Reply:
        """Answer a query.

        Raises
        ------
        QueryError
            If there is no answer.
        """
        text = self._text(query)
        result = self._result(text, query.graphs)
        form = query.form.get(result.form, "")
        if not form:
            reason = f"this query gives {_GIVES[result.form]}, which cannot be written as asked"
            raise QueryError(reason, "see the formats of its page", trouble="unwritable")
        if form == PAGE:
            shown = self._shown(query, result)
            written = pages.result(self._named, query, text, shown).encode()
        else:
            written = result.write(form).encode()
        packed = gzip.compress(written, _EFFORT, mtime=0) if len(written) > _SMALL else b""
        return Reply(result.form, form, written, packed)

    def _shown(self, query: Query, result: Result) -> ShownResult:
        asked = _asked(query)
        if asked is None:
            return show(result, self._store, self._grounds)
        bound = bind(asked.header, dict(query.parameters), self._things)
        shown = show(result, self._store, self._grounds, about(asked.header, bound))
        return heading(shown, self._store, asked, bound, self._grounds, self._most)

    def _result(self, text: str, graphs: Graphs) -> Result:
        """Answer a query, or give the last result again where it is only written otherwise."""
        key = (text, graphs)
        if self._last is None or self._last[0] != key or not lasting(text):
            self._last = (key, answer(self._store, text, graphs, self._most, self._named.base))
        return self._last[1]

    def _text(self, query: Query) -> str:
        if not query.question:
            return query.text
        try:
            header = question(query.question).header
            bound = bind(header, dict(query.parameters), self._things)
            return about(header, bound).bound(bound.filled)
        except (UnknownQuestion, ParameterError) as error:
            raise QueryError(str(error), trouble="malformed") from None


def _asked(query: Query) -> Question | None:
    """Return the named question that a page was asked for, if it was for one."""
    name = query.question or dict(query.fields).get("question", "")
    return question(name) if name else None


def main() -> None:
    """Answer the queries that come in, until no more can."""
    settings = json.loads(sys.argv[1])
    store = ox.Store.read_only(settings["folder"])
    most = Most(settings["rows"], settings["octets"])
    beside = following(Path(settings["folder"]))
    worker = Worker(
        store,
        Titled(settings["title"], settings["base"]),
        most,
        ox.Store.read_only(str(beside)) if beside.is_dir() else None,
    )
    pages.prepare()
    kinds()  # names are looked up by the tables' kinds, whose files cannot be opened later
    _confine(settings["memory"])
    _say({"ready": True, "statements": len(store)})
    for line in sys.stdin.buffer:
        _allow(settings["seconds"] + _GRACE)
        try:
            message = worker.found(Query.read(line)).message()
        except QueryError as error:
            message = _line({"error": error.as_dict(), "octets": [0, 0]})
        sys.stdout.buffer.write(message)
        sys.stdout.buffer.flush()


def _confine(memory: int) -> None:
    """Give up the right to more memory, to core dumps, and to opening anything more.

    The stack may grow further than usual: a long chain of operators or patterns, which no bracket
    counts, is a deep tree to whoever works through it.
    """
    _, most = resource.getrlimit(resource.RLIMIT_STACK)
    stack = _STACK if most == resource.RLIM_INFINITY else min(_STACK, most)
    resource.setrlimit(resource.RLIMIT_STACK, (stack, most))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    resource.setrlimit(resource.RLIMIT_DATA, (memory, memory))
    resource.setrlimit(resource.RLIMIT_NOFILE, (_STANDARD, _STANDARD))
    os.nice(_POLITE)


def _allow(seconds: float) -> None:
    """Let the process be ended by the system when it has computed for so much longer.

    The pool ends it sooner; this holds even if the pool is gone.
    """
    until = math.ceil(time.process_time() + seconds)
    resource.setrlimit(resource.RLIMIT_CPU, (until, resource.RLIM_INFINITY))


def _say(told: dict[str, object]) -> None:
    sys.stdout.buffer.write(_line(told))
    sys.stdout.buffer.flush()


def _line(told: dict[str, object]) -> bytes:
    return json.dumps(told).encode() + b"\n"
