"""When things happened and what clashes, told with every claim: what commands and pages show."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from rdflib import Graph, URIRef
from rdflib.namespace import RDF

from glost.findings import Side
from glost.names import GLOST
from glost.record.dates import to_iso
from glost.record.errors import RecordError, RecordErrors
from glost.trade.times import Argument, Bounded, Bounds, Choice, Ground, Timed
from glost.verdicts import Verdict
from glost.words import times as wording
from glost.words.labels import Words, graph_of, label
from glost.words.spans import between, no_earlier, no_later

if TYPE_CHECKING:
    from glost.trade.times import Chronology


@dataclass(frozen=True, slots=True)
class LimitInWords:
    """One side of a point's bounds.

    Attributes
    ----------
    day
        The day, ``YYYY-MM-DD``.
    because
        The argument in a sentence.
    rules
        Why each of its steps holds, in order, each once.
    sides
        What every claim behind it says.
    """

    day: str
    because: str
    rules: tuple[str, ...]
    sides: tuple[Side, ...]


@dataclass(frozen=True, slots=True)
class PointInWords:
    """When a point of a thing falls.

    Attributes
    ----------
    iri, name
        The point, and its name as the subject of a sentence.
    words
        Between which days it lies, in words; if it is disputed, with what clashes settled at the
        least cost.
    disputed
        Whether sources contradict one another on it.
    in_any_case
        If it is disputed, between which days it lies however that is settled; else empty.
    not_before, not_after
        Its limits, None where there is none.
    """

    iri: str
    name: str
    words: str
    disputed: bool
    in_any_case: str
    not_before: LimitInWords | None
    not_after: LimitInWords | None


@dataclass(frozen=True, slots=True)
class When:
    """When something happened.

    Attributes
    ----------
    thing, name
        Its IRI, and what it is called.
    points
        Its beginning and end, its making and decorating, or the coming out of a source.
    year, production
        A year, and whether it was in production then, however what clashes is settled; None if
        not asked.
    other, relations
        Another thing, and how its run may lie to the first, as names and in words.
    redesigns
        Of a shape, when the newer form of each article that was redesigned was first made, and
        the older form last.
    """

    thing: str
    name: str
    points: tuple[PointInWords, ...]
    year: int | None = None
    production: Verdict | None = None
    other: str = ""
    relations: tuple[tuple[str, str], ...] = ()
    redesigns: tuple[PointInWords, ...] = ()


@dataclass(frozen=True, slots=True)
class ClashInWords:
    """A contradiction: two arguments that meet, and what every claim in it says."""

    words: str
    sides: tuple[Side, ...]


@dataclass(frozen=True, slots=True)
class Option:
    """What could be set aside: what it says, and which claims would have to be withdrawn."""

    says: tuple[str, ...]
    claims: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Settling:
    """Contradictions that hang together, and how they could be settled at least cost."""

    clashes: tuple[ClashInWords, ...]
    options: tuple[Option, ...]
    complete: bool
    cost: float


@dataclass(frozen=True, slots=True)
class Consequence:
    """What a point's bounds are as recorded, and what they would be."""

    point: str
    name: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class Settlement:
    """Everything that clashes, and what would follow from the first option of each choice."""

    settlings: tuple[Settling, ...]
    consequences: tuple[Consequence, ...]


def points_of(thing: URIRef, graph: Graph | Words) -> tuple[URIRef, ...]:
    """Return the points at which a thing is dated."""
    kinds = set(graph_of(graph).objects(thing, RDF.type))
    if GLOST.Source in kinds:
        return (thing,)
    names = ("made", "decorated") if GLOST.Piece in kinds else ("begin", "end")
    return tuple(URIRef(f"{thing}#{name}") for name in names)


