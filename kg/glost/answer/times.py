"""The chronology of a record, and its bounds as statements that SPARQL can use."""

from collections.abc import Iterable, Iterator
from datetime import date
from hashlib import sha256

from rdflib import Graph, Literal, URIRef
from rdflib.namespace import RDF, XSD

from glost.findings import Finding, Severity
from glost.names import GLOST, bind
from glost.record.belief import Belief
from glost.record.claims import Triple
from glost.record.collection import Collection
from glost.record.dates import calendar_day, to_iso
from glost.record.errors import RecordError, RecordErrors, suggestion
from glost.record.files import SETTINGS
from glost.record.record import Record
from glost.trade.codes.pieces import PieceDate, piece_dates
from glost.trade.codes.schemes import schemes
from glost.trade.times import DEFAULT_LAG_YEARS, Choice, Chronology, Conflict, Lapse, Outside
from glost.trade.times.reckoning import chronology
from glost.verdicts import Verdict
from glost.words import times as wording

_SIDES = {
    GLOST.notBefore: False,
    GLOST.notBeforeYear: False,
    GLOST.notAfter: True,
    GLOST.notAfterYear: True,
}
"""Each property that bounds, and whether it bounds on the late side."""

_LAPSES = {GLOST.daysAtLeast: False, GLOST.daysAtMost: True}
"""Each property that limits a lapse, and whether it limits it above."""

_YEARS = range(1, 10_000)
"""Years that every reader of ``xsd:date`` understands."""


def chronology_of(record: Record, as_of: date | None = None) -> Chronology:
    """Reckon the chronology of what is believed, as the collection's settings have it.

    Parameters
    ----------
    record
        The record.
    as_of
        The last day taken into account, inclusive; None for all there is.

    Raises
    ------
    RecordErrors
        For rules and trusted sources that the settings name and that there are not.
    """
    errors = list(_unknown_sources(record))
    try:
        found = chronology_believed(record.believed(as_of), record.collection)
    except RecordErrors as bad:
        raise RecordErrors([*errors, *bad.errors]) from None
    if errors:
        raise RecordErrors(errors)
    return found


def chronology_believed(
    belief: Belief, settings: Collection, readings: Iterable[PieceDate] | None = None
) -> Chronology:
    """Reckon the chronology of what is believed, be it part of a record; see `chronology_of`.

    Parameters
    ----------
    belief
        What is believed.
    settings
        The collection's settings.
    readings
        The dates read from codes on its pieces, where they are known already.
    """
    lag = settings.catalogue_lag_years
    return chronology(
        belief,
        margin=settings.margin,
        trust=settings.trust,
        lag_years=DEFAULT_LAG_YEARS if lag is None else lag,
        readings=_readings(belief) if readings is None else readings,
        off=settings.without_rules,
        also=settings.also_rules,
    )


def _readings(belief: Belief) -> Iterable[PieceDate]:
    """Return the dates read from codes; where no scheme is described, without looking at all."""
    described = belief.among("code_schemes").things(GLOST.CodeScheme)
    return piece_dates(belief, schemes(belief)) if described else ()


def _unknown_sources(record: Record) -> list[RecordError]:
    known = {name for kind in ("source", "piece") for name in record.ids.get(kind, ())}
    return [
        RecordError(
            SETTINGS,
            f'[trust] names a source "{name}" that nothing describes',
            suggestion(name, known, "describe it in tables/sources.csv, or take the line out"),
            found=name,
        )
        for name in sorted(set(record.collection.trust) - known)
    ]


def reckoned(times: Chronology) -> Graph:
    """Return the bounds of every point as statements; they hold under every reading of the claims.

    Returns
    -------
    Graph
        ``glost:notBefore`` and ``glost:notAfter`` (``xsd:date``, for years 1 to 9999) and
        ``glost:notBeforeYear`` and ``glost:notAfterYear`` (``xsd:integer``) of each beginning,
        end, making, decorating and dated source, as far as it is bounded however contradictions are
        settled; and ``glost:inDispute`` where sources contradict one another on it. Proleptic
        Gregorian calendar, inclusive. And each ``glost:Lapse`` between shapes of one pottery of
        which the order of events says more than those days do, and each ``glost:OutsideRun``.
    """
    graph = bind(Graph("SimpleMemory"))
    for triple in (
        *(triple for point in times.points() for triple in bounded(times, point)),
        *(triple for lapse in times.lapses() for triple in lapsed(lapse)),
        *(triple for each in times.outside() for triple in outlying(each)),
    ):
        graph.add(triple)
    return graph


def bounded(times: Chronology, point: URIRef) -> Iterator[Triple]:
    """Yield the bounds of a point as statements; see `reckoned`."""
    found = times.reading_bounds(point)
    for side, day in (("notBefore", found.earliest), ("notAfter", found.latest)):
        if day is None:
            continue
        year = calendar_day(day)[0]
        yield point, GLOST[f"{side}Year"], Literal(year, datatype=XSD.integer)
        if year in _YEARS:
            written = Literal(to_iso(day), datatype=XSD.date, normalize=False)
            yield point, GLOST[side], written
    if found.disputed:
        yield point, GLOST.inDispute, Literal(True)


def lapsed(lapse: Lapse) -> Iterator[Triple]:
    """Yield a lapse as statements; see `reckoned`."""
    whole, _, name = lapse.second.partition("#")
    node = URIRef(f"{lapse.first}-to-{name}-of-{whole.rsplit('/', 1)[1]}")
    yield node, RDF.type, GLOST.Lapse
    yield node, GLOST.lapseFrom, lapse.first
    yield node, GLOST.lapseTo, lapse.second
    for verb, days in zip(_LAPSES, (lapse.at_least, lapse.at_most), strict=True):
        if days is not None:
            yield node, verb, Literal(days, datatype=XSD.integer)


