"""Files into sheets: delimited text and workbooks, every cell a trimmed string.

Rows keep the number a spreadsheet program shows, so that an error can name it.
"""

import csv
import io
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from itertools import islice
from pathlib import Path

import polars as pl

from glost.limits import CELL, COLUMNS, NEAR_TOLD, ROWS_TOLD, SHOWN, TEXT_FILE
from glost.record.characters import visible
from glost.record.errors import RecordError, nearest, quoted, suggestion
from glost.record.opening import read_whole, text_of
from glost.record.spreadsheets import GUARDED
from glost.record.tables import TableDescription, tables
from glost.record.workbooks import CellFault, Workbook, WorkbookError, letters

DELIMITED = {".csv", ".tsv"}
WORKBOOK = {".xlsx"}
PARQUET = {".parquet"}
ROW = "\x00row"
"""Name of the column that holds row numbers."""
_CHUNK = 50_000
_HEADER = 1 << 20
"""Characters within which a header row ends."""


@dataclass(frozen=True, slots=True)
class TableSheet:
    """One file, or one sheet of a workbook, as strings.

    Attributes
    ----------
    file
        Path relative to the collection's folder, with ``!sheet`` for a named workbook sheet.
    table
        The table it holds.
    frame
        A string column for each recognised header, an empty cell being ``""``, and `ROW`.
    delimiter
        The delimiter of a text file; empty for a workbook.
    places
        Where each column stands in the file, counted from 0.
    faulty
        Row and column of cells of a workbook about which there is an error already.
    origin
        The file that its rows were read from before they were put into this one; empty if it is
        their own.
    """

    file: str
    table: TableDescription
    frame: pl.DataFrame
    delimiter: str
    places: Mapping[str, int] = field(default_factory=dict)
    faulty: frozenset[tuple[int, str]] = frozenset()
    origin: str = ""


def read_sheets(top: Path, path: Path, errors: list[RecordError]) -> list[TableSheet]:
    """Read one file of a collection's ``tables`` folder.

    Parameters
    ----------
    top
        The collection's folder, to which names in errors are relative.
    path
        The file.
    errors
        Everything wrong is appended here; a sheet too broken to use is left out.
    """
    file = path.relative_to(top).as_posix()
    data = read_whole(top, path, TEXT_FILE)
    if isinstance(data, RecordError):
        errors.append(data)
        return []
    if path.suffix.lower() in WORKBOOK:
        return list(_workbook(file, path, data, errors))
    table = _table_of(file, path.stem, errors)
    if table is None:
        return []
    if path.suffix.lower() in PARQUET:
        sheet = _of_parquet(file, data, table, errors)
    else:
        sheet = _delimited(file, data, table, errors)
    return [sheet] if sheet else []


def _of_parquet(
    file: str, data: bytes, table: TableDescription, errors: list[RecordError]
) -> TableSheet | None:
    from glost.record.parquet import FILE, NUMBER, opened  # few collections have such tables

    found = opened(file, data)
    if isinstance(found, RecordError):
        errors.append(found)
        return None
    frame, origin = found
    header = [name for name in frame.columns if name not in (FILE, NUMBER)]
    places = _columns(file, table, header, errors)
    if places is None:
        return None
    named = {header[at]: name for name, at in places.items()}
    plain = pl.col(list(places)).str.strip_chars()
    rows = frame.select(*named, pl.col(NUMBER).alias(ROW)).rename(named).with_columns(plain)
    return TableSheet(file, table, rows, "", places, origin=origin)


