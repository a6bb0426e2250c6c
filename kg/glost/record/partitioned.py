"""Work on Spark, where one machine is too small, by the code that does it on one.

Collections that are read together are read and checked by the workers, each by one of them
(`each`). Statements are made of rows by the workers too (`made_on`): the rows lie in Parquet slices
in a folder that every worker can reach, and each slice becomes statements beside it, a folder for
each property: the statement table, partitioned. What a worker did that is lost is done again by
another, and comes to the same. Needs the extra ``spark``, and Java.
"""

import io
import os
import pickle
import shutil
import tempfile
import zlib
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cache, partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar
from urllib.parse import quote

import polars as pl

from glost.record.columns import Said, Sheet, StatementMaker, made_here, said_in
from glost.record.rows import RowReader
from glost.record.schemes import published
from glost.record.tables import tables
from glost.usage import UsageError

if TYPE_CHECKING:
    from pyspark.sql import SparkSession  # type: ignore[import-not-found,unused-ignore]

Given = TypeVar("Given")
Made = TypeVar("Made")

MASTER = "GLOST_SPARK"
"""The environment variable that names a master of Spark; all is done on this machine if empty."""
SHARED = "GLOST_SPARK_FOLDER"
"""The environment variable that names a folder which Spark's driver and all its workers share."""

EACH = 4
"""Tasks for each core of the cluster: a lost one is soon done again, and none waits long."""
_ROWS = 500_000
"""Rows of a slice."""
_SHEET = "\x00sheet"
"""The column of a slice that tells of which sheet a row is."""


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


# -- the same with each of many things -----------------------------------------------------------


def each(do: Callable[[Given], Made], things: Sequence[Given]) -> Iterable[Made]:
    """Do the same with each of some things, on this machine, or on Spark where `MASTER` names one.

    It is the environment's choice and not a collection's, which may come from a stranger.

    Parameters
    ----------
    do
        What is done; it gives the same whoever does it and however often.
    things
        The things.

    Returns
    -------
    iterable
        What came of each, in their order.
    """
    master = os.environ.get(MASTER, "")
    if not master:
        return map(do, things)
    spark = session(master)
    return each_on(spark, do, things, EACH * spark.sparkContext.defaultParallelism)


def each_on(
    spark: "SparkSession", do: Callable[[Given], Made], things: Sequence[Given], tasks: int
) -> list[Made]:
    """Do the same with each of some things on the workers of Spark, in at most so many tasks."""
    if not things:
        return []
    sent = spark.sparkContext.parallelize([packed(one) for one in things], min(tasks, len(things)))
    return [unpacked(done) for done in sent.map(partial(_done, do)).collect()]


def _done(do: Callable[[Any], Any], sent: bytes) -> bytes:
    return packed(do(unpacked(sent)))


class _Pickler(pickle.Pickler):
    """Names what every process has of its own: the table descriptions, the published schemes."""

    def persistent_id(self, obj: object) -> Any:
        """Return the name of such a thing; None for any other."""
        return _names().get(id(obj))


class _Unpickler(pickle.Unpickler):
    def persistent_load(self, pid: Any) -> object:
        """Return what a name stands for here."""
        return _own()[pid]


@cache
def _own() -> dict[tuple[str, str, int], object]:
    own: dict[tuple[str, str, int], object] = {}
    for name, table in tables().items():
        own["table", name, 0] = table
        own |= {("column", name, at): column for at, column in enumerate(table.giving)}
    for name, scheme in published().items():
        own |= {("scheme", name, 0): scheme, ("iris", name, 0): scheme.iris}
    return own


@cache
def _names() -> dict[int, tuple[str, str, int]]:
    return {id(thing): name for name, thing in _own().items()}


def packed(thing: object) -> bytes:
    """Return a thing as it is sent between a driver and its own workers, who alone may read it."""
    out = io.BytesIO()
    _Pickler(out, pickle.HIGHEST_PROTOCOL).dump(thing)
    return zlib.compress(out.getbuffer(), 1)


def unpacked(sent: bytes) -> Any:
    """Return what `packed` was given."""
    return _Unpickler(io.BytesIO(zlib.decompress(sent))).load()


# -- statements of rows --------------------------------------------------------------------------


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
        slices: list[tuple[int, list[RowReader]]] = []
        for readers, frame in _slices(sheets):
            frame.write_parquet(folder / f"{len(slices)}.parquet")
            slices.append((len(slices), readers))
        each_on(spark, partial(_make, folder, properties), slices, len(slices))
        for name in sorted(properties):
            for path in sorted(_of(folder, name).glob("*.parquet")):
                yield name, pl.read_parquet(path)
    finally:
        shutil.rmtree(folder)


def _slices(sheets: Sequence[Sheet]) -> Iterator[tuple[list[RowReader], pl.DataFrame]]:
    """Part the rows of sheets into slices of one table each, small sheets together."""
    of_table: dict[str, list[Sheet]] = defaultdict(list)
    for reader, frame in sheets:
        for rows in frame.iter_slices(_ROWS):
            of_table[reader.table.name].append((reader, rows))
    for held in of_table.values():
        taken: list[Sheet] = []
        for sheet in held:
            if taken and sum(rows.height for _, rows in taken) + sheet[1].height > _ROWS:
                yield _together(taken)
                taken = []
            taken.append(sheet)
        yield _together(taken)


def _together(sheets: Sequence[Sheet]) -> tuple[list[RowReader], pl.DataFrame]:
    frames = (rows.with_columns(pl.lit(at).alias(_SHEET)) for at, (_, rows) in enumerate(sheets))
    return [reader for reader, _ in sheets], pl.concat(frames, how="diagonal")


def _of(folder: Path, name: str) -> Path:
    return folder / f"property={quote(name, safe='')}"


def _make(folder: Path, properties: frozenset[str], part: tuple[int, list[RowReader]]) -> None:
    """Make statements of one slice; a slice made again by another worker is the same."""
    number, readers = part
    rows = pl.read_parquet(folder / f"{number}.parquet")
    found: dict[str, list[pl.DataFrame]] = defaultdict(list)
    for (at,), sheet in rows.partition_by(_SHEET, as_dict=True, include_key=False).items():
        for name, frame in said_in(readers[at], sheet, properties):
            found[name].append(frame)
    for name, frames in found.items():
        place = _of(folder, name)
        place.mkdir(exist_ok=True)
        written = place / f".{number}-{os.getpid()}"
        pl.concat(frames).write_parquet(written)
        written.replace(place / f"{number}.parquet")
