"""Bounds, arguments and contradictions in words."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Protocol

from rdflib import Graph, URIRef
from rdflib.namespace import PROV

from glost.findings import Side
from glost.names import DATED, GLOST
from glost.record.claims import Claim, Triple
from glost.record.dates import DateError, Margin
from glost.record.dates import read as read_date
from glost.words.english import count, joined
from glost.words.labels import Words, first, graph_of, label, words_of
from glost.words.sentences import POINTS, sentence, side
from glost.words.spans import length, no_earlier, no_later

_SHOWN = (GLOST.appearsOn, GLOST.issuedBy, GLOST.offeredOn)


class WordedRule(Protocol):
    """What words need of a rule of time."""

    @property
    def how(self) -> str:
        """What the program does for it."""

    @property
    def then(self) -> Sequence[tuple[str, str, str, str, bool]]:
        """Its limits; the last says whether a list may lag."""


class WordedGround(Protocol):
    """What words need of a statement that an argument rests on."""

    @property
    def triple(self) -> Triple:
        """The statement; of a whole claim, that it rests on its source."""

    @property
    def claims(self) -> Sequence[Claim]:
        """The claims that make it."""

    @property
    def told(self) -> Triple:
        """The statement by which it is told."""


class WordedStep(Protocol):
    """What words need of one step of an argument."""

    @property
    def rule(self) -> WordedRule:
        """The rule by which it holds."""

    @property
    def grounds(self) -> Sequence[WordedGround]:
        """What it rests on."""

    @property
    def day(self) -> int:
        """The day number that it gives."""


class WordedArgument(Protocol):
    """What words need of the reasons why a point cannot be later, or earlier, than a day."""

    @property
    def late(self) -> bool:
        """True if the point is not after the day; False if not before it."""

    @property
    def steps(self) -> Sequence[WordedStep]:
        """From a date to the point."""

    @property
    def point(self) -> URIRef:
        """The point it is about."""

    @property
    def day(self) -> int:
        """The day number it leads to."""


class WordedConflict(Protocol):
    """What words need of statements that cannot all hold."""

    @property
    def not_before(self) -> WordedArgument:
        """Why the point cannot be earlier than one day."""

    @property
    def not_after(self) -> WordedArgument:
        """Why it cannot be later than another."""

    @property
    def origin(self) -> URIRef | None:
        """The point from which days are count, if no date takes part."""

    @property
    def grounds(self) -> Sequence[WordedGround]:
        """All statements that take part."""

    @property
    def days(self) -> int:
        """Days by which the arguments miss each other."""


class Allowance(Protocol):
    """How far approximate dates are widened, and by how many days lists may lag."""

    @property
    def margin(self) -> Margin:
        """How far approximate dates are widened."""

    @property
    def lag(self) -> int:
        """Days by which lists may lag."""


def subject(point: URIRef, graph: Graph | Words) -> str:
    """Name a point as the subject of a sentence: ``Alder ended``, ``Catalogue No. 4 came out``."""
    whole, _, name = str(point).partition("#")
    return f"{label(URIRef(whole), graph)} {POINTS.get(name, 'came out')}"


def limit(argument: WordedArgument, graph: Graph | Words) -> str:
    """Say what an argument comes to: ``Alder ended no earlier than April 1938``."""
    late, day = argument.late, argument.day
    said = f"no later than {no_later(day)}" if late else f"no earlier than {no_earlier(day)}"
    return f"{subject(argument.point, graph)} {said}"


def short(argument: WordedArgument, times: Allowance, graph: Graph | Words) -> str:
    """Put an argument into one sentence, each ground with the row it was read from."""
    grounds = [text for step in argument.steps for text in _step(step, times, graph, argument.late)]
    once = list(dict.fromkeys(grounds))
    return f"{limit(argument, graph)}, because {joined(once)}."


def places(ground: WordedGround) -> str:
    """Name the rows that a ground was read from, a few at most."""
    origins = sorted({(c.origin.file, c.origin.row, str(c.origin)) for c in ground.claims})
    named = ", ".join(text.removeprefix("tables/") for _, _, text in origins[:2])
    return named if len(origins) <= 2 else f"{named} and {len(origins) - 2} more"


def _step(step: WordedStep, times: Allowance, graph: Graph | Words, late: bool) -> list[str]:
    """Say what one step rests on; a code that was read is told as one thing."""
    if step.rule.how == "readings":
        read = [ground for ground in step.grounds if ground.told[1] == GLOST.dateCodeRead]
        scheme = [ground for ground in step.grounds if ground not in read]
        day = f"{no_later(step.day)} or earlier" if late else f"{no_earlier(step.day)} or later"
        reads = f"by its numbering system {day}"
        told = [f"{says(ground, graph, times.margin)} ({places(ground)})" for ground in read]
        rows = ", ".join(dict.fromkeys(places(ground) for ground in scheme))
        return [", ".join([*told, f"{reads} ({rows})"])]
    ordered = (*step.grounds[-1:], *step.grounds[:-1])
    lag = _lag(step, times)
    return [f"{says(each, graph, times.margin)} ({places(each)}){lag}" for each in ordered]


def _lag(step: WordedStep, times: Allowance) -> str:
    """Say by how much a list may lag, where a step allows for it."""
    lags = step.rule.how in ("shown", "missing") or any(limit[-1] for limit in step.rule.then)
    return f" [a list can run {_a(length(times.lag))} behind]" if lags else ""


def _a(length_: str) -> str:
    """Say ``a year`` for ``1 year``."""
    return f"a {length_[2:]}" if length_.startswith("1 ") else length_


def says(ground: WordedGround, graph: Graph | Words, margin: Margin) -> str:
    """Say what a ground states.

    A date that was widened says by how much; a sequence is told with both its ends.
    """
    one, verb, value = ground.told
    if ground.triple[1] == PROV.hadPrimarySource and verb in _SHOWN:
        return f"{label(ground.triple[2], graph)} shows {label(one, graph)}"
    if verb in (GLOST.timeRelation, GLOST.yearsAtLeast, GLOST.yearsAtMost):
        return _sequence(one, verb, graph)
    if verb == GLOST.offeredIn or (verb == GLOST.ofShape and "/assortment/" in str(one)):
        shape, source = first(graph, one, GLOST.ofShape), first(graph, one, GLOST.offeredIn)
        if shape is not None and source is not None:
            return f"{label(source, graph)} offers {label(shape, graph)}"
    return sentence(ground.told, graph) + (_widened(value, margin) if verb in DATED else "")


def _sequence(sequence: object, verb: object, graph: Graph | Words) -> str:
    node = URIRef(str(sequence))
    ends = [first(graph, node, end) for end in (GLOST.subjectRun, GLOST.objectRun)]
    relation = first(graph, node, GLOST.timeRelation)
    names = [label(end, graph) if end is not None else "?" for end in ends]
    words = f"{names[0]} {label(relation, graph) if relation is not None else ''} {names[1]}"
    years = [
        f"at {most} {number} years"
        for most, property_ in (("least", GLOST.yearsAtLeast), ("most", GLOST.yearsAtMost))
        for number in sorted(map(str, graph_of(graph).objects(node, property_)))
        if verb in (GLOST.timeRelation, property_)
    ]
    return ", ".join([words, *years])


def _widened(value: object, margin: Margin) -> str:
    try:
        days = read_date(str(value), margin).margin
    except DateError:
        return ""
    if not days:
        return ""
    years, rest = divmod(days, 365)
    many = count(days, "day") if rest or not years else count(years, "year")
    return f" [approximate, widened by {_a(many)} either way]"


def sides(
    grounds: Iterable[WordedGround], graph: Graph | Words, margin: Margin
) -> tuple[Side, ...]:
    """Tell every claim behind some grounds, ground by ground, each by file and row."""
    found: dict[tuple[Triple, str], Side] = {}
    for ground in grounds:
        words = says(ground, graph, margin)
        for claim in sorted(ground.claims, key=lambda c: (c.origin.file, c.origin.row, c.iri)):
            told = replace(side(claim, graph, [ground.told]), says=words)
            found.setdefault((ground.told, str(claim.iri)), told)
    return tuple(found.values())


def conflict(found: WordedConflict, times: Allowance, graph: Graph | Words) -> str:
    """Word a contradiction as two arguments that meet."""
    one = short(found.not_after, times, graph)
    two = short(found.not_before, times, graph)
    if found.origin is not None:
        one, two = (_relative(each, graph) for each in (found.not_after, found.not_before))
        return (
            f"Counted from where {subject(found.origin, graph)}, {one} yet {two}: "
            + "; ".join(says(each, graph, times.margin) for each in found.grounds)
            + f". They are {length(found.days)} apart."
        )
    return f"{one} Yet {two} They are {length(found.days)} apart."


def _relative(argument: WordedArgument, graph: Graph | Words) -> str:
    name = words_of(graph).within(argument.point)
    much = f"{length(abs(argument.day))} {'earlier' if argument.day < 0 else 'later'}"
    return f"the {name} comes {'at most' if argument.late else 'at least'} {much}"
