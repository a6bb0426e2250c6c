"""A result as a reader sees it: its first rows, what they rest on, and the names of things."""

import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from itertools import islice
from typing import Any

import pyoxigraph as ox
from rdflib import URIRef

from glost.answer.bounds import Most
from glost.answer.groups import memberships, said_in_store
from glost.answer.headers import Header, LeftOut, filled
from glost.answer.parameters import Bound
from glost.answer.questions import ANY, Question, value_of
from glost.answer.sparql import Result, answer
from glost.publish.endpoint.grounds import Cited, Grounds, name_of
from glost.record.terms import Term

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
    variables
        The columns of a table; of a named question those that its header names.
    rows
        Its first rows, each cell as in SPARQL 1.1 Query Results JSON, None where empty.
    under
        Of a named question, the claims under each of these rows; of other queries empty.
    asked
        Of a named question, its parameters and what each was, defaults included, in words.
    notes
        Of a named question, what its answer leaves out and why.
    names
        Names of the things in them by IRI.
    answer
        Of ASK.
    turtle
        The first statements.
    """

    gives: str
    total: int
    variables: tuple[str, ...] = ()
    rows: list[list[Any]] = field(default_factory=list)
    under: list[list[Cited]] = field(default_factory=list)
    names: dict[str, str] = field(default_factory=dict)
    answer: bool = False
    turtle: str = ""
    asked: tuple[tuple[str, str], ...] = ()
    notes: tuple[str, ...] = ()


def show(
    result: Result, store: ox.Store, header: Header | None = None, grounds: Grounds | None = None
) -> ShownResult:
    """Return what a page shows of a result.

    Parameters
    ----------
    result
        The whole result.
    store
        The dataset, for names.
    header
        That of the named question whose answer it is; None for other queries.
    grounds
        Finds what the question's rows rest on.
    """
    if result.form == "statements":
        lines = result.written.splitlines(keepends=True)
        first = Result(result.form, (), b"".join(lines[:ROWS]))
        return ShownResult(result.form, len(lines), turtle=first.write("turtle"))
    if result.form == "yes or no":
        return ShownResult(result.form, 1, answer=bool(result))
    if header is not None and grounds is not None:
        return _answered(result, store, header, grounds)
    bindings = json.loads(result.written)["results"]["bindings"]
    rows = [[row.get(name) for name in result.variables] for row in bindings[:ROWS]]
    names = _names((cell for row in rows for cell in row), store)
    return ShownResult(result.form, len(bindings), result.variables, rows, names=names)


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
    settings = question.header.settings(bound.given)
    asked = tuple((name, _words(written, store) if written else ANY) for name, written in settings)
    notes = list(_members(store, bound, grounds))
    if question.left_out is not None:
        notes += _left_out(store, question.left_out, bound, most)
    return replace(shown, asked=asked, notes=tuple(notes))


def _members(store: ox.Store, bound: Bound, grounds: Grounds) -> Iterator[str]:
    for group in sorted(set(bound.groups.values())):
        for each in memberships(said_in_store(store, grounds.making, group), group):
            said = {name: name_of(iri, store) or iri for name, iri in each.values.items()}
            yield filled(each.sentence, said.__getitem__)


def _left_out(store: ox.Store, left_out: LeftOut, bound: Bound, most: Most) -> Iterator[str]:
    found = answer(store, left_out.bound(bound.filled), most=most)
    rows = json.loads(found.write("json"))["results"]["bindings"]
    for row in rows[:ROWS]:
        terms = {name: cell["value"] for name, cell in row.items()}
        names = _names(row.values(), store)
        said = {name: names.get(text, text) for name, text in terms.items()}
        yield filled(left_out.says[terms["case"]], said.__getitem__)


def _words(written: str, store: ox.Store) -> str:
    """Return what the value that a written term stands for is called."""
    value = value_of(written)
    return name_of(str(value), store) or str(value) if isinstance(value, URIRef) else str(value)


def _answered(result: Result, store: ox.Store, header: Header, grounds: Grounds) -> ShownResult:
    """Show the answer to a named question: one row for each that differs in its columns."""
    columns = tuple(name for name, _ in header.columns)
    bindings = json.loads(result.written)["results"]["bindings"]
    terms = _terms(result)
    merged: dict[str, list[int]] = {}
    for at, row in enumerate(bindings):
        key = json.dumps([row.get(name) for name in columns], sort_keys=True)
        merged.setdefault(key, []).append(at)
    rows, under = [], []
    for places in islice(merged.values(), ROWS):
        rows.append([bindings[places[0]].get(name) for name in columns])
        claims = set[str]().union(*(grounds.under(header, terms[at]) for at in places))
        under.append([grounds.cited(iri) for iri in sorted(claims)])
    names = _names((cell for row in rows for cell in row), store)
    return ShownResult(result.form, len(merged), columns, rows, under, names)


def _terms(result: Result) -> list[dict[str, Term | None]]:
    parsed = ox.parse_query_results(result.written, format=ox.QueryResultsFormat.JSON)
    assert isinstance(parsed, ox.QuerySolutions)
    return [{name: _term(row[name]) for name in result.variables} for row in parsed]


def _term(value: object) -> Term | None:
    return value if isinstance(value, ox.NamedNode | ox.BlankNode | ox.Literal) else None


def _names(cells: Iterable[Any], store: ox.Store) -> dict[str, str]:
    iris = {cell["value"] for cell in cells if cell is not None and cell["type"] == "uri"}
    return {iri: name for iri in sorted(iris) if (name := name_of(iri, store))}
