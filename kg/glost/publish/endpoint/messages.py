"""What is said between the endpoint and the processes that answer its queries.

Both ways a message is a line of JSON. An answer's line is followed by as many octets as it says:
the result, then the same compressed.
"""

import json
import re
from dataclasses import asdict, dataclass, field
from typing import Any, TypeAlias

from glost.answer.bounds import Graphs

_FICKLE = re.compile(r"\b(now|rand|uuid|struuid)\s*\(", re.IGNORECASE)
_NAMED = re.compile(
    r"""#[^\n\r]*|[?$]\w+|\d[\w.]*|"(?:[^"\\\n\r]|\\.)*"|'(?:[^'\\\n\r]|\\.)*'|\s+"""
)

Fields: TypeAlias = tuple[tuple[str, str], ...]
"""Names and values, in order."""
PAGE = "page"
"""The format of a result to be shown to a reader: a page of `glost.publish.endpoint.pages`."""


@dataclass(frozen=True, slots=True)
class Titled:
    """A collection as its pages name it.

    Attributes
    ----------
    title
        Its title.
    base
        Its base IRI.
    """

    title: str
    base: str


def lasting(text: str) -> bool:
    """Say whether a query gives the same each time: it asks neither for the time nor for chance."""
    return not _FICKLE.search(text)


def kind(text: str) -> str:
    """Return what queries that differ only in names, numbers, texts and comments have in common."""
    return _NAMED.sub(lambda found: found[0][0], text)


@dataclass(frozen=True, slots=True)
class Query:
    """A query as it is put to a process.

    Attributes
    ----------
    text
        The query; empty for a named question.
    form
        The format its result is written in, by what the query gives: ``{"table": "csv",
        "yes or no": "csv", "statements": "turtle"}``. Formats are those of
        `glost.answer.sparql.Result.write`, and `PAGE`.
    graphs
        Its dataset, if the request names one.
    question
        Name of a named question; empty for a query.
    parameters
        What the question is asked about, as a user writes it.
    fields
        The fields of the request, for a page; empty for the formats of machines.
    """

    text: str
    form: dict[str, str]
    graphs: Graphs = field(default_factory=Graphs)
    question: str = ""
    parameters: Fields = ()
    fields: Fields = ()

    def line(self) -> bytes:
        """Write it as a line."""
        return json.dumps(asdict(self)).encode() + b"\n"

    @classmethod
    def read(cls, line: bytes) -> "Query":
        """Read it from a line."""
        told = json.loads(line)
        graphs = {name: tuple(iris) for name, iris in told.pop("graphs").items()}
        parameters, fields = (
            tuple((name, value) for name, value in told.pop(key))
            for key in ("parameters", "fields")
        )
        return cls(graphs=Graphs(**graphs), parameters=parameters, fields=fields, **told)


@dataclass(frozen=True, slots=True)
class Reply:
    """The answer of a process.

    Attributes
    ----------
    gives
        What the query gave: ``table``, ``yes or no`` or ``statements``.
    form
        The format of `written`.
    written
        The result.
    packed
        The same compressed (gzip); empty where that is not worth while.
    """

    gives: str
    form: str
    written: bytes
    packed: bytes = b""

    def message(self) -> bytes:
        """Write it as a line and the result."""
        head: dict[str, Any] = {
            "gives": self.gives,
            "form": self.form,
            "octets": [len(self.written), len(self.packed)],
        }
        return json.dumps(head).encode() + b"\n" + self.written + self.packed
