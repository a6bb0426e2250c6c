"""Claims as Parquet, partitioned by keeper: written from what was read, and read again as tables.

A collection becomes a collection again whose tables are Parquet: a row for each claim, every cell
the text it is in its plain form, with the claim's id, and the file and row it was read from.
Collections read together become one that reads them together, a folder ``keeper=NAME`` for each, as
engines that read partitioned Parquet expect it. Claims from TriG stay TriG. Nothing is trusted that
is read: cells of such tables are checked like any others.
"""

import io
import re
import tomllib
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import polars as pl
from polars.exceptions import PanicException, PolarsError

from glost.limits import PARQUET_CELLS, TEXT_FILE
from glost.record.cells import text_fault
from glost.record.collection import read_members, read_own_settings
from glost.record.errors import RecordError, RecordErrors
from glost.record.files import SETTINGS, fingerprint, read_files, table_files, trig_files
from glost.record.partitioned import each
from glost.record.record import Record, read_alone
from glost.record.sheets import PARQUET, ROW
from glost.record.transaction import Place, changing

FILE, NUMBER = "file", "row"
"""The columns of the file and the row that a claim was read from before."""

_SUFFIX = min(PARQUET)
_KEEPER = "keeper="
_AGAIN = "write it again with glost export --as parquet"


# -- reading -------------------------------------------------------------------------------------


def opened(file: str, data: bytes) -> tuple[pl.DataFrame, str] | RecordError:
    """Read a table in Parquet; its cells are not looked at.

    Parameters
    ----------
    file
        Its name, for errors.
    data
        Its content.

    Returns
    -------
    tuple or RecordError
        Columns of texts without nulls, `NUMBER` last; and the file its rows were read from before,
        its own name if it does not say. Or why it is not read.
    """
    if data[:4] != b"PAR1" or data[-4:] != b"PAR1":
        return RecordError(file, "it is not Parquet, or was cut short", _AGAIN)
    try:
        lazy = pl.scan_parquet(io.BytesIO(data))
        schema, rows = lazy.collect_schema(), int(lazy.select(pl.len()).collect().item())
        if fault := _unfit(schema, rows):
            return RecordError(file, fault, _AGAIN)
        frame = pl.read_parquet(io.BytesIO(data))
        octets = frame.select(pl.col(pl.String).str.len_bytes().sum()).sum_horizontal().sum()
        if octets > TEXT_FILE:
            remedy = f"a table may have {TEXT_FILE:,}; part it into several"
            return RecordError(file, f"its cells have {octets:,} octets", remedy)
    except (PolarsError, PanicException, OSError, ValueError) as bad:
        told = str(bad).splitlines()[0][:200] if str(bad) else type(bad).__name__
        return RecordError(file, f"it cannot be read ({told})", _AGAIN)
    frame = frame.with_columns(pl.col(pl.String).fill_null(""))
    if NUMBER in schema:
        numbers = frame[NUMBER].cast(pl.Int64)
    else:
        numbers = pl.int_range(2, frame.height + 2, eager=True)
    origins = frame[FILE].unique().to_list() if FILE in schema else []
    if len(origins) > 1 or any(text_fault(each) for each in origins):
        return RecordError(file, f'"{FILE}" does not name one file', _AGAIN)
    return frame.with_columns(numbers.alias(NUMBER)), next(iter(origins), "") or file


def _unfit(schema: Mapping[str, object], rows: int) -> str:
    """Say why columns cannot be those of a table; empty if nothing speaks against them."""
    other = [
        name for name, kind in schema.items() if kind != (pl.Int64 if name == NUMBER else pl.String)
    ]
    if other:
        return f"the columns {', '.join(sorted(other))[:200]} are not text"
    if rows * len(schema) > PARQUET_CELLS:
        return f"it has {rows:,} rows of {len(schema)} columns"
    return ""


# -- writing -------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Partitions:
    """What was written.

    Attributes
    ----------
    claims
        How many claims of each keeper; of a collection that is not read together with others, under
        the empty name.
    faults
        What is wrong with collections of which nothing was written; each names the keeper.
    """

    claims: Mapping[str, int]
    faults: tuple[RecordError, ...] = ()


