"""A chronology on disk, from which one point's bounds and arguments are looked up.

`times.sql` says what the tables hold. Whatever is read is data; a file is written once and never
changed, so that any number of processes may read it.
"""

from collections import deque
from collections.abc import Callable, Iterable, Iterator, Set
from contextlib import closing
from pathlib import Path
from sqlite3 import Connection, connect
from typing import TYPE_CHECKING, Any

from rdflib import URIRef
from rdflib.namespace import PROV

from glost.record.belief import Belief
from glost.record.claims import Claim, Triple
from glost.record.dates import Margin
from glost.record.store import add, begin, end, opened, spelt, term
from glost.trade.times.arguments import Argument, ArgumentStep, Ground
from glost.trade.times.bounded import Bounded, Timed
from glost.trade.times.results import Bounds
from glost.trade.times.rules import rules

if TYPE_CHECKING:
    from glost.trade.times.chronology import Chronology

_HERE = Path(__file__).parent
_ORIGIN = 0


def write(times: "Chronology", path: Path) -> None:
    """Write a chronology to a new file.

    Parameters
    ----------
    times
        The chronology.
    path
        The file; it must not be there.

    Raises
    ------
    OSError, sqlite3.Error
        If it cannot be written.
    """
    limits = list(times.limits())
    reasons = sorted({reason for *_, reason, _ in limits})
    rests = [(reason, times.rests_on(reason)) for reason in reasons]
    conflict = list(times.in_conflict())
    grounds = {ground for _, some in rests for ground in some} | {ground for ground, _ in conflict}
    with closing(connect(path)) as db:
        begin(db, "times.sql", package=_HERE)
        add(db, "event", _events(times))
        add(db, "step", limits)
        add(db, "rule", ((name,) for name in times.rules))
        add(db, "reason", ((reason, times.rule(reason).name) for reason in reasons))
        add(db, "rests", ((r, at, g) for r, some in rests for at, g in enumerate(some)))
        add(db, "ground", (_ground(number, times.ground(number)) for number in sorted(grounds)))
        add(db, "conflict", conflict)
        add(db, "lag", [(times.lag,)])
        end(db, "times_indexes.sql", _HERE)


def _events(times: "Chronology") -> Iterator[tuple[Any, ...]]:
    for event, point, recorded, in_conflict in times.events():
        bounds, widest = times.bounds(point), times.reading_bounds(point)
        yield event, point, *bounds[:2], *recorded[:2], in_conflict, bounds.disputed, *widest


def _ground(number: int, ground: Ground) -> tuple[Any, ...]:
    subject, property_, value = ground.triple
    return number, str(subject), str(property_), *spelt(value), ground.weight


_EVENT = "SELECT event, disputed FROM event WHERE point = ?"
_POINT = "SELECT point FROM event WHERE event = ?"
_WIDEST = "SELECT widest_earliest, widest_latest, widest_disputed FROM event WHERE point = ?"
_OF_THING = "SELECT event FROM event WHERE point = ?1 OR (point >= ?1 || '#' AND point < ?1 || '$')"
_IN_CONFLICT = "SELECT in_conflict FROM event WHERE event = ?"
_RULE = "SELECT rule FROM reason WHERE reason = ?"
_RESTS = "SELECT ground FROM rests WHERE reason = ? ORDER BY place"
_GROUND = """
SELECT subject, property, object, kind, datatype, language, weight FROM ground WHERE ground = ?
"""
_OF_STATEMENT = "SELECT ground FROM ground WHERE subject = ? AND property = ? AND object = ?"
_FALLING = "SELECT step, source, target FROM rests JOIN step USING (reason) WHERE ground = ?"
_CONFLICT = "SELECT ground, relative FROM conflict"
_COMING = (
    "SELECT step, target, days, reason FROM step WHERE source = ? {} ORDER BY step",
    "SELECT step, source, days, reason FROM step WHERE target = ? {} ORDER BY step",
)
"""Limits by which earliest, and latest, days come to an event, and the events they come from."""
_Onward = tuple[int, int, int]
"""The event that a limit bounds, its days, and its reason."""


