"""What is asked of a chronology about one point or thing, however its bounds are come by."""

from abc import ABC, abstractmethod

from rdflib import URIRef

from glost.record.dates import Margin, day_number
from glost.trade.times.arguments import Argument
from glost.trade.times.results import Bounds
from glost.trade.times.rules import TimeRule
from glost.verdicts import Verdict


class Bounded(ABC):
    """When things happened at the earliest and latest, and why.

    Attributes
    ----------
    rules
        The rules in force, by name.
    margin
        How far approximate dates are widened.
    lag
        Days by which lists may lag.
    """

    rules: dict[str, TimeRule]
    margin: Margin
    lag: int

    @abstractmethod
    def bounds(self, point: URIRef) -> Bounds:
        """Return when a point falls at the earliest and latest.

        Parameters
        ----------
        point
            ``{thing}#begin`` or ``#end``, ``{piece}#made`` or ``#decorated``, or a source.

        Returns
        -------
        Bounds
            Without bounds if nothing that is believed speaks of it.
        """

    @abstractmethod
    def why_not_before(self, point: URIRef) -> Argument | None:
        """Return the shortest argument for a point's earliest day; None if there is no such day."""

    @abstractmethod
    def why_not_after(self, point: URIRef) -> Argument | None:
        """Return the shortest argument for a point's latest day; None if there is no such day."""


class Timed(Bounded):
    """The same, with what holds however contradictions are settled."""

    @abstractmethod
    def reading_bounds(self, point: URIRef) -> Bounds:
        """Return when a point falls at the earliest and latest however contradictions are settled.

        Parameters
        ----------
        point
            As for `bounds`.

        Returns
        -------
        Bounds
            The widest that any way of settling them gives; they are those of `bounds` where no
            contradiction bears on the point.
        """

    @abstractmethod
    def relations(self, one: URIRef, other: URIRef) -> tuple[str, ...]:
        """Name the relations of Allen in which the run of one thing may stand to another's.

        A run meets another that begins on the day after its last.
        """

    def in_production(self, thing: URIRef, year: int) -> Verdict:
        """Say whether a thing ran on some day of a year, however contradictions are settled.

        Parameters
        ----------
        thing
            A shape, treatment, mark, glaze, kiln, plant or anything else with a run.
        year
            A year of the proleptic Gregorian calendar, all of it counting.
        """
        first, last = day_number(year, 1, 1), day_number(year, 12, 31)
        begin, end = (self.reading_bounds(URIRef(f"{thing}#{point}")) for point in ENDS)
        if _after(begin.earliest, last) or _after(first, end.latest):
            return Verdict.NO
        begun = begin.latest is not None and begin.latest <= last
        if begun and end.earliest is not None and end.earliest >= first:
            return Verdict.YES
        spoken_of = any(day is not None for each in (begin, end) for day in each[:2])
        return (
            Verdict.POSSIBLY if spoken_of or begin.disputed or end.disputed else Verdict.NOT_KNOWN
        )


ENDS = ("begin", "end")
"""The points of a run."""


def _after(day: int | None, other: int | None) -> bool:
    return day is not None and other is not None and day > other