def read_rows(path: Path, errors: list[RecordError]) -> list[list[str]]:
    """Read a file of text or the first sheet of a workbook as rows, the header among them.

    Parameters
    ----------
    path
        A CSV or TSV file, parted by whatever its header is parted by, or a workbook.
    errors
        Everything wrong is appended here.

    Returns
    -------
    list of list of str
        Trimmed cells, without the apostrophe that keeps a cell from being run.
    """
    data = read_whole(path.parent, path, TEXT_FILE)
    if isinstance(data, RecordError):
        errors.append(data)
        return []
    if path.suffix.lower() in WORKBOOK:
        return _cleaned(_of_workbook(path.name, data, errors))
    text = text_of(path.name, data, "save the file as CSV in UTF-8")
    if not isinstance(text, str):
        errors.append(text)
        return []
    first = text[:_HEADER].splitlines()[0] if text else ""
    delimiter = max(",;\t", key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    return _cleaned(_records(path.name, reader, errors))


def _of_workbook(file: str, data: bytes, errors: list[RecordError]) -> list[list[str]]:
    faults: list[CellFault] = []
    try:
        book = Workbook(data)
        rows = list(book.rows(book.names[0], faults))
    except WorkbookError as bad:
        errors.append(RecordError(file, bad.message, bad.remedy, bad.row))
        return []
    for each in faults:
        column = rows[0][each.column] if rows and each.column < len(rows[0]) else ""
        errors.append(
            RecordError(
                file,
                each.message,
                each.remedy,
                each.row,
                column or letters(each.column),
                each.found,
            )
        )
    return rows


_GUARD = re.compile(GUARDED)


def _cleaned(rows: Iterable[list[str]]) -> list[list[str]]:
    return [[_GUARD.sub(r"\1", cell.strip()) for cell in row] for row in rows]


def table_name(stem: str) -> str:
    """Return the table a file or sheet name stands for: ``pieces-1999`` holds ``pieces``."""
    return re.split(r"[-. ]", stem.strip().lower(), maxsplit=1)[0]


def _table_of(file: str, stem: str, errors: list[RecordError]) -> TableDescription | None:
    name = table_name(stem)
    if name in tables():
        return tables()[name]
    remedy = suggestion(name, tables(), f"tables are {', '.join(tables())}")
    errors.append(RecordError(file, f"there is no table {quoted(name)}", remedy, found=stem))
    return None


def _delimited(
    file: str, data: bytes, table: TableDescription, errors: list[RecordError]
) -> TableSheet | None:
    text = text_of(file, data, "save the file as CSV in UTF-8")
    if not isinstance(text, str):
        errors.append(text)
        return None
    if "\r" in text and (alone := _ALONE.search(text)) and "\n" in text:
        row = text.count("\n", 0, alone.start()) + 1
        message = f"line {row} holds a carriage return (U+000D) that ends no line"
        errors.append(RecordError(file, message, "take it out; end all lines alike"))
        return None
    text = text.replace("\r\n", "\n")
    delimiter = _delimiter(text, table)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    return _gather(file, table, _records(file, reader, errors), delimiter, errors)


_ALONE = re.compile("\r(?!\n)")


def _records(
    file: str, reader: Iterable[list[str]], errors: list[RecordError]
) -> Iterator[list[str]]:
    row = 0
    try:
        for cells in reader:
            row += 1
            yield cells
    except csv.Error as bad:
        remedy = (
            "look for a quotation mark that is not closed, or not doubled, in or after this row"
        )
        message = f"the row cannot be read ({bad})"
        if "field larger" in str(bad):
            message = f"a cell of the row has more than {CELL:,} characters"
        errors.append(RecordError(file, message, remedy, row + 1))


def _delimiter(text: str, table: TableDescription) -> str:
    header = text[:_HEADER].splitlines()[0] if text else ""
    known = _headers(table.name)

    def recognised(delimiter: str) -> tuple[int, int]:
        cells = header.split(delimiter)
        return sum(plain_header(cell.strip('"')) in known for cell in cells), len(cells)

    return max(",;\t", key=recognised)


def _workbook(
    file: str, path: Path, data: bytes, errors: list[RecordError]
) -> Iterator[TableSheet]:
    try:
        book = Workbook(data)
    except WorkbookError as bad:
        errors.append(RecordError(file, bad.message, bad.remedy))
        return
    single = len(book.names) == 1 and table_name(path.stem) in tables()
    for name in book.names:
        place = file if single else f"{file}!{visible(name, lines=False)}"
        table = _table_of(place, path.stem if single else name, errors)
        if table is None:
            continue
        faults: list[CellFault] = []
        try:
            rows = book.rows(name, faults)
            sheet = _gather(place, table, iter(rows), "", errors)
        except WorkbookError as bad:
            errors.append(RecordError(place, bad.message, bad.remedy, bad.row))
            continue
        told = list(_told(place, sheet, faults))
        errors.extend(told)
        if sheet:
            yield replace(sheet, faulty=frozenset((error.row, error.column) for error in told))


def _told(
    place: str, sheet: TableSheet | None, faults: Iterable[CellFault]
) -> Iterator[RecordError]:
    """Give the cells of a workbook that are not what they show as errors, with their columns."""
    headers = {} if sheet is None else {at: name for name, at in sheet.places.items()}
    for fault in faults:
        column = headers.get(fault.column) or f"{letters(fault.column)}"
        yield RecordError(place, fault.message, fault.remedy, fault.row, column, fault.found)


def _gather(
    file: str,
    table: TableDescription,
    records: Iterator[list[str]],
    delimiter: str,
    errors: list[RecordError],
) -> TableSheet | None:
    header = next(records, None)
    if header is None or not any(cell.strip() for cell in header):
        if not any(e.file == file for e in errors):
            names = ", ".join(column.name for column in table.real)
            errors.append(RecordError(file, "there is no header row", f"begin with: {names}", 1))
        return None
    places = _columns(file, table, header, errors)
    if places is None:
        return None
    frames = []
    astray: list[tuple[int, str]] = []
    row = 2
    while chunk := list(islice(records, _CHUNK)):
        frames.append(_frame(chunk, row, len(header), places, astray))
        row += len(chunk)
    errors.extend(_astray(file, astray))
    empty = {name: pl.Series(name, [], dtype=pl.String) for name in places}
    frame = (
        pl.concat(frames) if frames else pl.DataFrame({**empty, ROW: pl.Series([], dtype=pl.Int64)})
    )
    return TableSheet(file, table, frame, delimiter, places)


@cache
def _headers(name: str) -> dict[str, str]:
    """Return what headers name the columns of a table, by their plain form."""
    table = tables()[name]
    known = {plain_header(column.title): column.name for column in table.real}
    return known | {plain_header(column.name): column.name for column in table.real}


def column_named(table: TableDescription, header: str) -> str:
    """Return the column of a table that a header names, or an empty string if it names none."""
    return _headers(table.name).get(plain_header(header), "")


def plain_header(header: str) -> str:
    """Return the one form of a header however it is written: ``Recorded-On`` is ``recorded_on``."""
    return re.sub(r"[\s_-]+", "_", header.strip().casefold())


def _columns(
    file: str, table: TableDescription, header: list[str], errors: list[RecordError]
) -> dict[str, int] | None:
    """Find where each column stands; None if the header is wrong."""
    if len(header) > COLUMNS:
        remedy = f"a table may have {COLUMNS:,}; look for a line that ends in very many delimiters"
        errors.append(RecordError(file, f"there are {len(header):,} columns", remedy, 1))
        return None
    known = _headers(table.name)
    places: dict[str, int] = {}
    before = len(errors)
    for at, cell in enumerate(header):
        plain = plain_header(cell)
        if not plain:
            continue
        name = known.get(plain)
        if name is None:
            near = nearest(plain, known) if len(errors) - before < NEAR_TOLD else ""
            remedy = (
                f'did you mean "{known[near]}"?'
                if near
                else f"columns are {', '.join(column.name for column in table.real)}"
            )
            errors.append(
                RecordError(
                    file, f"{quoted(cell)} is not a column of {table.name}", remedy, 1, found=cell
                )
            )
        elif name in places:
            message = f'the column "{name}" stands there twice'
            errors.append(RecordError(file, message, "remove or rename one", 1, found=cell))
        else:
            places[name] = at
    for column in table.real:
        if column.required and column.name not in places:
            message = f'the column "{column.name}" is missing ({column.description})'
            errors.append(RecordError(file, message, "add it", 1, column.name))
    return places if len(errors) == before else None


def _astray(file: str, found: list[tuple[int, str]]) -> Iterator[RecordError]:
    """Tell cells under no header: the first, and how many more rows have one."""
    remedy = "quote a cell that holds the delimiter, or give the column its header"
    for row, cell in found[:ROWS_TOLD]:
        message = f"{quoted(cell)} stands under no column"
        yield RecordError(file, message, remedy, row, found=cell[:SHOWN])
    if len(found) > ROWS_TOLD:
        message = f"{len(found) - ROWS_TOLD:,} more rows have a cell that stands under no column"
        yield RecordError(file, message, remedy)


def _frame(
    chunk: list[list[str]],
    first: int,
    width: int,
    places: dict[str, int],
    astray: list[tuple[int, str]],
) -> pl.DataFrame:
    """Turn records into columns; a blank row is left out, a cell under no header goes astray."""
    kept: list[list[str]] = []
    rows: list[int] = []
    stray = sorted(set(range(width)) - set(places.values()))
    for row, cells in enumerate(chunk, first):
        if not any(cells) or not any(map(str.strip, cells)):
            continue
        if len(cells) != width or stray:
            extra = [*cells[width:], *(cells[at] for at in stray if at < len(cells))]
            if any(map(str.strip, extra)):
                astray.append((row, next(cell for cell in extra if cell.strip())))
            cells = [*cells, *[""] * (width - len(cells))]
        kept.append(cells)
        rows.append(row)
    data = {
        name: pl.Series(name, [cells[at] for cells in kept], dtype=pl.String)
        for name, at in places.items()
    }
    frame = pl.DataFrame({**data, ROW: pl.Series(rows, dtype=pl.Int64)})
    plain = pl.col(list(places)).str.strip_chars().str.replace(GUARDED, "$1")
    return frame.with_columns(plain)
