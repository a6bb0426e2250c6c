"""The chronology of what is believed: bounds, the claims behind them, and what clashes."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from rdflib import URIRef

from glost.reason import chronology as kernel
from glost.reason.chronology.allen import possible
from glost.record.belief import Belief
from glost.record.claims import Claim, Triple
from glost.record.dates import Margin, day_number
from glost.trade.times.arguments import Argument, Ground, Step
from glost.trade.times.gathering import Events
from glost.trade.times.results import (
    Bounds,
    Change,
    Choice,
    Conflict,
    Production,
)
from glost.trade.times.rules import Rule
from glost.trade.times.statements import Ints, Statements
from glost.trade.times.weights import Weights


@dataclass(frozen=True)
class Chronology:
    """Everything that follows in time from what is believed.

    Attributes
    ----------
    belief
        What is believed.
    rules
        The rules in force, by name.
    margin
        How far approximate dates are widened.
    lag
        Days by which lists may lag.
    """

    belief: Belief
    rules: dict[str, Rule]
    margin: Margin
    lag: int
    _statements: Statements = field(repr=False)
    _events: Events = field(repr=False)
    _rule_of: Ints = field(repr=False)
    _solution: kernel.Solution = field(repr=False)
    _weights: Weights = field(repr=False)
    _grounds: dict[int, Ground] = field(default_factory=dict, repr=False)
    _facts: dict[tuple[URIRef, bool], tuple[Triple, ...]] = field(default_factory=dict, repr=False)

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
        event = self._events.find(point)
        return self._bounds(event, self._solution.bounds) if event else Bounds(None, None)

    def points(self) -> tuple[URIRef, ...]:
        """Return every point that something bounds on one side at least, sorted."""
        found = self._solution.bounds
        bounded = (found.earliest > -kernel.FAR // 2) | (found.latest < kernel.FAR // 2)
        bounded[kernel.ORIGIN] = False
        return tuple(sorted(self._events.iri(event) for event in np.flatnonzero(bounded).tolist()))

    def why_not_before(self, point: URIRef) -> Argument | None:
        """Return the shortest argument for a point's earliest day; None if there is no such day."""
        return self._why(point, late=False)

    def why_not_after(self, point: URIRef) -> Argument | None:
        """Return the shortest argument for a point's latest day; None if there is no such day."""
        return self._why(point, late=True)

    @cached_property
    def conflicts(self) -> tuple[Conflict, ...]:
        """Every independent minimal conflict."""
        return tuple(self._conflict(each) for each in self._solution.conflicts)

    @cached_property
    def conflicts_at(self) -> Mapping[URIRef, tuple[Conflict, ...]]:
        """The conflicts that each point takes part in."""
        found: dict[URIRef, list[Conflict]] = defaultdict(list)
        for conflict in self.conflicts:
            for point in conflict.points:
                found[point].append(conflict)
        return {point: tuple(conflicts) for point, conflicts in found.items()}

    @cached_property
    def repair(self) -> tuple[Choice, ...]:
        """The least costly sets of statements to set aside; nothing is done by itself."""
        claims = [each.claims for each in self._solution.conflicts]
        told = dict(zip(claims, self.conflicts, strict=True))
        choices = []
        for choice in self._solution.choices:
            taken = frozenset().union(*choice.options)
            settled = tuple(conflict for each, conflict in told.items() if each & taken)
            options = tuple(tuple(map(self._ground, self._with(each))) for each in choice.options)
            choices.append(Choice(options, choice.cost, choice.complete, settled))
        return tuple(choices)

    def _with(self, option: Iterable[int]) -> list[int]:
        """Return the grounds of an option and what says nothing without them, sorted."""
        return sorted(
            {*option, *(each for ground in option for each in self._weights.resting(ground))}
        )

    def changes(self) -> tuple[Change, ...]:
        """Return what would change if the first option of every choice were set aside."""
        solution = self._solution
        changed = [
            Change(
                self._events.iri(event),
                self._bounds(event, solution.recorded),
                self._bounds(event, solution.bounds),
            )
            for event in solution.changed.tolist()
        ]
        return tuple(sorted(changed))

    def cost(self, claim: Claim) -> float:
        """Return the weight of a claim."""
        return self._weights.claim(claim)

    def in_production(self, thing: URIRef, year: int) -> Production:
        """Say whether a thing ran on some day of a year.

        Parameters
        ----------
        thing
            A shape, treatment, mark, glaze, kiln, plant or anything else with a run.
        year
            A year of the proleptic Gregorian calendar, all of it counting.
        """
        first, last = day_number(year, 1, 1), day_number(year, 12, 31)
        begin = self.bounds(URIRef(f"{thing}#begin"))
        end = self.bounds(URIRef(f"{thing}#end"))
        if _after(begin.earliest, last) or _after(first, end.latest):
            return "no"
        begun = begin.latest is not None and begin.latest <= last
        going = end.earliest is not None and end.earliest >= first
        return "certainly" if begun and going else "possibly"

    def relations(self, one: URIRef, other: URIRef) -> tuple[str, ...]:
        """Name the relations of Allen in which the run of one thing may stand to another's.

        A run meets another that begins on the day after its last.
        """
        ends = [self._events.find(URIRef(f"{thing}#{p}")) for thing in (one, other) for p in _ENDS]
        network = self._sound
        missing = sum(1 for end in ends if not end)
        if missing:
            network = network.growing(missing)
            new = iter(range(network.events - missing, network.events))
            ends = [end or next(new) for end in ends]
        found = kernel.bounds(network) if missing else self._solution.bounds
        return tuple(possible(network, found, (ends[0], ends[1]), (ends[2], ends[3])))

    def ahead_of(self, point: URIRef, others: Iterable[URIRef]) -> frozenset[URIRef]:
        """Return those of some points that certainly fall before one, dates and orders together.

        Parameters
        ----------
        point
            As for `bounds`.
        others
            More of the like; those of which nothing speaks are never among the answer.
        """
        event = self._events.find(point)
        found = {other: at for other in others if (at := self._events.find(other))}
        if not event or not found:
            return frozenset()
        most = kernel.following(self._sound, self._solution.bounds, event, list(found.values()))
        return frozenset(other for other, days in zip(found, most, strict=True) if days < 0)

    @cached_property
    def _sound(self) -> kernel.Network:
        return self._solution.sound

    def _bounds(self, event: int, found: kernel.Bounds) -> Bounds:
        early, late = int(found.earliest[event]), int(found.latest[event])
        return Bounds(
            early if early > -kernel.FAR // 2 else None,
            late if late < kernel.FAR // 2 else None,
            bool(self._solution.disputed[event]),
        )

    def _why(self, point: URIRef, *, late: bool) -> Argument | None:
        chain = self._chain(point, late=late)
        return self._argument(chain, late=late) if chain else None

    @cached_property
    def _named(self) -> list[Rule]:
        return list(self.rules.values())

    def _chain(self, point: URIRef, *, late: bool) -> list[kernel.Step]:
        event = self._events.find(point)
        explain = kernel.why_not_after if late else kernel.why_not_before
        return explain(self._sound, self._solution.bounds, event) if event else []

    def _argument(self, chain: list[kernel.Step], *, late: bool, start: int = 0) -> Argument:
        """Turn a chain of constraints into steps that lead from a date to the point."""
        steps, day = [], start
        for each in _onward(chain, late=late):
            day += each.days if late else -each.days
            reached = self._events.iri(each.target if late else each.source)
            rule = self._named[int(self._rule_of[each.reason])]
            rests = self._solution.network.reasons.of(each.reason)
            steps.append(Step(rule, tuple(map(self._ground, rests)), reached, day))
        return Argument(late, tuple(steps))

    def _ground(self, number: int) -> Ground:
        if number not in self._grounds:
            statements = self._statements
            self._grounds[number] = Ground(
                statements.triple(number), statements.claims_of(number), self._weights(number)
            )
        return self._grounds[number]

    def _conflict(self, found: kernel.Conflict) -> Conflict:
        """Part a cycle at one of its points into two arguments that meet there."""
        steps = list(found.steps)
        dated = steps[0].source == kernel.ORIGIN
        cut = self._meeting([step.target for step in steps[:-1]])
        upper, lower = steps[: cut + 1], steps[cut + 1 :]
        return Conflict(
            point=self._events.iri(upper[-1].target),
            not_before=self._argument(lower, late=False),
            not_after=self._argument(upper, late=True),
            origin=None if dated else self._events.iri(steps[0].source),
            grounds=tuple(self._ground(number) for number in sorted(found.claims)),
            days=found.excess,
        )

    def _meeting(self, events: list[int]) -> int:
        """Choose where two arguments meet: at a beginning or end, as near the middle as may be."""
        middle = (len(events) - 1) / 2

        def rank(place: int) -> tuple[bool, float, int]:
            point = self._events.point(events[place])[1]
            return point not in _ENDS, abs(place - middle), place

        return min(range(len(events)), key=rank)

    def facts(self, point: URIRef, *, late: bool) -> tuple[Triple, ...]:
        """Return the statements on which a point's latest or earliest day rests."""
        if (point, late) not in self._facts:
            of = self._solution.network.reasons.of
            chain = self._chain(point, late=late)
            rests = dict.fromkeys(n for each in _onward(chain, late=late) for n in of(each.reason))
            self._facts[point, late] = tuple(dict.fromkeys(map(self._statements.told, rests)))
        return self._facts[point, late]


_ENDS = ("begin", "end")


def _onward(chain: list[kernel.Step], *, late: bool) -> Iterable[kernel.Step]:
    """Go through a chain from the date to the point."""
    return chain if late else reversed(chain)


def _after(day: int | None, other: int | None) -> bool:
    return day is not None and other is not None and day > other
