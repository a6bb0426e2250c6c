"""What becomes of the answers when a claim is corrected."""

from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product
from typing import Any, Protocol

from rdflib import Literal, URIRef

from glost.answer.answers import Answers
from glost.answer.headers import Parameter
from glost.answer.parameters import ParameterError
from glost.answer.questions import Answer, AnswerRow, Question, Value, catalogue
from glost.names import EDTF
from glost.record.claims import Claim
from glost.record.dates import DateError, calendar_day
from glost.record.dates import read as read_date

_MOST = 60
"""No question is put more often than this."""


FATES = {"no longer": "no longer so", "still": "still so, on other claims", "new": "new"}
"""What became of an answer, in words."""


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
        ``no longer`` if the question is not answered so any more; ``still`` if it is, but one of
        the claims corrected is no longer under it; ``new`` if it was not answered so before.
    claims
        IRIs of the claims the row rests on: after the correction, save for what no longer is.
    """

    question: str
    parameters: Mapping[str, str]
    columns: tuple[str, ...]
    values: tuple[Value, ...]
    fate: str
    claims: tuple[str, ...]


class ThingsByKind(Protocol):
    """The things that there are of each kind."""

    def of(self, kind: str) -> Container[str]:
        """Return the IRIs of a kind's things."""


@dataclass(frozen=True, slots=True)
class AskedQuestion:
    """An answer as it stood, with the claims that are withdrawn or said otherwise."""

    answer: Answer
    parameters: Mapping[str, str]
    claims: frozenset[str]


def put(
    answers: Answers, claims: Sequence[Claim], went: Sequence[Claim] | None = None
) -> Iterator[AskedQuestion]:
    """Put every named question as it is answered before a correction, one after another.

    A question that must be asked of something is asked of each thing the claims speak of, and of
    each year of the dates they give.

    Parameters
    ----------
    answers
        What the questions are put to.
    claims
        The claims that are corrected, and those that take their place.
    went
        Those among them that are withdrawn or say something else than before; None for all.
    """
    touched = frozenset(str(claim.iri) for claim in (claims if went is None else went))
    for question in catalogue().values():
        for parameters in settings(question, claims, answers.asked.things):
            yield AskedQuestion(answers.once(question.name, parameters), parameters, touched)


def compare(before: Iterable[AskedQuestion], after: Answers) -> Iterator[Affected]:
    """Say what became of every answer that a correction changes.

    Parameters
    ----------
    before
        The answers before the correction; see `put`.
    after
        What questions are put to once the correction is made.

    Yields
    ------
    Affected
        By question and its parameters: first what is no longer so, then what still is, then what
        is new; rows in the order of the answers. Each as soon as its question is answered.
    """
    for asked in before:
        name = asked.answer.question.name
        try:
            answer = after.once(name, asked.parameters)
        except ParameterError:  # nothing describes any more what it was asked about
            of, query = after.asked, asked.answer.question.header.bound(asked.answer.parameters)
            found = asked.answer.question.rows(of.store, of.evidence, query)
            answer = replace(asked.answer, rows=tuple(row for row, _ in found), notes=())
        for fate, rows in _fates(asked, answer).items():
            for row in rows:
                yield Affected(name, asked.parameters, answer.columns, row.values, fate, row.claims)


def _fates(asked: AskedQuestion, answer: Answer) -> dict[str, list[AnswerRow]]:
    """Sort the rows of an answer before and after into what became of them; see `Affected`."""
    was = {row.values: row for row in asked.answer.rows}
    now = {row.values: row for row in answer.rows}
    lost = {
        values
        for values, row in (was.items() if asked.claims else ())
        if values in now and asked.claims.intersection(row.claims).difference(now[values].claims)
    }
    return {
        "no longer": [row for values, row in was.items() if values not in now],
        "still": [row for values, row in now.items() if values in lost],
        "new": [row for values, row in now.items() if values not in was],
    }


def settings(
    question: Question, claims: Sequence[Claim], things: ThingsByKind
) -> Iterator[dict[str, str]]:
    """Yield what to ask a question about; nothing is given where all is asked about anyway."""
    needed = [p for p in question.parameters if not p.optional]
    choices = [[(p.name, value) for value in _values(p, claims, things)] for p in needed]
    for _, chosen in zip(range(_MOST), product(*choices), strict=False):
        yield {name: value for name, value in chosen if value}


def _values(parameter: Parameter, claims: Sequence[Claim], things: ThingsByKind) -> list[str]:
    if parameter.kinds == ("year",):
        return [str(year) for year in _years(claims)] or ([""] if parameter.default else [])
    if parameter.kinds[0] in ("number", "text"):
        return [""] if parameter.default else []
    return sorted({thing for kind in parameter.kinds for thing in _things(kind, claims, things)})


def _things(kind: str, claims: Sequence[Claim], things: ThingsByKind) -> Iterator[str]:
    """Yield the things of a kind that claims speak of, their sources among them."""
    known = things.of(kind)
    for claim in claims:
        terms: list[Any] = [t for s, _, o in claim.statements for t in (s, o)]
        for term in [*terms, claim.passage.source]:
            if isinstance(term, URIRef) and str(term).partition("#")[0] in known:
                yield str(term).partition("#")[0]


def _years(claims: Sequence[Claim]) -> list[int]:
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
