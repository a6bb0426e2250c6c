"""When a thing was made or ran: one line for each date, with one proof and what sources say."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from rdflib import URIRef

from glost.names import GLOST
from glost.record.claims import Triple
from glost.record.dates import DateError
from glost.record.dates import read as read_date
from glost.report.things.basis import ThingBasis
from glost.report.things.said import Said, capital, literal
from glost.report.tree import (
    Ground,
    Group,
    Proof,
    Rule,
    Section,
    Statement,
)
from glost.words.english import joined
from glost.words.labels import label
from glost.words.spans import Span, between, moment, no_earlier, no_later
from glost.words.times import says

if TYPE_CHECKING:
    from glost.trade.times import Argument, ArgumentStep, Bounds

NAMES = {
    "begin": "Began",
    "end": "Ended",
    "made": "Made",
    "decorated": "Decorated",
    "": "Dated",
}
"""What is said of each point of a thing's life; of a source its own date."""

_ALWAYS = Rule("This holds whatever is claimed")
_CAREFUL = Rule("This holds however the contradictions are settled")


@dataclass(frozen=True, slots=True)
class DatedPoint:
    """A point of a thing's life.

    Attributes
    ----------
    point, name
        The point, and ``made`` and the like; empty for a source.
    bounds
        Between which days it lies; of what is disputed, with that settled at the least cost.
    any_case
        Between which days it lies however that is settled.
    arguments
        Why not earlier, and why not later.
    stated
        The dates that claims give it.
    """

    point: URIRef
    name: str
    bounds: "Bounds"
    any_case: "Bounds"
    arguments: "tuple[Argument, ...]"
    stated: tuple[Triple, ...]

    @property
    def span(self) -> Span:
        """The days between which it lies."""
        return self.bounds.earliest, self.bounds.latest

    @property
    def disputed(self) -> bool:
        """Whether sources contradict one another on it."""
        return self.bounds.disputed or self.any_case.disputed

    def fits(self, value: str) -> bool:
        """Say whether a date as written shares a day with the bounds."""
        try:
            date = read_date(value)
        except DateError:
            return True
        first, last = self.span
        early = date.latest is None or first is None or date.latest >= first
        return early and (date.earliest is None or last is None or date.earliest <= last)


@lru_cache(maxsize=4)
def dated(basis: ThingBasis, thing: URIRef) -> tuple[DatedPoint, ...]:
    """Return the points of a thing's life that anything on record bounds."""
    found = []
    for name in NAMES:
        point = URIRef(f"{thing}#{name}") if name else thing
        bounds = basis.times.bounds(point)
        graph = basis.belief.graph
        stated = tuple(sorted(graph.triples((point, GLOST.date, None)), key=str))
        if bounds[:2] == (None, None) and not stated:
            continue
        arguments = (basis.times.why_not_before(point), basis.times.why_not_after(point))
        found.append(
            DatedPoint(
                point,
                name,
                bounds,
                basis.times.reading_bounds(point),
                tuple(each for each in arguments if each is not None),
                stated,
            )
        )
    return tuple(found)


def dates(basis: ThingBasis, said: Said, thing: URIRef) -> Section:
    """Tell each date of a thing in one line, with its proof and what sources say."""
    return Section("dates", "Dates", tuple(_groups(basis, said, thing)))


def _groups(basis: ThingBasis, said: Said, thing: URIRef) -> Iterator[Group]:
    told = tuple(_date(basis, said, each) for each in dated(basis, thing))
    if told:
        yield Group(told)


def _date(basis: ThingBasis, said: Said, each: DatedPoint) -> Statement:
    stated = tuple(_stated(said, each, triple) for triple in each.stated)
    name, status = (NAMES[each.name],), "disputed" if each.bounds.disputed else ""
    if not each.arguments:
        words = " or ".join(literal(value) for _, _, value in each.stated)
        grounds = tuple(g for triple in each.stated for g in said.stated(triple))
        return Statement((capital(words),), grounds, status, name)
    sentence = capital(moment(each.span) or between(each.span))
    rules: tuple[Ground, ...] = ()
    if each.any_case.disputed and each.any_case[:2] != each.span:
        sentence += f"; in any case {between(each.any_case[:2])}"
        rules = (_CAREFUL,)
    told = {literal(value) for _, _, value in each.stated}
    parts = stated if told and told != {moment(each.span)} else ()
    grounds = (*under(said, each), *rules, proof(basis, said, each))
    return Statement((sentence,), grounds, status, name, parts)


def _stated(said: Said, each: DatedPoint, triple: Triple) -> Statement:
    """Tell a date that sources give, and which."""
    status = "" if each.fits(str(triple[2])) else "disputed"
    sources = dict.fromkeys(passage.source.text for passage in said.resting(triple))
    text = f"{capital(joined(sources))}: " if sources else ""
    return Statement((text, said.value(triple[2])), said.stated(triple), status)


def under(said: Said, each: DatedPoint) -> tuple[Ground, ...]:
    """Return the passages under a date."""
    claims = [claim for argument in each.arguments for claim in argument.claims]
    return said.grounds(claims)


def proof(basis: ThingBasis, said: Said, each: DatedPoint) -> Proof:
    """Return the argument for a date, from both sides; one claim that gives both stands alone."""
    steps = [argument.steps for argument in each.arguments]
    if len(steps) == 2 and all(len(some) == 1 for some in steps):
        one, other = steps[0][0], steps[1][0]
        if one.grounds == other.grounds and one.grounds:
            words = "; ".join(says(g, basis.words, basis.times.margin) for g in one.grounds)
            claims = [claim for ground in one.grounds for claim in ground.claims]
            rule = Rule(one.rule.why.rstrip("."))
            return Proof((Statement((f"{capital(words)}.",), (*said.grounds(claims), rule)),))
    return Proof(tuple(_side(basis, said, argument) for argument in each.arguments))


def _side(basis: ThingBasis, said: Said, argument: "Argument") -> Statement:
    steps = tuple(step(basis, said, each, argument.late) for each in argument.steps)
    grounds = said.grounds(argument.claims) or (_ALWAYS,)
    return Statement((capital(limit(argument.late, argument.day)),), grounds, parts=steps)


def step(basis: ThingBasis, said: Said, one: "ArgumentStep", late: bool) -> Statement:
    """Tell one step of an argument: what is said, and what follows from it by which rule."""
    words, margin = basis.words, basis.times.margin
    told = "; ".join(says(ground, words, margin) for ground in one.grounds)
    claims = [claim for ground in one.grounds for claim in ground.claims]
    reached = f"{label(one.reached, words)} is {limit(late, one.day)}"
    text = f"{capital(told)}; so the {reached}." if told else f"So the {reached}."
    return Statement((text,), (*said.grounds(claims), Rule(one.rule.why.rstrip("."))))


def limit(late: bool, day: int) -> str:
    """Say a limit: ``no earlier than April 1933``, ``no later than 1942``."""
    return f"no later than {no_later(day)}" if late else f"no earlier than {no_earlier(day)}"


def ordered(some: Iterable[DatedPoint]) -> dict[str, DatedPoint]:
    """Return dates by the name of their point."""
    return {each.name: each for each in some}