class _Days:
    """The days of events, and the limits that give them.

    Of two sides: 0 for earliest days, which are held with their sign turned, and 1 for latest ones.
    A limit then gives the event it comes to at most the days of the other and its own.

    Parameters
    ----------
    db
        The file.
    columns
        The columns of ``event`` with the earliest and the latest days.
    given
        A further condition on the limits; empty for all of them.
    fallen
        Numbers of the limits to do without.
    """

    def __init__(
        self,
        db: Connection,
        columns: tuple[str, str] = ("earliest", "latest"),
        given: str = "AND sound",
        fallen: frozenset[int] = frozenset(),
    ) -> None:
        self._db, self._fallen = db, fallen
        self._query = f"SELECT -{columns[0]}, {columns[1]} FROM event WHERE event = ?"
        self._coming = tuple(each.format(given) for each in _COMING)
        self._found: dict[tuple[int, int], int | None] = {(0, _ORIGIN): 0, (1, _ORIGIN): 0}

    def value(self, side: int, event: int) -> int | None:
        """Return the days of an event on a side; None if nothing bounds it there."""
        if (side, event) not in self._found:
            row = self._db.execute(self._query, (event,)).fetchone() or (None, None)
            for each, day in enumerate(row):
                self._found.setdefault((each, event), day)
        return self._found[side, event]

    def bounds(self, event: int) -> tuple[int | None, int | None]:
        """Return the earliest and the latest day of an event."""
        early = self.value(0, event)
        return None if early is None else -early, self.value(1, event)

    def _limits(self, side: int, event: int) -> Iterator[tuple[int, int, int]]:
        """Yield the other event, days and reason of the limits that come to an event."""
        for step, other, days, reason in self._db.execute(self._coming[side], (event,)).fetchall():
            if step not in self._fallen:
                yield other, days, reason

    def _tight(self, side: int, start: int, days: int, event: int) -> bool:
        """Say whether a limit from one event to another gives the other its days."""
        value, reached = self.value(side, start), self.value(side, event)
        return value is not None and reached is not None and value + days == reached

    def chain(self, side: int, event: int) -> Iterator[_Onward]:
        """Go back breadth first along tight limits until a date is met; yield the way from it."""
        onward: dict[int, _Onward] = {}
        layer = [event]
        while layer:
            following = []
            for here in layer:
                for back, days, reason in self._limits(side, here):
                    known = back in onward or back == event
                    if known or not self._tight(side, back, days, here):
                        continue
                    onward[back] = here, days, reason
                    if back == _ORIGIN:
                        return _follow(onward, event)
                    following.append(back)
            layer = following
        raise ValueError("these are not the limits that bound this point")

    def reckon(self, side: int, events: Iterable[int]) -> None:
        """Reckon the days of some events anew, and of those to which they were carried on.

        For when limits have fallen: days of other events are then what they were. Those in question
        begin from what events outside give them; then limits among them are relaxed one by one, as
        often as a day changes, which ends where there is no contradiction without dates.
        """
        among = self._carried(side, events)
        found: dict[int, int | None] = dict.fromkeys(among)
        within: dict[int, list[tuple[int, int]]] = {}
        for event in among:
            for back, days, _ in self._limits(side, event):
                if back in among:
                    within.setdefault(back, []).append((event, days))
                else:
                    found[event] = _least(found[event], self.value(side, back), days)
        changed = deque(event for event in sorted(among) if found[event] is not None)
        while changed:
            start = changed.popleft()
            for event, days in within.get(start, ()):
                least = _least(found[event], found[start], days)
                if least != found[event]:
                    found[event] = least
                    changed.append(event)
        self._found.update({(side, event): day for event, day in found.items()})

    def _carried(self, side: int, events: Iterable[int]) -> set[int]:
        """Return some events with all those that tight limits carry their days on to."""
        among = set(events) - {_ORIGIN}
        left = sorted(among)
        while left:
            start = left.pop()
            for event, days, _ in self._limits(1 - side, start):
                new = event not in among and event != _ORIGIN
                if new and self._tight(side, start, days, event):
                    among.add(event)
                    left.append(event)
        return among


def _least(found: int | None, start: int | None, days: int) -> int | None:
    if start is None:
        return found
    return start + days if found is None else min(found, start + days)


def _follow(onward: dict[int, _Onward], event: int) -> Iterator[_Onward]:
    at = _ORIGIN
    while at != event:
        yield onward[at]
        at = onward[at][0]


class _Stored(Bounded):
    """Bounds and arguments looked up in a file.

    Parameters
    ----------
    db
        The file.
    belief
        What is believed, whose claims arguments rest on.
    margin
        How far approximate dates are widened.
    days
        The days with what clashes settled at the least cost.
    """

    def __init__(
        self,
        db: Connection,
        belief: Belief,
        margin: Margin,
        days: _Days,
    ) -> None:
        self._db, self._belief, self._days = db, belief, days
        names = db.execute("SELECT name FROM rule ORDER BY rowid")
        self.rules, self.margin = {name: rules()[name] for (name,) in names}, margin
        (self.lag,) = self._row("SELECT days FROM lag")
        self._grounds: dict[int, Ground] = {}

    def _row(self, query: str, *values: object) -> tuple[Any, ...]:
        """Return the first row that a query gives; one that is empty if there is none."""
        return self._db.execute(query, values).fetchone() or ()

    def bounds(self, point: URIRef) -> Bounds:
        """Return when a point falls; see `Bounded.bounds`."""
        found = self._row(_EVENT, point)
        if not found:
            return Bounds(None, None)
        event, disputed = found
        return Bounds(*self._days.bounds(event), self._disputed(event, disputed))

    def _disputed(self, event: int, disputed: int) -> bool:
        return bool(disputed)

    def why_not_before(self, point: URIRef) -> Argument | None:
        """Return the shortest argument for a point's earliest day; None if there is no such day."""
        return self._why(0, point)

    def why_not_after(self, point: URIRef) -> Argument | None:
        """Return the shortest argument for a point's latest day; None if there is no such day."""
        return self._why(1, point)

    def _why(self, side: int, point: URIRef) -> Argument | None:
        found = self._row(_EVENT, point)
        if not found or self._days.value(side, found[0]) is None:
            return None
        day, steps = 0, []
        for event, days, reason in self._days.chain(side, found[0]):
            day += days if side else -days
            (name,), (reached,) = self._row(_RULE, reason), self._row(_POINT, event)
            rests = self._db.execute(_RESTS, (reason,)).fetchall()
            grounds = tuple(self._ground(number) for (number,) in rests)
            steps.append(ArgumentStep(self.rules[name], grounds, URIRef(reached), day))
        return Argument(bool(side), tuple(steps))

    def _ground(self, number: int) -> Ground:
        if number not in self._grounds:
            *spelling, weight = self._row(_GROUND, number)
            triple = _triple(*spelling)
            self._grounds[number] = Ground(triple, _claims(self._belief, triple), weight)
        return self._grounds[number]


