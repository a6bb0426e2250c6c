"""Known facts looked up by what is known of them, without SQL: for proofs and small changes.

Each relation is sorted once, when first asked for; what is added or taken away later is kept
beside it.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterator
from typing import Any

import numpy as np
from numpy.typing import NDArray
from rdflib.namespace import RDF

from glost.reason.coding import Fact
from glost.reason.engine import ASSERTED, Engine
from glost.reason.sql import SqlTable

Row = tuple[int, int, int]
"""Subject, object and the step in which the row first appeared."""

Key = tuple[int, int | None]
"""A property, or ``rdf:type`` with a class."""


class _Sorted:
    """The rows of one relation, by subject and, when needed, by object."""

    def __init__(self, s: NDArray[Any], o: NDArray[Any], step: NDArray[Any]) -> None:
        order = np.lexsort((o, s))
        # for one number at a time the standard library looks quicker than NumPy
        self._s, self._o, self._step = (each[order].data for each in (s, o, step))
        self._by_object: tuple[memoryview, memoryview] | None = None

    def size(self, s: int | None, o: int | None) -> int:
        """Return how many rows there are, or nearly so where both are given."""
        column, value = (self._s, s) if s is not None else (self.by_object()[1], o)
        if value is None:
            return len(self._s)
        first = bisect_left(column, value)
        return bisect_right(column, value, first) - first

    def rows(self, s: int | None, o: int | None) -> list[Row]:
        if s is None:
            return self._of_object(o) if o is not None else list(self._all())
        column = self._s
        first = bisect_left(column, s)
        if first == len(column) or column[first] != s:
            return []
        last = bisect_right(column, s, first)
        if o is None:
            return [(s, self._o[at], self._step[at]) for at in range(first, last)]
        at = bisect_left(self._o, o, first, last)
        return [(s, o, self._step[at])] if at < last and self._o[at] == o else []

    def _all(self) -> Iterator[Row]:
        return zip(self._s, self._o, self._step, strict=True)

    def by_object(self) -> tuple[memoryview, memoryview]:
        """Return the rows' places in the order of their objects, and these objects, sorted."""
        if self._by_object is None:
            objects = np.asarray(self._o)
            order = np.argsort(objects, kind="stable").astype(np.int32)
            self._by_object = order.data, objects[order].data
        return self._by_object

    def _of_object(self, o: int) -> list[Row]:
        order, objects = self.by_object()
        first = bisect_left(objects, o)
        places = order[first : bisect_right(objects, o, first)]
        return [(self._s[at], o, self._step[at]) for at in places]


class _Changes:
    """Rows that came or went since a relation was sorted."""

    def __init__(self) -> None:
        self.by_subject: dict[int, dict[int, int]] = {}
        self.by_object: dict[int, dict[int, int]] = {}
        self.gone: set[tuple[int, int]] = set()

    def rows(self, s: int | None, o: int | None) -> list[Row]:
        if s is not None:
            found = self.by_subject.get(s, {})
            if o is not None:
                return [(s, o, found[o])] if o in found else []
            return [(s, b, step) for b, step in found.items()]
        if o is not None:
            return [(a, o, step) for a, step in self.by_object.get(o, {}).items()]
        return [(a, b, step) for a, of in self.by_subject.items() for b, step in of.items()]