def outlying(each: Outside) -> Iterator[Triple]:
    """Yield as statements what shows a shape outside its run; see `reckoned`."""
    kind, name = each.witness.rsplit("/", 2)[1:]
    node = URIRef(f"{each.shape}#{each.point}-outside-{kind}-{name}")
    yield node, RDF.type, GLOST.OutsideRun
    yield node, GLOST.outsideAt, URIRef(f"{each.shape}#{each.point}")
    yield node, GLOST.witness, each.witness
    yield node, GLOST.verdict, Literal(each.verdict.value)
    years = (GLOST.witnessFrom, GLOST.witnessBy, GLOST.limitYear)
    for verb, day in zip(years, (*each.bounds[:2], each.limit), strict=True):
        if day is not None:
            yield node, verb, _year(day)
    if each.bounds.disputed or each.verdict is Verdict.POSSIBLY:
        yield node, GLOST.inDispute, Literal(True)


def _year(day: int) -> Literal:
    return Literal(calendar_day(day)[0], datatype=XSD.integer)


def bounds(triple: Triple) -> bool:
    """Say whether a statement is one that `reckoned` makes, and `leaves` has reasons for."""
    return triple[1] in {*_SIDES, *_LAPSES, GLOST.inDispute, GLOST.outsideAt}


def leaves(times: Chronology, triple: Triple) -> tuple[Triple, ...]:
    """Return the statements that a bound rests on; none if the triple is not a bound.

    That a point is in dispute rests on every statement of the contradictions it depends on.
    """
    point, verb, _ = triple
    point = URIRef(str(point))
    if "-outside-" in point:
        shape, _, said = point.partition("#")
        end, _, shown = said.partition("-outside-")
        witness = URIRef(f"{shape.rsplit('/', 2)[0]}/{shown.replace('-', '/', 1)}")
        return times.outside_facts(witness, URIRef(shape), end)
    if verb == GLOST.inDispute:
        both = [fact for late in (False, True) for fact in times.reading_facts(point, late=late)]
        return times.disputing(point) or tuple(dict.fromkeys(both))
    most = _LAPSES.get(URIRef(str(verb)))
    if most is not None:
        whole, _, name = point.partition("#")
        first, _, last = name.partition("-to-")
        end, _, other = last.partition("-of-")
        second = URIRef(f"{whole.rsplit('/', 1)[0]}/{other}#{end}")
        return times.lapse_facts(URIRef(f"{whole}#{first}"), second, most=most)
    late = _SIDES.get(URIRef(str(verb)))
    return () if late is None else times.reading_facts(point, late=late)


def conflict_findings(times: Chronology, graph: Graph) -> Iterator[Finding]:
    """Tell every contradiction of dates that no other check tells; see `told_elsewhere`.

    Parameters
    ----------
    times
        The chronology.
    graph
        What is believed, with the vocabulary, for wording.
    """
    for found, choice in settling(times):
        yield from conflict_finding(found, choice, times, graph)


def settling(times: Chronology) -> Iterator[tuple[Conflict, Choice]]:
    """Yield every contradiction of dates with the choice that settles it."""
    choices = {id(found): choice for choice in times.repair for found in choice.conflicts}
    for found in times.conflicts:
        yield found, choices[id(found)]


def code_of_conflict(found: Conflict) -> str:
    """Return a text that tells a contradiction of dates from every other."""
    steps = [
        (str(step.reached), step.rule.name, step.day, [g.triple for g in step.grounds])
        for argument in (found.not_before, found.not_after)
        for step in argument.steps
    ]
    text = repr((str(found.point), str(found.origin), found.days, steps))
    return sha256(text.encode()).hexdigest()[:24]


def conflict_finding(
    found: Conflict, choice: Choice, times: Chronology, graph: Graph
) -> Iterator[Finding]:
    """Tell a contradiction of dates with the choice that settles it; see `conflict_findings`."""
    if told_elsewhere(found):
        return
    yield Finding(
        kind="dates-clash",
        severity=Severity.CONTRADICTION,
        about=tuple(dict.fromkeys(str(point).partition("#")[0] for point in found.points)),
        message=wording.conflict(found, times, graph),
        sides=wording.sides(found.grounds, graph, times.margin),
        remedy=_remedy(choice, times, graph),
    )


_DESCENT = frozenset({"copy-after-model", "follows-original"})


def told_elsewhere(found: Conflict) -> bool:
    """Say whether a conflict is of two dates, with nothing or only descent between them.

    `glost.answer.values.differing` tells two dates of one point that share no day, and
    `glost.trade.lineage.older_findings` what is dated before its model.
    """
    steps = (*found.not_before.steps, *found.not_after.steps)
    others = [step for step in steps if step.rule.how != "dates"]
    return len(steps) - len(others) == 2 and all(step.rule.name in _DESCENT for step in others)


def _remedy(choice: Choice, times: Chronology, graph: Graph) -> str:
    told = " and ".join(
        f'"{wording.says(ground, graph, times.margin)}"' for ground in choice.options[0]
    )
    return (
        f"Of all that would let the rest agree, it costs least to set aside {told}; glost "
        "conflicts shows what else would do, and what would follow. Withdraw it with glost "
        "correct if the passages bear that out."
    )
