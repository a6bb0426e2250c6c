"""Events and limits put together, each limit with the rule and the grounds it rests on."""

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike
from rdflib import URIRef

from glost.reason.chronology.network import ORIGIN, Network, Reasons
from glost.trade.times.rules import Rule
from glost.trade.times.statements import Ints, Statements

DATE = ""
"""The point at which a source is dated; its IRI is that of the source itself."""


@dataclass
class Events:
    """The points in time of things, numbered from 1; 0 is the origin.

    Attributes
    ----------
    statements
        Number the things.
    points
        For each event its thing's number and its point: ``begin``, ``end``, ``made``,
        ``decorated`` or `DATE`.
    """

    statements: Statements
    points: list[tuple[int, str]] = field(default_factory=lambda: [(-1, "")])
    numbers: dict[str, dict[int, int]] = field(default_factory=dict)

    def one(self, thing: int, point: str) -> int:
        """Return the number of a point, new or seen before."""
        known = self.numbers.setdefault(point, {})
        event = known.setdefault(thing, len(self.points))
        if event == len(self.points):
            self.points.append((thing, point))
        return event

    def all(self, things: Ints, point: str) -> Ints:
        """Return the numbers of one point of many things."""
        unique, back = np.unique(things, return_inverse=True)
        events = [self.one(thing, point) for thing in unique.tolist()]
        return np.array(events, dtype=np.int64)[back]

    def find(self, point: URIRef) -> int:
        """Return the number of a point by its IRI; 0 if nothing bounds it."""
        whole, _, name = str(point).partition("#")
        thing = self.statements.number.get(URIRef(whole), -1)
        return self.numbers.get(name, {}).get(thing, 0)

    def iri(self, event: int) -> URIRef:
        """Return the IRI of a point."""
        thing, point = self.points[event]
        whole = str(self.statements.terms[thing])
        return URIRef(f"{whole}#{point}" if point else whole)

    def of_term(self, term: int) -> int:
        """Return the number of the point whose IRI is a term."""
        whole, _, name = str(self.statements.terms[term]).partition("#")
        return self.one(self.statements.thing(URIRef(whole)), name)


@dataclass
class Gathering:
    """Limits under construction.

    Attributes
    ----------
    statements
        What the limits rest on.
    events
        What they are between.
    rules
        The rules in force; a reason names one by its place.
    """

    statements: Statements
    rules: dict[str, Rule]
    events: Events = field(init=False)
    _limits: list[tuple[Ints, Ints, Ints, Ints]] = field(default_factory=list)
    _grounds: list[Ints] = field(default_factory=list)
    _sizes: list[Ints] = field(default_factory=list)
    _rule: list[Ints] = field(default_factory=list)
    _count: int = 0

    def __post_init__(self) -> None:
        """Begin with no event but the origin."""
        self.events = Events(self.statements)

    def reasons(self, rule: str, *grounds: Ints, count: int | None = None) -> Ints:
        """Make a reason of each row of grounds, and return their numbers.

        Grounds that the very same claims make fall and stand together; only the first is kept.
        """
        size = len(grounds[0]) if count is None else count
        table = np.array(grounds, dtype=np.int64).reshape(len(grounds), size).T
        keep = np.ones(table.shape, dtype=np.bool_)
        support = self.statements.support[table]
        for later in range(1, table.shape[1]):
            for earlier in range(later):
                keep[:, later] &= support[:, later] != support[:, earlier]
        self._grounds.append(table[keep])
        self._sizes.append(keep.sum(axis=1))
        self._rule.append(np.full(size, list(self.rules).index(rule)))
        self._count += size
        return np.arange(self._count - size, self._count)

    def limit(self, earlier: ArrayLike, later: ArrayLike, days: ArrayLike, reason: Ints) -> None:
        """Demand that each `earlier` event comes at most `days` days after the `later` one."""
        parts = (later, earlier, days, reason)
        columns = np.broadcast_arrays(*(np.asarray(part, dtype=np.int64) for part in parts))
        self._limits.append((columns[0], columns[1], columns[2], columns[3]))

    def not_before(self, event: ArrayLike, day: ArrayLike, reason: Ints) -> None:
        """Demand that events happen on a day or later."""
        self.limit(ORIGIN, event, -np.asarray(day), reason)

    def not_after(self, event: ArrayLike, day: ArrayLike, reason: Ints) -> None:
        """Demand that events happen on a day or earlier."""
        self.limit(event, ORIGIN, day, reason)

    def network(self) -> tuple[Network, Ints]:
        """Return the network, and the place of each reason's rule."""
        columns = [_joined(column) for column in zip(*self._limits, strict=True)] or [
            np.zeros(0, np.int64)
        ] * 4
        starts = np.concatenate([[0], np.cumsum(_joined(self._sizes))])
        reasons = Reasons(starts.astype(np.int64), _joined(self._grounds))
        source, target, days, reason = columns
        made = Network.build(len(self.events.points), source, target, days, reason, reasons)
        return made, _joined(self._rule)


def _joined(parts: Iterable[Ints]) -> Ints:
    return np.concatenate([np.zeros(0, np.int64), *parts]).astype(np.int64, copy=False)
