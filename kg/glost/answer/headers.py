"""The header of a question: comment lines that say what it asks and what its answer rests on.

Each line is ``# key: text``; a line that begins with ``#`` and three spaces goes on with the one
before. Fields within a line are parted by ``|``:

- ``question``: the question, a sentence; ``why``: why anyone asks it; ``topic``: the heading under
  which it is listed.
- ``parameter``: name | type | meaning. The type is ``year``, ``number``, ``text`` or kinds of
  thing joined by ``or``; ``, any`` after it means that it may be left out. The default stands in
  the query's own ``VALUES ?name { … }``.
- ``column``: name | meaning. Variables the query selects beyond these only lead to evidence.
- ``evidence``: triple patterns parted by `` . ``; what they match, for a row, is what it rests on.
- ``claim``: a selected variable that is itself a claim.
- ``unsupported``: why a row need not rest on any claim.

What an answer leaves out, or why it is empty, is found by a query of the same name in the folder
``left-out``, which is asked with the same parameters. Its header has these lines alone:

- ``says CASE``: a sentence; ``{name}`` stands for the variable of that name. Each solution gives
  one of the cases as the variable ``case``.
- ``evidence``: as above.
"""

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TypeAlias

import pyoxigraph as ox
from rdflib.namespace import RDF

from glost.names import PREFIXES

Slot: TypeAlias = ox.Variable | ox.NamedNode
"""A place in a triple pattern: a variable or an IRI."""
Pattern: TypeAlias = tuple[Slot, Slot, Slot]

_LINE = re.compile(r"# (question|topic|why|parameter|column|evidence|claim|unsupported): (.*)")
_LEFT_OUT = re.compile(r"# (says [a-z-]+|evidence): (.*)")
_NAMED = re.compile(r"\{(\w+)\}")
_VALUES = r"VALUES \?{name} \{{([^{{}}]*)\}}"


class HeaderError(ValueError):
    """A question's file whose header cannot be read; the message names file and fault."""


@dataclass(frozen=True, slots=True)
class Parameter:
    """Something a question is asked about.

    Attributes
    ----------
    name
        How it is called, the variable's name in the query.
    kinds
        ``year``, ``number`` or ``text``, else the kinds of thing it may be.
    optional
        Whether it may be left out, the question then being asked of all.
    default
        Its value if left out, as the query writes it; empty if there is none.
    meaning
        What it is, in words.
    """

    name: str
    kinds: tuple[str, ...]
    optional: bool
    default: str
    meaning: str


@dataclass(frozen=True, slots=True)
class Header:
    """What the comments of a question's file say, and the query itself."""

    name: str
    question: str
    topic: str
    why: str
    parameters: tuple[Parameter, ...]
    columns: tuple[tuple[str, str], ...]
    evidence: tuple[tuple[Pattern, ...], ...]
    claims: tuple[str, ...]
    unsupported: str
    query: str

    def bound(self, values: Mapping[str, str]) -> str:
        """Return the query with each parameter's ``VALUES`` holding the written term given."""
        return _bound(self.query, values)

    def telling(self, names: Iterable[str], evidence: tuple[tuple[Pattern, ...], ...]) -> "Header":
        """Return the same question with columns that tell which of several things a row is about.

        Parameters
        ----------
        names
            Parameters that were given several things. Those that are no columns yet come first
            among the columns, if the query holds them where it selects its rows.
        evidence
            Further patterns that lead to what a row rests on.
        """
        known = {column for column, _ in self.columns}
        before, select, rest = self.query.partition("SELECT DISTINCT")
        asked = [each for each in self.parameters if each.name in names]
        new = [each for each in asked if each.name not in known and _outermost(rest, each.name)]
        selected = rest.partition("WHERE")[0].split()
        more = "".join(f" ?{each.name}" for each in new if f"?{each.name}" not in selected)
        order = "".join(f" ?{each.name}" for each in new)
        return replace(
            self,
            columns=(*((each.name, each.meaning) for each in new), *self.columns),
            evidence=(*self.evidence, *evidence),
            query=f"{before}{select}{more}{rest.rstrip()}{order}\n",
        )

    def settings(self, bound: Mapping[str, str]) -> tuple[tuple[str, str], ...]:
        """Return each parameter with the written term it has; empty where anything will do.

        Parameters
        ----------
        bound
            Written terms by the names of those that were given.
        """
        return tuple((each.name, bound.get(each.name, each.default)) for each in self.parameters)


@dataclass(frozen=True, slots=True)
class LeftOut:
    """How to find what an answer leaves out, and to say why.

    Attributes
    ----------
    says
        A sentence for each case, with ``{name}`` for the variable of that name.
    evidence
        As of a question.
    query
        A query whose solutions each give a ``case``.
    """

    says: Mapping[str, str]
    evidence: tuple[tuple[Pattern, ...], ...]
    query: str

    def bound(self, values: Mapping[str, str]) -> str:
        """Return the query with each parameter's ``VALUES`` holding the written term given."""
        return _bound(self.query, values)


