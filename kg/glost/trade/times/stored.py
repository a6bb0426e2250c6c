"""A chronology on disk, from which one point's bounds and arguments are looked up.

`times.sql` says what the tables hold. Whatever is read is data; a file is written once and never
changed, so that any number of processes may read it.
"""

from collections.abc import Callable, Iterable, Iterator
from contextlib import closing
from pathlib import Path
from sqlite3 import connect
from typing import TYPE_CHECKING, Any

from rdflib import URIRef
from rdflib.namespace import PROV

from glost.record.belief import Belief
from glost.record.dates import Margin
from glost.record.store import add, begin, end, opened, spelt, term
from glost.trade.times.arguments import Argument, Ground, Step
from glost.trade.times.bounded import Bounded
from glost.trade.times.results import Bounds
from glost.trade.times.rules import Rule

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
    steps = list(times.steps())
    reasons = sorted({step[-1] for step in steps})
    rests = [(reason, times.rests_on(reason)) for reason in reasons]
    with closing(connect(path)) as db:
        begin(db, "times.sql", _HERE)
        add(db, "event", _events(times))
        add(db, "step", steps)
        add(db, "reason", ((reason, times.rule(reason).name) for reason in reasons))
        add(db, "rests", ((r, at, g) for r, some in rests for at, g in enumerate(some)))
        grounds = sorted({ground for _, some in rests for ground in some})
        add(db, "lag", [(times.lag,)])
        add(db, "ground", (_ground(number, times.ground(number)) for number in grounds))
        end(db, "times_indexes.sql", _HERE)


def _events(times: "Chronology") -> Iterator[tuple[Any, ...]]:
    for event, point in times.events():
        yield event, point, *times.bounds(point), *times.reading_bounds(point)


def _ground(number: int, ground: Ground) -> tuple[Any, ...]:
    subject, property_, value = ground.triple
    return number, str(subject), str(property_), *spelt(value), ground.weight


_BOUNDS = "SELECT earliest, latest, disputed FROM event WHERE point = ?"
_WIDEST = "SELECT widest_earliest, widest_latest, widest_disputed FROM event WHERE point = ?"
_EVENT = "SELECT event FROM event WHERE point = ? AND {} IS NOT NULL"
_POINT = "SELECT point FROM event WHERE event = ?"
_STEPS = """
SELECT from_event, days, reason FROM step WHERE late = ? AND reached = ? ORDER BY step
"""
_GROUNDS = "SELECT ground FROM rests WHERE reason = ? ORDER BY place"
_GROUND = """
SELECT subject, property, object, kind, datatype, language, weight FROM ground WHERE ground = ?
"""
_Onward = tuple[int, int, int]
"""The event that a step reaches, its days, and its reason."""


class StoredTimes(Bounded):
    """A chronology looked up in a file.

    Parameters
    ----------
    path
        A file that `write` wrote.
    belief
        What is believed, whose claims it rests on.
    rules, margin
        As of `Bounded`.
    whole
        Gives the chronology itself, for what needs all of it at once.
    """

    def __init__(
        self,
        path: Path,
        belief: Belief,
        rules: dict[str, Rule],
        margin: Margin,
        whole: "Callable[[], Chronology]",
    ) -> None:
        self._db = opened(path)
        self._belief = belief
        self.rules, self.margin = rules, margin
        self.lag = self._db.execute("SELECT days FROM lag").fetchone()[0]
        self._whole = whole
        self._grounds: dict[int, Ground] = {}

    def _row(self, query: str, *values: object) -> tuple[Any, ...] | None:
        row: tuple[Any, ...] | None = self._db.execute(query, values).fetchone()
        return row

    def bounds(self, point: URIRef) -> Bounds:
        """Return when a point falls; see `Bounded.bounds`."""
        return _bounds(self._row(_BOUNDS, point))

    def reading_bounds(self, point: URIRef) -> Bounds:
        """Return when a point falls in any case; see `Bounded.reading_bounds`."""
        return _bounds(self._row(_WIDEST, point))

    def why_not_before(self, point: URIRef) -> Argument | None:
        """Return the shortest argument for a point's earliest day; None if there is no such day."""
        return self._why(point, late=False)

    def why_not_after(self, point: URIRef) -> Argument | None:
        """Return the shortest argument for a point's latest day; None if there is no such day."""
        return self._why(point, late=True)

    def relations(self, one: URIRef, other: URIRef) -> tuple[str, ...]:
        """Name the relations in which two runs may stand; see `Bounded.relations`."""
        return self._whole().relations(one, other)

    def _why(self, point: URIRef, *, late: bool) -> Argument | None:
        found = self._row(_EVENT.format("latest" if late else "earliest"), point)
        if found is None:
            return None
        day, steps = 0, []
        for reached, days, reason in self._chain(found[0], late=late):
            day += days if late else -days
            name = (self._row("SELECT rule FROM reason WHERE reason = ?", reason) or ("",))[0]
            grounds = tuple(self._ground(g) for (g,) in self._db.execute(_GROUNDS, (reason,)))
            steps.append(Step(self.rules[name], grounds, self._point(reached), day))
        return Argument(late, tuple(steps))

    def _chain(self, event: int, *, late: bool) -> Iterable[_Onward]:
        """Go back breadth first along tight limits until a date is met; return the way from it."""
        onward: dict[int, _Onward] = {}
        layer = [event]
        while layer:
            following = []
            for here in layer:
                for back, days, reason in self._db.execute(_STEPS, (late, here)):
                    if back in onward or back == event:
                        continue
                    onward[back] = here, days, reason
                    if back == _ORIGIN:
                        return _follow(onward, event)
                    following.append(back)
            layer = following
        raise ValueError("these are not the steps to the bounds of this point")

    def _point(self, event: int) -> URIRef:
        return URIRef((self._row(_POINT, event) or ("",))[0])

    def _ground(self, number: int) -> Ground:
        if number not in self._grounds:
            subject, verb, *value, weight = self._row(_GROUND, number) or ()
            triple = URIRef(subject), URIRef(verb), term(*value)
            if triple[1] == PROV.hadPrimarySource:
                claims = self._belief.bearing(triple[0])
            else:
                claims = self._belief.rests_on(triple)
            self._grounds[number] = Ground(triple, claims, weight)
        return self._grounds[number]


def _follow(onward: dict[int, _Onward], event: int) -> Iterator[_Onward]:
    at = _ORIGIN
    while at != event:
        yield onward[at]
        at = onward[at][0]


def _bounds(row: tuple[Any, ...] | None) -> Bounds:
    return Bounds(None, None) if row is None else Bounds(row[0], row[1], bool(row[2]))
