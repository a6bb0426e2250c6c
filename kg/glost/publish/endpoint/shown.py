"""A result as a reader sees it: its first rows as a report tells them, and what they rest on."""

import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import islice

import pyoxigraph as ox
from msgspec import structs
from rdflib import Literal, URIRef

from glost.answer.bounds import Most
from glost.answer.groups import memberships, said_in_store
from glost.answer.headers import Header, LeftOut, filled
from glost.answer.parameters import Bound
from glost.answer.questions import ANY, Question, value_of
from glost.answer.sparql import Result, answer
from glost.names import EDTF, PREFIXES
from glost.publish.endpoint.grounds import Grounds, name_of
from glost.record.terms import Term
from glost.report.results.plain import table as plain_table
from glost.report.things.said import literal
from glost.report.tree import (
    CitedClaim,
    CitedPassage,
    Column,
    Ground,
    Group,
    Ref,
    Row,
    Rule,
    Section,
    Statement,
    Table,
)

EMPTY = Section("rows", "", ())
_LEFT_OUT = Rule("Looked for in all that is on record")
ROWS = 500
"""Rows, or statements, that a page shows."""


@dataclass(frozen=True, slots=True)
class ShownResult:
    """What a page shows of a result.

    Attributes
    ----------
    gives
        What the query gave.
    total
        How many rows or statements there are.
    section
        The first rows; of a named question those of its columns, each with the claims under it, and
        before them what its answer leaves out and why.
    asked
        Of a named question, its parameters and what each was, defaults included, in words.
    answer
        Of ASK.
    turtle
        The first statements.
    """

    gives: str
    total: int
    section: Section = EMPTY
    asked: tuple[tuple[str, str], ...] = ()
    answer: bool = False
    turtle: str = ""


def show(
    result: Result, store: ox.Store, grounds: Grounds, header: Header | None = None
) -> ShownResult:
    """Return what a page shows of a result.

    Parameters
    ----------
    result
        The whole result.
    store
        The dataset, for names.
    grounds
        Finds what the rows of a named question rest on.
    header
        That of the named question whose answer it is; None for other queries.
    """
    if result.form == "statements":
        lines = result.written.splitlines(keepends=True)
        first = Result(result.form, (), b"".join(lines[:ROWS]))
        return ShownResult(result.form, len(lines), turtle=first.write("turtle"))
    if result.form == "yes or no":
        return ShownResult(result.form, 1, answer=bool(result))
    if header is not None:
        return _answered(result, store, header, grounds)
    bindings = json.loads(result.written)["results"]["bindings"]
    called = _Called(store, grounds.base)
    cells = [
        tuple(called.cell(row.get(name)) for name in result.variables) for row in bindings[:ROWS]
    ]
    section = plain_table("Result", result.variables, cells, "The dataset").sections[0]
    return ShownResult(result.form, len(bindings), section)


def heading(
    shown: ShownResult,
    store: ox.Store,
    question: Question,
    bound: Bound,
    grounds: Grounds,
    most: Most,
) -> ShownResult:
    """Add to the answer of a named question what it was asked about, and what it leaves out.

    Parameters
    ----------
    shown
        What a page shows of the answer.
    store
        The dataset.
    question
        The question.
    bound
        What it was put about.
    grounds
        Finds who counts which shapes in a group that was given for a shape.
    most
        How large a result may be.
    """
    called = _Called(store, grounds.base)
    settings = question.header.settings(bound.given)
    asked = tuple((name, called.written(text) if text else ANY) for name, text in settings)
    notes = list(_members(called, bound, grounds))
    if question.left_out is not None:
        notes += _left_out(called, question.left_out, bound, most)
    parts = ((Group(tuple(notes)),) if notes else ()) + shown.section.parts
    return replace(shown, asked=asked, section=structs.replace(shown.section, parts=parts))


def _members(called: "_Called", bound: Bound, grounds: Grounds) -> Iterator[Statement]:
    for group in sorted(set(bound.groups.values())):
        said = said_in_store(called.store, grounds.making, group)
        for each in memberships(said, group):
            names = {name: called(iri) or iri for name, iri in each.values.items()}
            text = filled(each.sentence, names.__getitem__)
            yield Statement((text,), _passages(grounds, each.claims) or (_LEFT_OUT,))


