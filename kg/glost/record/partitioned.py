"""Statements made of rows on Spark, where one machine is too small, by the rules used on one.

The rows lie in Parquet slices in a folder that every worker can reach. Workers make statements of a
slice each, as this machine does of a sheet, and write them beside it, a folder for each property:
the statement table, partitioned. Needs the extra ``spark``, and Java.
"""

import os
import shutil
import tempfile
from collections.abc import Iterator, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

import polars as pl

from glost.record.columns import Said, Sheet, StatementMaker, made_here, said_in
from glost.record.rows import RowReader
from glost.usage import UsageError

if TYPE_CHECKING:
    from pyspark.sql import SparkSession  # type: ignore[import-not-found,unused-ignore]

MASTER = "GLOST_SPARK"
"""The environment variable that names a master of Spark; all is done on this machine if empty."""
SHARED = "GLOST_SPARK_FOLDER"
"""The environment variable that names a folder which Spark's driver and all its workers share."""

_ROWS = 500_000
"""Rows of a slice."""


def session(master: str) -> "SparkSession":
    """Return a session of Spark.

    Parameters
    ----------
    master
        ``spark://host:7077`` or ``local[2]``.

    Raises
    ------
    UsageError
        If Spark is not installed.
    """
    try:
        from pyspark.sql import SparkSession
    except ImportError:
        remedy = "it needs pyspark, which is not installed: pip install glost[spark]"
        raise UsageError(f"{MASTER} is set, but {remedy}") from None
    builder = SparkSession.builder.master(master).appName("glost")
    builder = builder.config("spark.ui.showConsoleProgress", "false")
    return builder.config("spark.ui.enabled", "false").getOrCreate()


def shared_folder() -> Path:
    """Make a new folder where the driver of Spark and all its workers can reach it."""
    return Path(tempfile.mkdtemp(prefix="glost-", dir=os.environ.get(SHARED) or None))


def chosen() -> StatementMaker:
    """Return what makes statements of rows: this machine, or Spark where `MASTER` names one.

    It is the environment's choice and not a collection's, which may come from a stranger.
    """
    master = os.environ.get(MASTER, "")
    return partial(made_on, session(master)) if master else made_here


def made_on(
    spark: "SparkSession", sheets: Sequence[Sheet], properties: frozenset[str]
) -> Iterator[Said]:
    """Make statements of rows on Spark; see `glost.record.columns.StatementMaker`."""
    folder = shared_folder()
    try:
        slices: list[tuple[int, RowReader]] = []
        for reader, frame in sheets:
            for rows in frame.iter_slices(_ROWS):
                rows.write_parquet(folder / f"{len(slices)}.parquet")
                slices.append((len(slices), reader))
        if slices:
            told = spark.sparkContext.parallelize(slices, len(slices))
            told.foreach(partial(_make, folder, properties))
        for name in sorted(properties):
            for path in sorted(_of(folder, name).glob("*.parquet")):
                yield name, pl.read_parquet(path)
    finally:
        shutil.rmtree(folder)


def _of(folder: Path, name: str) -> Path:
    return folder / f"property={quote(name, safe='')}"


def _make(folder: Path, properties: frozenset[str], part: Any) -> None:
    """Make statements of one slice; a slice made again by another worker is the same."""
    number, reader = part
    rows = pl.read_parquet(folder / f"{number}.parquet")
    found: dict[str, list[pl.DataFrame]] = {}
    for name, frame in said_in(reader, rows, properties):
        found.setdefault(name, []).append(frame)
    for name, frames in found.items():
        place = _of(folder, name)
        place.mkdir(exist_ok=True)
        written = place / f".{number}-{os.getpid()}"
        pl.concat(frames).write_parquet(written)
        written.replace(place / f"{number}.parquet")
