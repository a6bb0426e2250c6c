"""Queries without an answer: those that may not be asked, and what is wrong with the others."""

import re
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Literal as Kind

from glost.limits import NESTED, QUERY
from glost.record.opening import text_of
from glost.usage import UsageError

Trouble = Kind["malformed", "refused", "stopped", "unwritable", "failed"]
"""Why there is no answer: the query is no SPARQL, may not be asked, went beyond a limit, has a
result that cannot be written as wanted, or met an error on its way."""

_BETWEEN = r"(?:\s|#[^\n\r]*)*"
_SERVICE = re.compile(
    rf"(?<![\w:/?$@%-])service{_BETWEEN}(?:silent{_BETWEEN})?(?:<[^<>\s]*>|[^\s{{}}<>]+){_BETWEEN}\{{",
    re.IGNORECASE,
)
_PROLOGUE = re.compile(
    rf"{_BETWEEN}(?:(?:prefix\s+\S*?:|base){_BETWEEN}<[^<>]*>{_BETWEEN})*", re.IGNORECASE
)
_UPDATE = re.compile(r"(insert|delete|load|clear|create|drop|copy|move|add|with)\b", re.IGNORECASE)
_WHERE = re.compile(r"error at (\d+):(\d+): (.*)", re.DOTALL)
_WORD = re.compile(r"[A-Za-z][\w ]*")
_ESCAPED = re.compile(r"\\u([0-9A-Fa-f]{4})|\\U([0-9A-Fa-f]{8})")
_PIECE = re.compile(
    r"""\\.|"{3}(?:[^"\\]|\\.|"(?!""))*"{3}|"(?:[^"\\\n\r]|\\.)*"|"""
    r"""'{3}(?:[^'\\]|\\.|'(?!''))*'{3}|'(?:[^'\\\n\r]|\\.)*'|"""
    r"""(?P<iri><[^<>"{}|^`\x00-\x20]*>)|\#[^\n\r]*|[\[\](){}]""",
    re.DOTALL,
)
"""What may hold a bracket that opens nothing (escapes, texts, IRIs, comments), and the brackets."""

DEEPEST = NESTED
"""Brackets that may stand open at once in a query."""


class QueryError(UsageError):
    """A query that cannot be answered.

    Attributes
    ----------
    reason
        What is wrong.
    remedy
        What could be done.
    line, column
        Where, counted from 1, for a query that is not well formed; else 0.
    trouble
        What kind of trouble it is.
    """

    def __init__(
        self,
        reason: str,
        remedy: str = "",
        line: int = 0,
        column: int = 0,
        trouble: Trouble = "failed",
    ) -> None:
        self.reason = reason
        self.remedy = remedy
        self.line = line
        self.column = column
        self.trouble = trouble
        place = f"line {line}, column {column}: " if line else ""
        super().__init__(f"{place}{reason}" + (f"; {remedy}" if remedy else ""))

    def as_dict(self) -> dict[str, str | int]:
        """Return it as plain values, from which it can be made again."""
        names = ("reason", "remedy", "line", "column", "trouble")
        return {name: getattr(self, name) for name in names}


def query_text(file: Path) -> str:
    """Read a query from a file, with or without a byte order mark.

    Parameters
    ----------
    file
        The file, which ends.

    Raises
    ------
    QueryError
        If it is too long, or not text in UTF-8.
    OSError
        If it cannot be read.
    """
    with file.open("rb") as opened:
        data = opened.read(4 * QUERY + 1)
    text = text_of(file.name, data, "save the file as text in UTF-8")
    if not isinstance(text, str):
        raise QueryError(f"{text.file}: {text.message}", text.remedy, trouble="malformed")
    if len(text) > QUERY:
        reason = f"{file.name}: the query has more than {QUERY:,} characters"
        raise QueryError(reason, "ask for less at a time", trouble="refused")
    return text


def refuse(text: str) -> None:
    """Raise `QueryError` for a query that may not be asked.

    That is one that would ask another server or change the record, or that is nested deeper than
    `DEEPEST`.
    """
    _refuse_depth(text)
    prologue = _PROLOGUE.match(text)
    update = _UPDATE.match(text, prologue.end() if prologue else 0)
    if update:
        raise QueryError(
            f"{update[1].upper()} would change the record, and queries only read it",
            "write a row in a table, or a correction",
            trouble="refused",
        )
    if _SERVICE.search(text):
        raise QueryError(
            "SERVICE would ask another server, and nothing is fetched",
            "take it out and ask the record alone",
            trouble="refused",
        )


def _refuse_depth(text: str) -> None:
    """Raise `QueryError` if more than `DEEPEST` brackets stand open somewhere."""
    text = _ESCAPED.sub(_character, text)  # a query may write any character so, SPARQL 1.1, 19.2
    depth = 0
    for piece in _PIECE.finditer(text):
        found = piece[0]
        if piece["iri"]:
            # "?a<(1)>?b" looks like an IRI and is two comparisons: what it opens counts.
            most, net = _nesting(found)
            here, depth = depth + most, depth + max(net, 0)
        elif found in "([{":
            here = depth = depth + 1
        else:
            depth -= found in ")]}"
            continue
        if here > DEEPEST:
            line = text.count("\n", 0, piece.start()) + 1
            column = piece.start() - text.rfind("\n", 0, piece.start())
            raise QueryError(
                f"more than {DEEPEST} brackets stand open here",
                "nest less, or ask in several queries",
                line,
                column,
                "refused",
            )


def _character(escaped: re.Match[str]) -> str:
    number = int(escaped[1] or escaped[2], 16)
    return chr(number) if number <= sys.maxunicode else escaped[0]


def _nesting(text: str) -> tuple[int, int]:
    """Return how many brackets stand open at most in a text, and how many at its end."""
    depth = most = 0
    for sign in text:
        depth += (sign in "([{") - (sign in ")]}")
        most = max(most, depth)
    return most, depth


def form_of(query: str) -> str:
    """Return the word that says what a query gives, ``select`` or another, in small letters."""
    prologue = _PROLOGUE.match(query)
    found = _WORD.match(query, prologue.end() if prologue else 0)
    return found[0].split()[0].lower() if found else ""


def bare(query: str) -> str:
    """Return a query with blanks in place of its texts, IRIs and comments."""
    return _PIECE.sub(
        lambda piece: piece[0] if piece[0] in "[](){}" else " " * len(piece[0]), query
    )


def brackets(query: str) -> Iterator[re.Match[str]]:
    """Yield the curly brackets of a query, not those in its texts and comments."""
    return (piece for piece in _PIECE.finditer(query) if piece[0] in "{}")


def misread(message: str, text: str) -> QueryError:
    """Return the error of a query that the parser, with this message, could not read."""
    found = _WHERE.match(message)
    if not found:
        reason = f"the query is not well formed: {message}"
        return QueryError(reason, "see SPARQL 1.1", trouble="malformed")
    line, column, expected = found.groups()
    if "Prefix not found" in expected:
        reason = "a prefix is used here that is not declared"
        remedy = "declare it with PREFIX"
        return QueryError(reason, remedy, int(line), int(column), "malformed")
    if text.count("{") > text.count("}"):
        reason = "the query ends before every { is closed"
        return QueryError(reason, "close it with }", int(line), int(column), "malformed")
    listed = expected.removeprefix("expected ").removeprefix("one of ").split(", ")
    words = [word.strip("\"'") for word in listed]
    short = " or ".join(word for word in words if _WORD.fullmatch(word)) or "something else"
    reason = f"the query is not well formed here or just before; expected: {short}"
    return QueryError(reason, "", int(line), int(column), "malformed")
