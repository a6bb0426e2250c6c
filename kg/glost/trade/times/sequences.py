"""Relative statements: how the beginning, end or run of one thing stands to that of another."""

from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from rdflib import URIRef

from glost.reason.chronology.allen import on_runs, relations
from glost.record.dates import Margin
from glost.trade.times.gathering import DATE, Gathering
from glost.trade.times.statements import Ints

_OF_POINTS = {
    (False, False): ("before", "after", "equals"),
    (False, True): ("before", "after", "during", "starts", "finishes"),
    (True, False): ("before", "after", "contains", "started by", "finished by"),
}
"""In which relations points can stand, by whether subject and object are runs."""

TOGETHER = "ran together"
"""The relation, beside the thirteen, that leaves open which of two runs began or ended first."""

_TOGETHER = ((3, 0, 0), (1, 2, 0))
"""Neither begins after the other has ended: `(source, target, days)` between the four ends."""

_ENDS = {"run": ("begin", "end")}
_GAP = {"before": (1, 2), "after": (3, 0)}
"""Between which ends years are counted: 0 and 1 those of the subject, 2 and 3 of the object."""


@dataclass(frozen=True, slots=True)
class Sequence:
    """One relative statement.

    Attributes
    ----------
    subject, other
        Points: IRIs that end in ``#begin``, ``#end`` or ``#run``.
    relation
        One of the thirteen names, or `TOGETHER`.
    ground
        The ground of the statement itself.
    at_least, at_most
        Years apart with the ground of that statement, each as often as claims differ.
    """

    subject: URIRef
    other: URIRef
    relation: str
    ground: int
    at_least: tuple[tuple[Fraction, int], ...]
    at_most: tuple[tuple[Fraction, int], ...]


def sequences(gathering: Gathering, margin: Margin) -> None:
    """Put everything in order that a sequence speaks of.

    Years are whole calendar years of any length: at least so many are the fewest days they can
    have, at most so many the most. The same number as least and most means about so many, and is
    widened by the margin of an approximate year.

    Relations that points cannot stand in (a beginning cannot overlap a run) say nothing.
    """
    for each in read(gathering):
        ends = [*_points(each.subject), *_points(each.other)]
        limits = _limits(each.relation, each.subject, each.other)
        if not limits:
            continue
        events = [_event(gathering, point) for point in ends]
        reason = gathering.reasons("sequence", np.array([each.ground]))
        for source, target, days in limits:
            if events[source] != events[target]:
                gathering.limit(events[target], events[source], days, reason)
        _years(gathering, each, events, margin)


def read(gathering: Gathering) -> list[Sequence]:
    """Read every sequence with one subject, one object and one relation."""
    statements = gathering.statements
    parts: dict[str, dict[int, list[tuple[int, int]]]] = {}
    for name in ("subjectRun", "objectRun", "timeRelation", "yearsAtLeast", "yearsAtMost"):
        for subject, value, ground in statements.where(name).sort("ground").iter_rows():
            parts.setdefault(name, {}).setdefault(subject, []).append((value, ground))
    found = []
    for key, ((relation, ground), *more) in sorted(parts.get("timeRelation", {}).items()):
        one, two = (parts.get(name, {}).get(key, []) for name in ("subjectRun", "objectRun"))
        if more or len(one) != 1 or len(two) != 1:
            continue
        name = statements.terms.text(relation).rsplit("/", 1)[-1].replace("-", " ")
        years = [
            tuple((Fraction(statements.terms.text(v)), g) for v, g in parts.get(n, {}).get(key, []))
            for n in ("yearsAtLeast", "yearsAtMost")
        ]
        ends = [statements.iri(point[0][0]) for point in (one, two)]
        if name == TOGETHER or name in relations():
            found.append(Sequence(ends[0], ends[1], name, ground, years[0], years[1]))
    return found


def _points(point: URIRef) -> tuple[URIRef, URIRef]:
    whole, _, name = str(point).partition("#")
    begin, end = _ENDS.get(name, (name, name))
    return URIRef(f"{whole}#{begin}"), URIRef(f"{whole}#{end}")


def _event(gathering: Gathering, point: URIRef) -> int:
    whole, _, name = str(point).partition("#")
    if whole.rsplit("/", 2)[-2:-1] == ["source"]:
        name = DATE  # a source comes out on one day, which is its beginning and end
    return gathering.events.one(gathering.statements.terms.add(URIRef(whole)), name)


def _limits(relation: str, subject: URIRef, other: URIRef) -> list[tuple[int, int, int]]:
    """Return `(source, target, days)` with target - source <= days between the four ends.

    Two runs meet if one begins on the day after the other's last. A point is its own beginning
    and end: before means an earlier day, equals the same one, starts the day of the run's
    beginning. A relation in which points cannot stand gives nothing.
    """
    if _is_run(subject) and _is_run(other):
        return list(_TOGETHER if relation == TOGETHER else on_runs(relation))
    if relation not in _OF_POINTS[_is_run(subject), _is_run(other)]:
        return []
    limits = relations()[relation].limits
    return [(s, t, days) for s, t, days in limits if abs(s - t) == 2]  # begin to begin, end to end


def _is_run(point: URIRef) -> bool:
    return str(point).endswith("#run")


def _years(gathering: Gathering, each: Sequence, events: list[int], margin: Margin) -> None:
    if each.relation not in _GAP:
        return
    earlier, later = (events[end] for end in _GAP[each.relation])
    about = {years for years, _ in each.at_least} & {years for years, _ in each.at_most}
    for years, ground in each.at_least:
        reason = _reason(gathering, each.ground, ground)
        days = fewest_days(years) - (margin.year if years in about else 0)
        gathering.limit(earlier, later, -days, reason)
    for years, ground in each.at_most:
        reason = _reason(gathering, each.ground, ground)
        days = most_days(years) + (margin.year if years in about else 0)
        gathering.limit(later, earlier, days, reason)


def _reason(gathering: Gathering, order: int, years: int) -> Ints:
    """Make the reason of years apart: the years may be set aside and the order left."""
    return gathering.reasons("sequence", np.array([order]), np.array([years]), apart=True)


def fewest_days(years: Fraction) -> int:
    """Return the fewest days so many years can have in the Gregorian calendar."""
    whole, rest = divmod(years, 1)
    leaps = max(0, whole // 4 - -(-whole // 100))
    return int(365 * whole + leaps + int(365 * rest))


def most_days(years: Fraction) -> int:
    """Return the most days so many years can have in the Gregorian calendar."""
    whole, rest = divmod(years, 1)
    return int(365 * whole + -(-whole // 4) - int(-366 * rest // 1))
