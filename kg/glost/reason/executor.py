"""What runs the SQL: the interface the engine asks for, DuckDB behind it, and what is chosen."""

import os
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Protocol

import duckdb
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


class DuckDB:
    """DuckDB, in memory or in a file.

    Parameters
    ----------
    file
        Where to keep the tables when they may be larger than memory; ``None`` keeps them in
        memory.
    """

    def __init__(self, file: Path | None = None) -> None:
        self._connection = duckdb.connect(str(file) if file else ":memory:")
        self._connection.execute("SET preserve_insertion_order = false")
        self._base: set[str] = set()

    def _number(self, statement: str) -> int:
        """Return the one number that a statement answers, and leave nothing unread."""
        return int(self._connection.execute(statement).fetchall()[0][0])

    def load(self, table: str, columns: Columns) -> None:
        """Make a table from arrays; one of that name is replaced."""
        self._connection.register("arrays", dict(columns))
        self._connection.execute(f"CREATE OR REPLACE TABLE {table} AS SELECT * FROM arrays")
        self._connection.unregister("arrays")

    def create(self, table: str, columns: Sequence[str]) -> None:
        """Make an empty table; ``base`` is a truth value, every other column a number."""
        kinds = ", ".join(f"{c} {'BOOLEAN' if c == 'base' else 'INTEGER'}" for c in columns)
        self._connection.execute(f"CREATE OR REPLACE TABLE {table} ({kinds})")
        if "base" in columns:
            self._base.add(table)

    def append(self, table: str, columns: Sequence[str], select: str) -> int:
        """Add the rows of a ``SELECT`` and return how many they were."""
        return self._number(f"INSERT INTO {table} ({', '.join(columns)}) {select}")

    def read(self, select: str) -> dict[str, NDArray[Any]]:
        """Return the rows of a ``SELECT``, an array for each column."""
        found = self._connection.execute(select).fetchnumpy()
        return {name: np.asarray(column) for name, column in found.items()}

    def remove(self, table: str, columns: Sequence[str], listed: str) -> int:
        """Take away the rows that another table lists and return how many they were."""
        agree = " AND ".join(f"{table}.{c} = l.{c}" for c in columns)
        return self._number(f"DELETE FROM {table} USING {listed} l WHERE {agree}")

    def rename(self, table: str, columns: Sequence[str], mapping: str, step: int) -> int:
        """Rewrite terms and return the number of rows then in the table."""
        run = self._connection.execute
        run(f"CREATE OR REPLACE TEMP TABLE moved AS {moved(table, columns, mapping)}")
        if self._number("SELECT count(*) FROM moved"):
            for c in columns:
                run(f"DELETE FROM {table} WHERE {c} IN (SELECT old FROM {mapping})")
            listed, base = ", ".join(columns), table in self._base
            run(
                f"INSERT INTO {table} ({listed}, step{', base' if base else ''}) "
                f"SELECT {listed}, {step}{', true' if base else ''} FROM "
                f"(SELECT {listed} FROM moved EXCEPT SELECT {listed} FROM {table})"
            )
        return self._number(f"SELECT count(*) FROM {table}")

    def drop(self, table: str) -> None:
        """Forget a table, if there is one of that name."""
        self._connection.execute(f"DROP TABLE IF EXISTS {table}")
        self._base.discard(table)

    def close(self) -> None:
        """Give everything back."""
        self._connection.close()


def chosen() -> Executor:
    """Return what the environment chooses: DuckDB, or Spark where `MASTER` names one.

    It is the environment's choice and not a collection's, which may come from a stranger.

    Raises
    ------
    glost.usage.UsageError
        If Spark is chosen and is not installed.
    """
    master = os.environ.get(MASTER, "")
    if not master:
        return DuckDB()
    from glost.reason.spark import Spark

    return Spark(session(master), shared_folder() / "tables")
