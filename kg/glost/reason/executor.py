"""What runs the SQL: the interface the engine asks for, what stands behind it, what is chosen."""

import os
import sqlite3
from abc import ABC, abstractmethod
from collections.abc import Mapping, Sequence
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from glost.record.partitioned import MASTER, session, shared_folder

Columns = Mapping[str, NDArray[Any]]


class Executor(Protocol):
    """Tables of whole numbers, and the few things the engine does to them."""

    def load(self, table: str, columns: Columns) -> None:
        """Make a table from arrays; one of that name is replaced."""

    def create(self, table: str, columns: Sequence[str]) -> None:
        """Make an empty table; ``base`` is a truth value, every other column a number."""

    def append(self, table: str, columns: Sequence[str], select: str) -> int:
        """Add the rows of a ``SELECT`` and return how many they were."""

    def read(self, select: str) -> dict[str, NDArray[Any]]:
        """Return the rows of a ``SELECT``, an array for each column."""

    def remove(self, table: str, columns: Sequence[str], listed: str) -> int:
        """Take away the rows that another table lists and return how many they were."""

    def rename(self, table: str, columns: Sequence[str], mapping: str, step: int) -> int:
        """Rewrite terms and return the number of rows then in the table.

        Parameters
        ----------
        table
            The table to rewrite.
        columns
            Those of ``s`` and ``o`` that it has.
        mapping
            A table with the columns ``old`` and ``new``.
        step
            The step of the rows rewritten; one that was there already keeps its own.
        """

    def drop(self, table: str) -> None:
        """Forget a table, if there is one of that name."""

    def close(self) -> None:
        """Give everything back."""


def moved(table: str, columns: Sequence[str], mapping: str) -> str:
    """Return the ``SELECT`` of the rows to rewrite, old terms and new."""
    joins = " ".join(f"LEFT JOIN {mapping} m{c} ON t.{c} = m{c}.old" for c in columns)
    new = ", ".join(f"coalesce(m{c}.new, t.{c}) AS {c}" for c in columns)
    hit = " OR ".join(f"m{c}.old IS NOT NULL" for c in columns)
    return f"SELECT DISTINCT {new} FROM {table} t {joins} WHERE {hit}"


class SqlDatabase(ABC):
    """What the databases within this process do alike.

    They find rows by the same SQL, and differ in how arrays go in and come out.
    """

    def __init__(self) -> None:
        self._base: set[str] = set()

    @abstractmethod
    def _run(self, statement: str) -> None:
        """Run a statement that answers nothing."""

    @abstractmethod
    def _changed(self, statement: str) -> int:
        """Run a statement and return how many rows it added or took away."""

    @abstractmethod
    def load(self, table: str, columns: Columns) -> None:
        """Make a table from arrays; one of that name is replaced."""

    @abstractmethod
    def read(self, select: str) -> dict[str, NDArray[Any]]:
        """Return the rows of a ``SELECT``, an array for each column."""

    @abstractmethod
    def close(self) -> None:
        """Give everything back."""

    def _count(self, table: str) -> int:
        return int(self.read(f"SELECT count(*) AS rows FROM {table}")["rows"][0])

    def create(self, table: str, columns: Sequence[str]) -> None:
        """Make an empty table; ``base`` is a truth value, every other column a number."""
        kinds = ", ".join(f"{c} {'BOOLEAN' if c == 'base' else 'INTEGER'}" for c in columns)
        self.drop(table)
        self._run(f"CREATE TABLE {table} ({kinds})")
        if "base" in columns:
            self._base.add(table)

    def append(self, table: str, columns: Sequence[str], select: str) -> int:
        """Add the rows of a ``SELECT`` and return how many they were."""
        return self._changed(f"INSERT INTO {table} ({', '.join(columns)}) {select}")

    def remove(self, table: str, columns: Sequence[str], listed: str) -> int:
        """Take away the rows that another table lists and return how many they were."""
        agree = " AND ".join(f"{table}.{c} = l.{c}" for c in columns)
        return self._changed(
            f"DELETE FROM {table} WHERE EXISTS (SELECT 1 FROM {listed} l WHERE {agree})"
        )

    def rename(self, table: str, columns: Sequence[str], mapping: str, step: int) -> int:
        """Rewrite terms and return the number of rows then in the table."""
        self._run("DROP TABLE IF EXISTS moved")
        self._run(f"CREATE TEMP TABLE moved AS {moved(table, columns, mapping)}")
        if self._count("moved"):
            for c in columns:
                self._run(f"DELETE FROM {table} WHERE {c} IN (SELECT old FROM {mapping})")
            listed, base = ", ".join(columns), table in self._base
            self._run(
                f"INSERT INTO {table} ({listed}, step{', base' if base else ''}) "
                f"SELECT {listed}, {step}{', true' if base else ''} FROM "
                f"(SELECT {listed} FROM moved EXCEPT SELECT {listed} FROM {table}) new"
            )
        return self._count(table)

    def drop(self, table: str) -> None:
        """Forget a table, if there is one of that name."""
        self._run(f"DROP TABLE IF EXISTS {table}")
        self._base.discard(table)