def write_partitions(path: Path, target: Path) -> Partitions:
    """Write the claims of a collection, and of each that is read together with it, as Parquet.

    Collections are read one by one, on this machine, or by the workers of Spark where the
    environment names a master (`glost.record.partitioned`). One that cannot be read is left out, or
    stays as an earlier writing left it, and the others are written all the same. One keeper's is
    written alone by giving its collection as `path` and its partition as `target`.

    Parameters
    ----------
    path
        The collection's folder.
    target
        A new or empty folder, or one that this wrote for a collection of the same base.

    Returns
    -------
    Partitions
        What was written, and what could not be.

    Raises
    ------
    RecordErrors
        If the folder holds something else, or the collection itself cannot be read. Nothing is
        then written.
    """
    own = read_own_settings(path)
    _see_free(target, own.base)
    if not own.together:
        return Partitions({"": write_collection(path, target)})
    record = read_alone(path)
    faults: list[RecordError] = []
    members = read_members(path, own.together, own.base, faults)
    tasks = [(m.name, m.collection.path, target / f"{_KEEPER}{m.name}") for m in members]
    found = list(each(_written, tasks))
    faults += [fault for _, done in found if not isinstance(done, int) for fault in done]
    claims = {name: done for name, done in found if isinstance(done, int)}
    there = [name for name in own.together if (target / f"{_KEEPER}{name}" / SETTINGS).exists()]
    text = _laid((path / SETTINGS).read_text(encoding="utf-8-sig"), there)
    _put(target, {**_files(record), SETTINGS: text.encode()})
    if record.claims:
        claims[""] = len(record.claims)
    return Partitions(dict(sorted(claims.items())), tuple(faults))


def _written(task: tuple[str, Path, Path]) -> tuple[str, int | tuple[RecordError, ...]]:
    """Write one keeper's, or say what is wrong with it; both may be done again."""
    name, path, target = task
    try:
        _see_free(target, read_own_settings(path).base)
        return name, write_collection(path, target)
    except RecordErrors as bad:
        return name, tuple(error.of(name) for error in bad.errors)


def write_collection(path: Path, target: Path) -> int:
    """Write the claims of one collection as Parquet, whole or not at all, and return how many."""
    record = read_alone(path)
    files = {**_files(record), SETTINGS: (path / SETTINGS).read_bytes()}
    if fingerprint(path) != record.state:
        remedy = "do it again; nothing was written"
        raise RecordErrors([RecordError(str(path), "its files changed while it was read", remedy)])
    _put(target, files)
    return len(record.claims)


def _files(record: Record) -> dict[str, bytes]:
    """Return the files of a collection's claims: its tables as Parquet, and its TriG as it is."""
    numbers: dict[str, int] = defaultdict(int)
    files = {path.name: path.read_bytes() for path in trig_files(record.collection.path)}
    for sheet in record.claims.sheets():
        numbers[sheet.table] += 1
        number = f"-{numbers[sheet.table]}" if numbers[sheet.table] > 1 else ""
        frame = sheet.rows.frame.drop("claim", strict=False).with_columns(
            sheet.ids.alias("claim"),
            pl.lit(sheet.rows.file).alias(FILE),
            pl.col(ROW).cast(pl.Int64).alias(NUMBER),
        )
        out = io.BytesIO()
        frame.drop(ROW).write_parquet(out)
        files[f"tables/{sheet.table}{number}{_SUFFIX}"] = out.getvalue()
    return files


_TOGETHER = re.compile(r"(?ms)^\[together\][^\n]*\n.*?(?=^\[|\Z)")


def _laid(settings: str, keepers: list[str]) -> str:
    """Return the settings of what reads collections together, with partitions in their place."""
    lines = "".join(f'{name} = "{_KEEPER}{name}"\n' for name in sorted(keepers))
    text = _TOGETHER.sub("", settings).rstrip("\n") + "\n\n[together]\n" + lines
    before = tomllib.loads(settings)
    try:
        after = tomllib.loads(text)
    except tomllib.TOMLDecodeError:  # it is written otherwise than as a table
        after = {}
    if {**before, "together": {}} != {**after, "together": {}}:
        remedy = "give [together] lines of its own, one for each keeper"
        raise RecordErrors([RecordError(SETTINGS, "[together] cannot be written anew", remedy)])
    return text


def _see_free(target: Path, base: str) -> None:
    """Raise `RecordErrors` if a folder holds anything but what was written here before."""
    if not target.exists() or (target.is_dir() and not any(target.iterdir())):
        return
    remedy = "name a new folder, or one that was written for this collection"
    if not (target / SETTINGS).is_file() or any(
        path.suffix not in PARQUET for path in table_files(target)
    ):
        raise RecordErrors([RecordError(str(target), "it holds something else", remedy)])
    there = read_own_settings(target).base
    if there != base:
        raise RecordErrors([RecordError(str(target), f"it holds the claims of {there}", remedy)])


def _put(target: Path, files: Mapping[str, bytes]) -> None:
    """Put files into a folder in place of all that reading it would read, whole or not at all."""
    with changing(Place.within(target), "write claims as Parquet") as change:
        there = {path.relative_to(target).as_posix() for path in read_files(target)}
        for name in sorted(there - set(files)):
            if (target / name).exists():
                change.drop(name)
        for name, data in sorted(files.items()):
            change.put(name, data)
        change.commit()