def filled(sentence: str, words: Callable[[str], str]) -> str:
    """Put the words for each variable in its place in a sentence."""
    return _NAMED.sub(lambda found: words(found[1]), sentence)


def _outermost(text: str, name: str) -> bool:
    """Say whether the first ``VALUES`` of a variable stands in no group within the outermost."""
    before = text.partition(f"VALUES ?{name} ")[0]
    return before.count("{") - before.count("}") == 1


def _bound(text: str, values: Mapping[str, str]) -> str:
    for name, written in values.items():
        text = re.sub(_VALUES.format(name=re.escape(name)), _held(name, written), text)
    return text


def _held(name: str, written: str) -> Callable[[re.Match[str]], str]:
    return lambda _: f"VALUES ?{name} {{ {written} }}"


def read_header(name: str, text: str) -> Header:
    """Read a question's file.

    Raises
    ------
    HeaderError
        If a part is missing or not well formed.
    """
    fields: dict[str, list[str]] = {}
    for key, line in _lines(text, _LINE):
        fields.setdefault(key, []).append(line)
    for needed in ("question", "topic", "why", "column"):
        if needed not in fields:
            raise HeaderError(f"{name}.rq: its header has no line '# {needed}: …'")
    columns = tuple(_fields(name, line, 2) for line in fields["column"])
    return Header(
        name=name,
        question=fields["question"][0],
        topic=fields["topic"][0],
        why=fields["why"][0],
        parameters=tuple(_parameter(name, line, text) for line in fields.get("parameter", [])),
        columns=tuple((column, meaning) for column, meaning in columns),
        evidence=tuple(_patterns(name, line) for line in fields.get("evidence", [])),
        claims=tuple(line.lstrip("?") for line in fields.get("claim", [])),
        unsupported=" ".join(fields.get("unsupported", [])),
        query=text,
    )


def read_left_out(name: str, text: str) -> LeftOut:
    """Read the file that finds what the answer to a question leaves out.

    Raises
    ------
    HeaderError
        If it says nothing, or is not well formed.
    """
    lines = _lines(text, _LEFT_OUT)
    says = {key.removeprefix("says "): line for key, line in lines if key != "evidence"}
    if not says:
        raise HeaderError(f"left-out/{name}.rq: its header has no line '# says CASE: …'")
    evidence = tuple(_patterns(name, line) for key, line in lines if key == "evidence")
    return LeftOut(says, evidence, text)


def _lines(text: str, known: re.Pattern[str]) -> list[tuple[str, str]]:
    lines: list[tuple[str, str]] = []
    for line in text.splitlines():
        if not line.startswith("#"):
            break
        found = known.fullmatch(line)
        if found:
            lines.append((found[1], found[2].strip()))
        elif line.startswith("#   ") and lines:
            key, before = lines[-1]
            lines[-1] = (key, f"{before} {line[1:].strip()}")
        else:
            raise HeaderError(f"the header line {line!r} is neither '# key: …' nor a continuation")
    return lines


def _fields(name: str, line: str, count: int) -> list[str]:
    fields = [field.strip() for field in line.split("|")]
    if len(fields) != count or not all(fields):
        raise HeaderError(f"{name}.rq: {line!r} needs {count} fields parted by |")
    return fields


def _parameter(name: str, line: str, text: str) -> Parameter:
    called, kind, meaning = _fields(name, line, 3)
    held = re.search(_VALUES.format(name=re.escape(called)), text)
    if held is None:
        raise HeaderError(f"{name}.rq: the query has no VALUES ?{called} {{ … }}")
    kind, _, extra = kind.partition(",")
    default = held[1].strip()
    return Parameter(
        name=called,
        kinds=tuple(part.strip() for part in kind.split(" or ")),
        optional=extra.strip() == "any",
        default="" if default == "UNDEF" else default,
        meaning=meaning,
    )


def _patterns(name: str, line: str) -> tuple[Pattern, ...]:
    patterns = []
    for part in line.split(" . "):
        slots = [_slot(name, word) for word in part.split()]
        if len(slots) != 3:
            raise HeaderError(f"{name}.rq: {part!r} is not a triple pattern")
        patterns.append((slots[0], slots[1], slots[2]))
    return tuple(patterns)


def _slot(name: str, word: str) -> Slot:
    if word.startswith("?"):
        return ox.Variable(word[1:])
    if word == "a":
        return ox.NamedNode(str(RDF.type))
    prefix, colon, local = word.partition(":")
    if not colon or prefix not in PREFIXES:
        raise HeaderError(f"{name}.rq: {word!r} is neither ?variable nor prefix:name")
    return ox.NamedNode(f"{PREFIXES[prefix]}{local}")
