"""When the kilns of a plant were in use, as far as is known."""

from dataclasses import dataclass
from typing import TypeAlias

from rdflib import URIRef

from glost.names import GLOST
from glost.record.belief import Belief
from glost.record.claims import Claim, in_order
from glost.record.dates import calendar_day, day_number
from glost.trade.kilns.figures import KilnCount, count_of
from glost.trade.times.bounded import Timed

Days: TypeAlias = tuple[int | None, int | None]
"""The earliest and latest day something may have happened, as day numbers; None if not known."""


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
    disputed
        Whether sources contradict one another on either.
    count
        For how many kilns it stands.
    claims
        The claims these rest on.
    """

    kiln: URIRef
    kinds: tuple[URIRef, ...]
    firings: tuple[URIRef, ...]
    begin: Days
    end: Days
    disputed: bool
    count: KilnCount
    claims: tuple[Claim, ...]

    def certainly(self, year: int) -> bool:
        """Say whether it certainly was in use on some day of a year."""
        first, last = year_days(year)
        begun = self.begin[1]
        ended = self.end[0]
        return begun is not None and ended is not None and begun <= last and ended >= first

    def possibly(self, year: int) -> bool:
        """Say whether it may have been in use on some day of a year."""
        first, last = year_days(year)
        begun, ended = self.begin[0], self.end[1]
        return (begun is None or begun <= last) and (ended is None or ended >= first)


def stays(belief: Belief, plant: URIRef, times: Timed) -> tuple[Stay, ...]:
    """Return the time of each kiln in a plant, the earliest first.

    Parameters
    ----------
    belief
        What is believed.
    plant
        The plant.
    times
        The chronology of the same.
    """
    found = []
    for kiln in belief.having(GLOST.inPlant, plant):
        points = [URIRef(f"{kiln}#{name}") for name in ("begin", "end")]
        begin, end = (times.reading_bounds(point) for point in points)
        count = count_of(belief, kiln)
        claims = [
            *belief.rests_on((kiln, GLOST.inPlant, plant)),
            *belief.saying(kiln, GLOST.kilnKind, GLOST.firing),
            *count.claims,
        ]
        for point in points:
            claims += dating(times, point)
        found.append(
            Stay(
                kiln,
                belief.named(kiln, GLOST.kilnKind),
                belief.named(kiln, GLOST.firing),
                (begin.earliest, begin.latest),
                (end.earliest, end.latest),
                begin.disputed or end.disputed,
                count,
                in_order(claims),
            )
        )
    return tuple(sorted(found, key=lambda s: (s.begin[0] or 0, s.begin[1] or 0, s.kiln)))


def dating(times: Timed, point: URIRef) -> tuple[Claim, ...]:
    """Return the claims on which the bounds of a point rest."""
    arguments = (times.why_not_before(point), times.why_not_after(point))
    return tuple(claim for each in arguments if each for claim in each.claims)


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
