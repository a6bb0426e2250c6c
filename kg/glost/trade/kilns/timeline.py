"""When the kilns of a plant were in use, as far as is known."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

from rdflib import URIRef

from glost.names import GLOST
from glost.record.belief import Belief
from glost.record.claims import Claim, in_order
from glost.record.dates import DateError, Margin, calendar_day, day_number
from glost.record.dates import read as read_date

Days: TypeAlias = tuple[int | None, int | None]
"""The earliest and latest day something may have happened, as day numbers; None if not known."""
Bounds: TypeAlias = Callable[[URIRef], Days]
"""Gives the days between which a point (``…#begin``, ``…#end``) lies."""


def claimed_bounds(belief: Belief, margin: Margin) -> Bounds:
    """Return the bounds that claims of dates give by themselves.

    Where several dates are claimed of one point, the earliest and the latest that any of them
    allows; a date open or unknown at one end leaves that end open.

    Parameters
    ----------
    belief
        What is believed.
    margin
        How far a date marked approximate is widened at either end.
    """

    def bounds(point: URIRef) -> Days:
        dates = []
        for value in belief.graph.objects(point, GLOST.date):
            try:
                dates.append(read_date(str(value), margin))
            except DateError:
                continue
        starts = [date.earliest for date in dates]
        ends = [date.latest for date in dates]
        return (
            None if None in starts else min((s for s in starts if s is not None), default=None),
            None if None in ends else max((e for e in ends if e is not None), default=None),
        )

    return bounds


@dataclass(frozen=True, slots=True)
class Stay:
    """A kiln's time in a plant.

    Attributes
    ----------
    kiln
        The kiln.
    kinds, firings
        Concepts of how it worked and what was fired in it, sorted.
    begin, end
        The days between which it began, and between which it ended.
    end_assumed
        Whether no source bounds its end, so that it is taken not to have outlasted its plant.
    claims
        The claims these rest on.
    """

    kiln: URIRef
    kinds: tuple[URIRef, ...]
    firings: tuple[URIRef, ...]
    begin: Days
    end: Days
    end_assumed: bool
    claims: tuple[Claim, ...]

    def certainly(self, year: int) -> bool:
        """Say whether it certainly was in use on some day of a year."""
        first, last = year_days(year)
        begun = self.begin[1]
        ended = self.begin[0] if self.end[0] is None else self.end[0]
        return begun is not None and ended is not None and begun <= last and ended >= first

    def possibly(self, year: int) -> bool:
        """Say whether it may have been in use on some day of a year."""
        first, last = year_days(year)
        begun, ended = self.begin[0], self.end[1]
        return (begun is None or begun <= last) and (ended is None or ended >= first)


def stays(belief: Belief, plant: URIRef, bounds: Bounds) -> tuple[Stay, ...]:
    """Return the time of each kiln in a plant, the earliest first.

    Parameters
    ----------
    belief
        What is believed.
    plant
        The plant.
    bounds
        Gives the days between which the begin and the end of a kiln or plant lie.
    """
    graph = belief.graph
    kilns = {kiln for kiln in graph.subjects(GLOST.inPlant, plant) if isinstance(kiln, URIRef)}
    opened, closed = bounds(URIRef(f"{plant}#begin")), bounds(URIRef(f"{plant}#end"))
    found = []
    for kiln in sorted(kilns):
        begin, end = bounds(URIRef(f"{kiln}#begin")), bounds(URIRef(f"{kiln}#end"))
        assumed = end[1] is None
        found.append(
            Stay(
                kiln,
                _concepts(belief, kiln, GLOST.kilnKind),
                _concepts(belief, kiln, GLOST.firing),
                (opened[0] if begin[0] is None else begin[0], begin[1]),
                (end[0], closed[1] if assumed else end[1]),
                assumed,
                _claims(belief, kiln, plant, assumed or begin[0] is None),
            )
        )
    return tuple(sorted(found, key=lambda s: (s.begin[0] or 0, s.begin[1] or 0, s.kiln)))


def _concepts(belief: Belief, kiln: URIRef, property_: URIRef) -> tuple[URIRef, ...]:
    found = set(belief.graph.objects(kiln, property_))
    return tuple(sorted(concept for concept in found if isinstance(concept, URIRef)))


def _claims(belief: Belief, kiln: URIRef, plant: URIRef, with_plant: bool) -> tuple[Claim, ...]:
    claims = list(belief.rests_on((kiln, GLOST.inPlant, plant)))
    for property_ in (GLOST.kilnKind, GLOST.firing):
        for value in belief.graph.objects(kiln, property_):
            claims += belief.rests_on((kiln, property_, value))
    for thing in (kiln, plant) if with_plant else (kiln,):
        for point in (URIRef(f"{thing}#begin"), URIRef(f"{thing}#end")):
            for value in belief.graph.objects(point, GLOST.date):
                claims += belief.rests_on((point, GLOST.date, value))
    return in_order(claims)


def year_days(year: int) -> tuple[int, int]:
    """Return the day numbers of the first and last day of a year."""
    return day_number(year, 1, 1), day_number(year, 12, 31)


def years(found: tuple[Stay, ...]) -> range:
    """Return the years from the first in which any of them may have been in use to the last known.

    Where an end is open, the years stop at the last day that is known of any.
    """
    days = [day for stay in found for day in (*stay.begin, *stay.end) if day is not None]
    if not days:
        return range(0)
    return range(calendar_day(min(days))[0], calendar_day(max(days))[0] + 1)
