"""The chronology of what is believed: bounds, the claims behind them, and what clashes."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import polars as pl
from rdflib import URIRef

from glost.names import GLOST
from glost.reason import chronology as kernel
from glost.reason.chronology.allen import possible
from glost.record.belief import Belief
from glost.record.claims import Claim, Triple
from glost.record.dates import Margin
from glost.trade.times.arguments import Argument, ArgumentStep, Ground
from glost.trade.times.bounded import ENDS, Timed
from glost.trade.times.gathering import DATE, Events
from glost.trade.times.results import (
    Bounds,
    BoundsChange,
    Choice,
    Conflict,
    Lapse,
    Outside,
)
from glost.trade.times.rules import IS_A, TimeRule
from glost.trade.times.statements import Ints, TimeStatements
from glost.trade.times.weights import Weights
from glost.verdicts import Verdict


@dataclass(frozen=True)
class Chronology(Timed):
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
    rules: dict[str, TimeRule]
    margin: Margin
    lag: int
    _statements: TimeStatements = field(repr=False)
    _events: Events = field(repr=False)
    _rule_of: Ints = field(repr=False)
    _solution: kernel.Solution = field(repr=False)
    _weights: Weights = field(repr=False)
    _grounds: dict[int, Ground] = field(default_factory=dict, repr=False)

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

    def of_thing(self, thing: str) -> dict[str, Bounds]:
        """Return the bounds of every point of a thing that is spoken of, by the point's name."""
        events = self._events.of_thing(thing)
        return {name: self._bounds(event, self._solution.bounds) for name, event in events}

    def reading_bounds(self, point: URIRef) -> Bounds:
        """Return when a point falls however contradictions are settled; see `Timed`."""
        event = self._events.find(point)
        return (
            _days(event, self._readings.bounds, self._readings.disputed)
            if event
            else Bounds(None, None)
        )

    @cached_property
    def _readings(self) -> kernel.Readings:
        return kernel.every_reading(self._solution)

    def readying(self) -> Iterator[None]:
        """Work out what holds under every reading, a part at each step, for who has else to do."""
        if "_readings" not in vars(self):
            vars(self)["_readings"] = yield from kernel.reading_steps(self._solution)

    def points(self) -> tuple[URIRef, ...]:
        """Return every point that something bounds or disputes, sorted."""
        found = self._solution.bounds
        bounded = (found.earliest > -kernel.FAR // 2) | (found.latest < kernel.FAR // 2)
        bounded |= self._readings.disputed
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
    def repair(self) -> tuple[Choice, ...]:
        """The least costly sets of statements to set aside; nothing is done by itself."""
        claims = [each.claims for each in self._solution.conflicts]
        told = dict(zip(claims, self.conflicts, strict=True))
        choices = []
        for choice in self._solution.choices:
            taken = frozenset().union(*choice.options)
            settled = tuple(conflict for each, conflict in told.items() if each & taken)
            options = tuple(tuple(map(self.ground, self._with(each))) for each in choice.options)
            choices.append(Choice(options, choice.cost, choice.complete, settled))
        return tuple(choices)

    def _with(self, option: Iterable[int]) -> list[int]:
        """Return the grounds of an option and what says nothing without them, sorted."""
        return sorted(
            {*option, *(each for ground in option for each in self._weights.resting(ground))}
        )

    def changes(self) -> tuple[BoundsChange, ...]:
        """Return what would change if the first option of every choice were set aside."""
        solution = self._solution
        changed = [
            BoundsChange(
                self._events.iri(event),
                self._bounds(event, solution.recorded),
                self._bounds(event, solution.bounds),
            )
            for event in solution.changed.tolist()
        ]
        return tuple(sorted(changed))

    def lapses(self) -> Iterator[Lapse]:
        """Yield how long after a shape began others of its pottery began and ended.

        Only where the order of events says more than the days of `reading_bounds` do; sorted.
        """
        found = self._readings.bounds
        for shapes in self._lines():
            points = [(URIRef(f"{shape}#{point}"), shape) for shape in shapes for point in ENDS]
            for first, own in points[::2]:
                start = self._events.find(first)
                most, least = self._between.most(start), self._between.least(start)
                for second, shape in points:
                    event = self._events.find(second)
                    if shape == own or not start or not event:
                        continue
                    up, down = int(most[event]), int(least[event])
                    tells = down > max(
                        found.earliest[event] - found.latest[start], -kernel.FAR // 2
                    )
                    limits = up < min(found.latest[event] - found.earliest[start], kernel.FAR // 2)
                    lapse = Lapse(first, second, down if tells else None, up if limits else None)
                    if lapse.at_least is not None or lapse.at_most is not None:
                        yield lapse

    def lapse_facts(self, first: URIRef, second: URIRef, *, most: bool) -> tuple[Triple, ...]:
        """Return the statements on which a lapse rests; none if there is no such lapse."""
        one, other = self._events.find(first), self._events.find(second)
        chain = self._between.why(one, other, most=most) if one and other else []
        return self._told(
            n for each in chain for n in self._solution.network.reasons.of(each.reason)
        )

    @cached_property
    def _between(self) -> kernel.Lapses:
        return kernel.Lapses(self._readings.sound)

    def _lines(self) -> Iterator[list[str]]:
        """Yield the shapes of each pottery, sorted; both in the order of their IRIs."""
        statements = self._statements
        kind = statements.terms.find(GLOST.Shape)
        types = statements.where(IS_A)
        shapes = set(types.filter(pl.col("object") == kind)["subject"].to_list())
        made: dict[str, set[str]] = defaultdict(set)
        for shape, pottery in statements.where("madeBy").select("subject", "object").iter_rows():
            if shape in shapes:
                made[str(statements.iri(pottery))].add(str(statements.iri(shape)))
        return (sorted(made[pottery]) for pottery in sorted(made))

    def outside(self) -> tuple[Outside, ...]:
        """Return every piece and list that shows a shape outside its run, sorted."""
        found, disputed = self._apart.bounds, self._apart.disputed
        some = self._apart.tightest
        shown = []
        for point, witnesses, shapes, made in self._showing():
            at = self._events.seen(shapes, point)
            limit = found.latest[at] if point == "end" else found.earliest[at]
            if point == "end":
                certain = found.earliest[made] > limit
                ever = some.earliest[made] > some.latest[at]
            else:
                certain = found.latest[made] < limit
                ever = some.latest[made] < some.earliest[at]
            for row in np.flatnonzero((certain | ever) & (made > 0) & (at > 0)).tolist():
                shown.append(
                    Outside(
                        self._statements.iri(int(witnesses[row])),
                        self._statements.iri(int(shapes[row])),
                        point,
                        Verdict.YES if certain[row] else Verdict.POSSIBLY,
                        _days(int(made[row]), found, disputed),
                        _days(int(at[row]), found, disputed)[point == "end"],
                    )
                )
        return tuple(sorted(set(shown), key=lambda each: each[:3]))

    def outside_facts(self, witness: URIRef, shape: URIRef, point: str) -> tuple[Triple, ...]:
        """Return the statements on which it rests that something shows a shape outside its run."""
        late = point == "end"
        limit = self._events.find(URIRef(f"{shape}#{point}"))
        made = self._events.find(URIRef(f"{witness}#made")) or self._events.find(witness)
        chains = (self._apart.why(made, late=not late), self._apart.why(limit, late=late))
        rests = [n for chain in chains for each in chain for n in self._reasons.of(each.reason)]
        swaying = self._apart.swaying(made) | self._apart.swaying(limit)
        return self._told([*rests, *sorted(swaying)])

    @property
    def _reasons(self) -> kernel.Reasons:
        return self._solution.network.reasons

    @cached_property
    def _apart(self) -> kernel.Readings:
        """The bounds without the rules by which pieces and lists bound the runs of shapes."""
        network = self._solution.network
        tying = [at for at, rule in enumerate(self._named) if rule.name in _SHOWING]
        kept = network.keep(~np.isin(self._rule_of[network.reason], tying))
        return kernel.every_reading(kernel.solve(kept, self._weights))

    def _showing(self) -> Iterator[tuple[str, Ints, Ints, Ints]]:
        """Yield, for both ends of runs, pieces or lists, their shapes, and when they show them."""
        of_shape = self._statements.where("ofShape").select("subject", "object")
        kind = self._statements.terms.find(GLOST.Piece)
        pieces = self._statements.where(IS_A).filter(pl.col("object") == kind)["subject"]
        offered = self._statements.where("offeredIn").select("subject", pl.col("object").alias("x"))
        lists = offered.join(of_shape, on="subject").select("x", "object").unique()
        for frame, made in (
            (of_shape.filter(pl.col("subject").is_in(pieces.to_list())).unique(), "made"),
            (lists, DATE),
        ):
            witnesses, shapes = (column.to_numpy() for column in frame.iter_columns())
            for point in ENDS:
                yield point, witnesses, shapes, self._events.seen(witnesses, made)

    def cost(self, claim: Claim) -> float:
        """Return the weight of a claim."""
        return self._weights.claim(claim)

    def relations(self, one: URIRef, other: URIRef) -> tuple[str, ...]:
        """Name the relations of Allen in which the run of one thing may stand to another's.

        A run meets another that begins on the day after its last.
        """
        ends = [self._events.find(URIRef(f"{thing}#{p}")) for thing in (one, other) for p in ENDS]
        network = self._sound
        missing = sum(1 for end in ends if not end)
        if missing:
            network = network.growing(missing)
            new = iter(range(network.events - missing, network.events))
            ends = [end or next(new) for end in ends]
        found = kernel.bounds(network) if missing else self._solution.bounds
        return tuple(possible(network, found, (ends[0], ends[1]), (ends[2], ends[3])))

    def ahead_of(self, point: URIRef, others: Collection[URIRef]) -> frozenset[URIRef]:
        """Return those of some points that certainly fall before one, dates and orders together.

        Nothing that takes part in a contradiction is relied on, so that it holds however the
        contradictions are settled.

        Parameters
        ----------
        point
            As for `bounds`.
        others
            More of the like; those of which nothing speaks are never among the answer.
        """
        first = self.cautious_bounds(point).earliest
        if first is None:
            return self.preceding(point).intersection(others)
        days = ((other, self.cautious_bounds(other).latest) for other in others)
        dated = (other for other, latest in days if latest is not None and latest < first)
        return self.preceding(point).intersection(others).union(dated)

    def preceding(self, point: URIRef) -> frozenset[URIRef]:
        """Return all that certainly falls before a point by the order of events alone."""
        event = self._events.find(point)
        return frozenset(map(self._events.iri, self._between.preceding(event) if event else ()))

    def cautious_bounds(self, point: URIRef) -> Bounds:
        """Return when a point falls if nothing that takes part in a contradiction is relied on."""
        event = self._events.find(point)
        if not event:
            return Bounds(None, None)
        return _days(event, self._readings.cautious, self._readings.disputed)

    @cached_property
    def _sound(self) -> kernel.Network:
        return self._solution.sound

    def _bounds(self, event: int, found: kernel.NetworkBounds) -> Bounds:
        return _days(event, found, self._solution.disputed)

    def _why(self, point: URIRef, *, late: bool) -> Argument | None:
        chain = self._chain(point, late=late)
        return self._argument(chain, late=late) if chain else None

    @cached_property
    def _named(self) -> list[TimeRule]:
        return list(self.rules.values())

    def events(self) -> Iterator[tuple[int, URIRef, Bounds, bool]]:
        """Yield every point that anything speaks of.

        Yields
        ------
        tuple
            The number of its event; its IRI; its bounds with nothing set aside, which may cross;
            and whether it lies on the way round a contradiction.
        """
        solution = self._solution
        met = {step.source for each in solution.conflicts for step in each.steps}
        for event in range(1, self._events.count):
            recorded = self._bounds(event, solution.recorded)
            yield event, self._events.iri(event), recorded, event in met

    def limits(self) -> Iterator[tuple[int, ...]]:
        """Yield all limits.

        Yields
        ------
        tuple
            Its number; source and target, events or 0 for the origin; the days by which the target
            comes after the source at most; its reason; and 1, or 0 if it rests on what is set aside
            at the least cost. Those that are 1 hold together, and arguments are chains of them.
        """
        network, reasons = self._solution.network, self._reasons
        apart = reasons.touching(sorted(self._solution.set_aside))[network.reason]
        columns = (network.source, network.target, network.days, network.reason, ~apart)
        rows = (column.astype(np.int64).tolist() for column in columns)
        yield from zip(range(len(network)), *rows, strict=True)

    def in_conflict(self) -> Iterator[tuple[int, bool]]:
        """Yield the number of each ground of each contradiction, and whether no date is in that."""
        for each in self._solution.conflicts:
            for ground in sorted(each.claims):
                yield ground, each.relative

    def rule(self, reason: int) -> TimeRule:
        """Return the rule by which a reason holds."""
        return self._named[int(self._rule_of[reason])]

    def rests_on(self, reason: int) -> tuple[int, ...]:
        """Return the numbers of the grounds that a reason rests on."""
        return self._solution.network.reasons.of(reason)

    def _chain(self, point: URIRef, *, late: bool) -> list[kernel.ChainStep]:
        event = self._events.find(point)
        explain = kernel.why_not_after if late else kernel.why_not_before
        return explain(self._sound, self._solution.bounds, event) if event else []

    def _argument(self, chain: list[kernel.ChainStep], *, late: bool, start: int = 0) -> Argument:
        """Turn a chain of constraints into steps that lead from a date to the point."""
        steps, day = [], start
        for each in _onward(chain, late=late):
            day += each.days if late else -each.days
            reached = self._events.iri(each.target if late else each.source)
            grounds = tuple(map(self.ground, self.rests_on(each.reason)))
            steps.append(ArgumentStep(self.rule(each.reason), grounds, reached, day))
        return Argument(late, tuple(steps))

    def ground(self, number: int) -> Ground:
        """Return a ground by its number."""
        if number not in self._grounds:
            statements = self._statements
            self._grounds[number] = Ground(
                statements.triple(number), statements.claims_of(number), self._weights(number)
            )
        return self._grounds[number]

    def _conflict(self, found: kernel.NetworkConflict) -> Conflict:
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
            grounds=tuple(self.ground(number) for number in sorted(found.claims)),
            days=found.excess,
        )

    def _meeting(self, events: list[int]) -> int:
        """Choose where two arguments meet: at a beginning or end, as near the middle as may be."""
        middle = (len(events) - 1) / 2

        def rank(place: int) -> tuple[bool, float, int]:
            point = self._events.point(events[place])[1]
            return point not in ENDS, abs(place - middle), place

        return min(range(len(events)), key=rank)

    def reading_facts(self, point: URIRef, *, late: bool) -> tuple[Triple, ...]:
        """Return the statements on which a point's day rests that `reading_bounds` gives."""
        event = self._events.find(point)
        chain = self._readings.why(event, late=late) if event else []
        return self._told(
            n for each in chain for n in self._solution.network.reasons.of(each.reason)
        )

    def disputing(self, point: URIRef) -> tuple[Triple, ...]:
        """Return the statements of the contradictions on whose settling a point's days depend."""
        event = self._events.find(point)
        return self._told(sorted(self._readings.swaying(event))) if event else ()

    def _told(self, grounds: Iterable[int]) -> tuple[Triple, ...]:
        return tuple(dict.fromkeys(map(self._statements.told, dict.fromkeys(grounds))))


_SHOWING = ("piece-of-shape", "list-offers-shape")
"""The rules by which pieces and lists bound the runs of shapes."""


def _days(event: int, found: kernel.NetworkBounds, disputed: kernel.network.Bools) -> Bounds:
    early, late = int(found.earliest[event]), int(found.latest[event])
    return Bounds(
        early if early > -kernel.FAR // 2 else None,
        late if late < kernel.FAR // 2 else None,
        bool(disputed[event]),
    )


def _onward(chain: list[kernel.ChainStep], *, late: bool) -> Iterable[kernel.ChainStep]:
    """Go through a chain from the date to the point."""
    return chain if late else reversed(chain)