class StatementIndex:
    """All facts of an engine, with the codes that stand for equated names.

    Parameters
    ----------
    engine
        After its rules have run.
    """

    def __init__(self, engine: Engine) -> None:
        self.engine = engine
        code = engine.terms.code
        self.typed = code(RDF.type)
        self.relations: dict[Key, SqlTable] = {
            (code(rel.link), None if rel.cls is None else code(rel.cls)): rel
            for rel in engine.names
        }
        self._sorted: dict[Key, _Sorted] = {}
        self._changes: dict[Key, _Changes] = {}
        self._asserted: dict[Key, _Sorted] = {}
        self._complete = False

    def complete(self) -> None:
        """Load every relation, so that nothing looked up later needs the database."""
        read, typed = self.engine.executor.read, self.typed
        properties = read(f"SELECT DISTINCT p FROM asserted WHERE p <> {typed}")["p"]
        classes = read(f"SELECT DISTINCT o FROM asserted WHERE p = {typed}")["o"]
        keys = {*self.relations, *((p, None) for p in properties.tolist())}
        for key in keys | {(typed, o) for o in classes.tolist()}:
            self._table(key).by_object()
            if self.engine.same or key not in self.relations:
                self._table_given(key)
        self._complete = True

    def key(self, p: int, o: int | None) -> Key:
        """Return where facts with a property, and an object if it is a class, are kept."""
        return (p, o) if p == self.typed else (p, None)

    def _load(self, key: Key) -> _Sorted:
        rel = self.relations.get(key)
        if rel is None:
            return self._unruled(key)
        if rel not in self.engine.steps:
            nothing = np.empty(0, np.int32)
            return _Sorted(nothing, nothing, nothing)
        columns = ", ".join((*rel.columns, "step"))
        found = self.engine.executor.read(f"SELECT {columns} FROM {self.engine.names[rel]}")
        o = found.get("o", np.full(len(found["s"]), key[1] or 0, np.int32))
        return _Sorted(found["s"], o, found["step"])

    def _given(self, key: Key) -> tuple[NDArray[Any], NDArray[Any]]:
        if self._complete:
            return np.empty(0, np.int32), np.empty(0, np.int32)
        condition = f"p = {key[0]}" + ("" if key[1] is None else f" AND o = {key[1]}")
        found = self.engine.executor.read(f"SELECT DISTINCT s, o FROM asserted WHERE {condition}")
        return found["s"], found["o"]

    def _unruled(self, key: Key) -> _Sorted:
        """Load facts that no rule is about."""
        s, o = self._given(key)
        same = self.engine.same
        if same and len(s):
            rows = zip(s.tolist(), o.tolist(), strict=True)
            pairs = {(same.find(a), same.find(b)) for a, b in rows}
            s, o = np.array(sorted(pairs), np.int32).T
        return _Sorted(s, o, np.full(len(s), ASSERTED, np.int32))

    def match(self, s: int | None, p: int, o: int | None) -> list[Row]:
        """Return the rows that agree with what is given.

        Parameters
        ----------
        s, p, o
            Codes that stand for their names; ``None`` for any.  After ``rdf:type`` the class
            must be given.

        Returns
        -------
        list of Row
            Sorted by subject and object, later changes last.
        """
        key = self.key(p, o)
        rows = self._table(key).rows(s, o)
        changes = self._changes.get(key)
        if changes:
            if changes.gone:
                rows = [row for row in rows if (row[0], row[1]) not in changes.gone]
            rows += changes.rows(s, o)
        return rows

    def size(self, s: int | None, p: int, o: int | None) -> int:
        """Return about how many rows agree with what is given, later changes aside."""
        key = self.key(p, o)
        return self._table(key).size(s, None if key[1] is not None else o)

    def _table(self, key: Key) -> _Sorted:
        table = self._sorted.get(key)
        if table is None:
            table = self._sorted[key] = self._load(key)
        return table

    def step(self, fact: Fact) -> int | None:
        """Return the step in which a fact first appeared, or ``None`` if it is not known."""
        rows = self.match(*fact)
        return rows[0][2] if rows else None

    def asserted(self, fact: Fact) -> bool:
        """Tell whether a fact was given, in just these names."""
        s, p, o = fact
        if not self.engine.same:
            return self.step(fact) == ASSERTED
        return bool(self._table_given(self.key(p, o)).rows(s, o))

    def _table_given(self, key: Key) -> _Sorted:
        table = self._asserted.get(key)
        if table is None:
            s, o = self._given(key)
            table = self._asserted[key] = _Sorted(s, o, o)
        return table

    def forget_asserted(self, fact: Fact) -> None:
        """Read again which facts like this one were given, when next asked."""
        self._asserted.pop(self.key(fact[1], fact[2]), None)
        self._complete = False

    def add(self, fact: Fact, step: int) -> None:
        """Add a fact, or give it another step."""
        s, p, o = fact
        self.remove(fact)
        changes = self._changes.setdefault(self.key(p, o), _Changes())
        changes.by_subject.setdefault(s, {})[o] = step
        changes.by_object.setdefault(o, {})[s] = step

    def remove(self, fact: Fact) -> None:
        """Take a fact away."""
        s, p, o = fact
        changes = self._changes.setdefault(self.key(p, o), _Changes())
        changes.gone.add((s, o))
        if changes.by_subject.get(s, {}).pop(o, None) is not None:
            del changes.by_object[o][s]