def _left_out(
    called: "_Called", left_out: LeftOut, bound: Bound, most: Most
) -> Iterator[Statement]:
    found = answer(called.store, left_out.bound(bound.filled), most=most)
    rows = json.loads(found.write("json"))["results"]["bindings"]
    for row in rows[:ROWS]:
        said = {name: str(called.cell(cell)) for name, cell in row.items()}
        text = filled(left_out.says[row["case"]["value"]], said.__getitem__)
        yield Statement((text,), (_LEFT_OUT,))


def _answered(result: Result, store: ox.Store, header: Header, grounds: Grounds) -> ShownResult:
    """Show the answer to a named question: one row for each that differs in its columns."""
    columns = tuple(Column(name, name.replace("_", " ")) for name, _ in header.columns)
    bindings = json.loads(result.written)["results"]["bindings"]
    terms = _terms(result)
    merged: dict[str, list[int]] = {}
    for at, row in enumerate(bindings):
        key = json.dumps([row.get(column.name) for column in columns], sort_keys=True)
        merged.setdefault(key, []).append(at)
    called = _Called(store, grounds.base)
    none = Rule(header.unsupported or _LEFT_OUT.text)
    rows = []
    for places in islice(merged.values(), ROWS):
        cells = tuple(called.cell(bindings[places[0]].get(column.name)) for column in columns)
        claims = set[str]().union(*(grounds.under(header, terms[at]) for at in places))
        rows.append(Row(cells, _passages(grounds, claims) or (none,)))
    section = Section("rows", "", (Table(columns, tuple(rows)),))
    return ShownResult(result.form, len(merged), section)


def _passages(grounds: Grounds, claims: Iterable[str]) -> tuple[Ground, ...]:
    """Return where some claims stand, place by place."""
    found: dict[tuple[Ref, str], list[CitedClaim]] = {}
    for iri in sorted(claims):
        source, claim = grounds.cited(iri)
        found.setdefault((source, claim.place), []).append(claim)
    return tuple(
        CitedPassage(source, place, tuple(some)) for (source, place), some in found.items()
    )


def _terms(result: Result) -> list[dict[str, Term | None]]:
    parsed = ox.parse_query_results(result.written, format=ox.QueryResultsFormat.JSON)
    assert isinstance(parsed, ox.QuerySolutions)
    return [{name: _term(row[name]) for name in result.variables} for row in parsed]


def _term(value: object) -> Term | None:
    return value if isinstance(value, ox.NamedNode | ox.BlankNode | ox.Literal) else None


class _Called:
    """What the things of a dataset are called."""

    def __init__(self, store: ox.Store, base: str) -> None:
        self.store, self._base = store, base
        self._names: dict[str, str] = {}

    def __call__(self, iri: str) -> str:
        if iri not in self._names:
            self._names[iri] = name_of(iri, self.store)
        return self._names[iri]

    def cell(self, value: dict[str, str] | None) -> str | Ref | None:
        """Return a cell of SPARQL 1.1 Query Results JSON, dates in words; None if it is empty."""
        if value is None:
            return None
        text = value["value"]
        if value["type"] == "uri":
            return Ref(text, self(text) or short(text.removeprefix(self._base)))
        if value["type"] == "bnode":
            return f"_:{text}"
        if value.get("datatype") == str(EDTF):
            return literal(Literal(text, datatype=EDTF))
        language = value.get("xml:lang", "")
        return Ref("", text, language) if language else text

    def written(self, text: str) -> str:
        """Return what the value that a written term stands for is called."""
        value = value_of(text)
        return self(str(value)) or str(value) if isinstance(value, URIRef) else str(value)


def short(iri: str) -> str:
    """Write an IRI with one of the usual prefixes, if one fits."""
    for prefix, namespace in ((name, str(each)) for name, each in PREFIXES.items()):
        if iri.startswith(namespace) and len(iri) > len(namespace):
            return f"{prefix}:{iri.removeprefix(namespace)}"
    return iri
