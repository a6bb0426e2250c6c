"""What is known, in tables: a table for each class and property, each row with its step."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping

import numpy as np

from glost.reason.coding import Fact
from glost.reason.executor import Executor
from glost.reason.sql import SqlTable


class Tables:
    """The tables of an engine and what is known of their contents.

    Parameters
    ----------
    executor
        Where the tables are.
    names
        The name of each relation's table; a table is made when it is first needed.
    transitive
        The relations whose rows tell whether transitivity made them.
    """

    def __init__(
        self, executor: Executor, names: Mapping[SqlTable, str], transitive: Collection[SqlTable]
    ) -> None:
        self.executor, self.names = executor, names
        self._transitive = transitive
        self.step = 0
        self.count: dict[SqlTable, int] = defaultdict(int)
        self.newest: dict[SqlTable, int] = defaultdict(int)
        self.steps: dict[SqlTable, set[int]] = defaultdict(set)

    def columns(self, rel: SqlTable) -> tuple[str, ...]:
        """Return the columns of a relation's table."""
        return (*rel.columns, "step", *(("base",) if rel in self._transitive else ()))

    def clear(self) -> None:
        """Drop every table but that of the given facts."""
        for rel in list(self.steps):
            self.executor.drop(self.names[rel])
        for state in (self.count, self.newest, self.steps):
            state.clear()

    def _add(self, rel: SqlTable, select: str, base: bool) -> int:
        """Add rows that are known to be new; the table is made when it is first needed."""
        columns = self.columns(rel)
        if rel not in self.steps:
            self.executor.create(self.names[rel], columns)
            self.steps[rel] = set()
        listed = ", ".join(rel.columns)
        flag = f", {str(base).lower()} AS base" if "base" in columns else ""
        added = self.executor.append(
            self.names[rel],
            columns,
            f"SELECT {listed}, {self.step} AS step{flag} FROM ({select}) n",
        )
        if added:
            self.newest[rel] = self.step
            self.steps[rel].add(self.step)
            self.count[rel] += added
        return added

    def _insert(self, rel: SqlTable, selects: list[str], base: bool, copy: bool = False) -> int:
        """Add what is not there yet."""
        if not selects:
            return 0
        listed = ", ".join(rel.columns)
        found = " UNION ALL ".join(selects)
        if self.count[rel]:
            known = f"SELECT {listed} FROM {self.names[rel]}"
            found = f"SELECT {listed} FROM ({found}) f EXCEPT {known}"
        elif not copy:
            found = f"SELECT DISTINCT {listed} FROM ({found}) f"
        return self._add(rel, found, base)

    # -- changing, after the rules have run ------------------------------------------------------

    def assert_rows(self, facts: Iterable[Fact]) -> None:
        """Add to the given facts; nothing is inferred from them yet."""
        self._listed(facts)
        self.executor.append("asserted", ("s", "p", "o"), "SELECT s, p, o FROM listed")

    def retract_rows(self, facts: Iterable[Fact]) -> None:
        """Take away from the given facts; what was inferred stays."""
        self._listed(facts)
        self.executor.remove("asserted", ("s", "p", "o"), "listed")

    def _listed(
        self, rows: Iterable[tuple[int, ...]], names: tuple[str, ...] = ("s", "p", "o")
    ) -> None:
        table = np.array(list(rows), np.int32).reshape(-1, len(names)).T
        columns = {n: np.ascontiguousarray(c) for n, c in zip(names, table, strict=True)}
        self.executor.load("listed", columns)

    def replace(self, rel: SqlTable, gone: list[Fact], new: list[tuple[int, int, int]]) -> None:
        """Take rows from a relation's table and add others, each with its step."""
        if gone and rel in self.steps:
            self._listed(gone)
            self.count[rel] -= self.executor.remove(self.names[rel], rel.columns, "listed")
        if not new:
            return
        columns = self.columns(rel)
        if rel not in self.steps:
            self.executor.create(self.names[rel], columns)
        self._listed(new, ("s", "o", "step"))
        base = ", true AS base" if "base" in columns else ""
        listed = ", ".join((*rel.columns, "step"))
        self.count[rel] += self.executor.append(
            self.names[rel], columns, f"SELECT {listed}{base} FROM listed"
        )
        self.steps[rel] |= {row[2] for row in new}
