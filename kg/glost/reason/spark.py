"""The closure on Spark, where one machine is too small: the same rules, the same SQL.

A table is a view over Parquet slices, one for each time rows were added, in a folder that every
worker can reach.  Writing slices cuts the plan at each step, and a slice outlives the worker that
wrote it.  Needs the extra ``spark``, and Java.
"""

import shutil
from collections.abc import Sequence
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import polars as pl
from numpy.typing import NDArray

from glost.reason.executor import Columns, moved

if TYPE_CHECKING:
    from pyspark.sql import DataFrame, SparkSession  # type: ignore[import-not-found,unused-ignore]


class Spark:
    """Tables on Spark: an ``Executor``.

    Parameters
    ----------
    session
        A session on any master.
    folder
        A new folder for the slices, on storage that the driver and all workers share.
    """

    def __init__(self, session: "SparkSession", folder: Path) -> None:
        self._session, self._folder = session, folder
        self._slices: dict[str, list[Path]] = {}
        self._kinds: dict[str, str] = {}
        self._numbers = count()
        folder.mkdir(parents=True)

    def _new(self, table: str) -> Path:
        return self._folder / f"{table}-{next(self._numbers)}"

    def _show(self, table: str) -> None:
        """Make the view of a table agree with its slices."""
        kind, paths = self._kinds[table], [str(p) for p in self._slices[table]]
        if paths:
            frame = self._session.read.schema(kind).parquet(*paths)
        else:
            frame = self._session.createDataFrame([], kind)
        frame.createOrReplaceTempView(table)

    def _write(self, table: str, frame: "DataFrame") -> tuple[Path, int]:
        path = self._new(table)
        frame.write.parquet(str(path))
        return path, self._session.read.schema(self._kinds[table]).parquet(str(path)).count()

    def load(self, table: str, columns: Columns) -> None:
        """Make a table from arrays; one of that name is replaced."""
        self.drop(table)
        path = self._new(table)
        path.mkdir()
        pl.DataFrame({n: c.astype(np.int32) for n, c in columns.items()}).write_parquet(
            path / "part-0.parquet"
        )
        self._kinds[table] = ", ".join(f"{n} INT" for n in columns)
        self._slices[table] = [path]
        self._show(table)

    def create(self, table: str, columns: Sequence[str]) -> None:
        """Make an empty table; ``base`` is a truth value, every other column a number."""
        self.drop(table)
        self._kinds[table] = ", ".join(
            f"{c} {'BOOLEAN' if c == 'base' else 'INT'}" for c in columns
        )
        self._slices[table] = []
        self._show(table)

    def append(self, table: str, columns: Sequence[str], select: str) -> int:
        """Add the rows of a ``SELECT`` and return how many they were."""
        path, added = self._write(table, self._session.sql(select).toDF(*columns))
        if added:
            self._slices[table].append(path)
            self._show(table)
        else:
            shutil.rmtree(path)
        return added

    def read(self, select: str) -> dict[str, NDArray[Any]]:
        """Return the rows of a ``SELECT``, an array for each column."""
        path = self._new("answer")
        frame = self._session.sql(select)
        order, frame = frame.columns, frame.coalesce(1)
        frame.write.parquet(str(path))
        found = pl.read_parquet(path / "*.parquet").select(order)
        shutil.rmtree(path)
        return {name: found[name].to_numpy() for name in order}

    def _rewrite(self, table: str, select: str) -> int:
        """Put the rows of a ``SELECT`` in place of a table's and return how many they are."""
        path, rows = self._write(table, self._session.sql(select))
        old, self._slices[table] = self._slices[table], [path]
        self._show(table)
        for gone in old:
            shutil.rmtree(gone)
        return rows

    def _rows(self, table: str) -> int:
        return int(self._session.table(table).count())

    def remove(self, table: str, columns: Sequence[str], listed: str) -> int:
        """Take away the rows that another table lists and return how many they were."""
        before = self._rows(table)
        agree = " AND ".join(f"t.{c} = l.{c}" for c in columns)
        select = f"SELECT t.* FROM {table} t LEFT ANTI JOIN {listed} l ON {agree}"
        return before - self._rewrite(table, select)

    def rename(self, table: str, columns: Sequence[str], mapping: str, step: int) -> int:
        """Rewrite terms and return the number of rows then in the table."""
        new = self._session.sql(moved(table, columns, mapping))
        path = self._new("moved")
        new.write.parquet(str(path))
        written = self._session.read.schema(", ".join(f"{c} INT" for c in columns))
        rows = written.parquet(str(path))
        if rows.isEmpty():
            shutil.rmtree(path)
            return self._rows(table)
        rows.createOrReplaceTempView("moved")
        listed = ", ".join(columns)
        lost = " ".join(f"LEFT ANTI JOIN {mapping} m{c} ON t.{c} = m{c}.old" for c in columns)
        base = ", true AS base" if "base" in self._kinds[table] else ""
        kept = f"SELECT t.* FROM {table} t {lost}"
        fresh = f"SELECT {listed} FROM moved EXCEPT SELECT {listed} FROM ({kept}) k"
        total = self._rewrite(
            table, f"{kept} UNION ALL SELECT {listed}, {step} AS step{base} FROM ({fresh}) f"
        )
        shutil.rmtree(path)
        return total

    def drop(self, table: str) -> None:
        """Forget a table, if there is one of that name."""
        self._session.catalog.dropTempView(table)
        for path in self._slices.pop(table, []):
            shutil.rmtree(path)

    def close(self) -> None:
        """Delete the slices; the session is left to whoever made it."""
        for table in list(self._slices):
            self.drop(table)
        shutil.rmtree(self._folder)