class DuckDB(SqlDatabase):
    """DuckDB in memory."""

    def __init__(self) -> None:
        super().__init__()
        import duckdb  # a small collection is closed without it

        self._connection = duckdb.connect(":memory:")
        self._run("SET preserve_insertion_order = false")

    def _run(self, statement: str) -> None:
        self._connection.execute(statement)

    def _changed(self, statement: str) -> int:
        """Return the one number that a statement answers, and leave nothing unread."""
        return int(self._connection.execute(statement).fetchall()[0][0])

    def load(self, table: str, columns: Columns) -> None:
        """Make a table from arrays; one of that name is replaced."""
        self._connection.register("arrays", dict(columns))
        self._run(f"CREATE OR REPLACE TABLE {table} AS SELECT * FROM arrays")
        self._connection.unregister("arrays")

    def read(self, select: str) -> dict[str, NDArray[Any]]:
        """Return the rows of a ``SELECT``, an array for each column."""
        found = self._connection.execute(select).fetchnumpy()
        return {name: np.asarray(column) for name, column in found.items()}

    def close(self) -> None:
        """Give everything back."""
        self._connection.close()


class SQLite(SqlDatabase):
    """SQLite in memory, which runs the many statements of a small closure ten times as fast."""

    def __init__(self) -> None:
        super().__init__()
        self._connection = sqlite3.connect(
            ":memory:", isolation_level=None, check_same_thread=False
        )

    def _run(self, statement: str) -> None:
        self._connection.execute(statement)

    def _changed(self, statement: str) -> int:
        return self._connection.execute(statement).rowcount

    def load(self, table: str, columns: Columns) -> None:
        """Make a table from arrays; one of that name is replaced."""
        self.create(table, tuple(columns))
        rows = zip(*(column.tolist() for column in columns.values()), strict=True)
        places = ", ".join("?" * len(columns))
        self._run("BEGIN")
        self._connection.executemany(f"INSERT INTO {table} VALUES ({places})", rows)
        self._run("COMMIT")

    def read(self, select: str) -> dict[str, NDArray[Any]]:
        """Return the rows of a ``SELECT``, an array for each column."""
        found = self._connection.execute(select)
        names = [name for name, *_ in found.description]
        rows = np.array(found.fetchall(), np.int32).reshape(-1, len(names))
        return {
            name: np.ascontiguousarray(rows[:, at], np.bool_ if name == "base" else np.int32)
            for at, name in enumerate(names)
        }

    def close(self) -> None:
        """Give everything back."""
        self._connection.close()


SMALL = 50_000
"""Of fewer facts SQLite makes the closure sooner than DuckDB."""


def embedded(facts: int) -> Executor:
    """Return what closes a number of facts soonest within this process."""
    return SQLite() if facts < SMALL else DuckDB()


def chosen(facts: int) -> Executor:
    """Return what the environment and the number of facts choose.

    Parameters
    ----------
    facts
        How many are to be closed.

    Returns
    -------
    Executor
        SQLite if they are few, else DuckDB; Spark where `MASTER` names one. It is the
        environment's choice and not a collection's, which may come from a stranger.

    Raises
    ------
    glost.usage.UsageError
        If Spark is chosen and is not installed.
    """
    master = os.environ.get(MASTER, "")
    if not master:
        return embedded(facts)
    from glost.reason.spark import Spark

    return Spark(session(master), shared_folder() / "tables")
