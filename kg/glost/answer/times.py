"""The chronology of a record, and its bounds as statements that SPARQL can use."""

from collections.abc import Iterator
from datetime import date

from rdflib import Graph, Literal, URIRef
from rdflib.namespace import XSD

from glost.findings import Finding, Severity
from glost.names import GLOST, bind
from glost.record.claims import Triple
from glost.record.dates import calendar_day, to_iso
from glost.record.errors import RecordError, RecordErrors, suggestion
from glost.record.files import SETTINGS
from glost.record.record import Record
from glost.trade.codes import piece_dates, schemes
from glost.trade.times import DEFAULT_LAG_YEARS, Choice, Chronology, Conflict, chronology, wording

_SIDES = {
    GLOST.notBefore: False,
    GLOST.notBeforeYear: False,
    GLOST.notAfter: True,
    GLOST.notAfterYear: True,
}
"""Each property that bounds, and whether it bounds on the late side."""

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
    settings, belief = record.collection, record.believed(as_of)
    lag = settings.catalogue_lag_years
    errors = list(_unknown_sources(record))
    try:
        found = chronology(
            belief,
            margin=settings.margin,
            trust=settings.trust,
            lag_years=DEFAULT_LAG_YEARS if lag is None else lag,
            readings=piece_dates(belief, schemes(belief)),
            off=settings.without_rules,
            also=settings.also_rules,
        )
    except RecordErrors as bad:
        raise RecordErrors([*errors, *bad.errors]) from None
    if errors:
        raise RecordErrors(errors)
    return found


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
    """Return the bounds of every point as statements.

    Returns
    -------
    Graph
        ``glost:notBefore`` and ``glost:notAfter`` (``xsd:date``, for years 1 to 9999) and
        ``glost:notBeforeYear`` and ``glost:notAfterYear`` (``xsd:integer``) of each beginning,
        end, making, decorating and dated source, as far as it is bounded; and ``glost:inDispute``
        where the bounds depend on how a contradiction is settled. Proleptic Gregorian calendar,
        inclusive.
    """
    graph = bind(Graph("SimpleMemory"))
    for point in times.points():
        found = times.bounds(point)
        for side, day in (("notBefore", found.earliest), ("notAfter", found.latest)):
            if day is None:
                continue
            year = calendar_day(day)[0]
            graph.add((point, GLOST[f"{side}Year"], Literal(year, datatype=XSD.integer)))
            if year in _YEARS:
                written = Literal(to_iso(day), datatype=XSD.date, normalize=False)
                graph.add((point, GLOST[side], written))
        if found.disputed:
            graph.add((point, GLOST.inDispute, Literal(True)))
    return graph


def bounds(triple: Triple) -> bool:
    """Say whether a statement is one that `reckoned` makes."""
    return triple[1] in _SIDES or triple[1] == GLOST.inDispute


def leaves(times: Chronology, triple: Triple) -> tuple[Triple, ...]:
    """Return the statements that a bound rests on; none if the triple is not a bound.

    That a point is in dispute rests on every statement of every conflict it takes part in.
    """
    point, verb, _ = triple
    point = URIRef(str(point))
    if verb == GLOST.inDispute:
        conflicts = times.conflicts_at.get(point, ())
        found = [ground.told for conflict in conflicts for ground in conflict.grounds]
        both = [fact for late in (False, True) for fact in times.facts(point, late=late)]
        return tuple(dict.fromkeys(found or both))
    late = _SIDES.get(URIRef(str(verb)))
    return () if late is None else times.facts(point, late=late)


def conflict_findings(times: Chronology, graph: Graph) -> Iterator[Finding]:
    """Tell every contradiction of dates that no other check tells; see `told_elsewhere`.

    Parameters
    ----------
    times
        The chronology.
    graph
        What is believed, with the vocabulary, for wording.
    """
    for found in times.conflicts:
        if told_elsewhere(found):
            continue
        (choice,) = (each for each in times.repair if found in each.conflicts)
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
    `glost.trade.lineage.lineage_findings` what is dated before its model.
    """
    steps = (*found.not_before.steps, *found.not_after.steps)
    others = [step for step in steps if step.rule.how != "dates"]
    return len(steps) - len(others) == 2 and all(step.rule.name in _DESCENT for step in others)


def _remedy(choice: Choice, times: Chronology, graph: Graph) -> str:
    told = " and ".join(
        f'"{wording.says(ground, graph, times.margin)}"' for ground in choice.options[0]
    )
    return (
        f"Of all that would let the rest agree, it costs least to set aside {told}; glost settle "
        "shows what else would do, and what would follow. Withdraw it with glost correct if the "
        "passages bear that out."
    )
