"""Events and limits put together, each limit with the rule and the grounds it rests on."""

from bisect import bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

import numpy as np
import polars as pl
from numpy.typing import ArrayLike
from rdflib import URIRef

from glost.reason.chronology.network import ORIGIN, Network, Reasons
from glost.trade.times.rules import TimeRule
from glost.trade.times.statements import Ints, TimeStatements

DATE = ""
"""The point at which a source is dated; its IRI is that of the source itself."""


class Events:
    """The points in time of things, numbered from 1; 0 is the origin.

    A point is one of ``begin``, ``end``, ``made``, ``decorated``, or `DATE`.

    Parameters
    ----------
    statements
        Number the things.
    """

    def __init__(self, statements: TimeStatements) -> None:
        self.statements = statements
        self.count = 1
        self._event: dict[str, Ints] = {}
        self._starts: list[int] = []
        self._added: list[tuple[str, Ints]] = []

    def one(self, thing: int, point: str) -> int:
        """Return the number of a point, new or seen before."""
        return int(self.all(np.array([thing]), point)[0])

    def all(self, things: Ints, point: str) -> Ints:
        """Return the numbers of one point of many things, new or seen before."""
        known = self._known(point, int(things.max(initial=-1)))
        new = np.unique(things[known[things] == 0])
        if new.size:
            known[new] = np.arange(self.count, self.count + new.size)
            self._starts.append(self.count)
            self._added.append((point, new))
            self.count += new.size
        return known[things]

    def _known(self, point: str, highest: int) -> Ints:
        """Return the event of each thing, or 0, with room for the highest."""
        known = self._event.get(point, np.zeros(0, np.int64))
        if highest >= len(known):
            room = max(highest + 1, len(self.statements.terms), 2 * len(known))
            known = np.concatenate([known, np.zeros(room - len(known), np.int64)])
            self._event[point] = known
        return known

    def things(self, point: str) -> Ints:
        """Return the things of which a point is spoken of, sorted."""
        return np.flatnonzero(self._event.get(point, np.zeros(0, np.int64)))

    def seen(self, things: Ints, point: str) -> Ints:
        """Return the numbers of one point of many things; 0 where nothing bounds it."""
        known = self._event.get(point, np.zeros(0, np.int64))
        inside = things < len(known)
        found = np.zeros(len(things), np.int64)
        found[inside] = known[things[inside]]
        return found

    def find(self, point: URIRef) -> int:
        """Return the number of a point by its IRI; 0 if nothing bounds it."""
        whole, _, name = str(point).partition("#")
        thing, known = self.statements.terms.find(URIRef(whole)), self._event.get(name)
        return int(known[thing]) if known is not None and 0 <= thing < len(known) else 0

    def of_thing(self, thing: str) -> Iterator[tuple[str, int]]:
        """Yield the name and number of every point of a thing that something bounds."""
        term = self.statements.terms.find(URIRef(thing))
        for name, known in self._event.items() if term >= 0 else ():
            if term < len(known) and known[term]:
                yield name, int(known[term])

    def point(self, event: int) -> tuple[int, str]:
        """Return the thing of an event and the point's name."""
        part = bisect_right(self._starts, event) - 1
        name, things = self._added[part]
        return int(things[event - self._starts[part]]), name

    def iri(self, event: int) -> URIRef:
        """Return the IRI of a point."""
        thing, point = self.point(event)
        whole = self.statements.iri(thing)
        return URIRef(f"{whole}#{point}" if point else whole)

    def of_terms(self, terms: Ints) -> Ints:
        """Return the numbers of the points whose IRIs are terms."""
        unique, back = np.unique(terms, return_inverse=True)
        iris = self.statements.terms.texts(unique).alias("iri").to_frame()
        parts = iris.select(pl.col("iri").str.splitn("#", 2).struct.rename_fields(["a", "b"]))
        frame = parts.unnest("iri").with_columns(pl.col("b").fill_null("")).with_row_index("at")
        events = np.zeros(len(unique), np.int64)
        for (name,), part in frame.sort("b", "at").group_by("b", maintain_order=True):
            things = self.statements.terms.add_all(part["a"])
            events[part["at"].to_numpy()] = self.all(things, str(name))
        return events[back]


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

    statements: TimeStatements
    rules: dict[str, TimeRule]
    events: Events = field(init=False)
    _limits: list[tuple[Ints, Ints, Ints, Ints]] = field(default_factory=list)
    _grounds: list[Ints] = field(default_factory=list)
    _sizes: list[Ints] = field(default_factory=list)
    _rule: list[Ints] = field(default_factory=list)
    _count: int = 0

    def __post_init__(self) -> None:
        """Begin with no event but the origin."""
        self.events = Events(self.statements)

    def reasons(
        self, rule: str, *grounds: Ints, count: int | None = None, apart: bool = False
    ) -> Ints:
        """Make a reason of each row of grounds, and return their numbers.

        Of grounds that the very same claims make, and that cost the same to set aside, only the
        first is kept; `apart` keeps all, where one says more than another and costs more.
        """
        size = len(grounds[0]) if count is None else count
        table = np.array(grounds, dtype=np.int64).reshape(len(grounds), size).T
        keep = np.ones(table.shape, dtype=np.bool_)
        support = self.statements.support[table]
        for later in range(1, 0 if apart else table.shape[1]):
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
        made = Network.build(self.events.count, source, target, days, reason, reasons)
        return made, _joined(self._rule)


def _joined(parts: Iterable[Ints]) -> Ints:
    return np.concatenate([np.zeros(0, np.int64), *parts]).astype(np.int64, copy=False)