def when(
    times: Timed,
    graph: Graph | Words,
    thing: URIRef,
    year: int | None = None,
    other: URIRef | None = None,
) -> When:
    """Tell when something happened, with the argument for each limit.

    Parameters
    ----------
    times
        The chronology.
    graph
        What is believed, with the vocabulary.
    thing
        The thing.
    year
        A year, to be told whether the thing was in production then.
    other
        Another thing, to be told how its run may lie to that of the first.

    Raises
    ------
    RecordErrors
        If a year or another thing is given for something without a run.
    """
    errors = [
        RecordError(str(each), f"{label(each, graph)} has no beginning and end", remedy)
        for each, asked, remedy in (
            (thing, year is not None or other, "leave out --year and --with"),
            (other, True, "name a shape, treatment, mark, kiln or the like after --with"),
        )
        if each is not None and asked and len(_run(each, graph)) < 2
    ]
    if errors:
        raise RecordErrors(errors)
    found = () if other is None else times.relations(thing, other)
    return When(
        thing=str(thing),
        name=label(thing, graph),
        points=tuple(_point(times, graph, point) for point in points_of(thing, graph)),
        year=year,
        production=None if year is None else times.in_production(thing, year),
        other="" if other is None else label(other, graph),
        relations=tuple((name, _relation(name)) for name in found),
        redesigns=tuple(
            _point(times, graph, point)
            for redesign in sorted(graph_of(graph).subjects(GLOST.redesignOf, thing), key=str)
            if isinstance(redesign, URIRef)
            for point in points_of(redesign, graph)
        ),
    )


def _relation(name: str) -> str:
    """Say how a run lies to another; the table of relations is read by what is seldom asked."""
    from glost.reason.chronology.allen import relations

    return relations()[name].words


def _run(thing: URIRef, graph: Graph | Words) -> tuple[URIRef, ...]:
    return tuple(point for point in points_of(thing, graph) if point.endswith(("#begin", "#end")))


def _point(times: Timed, graph: Graph | Words, point: URIRef) -> PointInWords:
    bounds, any_case = times.bounds(point), times.reading_bounds(point)
    return PointInWords(
        iri=str(point),
        name=wording.subject(point, graph),
        words=between(bounds[:2]),
        disputed=any_case.disputed,
        in_any_case=between(any_case[:2]) if any_case.disputed else "",
        not_before=_limit(times, graph, times.why_not_before(point)),
        not_after=_limit(times, graph, times.why_not_after(point)),
    )


def _limit(times: Bounded, graph: Graph | Words, argument: Argument | None) -> LimitInWords | None:
    if argument is None:
        return None
    return LimitInWords(
        day=to_iso(argument.day),
        because=wording.short(argument, times, graph),
        rules=tuple(dict.fromkeys(step.rule.why for step in argument.steps)),
        sides=wording.sides(argument.grounds, graph, times.margin),
    )


def settlement(times: "Chronology", graph: Graph | Words) -> Settlement:
    """Tell everything that clashes, what would settle it, and what would follow."""
    return Settlement(
        tuple(_settling(times, graph, choice) for choice in times.repair),
        tuple(
            Consequence(
                str(change.point),
                wording.subject(change.point, graph),
                _recorded(change.before),
                between(change.after[:2]),
            )
            for change in times.changes()
        ),
    )


def _recorded(bounds: Bounds) -> str:
    early, late = bounds.earliest, bounds.latest
    if early is not None and late is not None and early > late:
        one, two = no_earlier(early), no_later(late)
        return f"no earlier than {one} and no later than {two}, which cannot be"
    return between(bounds[:2])


def _settling(times: "Chronology", graph: Graph | Words, choice: Choice) -> Settling:
    return Settling(
        clashes=tuple(
            ClashInWords(
                wording.conflict(each, times, graph),
                wording.sides(each.grounds, graph, times.margin),
            )
            for each in choice.conflicts
        ),
        options=tuple(_option(times, graph, grounds) for grounds in choice.options),
        complete=choice.complete,
        cost=choice.cost,
    )


def _option(times: "Chronology", graph: Graph | Words, grounds: Iterable[Ground]) -> Option:
    grounds = tuple(grounds)
    says = [
        f"{wording.says(ground, graph, times.margin)} ({wording.places(ground)})"
        for ground in grounds
    ]
    claims = {str(claim.iri) for ground in grounds for claim in ground.claims}
    return Option(tuple(says), tuple(sorted(claims)))
