"""Which answers rest on a claim, and what becomes of them when it is corrected."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import product
from typing import Any

from rdflib import Literal, URIRef

from glost.answer.answers import Answers
from glost.answer.headers import Parameter
from glost.answer.questions import Answer, Question, Row, Value, catalogue
from glost.names import EDTF
from glost.record.claims import Claim
from glost.record.dates import DateError, calendar_day
from glost.record.dates import read as read_date

_MOST = 60
"""No question is put more often than this."""


@dataclass(frozen=True, slots=True)
class Affected:
    """An answer row that a correction touches.

    Attributes
    ----------
    question
        The question's name.
    parameters
        What it was asked about, by name.
    columns, values
        The answer's columns, and what the row says.
    fate
        ``no longer`` if the row rested on the old claim and the question is not answered so any
        more; ``still`` if it is, on other claims; ``new`` if the row came with the correction and
        rests on it.
    claims
        IRIs of the claims the row rests on: after the correction, save for what no longer is.
    """

    question: str
    parameters: Mapping[str, str]
    columns: tuple[str, ...]
    values: tuple[Value, ...]
    fate: str
    claims: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Asked:
    """An answer as it stood, with the places of the rows that rest on the claim."""

    answer: Answer
    parameters: Mapping[str, str]
    resting: frozenset[int]


def resting(answers: Answers, claim: Claim, others: Iterable[Claim] = ()) -> tuple[Asked, ...]:
    """Put every named question, and note which rows rest on a claim.

    A question that must be asked of something is asked of each thing the claim speaks of, and of
    each year of the dates it gives.

    Parameters
    ----------
    answers
        What the questions are put to.
    claim
        The claim.
    others
        More claims, such as the one that is to replace it, whose things are asked about too.
    """
    found = []
    for question in catalogue().values():
        for parameters in _settings(question, [claim, *others], answers):
            answer = answers.ask(question.name, **parameters)
            rows = frozenset(
                at for at, row in enumerate(answer.rows) if str(claim.iri) in row.claims
            )
            found.append(Asked(answer, parameters, rows))
    return tuple(found)


def compare(before: Iterable[Asked], after: Answers, new: Claim | None) -> tuple[Affected, ...]:
    """Say what became of every answer that rested on a claim, and what came in its place.

    Parameters
    ----------
    before
        The answers before the correction; see `resting`.
    after
        What questions are put to once the correction is made.
    new
        The claim that replaces the old one; None if nothing does.

    Returns
    -------
    tuple of Affected
        By question and its parameters: first what is no longer so, then what still is, then what
        is new; rows in the order of the answers.
    """
    found: list[Affected] = []
    for asked in before:
        if not asked.resting and new is None:
            continue
        name = asked.answer.question.name
        answer = after.ask(name, **asked.parameters)
        now = {row.values: row for row in answer.rows}
        touched: list[tuple[str, Row]] = []
        for at in sorted(asked.resting):
            row = asked.answer.rows[at]
            touched.append(("still", now[row.values]) if row.values in now else ("no longer", row))
        was = {row.values for row in asked.answer.rows}
        if new is not None:
            fresh = (row for row in answer.rows if row.values not in was)
            touched += [("new", row) for row in fresh if str(new.iri) in row.claims]
        order = ("no longer", "still", "new")
        found += [
            Affected(name, asked.parameters, answer.columns, row.values, fate, row.claims)
            for fate, row in sorted(touched, key=lambda one: order.index(one[0]))
        ]
    return tuple(found)


def _settings(
    question: Question, claims: list[Claim], answers: Answers
) -> Iterator[dict[str, str]]:
    """Yield what to ask a question about; nothing is given where all is asked about anyway."""
    needed = [p for p in question.parameters if not p.optional]
    choices = [[(p.name, value) for value in _values(p, claims, answers)] for p in needed]
    for _, chosen in zip(range(_MOST), product(*choices), strict=False):
        yield {name: value for name, value in chosen if value}


def _values(parameter: Parameter, claims: list[Claim], answers: Answers) -> list[str]:
    if parameter.kinds == ("year",):
        return [str(year) for year in _years(claims)] or ([""] if parameter.default else [])
    if parameter.kinds[0] in ("number", "text"):
        return [""] if parameter.default else []
    return sorted({thing for kind in parameter.kinds for thing in _things(kind, claims, answers)})


def _things(kind: str, claims: list[Claim], answers: Answers) -> Iterator[str]:
    """Yield the things of a kind that claims speak of, their sources among them."""
    known = answers.asked.things.of(kind)
    for claim in claims:
        terms: list[Any] = [t for s, _, o in claim.statements for t in (s, o)]
        for term in [*terms, claim.passage.source]:
            if isinstance(term, URIRef) and str(term).partition("#")[0] in known:
                yield str(term).partition("#")[0]


def _years(claims: list[Claim]) -> list[int]:
    """Return every year from the first to the last that dates in claims allow, at most `_MOST`."""
    days = []
    for claim in claims:
        for _, _, value in claim.statements:
            if isinstance(value, Literal) and value.datatype == EDTF:
                try:
                    date = read_date(str(value))
                except DateError:
                    continue
                days += [day for day in (date.earliest, date.latest) if day is not None]
    if not days:
        return []
    first, last = calendar_day(min(days))[0], calendar_day(max(days))[0]
    return list(range(first, min(last, first + _MOST - 1) + 1))