class StoredTimes(_Stored, Timed):
    """A chronology looked up in a file.

    Parameters
    ----------
    path
        A file that `write` wrote.
    belief
        What is believed, whose claims it rests on.
    margin
        How far approximate dates are widened.
    whole
        Gives the chronology itself, for what needs all of it at once.
    """

    def __init__(
        self,
        path: Path,
        belief: Belief,
        margin: Margin,
        whole: "Callable[[], Chronology]",
    ) -> None:
        db = opened(path)
        super().__init__(db, belief, margin, _Days(db))
        self._whole = whole

    def reading_bounds(self, point: URIRef) -> Bounds:
        """Return when a point falls in any case; see `Timed.reading_bounds`."""
        early, late, disputed = self._row(_WIDEST, point) or (None, None, False)
        return Bounds(early, late, bool(disputed))

    def relations(self, one: URIRef, other: URIRef) -> tuple[str, ...]:
        """Name the relations in which two runs may stand; see `Timed.relations`."""
        return self._whole().relations(one, other)

    def without(
        self, thing: URIRef, belief: Belief, statements: Iterable[Triple]
    ) -> Bounded | None:
        """Return the bounds as they are without the claims about a thing.

        Only what those claims bear on is reckoned anew.

        Parameters
        ----------
        thing
            The thing, such as a piece.
        belief
            What is believed without them.
        statements
            What they state, and for each of them that it rests on its source.

        Returns
        -------
        Bounded or None
            None where they take part in a contradiction: how the rest is then settled takes the
            chronology of what is left.
        """
        conflict = dict(self._db.execute(_CONFLICT).fetchall())
        own = {event for (event,) in self._db.execute(_OF_THING, (thing,)).fetchall()}
        grounds = [(ground, each) for each in set(statements) for ground in self._making(each)]
        if any(conflict.values()) or any(ground in conflict for ground, _ in grounds):
            return None
        gone = [ground for ground, each in grounds if not _claims(belief, each)]
        fallen = {row for ground in gone for row in self._db.execute(_FALLING, (ground,))}
        if any(source not in own and target not in own for _, source, target in fallen):
            return None
        return _Less(self._db, belief, self.margin, fallen)

    def _making(self, statement: Triple) -> Iterator[int]:
        """Yield the number of the ground that a statement is, if rules of time look at it."""
        for (ground,) in self._db.execute(_OF_STATEMENT, tuple(map(str, statement))).fetchall():
            if _triple(*self._row(_GROUND, ground)[:-1]) == statement:
                yield ground


class _Less(_Stored):
    """Bounds with some limits fallen; what these may have borne on is reckoned anew.

    Parameters
    ----------
    db, belief, margin
        As of `_Stored`.
    fallen
        The limits, each with its source and target. None of them bears on a contradiction, so that
        the rest is settled as before.
    """

    def __init__(
        self,
        db: Connection,
        belief: Belief,
        margin: Margin,
        fallen: Set[tuple[int, int, int]],
    ) -> None:
        steps = frozenset(step for step, _, _ in fallen)
        super().__init__(db, belief, margin, _Days(db, fallen=steps))
        self._recorded = _Days(db, ("recorded_earliest", "recorded_latest"), "", steps)
        for days in (self._days, self._recorded):
            for side in (0, 1):
                days.reckon(side, {ends[side] for _, *ends in fallen})

    def _disputed(self, event: int, disputed: int) -> bool:
        early, late = recorded = self._recorded.bounds(event)
        crossed = early is not None and late is not None and early > late
        (in_conflict,) = self._row(_IN_CONFLICT, event)
        return bool(in_conflict) or crossed or recorded != self._days.bounds(event)


def _triple(subject: str, verb: str, *value: str) -> Triple:
    return URIRef(subject), URIRef(verb), term(*value)


def _claims(belief: Belief, statement: Triple) -> tuple[Claim, ...]:
    """Return the claims that make a statement, or the claim that it says rests on its source."""
    if statement[1] == PROV.hadPrimarySource:
        return belief.bearing(URIRef(str(statement[0])))
    return belief.rests_on(statement)
