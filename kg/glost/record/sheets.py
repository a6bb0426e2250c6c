"""Files into sheets: delimited text and workbooks, every cell a trimmed string.

Rows keep the number a spreadsheet program shows, so that an error can name it.
"""

import csv
import io
import re
import zipfile
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

import fastexcel
import polars as pl

from glost.record.errors import RecordError, nearest, suggestion
from glost.record.tables import Table, tables

DELIMITED = {".csv", ".tsv"}
WORKBOOK = {".xlsx"}
ROW = "\x00row"
"""Name of the column that holds row numbers."""
_CHUNK = 50_000
_MIDNIGHT = re.compile(r"(\d{4}-\d{2}-\d{2}) 00:00:00")


@dataclass(frozen=True, slots=True)
class Sheet:
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
    """

    file: str
    table: Table
    frame: pl.DataFrame
    delimiter: str


def read_sheets(top: Path, path: Path, errors: list[RecordError]) -> list[Sheet]:
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
    if path.suffix.lower() in WORKBOOK:
        return list(_workbook(file, path, errors))
    table = _table_of(file, path.stem, errors)
    if table is None:
        return []
    sheet = _delimited(file, path, table, errors)
    return [sheet] if sheet else []


def table_name(stem: str) -> str:
    """Return the table a file or sheet name stands for: ``pieces-1999`` holds ``pieces``."""
    return re.split(r"[-. ]", stem.strip().lower(), maxsplit=1)[0]


def _table_of(file: str, stem: str, errors: list[RecordError]) -> Table | None:
    name = table_name(stem)
    if name in tables():
        return tables()[name]
    remedy = suggestion(name, tables(), f"tables are {', '.join(tables())}")
    errors.append(RecordError(file, f'there is no table "{name}"', remedy, found=stem))
    return None


def _delimited(file: str, path: Path, table: Table, errors: list[RecordError]) -> Sheet | None:
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError as bad:
        row = bad.object[: bad.start].count(b"\n") + 1
        found = bad.object[bad.start : bad.start + 1]
        message = f"line {row} holds the byte {found.hex()}, which is not UTF-8"
        errors.append(RecordError(file, message, "save the file as CSV in UTF-8"))
        return None
    delimiter = _delimiter(text, table)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    return _gather(file, table, _records(file, reader, errors), delimiter, errors)


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
        errors.append(RecordError(file, f"the row cannot be read ({bad})", remedy, row + 1))


def _delimiter(text: str, table: Table) -> str:
    header = text[: text.find("\n")] if "\n" in text else text
    known = _headers(table)

    def recognised(delimiter: str) -> tuple[int, int]:
        cells = header.rstrip("\r").split(delimiter)
        return sum(_plain(cell.strip('"')) in known for cell in cells), len(cells)

    return max(",;\t", key=recognised)


def _workbook(file: str, path: Path, errors: list[RecordError]) -> Iterator[Sheet]:
    try:
        book = fastexcel.read_excel(path)
    except (fastexcel.FastExcelError, zipfile.BadZipFile) as bad:
        message = f"the workbook cannot be read ({str(bad).splitlines()[0]})"
        errors.append(RecordError(file, message, "save it again as .xlsx, or as CSV in UTF-8"))
        return
    names = book.sheet_names
    single = len(names) == 1 and table_name(path.stem) in tables()
    for name in names:
        place = file if single else f"{file}!{name}"
        table = _table_of(place, path.stem if single else name, errors)
        if table is None:
            continue
        loaded = book.load_sheet(
            name, header_row=None, dtypes="string", skip_whitespace_tail_rows=True
        )
        rows = loaded.to_polars().fill_null("").iter_rows()
        sheet = _gather(place, table, map(list, rows), "", errors)
        if sheet:
            yield sheet


def _gather(
    file: str,
    table: Table,
    records: Iterator[list[str]],
    delimiter: str,
    errors: list[RecordError],
) -> Sheet | None:
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
    row = 2
    while chunk := list(islice(records, _CHUNK)):
        frames.append(_frame(file, chunk, row, len(header), places, errors))
        row += len(chunk)
    empty = {name: pl.Series(name, [], dtype=pl.String) for name in places}
    frame = (
        pl.concat(frames) if frames else pl.DataFrame({**empty, ROW: pl.Series([], dtype=pl.Int64)})
    )
    return Sheet(file, table, frame, delimiter)


def _headers(table: Table) -> dict[str, str]:
    known = {_plain(column.title): column.name for column in table.real}
    return known | {column.name: column.name for column in table.real}


def _plain(header: str) -> str:
    return re.sub(r"[\s_-]+", "_", header.strip().lower())


def _columns(
    file: str, table: Table, header: list[str], errors: list[RecordError]
) -> dict[str, int] | None:
    """Find where each column stands; None if the header is wrong."""
    known = _headers(table)
    places: dict[str, int] = {}
    before = len(errors)
    for at, cell in enumerate(header):
        plain = _plain(cell)
        if not plain:
            continue
        name = known.get(plain)
        if name is None:
            near = nearest(plain, known)
            remedy = (
                f'did you mean "{known[near]}"?'
                if near
                else f"columns are {', '.join(column.name for column in table.real)}"
            )
            errors.append(
                RecordError(
                    file, f'"{cell}" is not a column of {table.name}', remedy, 1, found=cell
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


def _frame(
    file: str,
    chunk: list[list[str]],
    first: int,
    width: int,
    places: dict[str, int],
    errors: list[RecordError],
) -> pl.DataFrame:
    """Turn records into columns; a blank row is left out, a stray cell is an error."""
    kept: list[list[str]] = []
    rows: list[int] = []
    stray = sorted(set(range(width)) - set(places.values()))
    for row, cells in enumerate(chunk, first):
        if not any(cells) or not any(map(str.strip, cells)):
            continue
        if len(cells) != width or stray:
            extra = [*cells[width:], *(cells[at] for at in stray if at < len(cells))]
            if any(map(str.strip, extra)):
                found = next(cell for cell in extra if cell.strip())
                message = f'"{found}" stands under no column'
                remedy = "quote a cell that holds the delimiter, or give the column its header"
                errors.append(RecordError(file, message, remedy, row, found=found))
            cells = [*cells, *[""] * (width - len(cells))]
        kept.append(cells)
        rows.append(row)
    data = {
        name: pl.Series(name, [cells[at] for cells in kept], dtype=pl.String)
        for name, at in places.items()
    }
    frame = pl.DataFrame({**data, ROW: pl.Series(rows, dtype=pl.Int64)})
    return frame.with_columns(pl.col(list(places)).str.strip_chars())


def plain_day(text: str) -> str:
    """Drop the midnight a workbook puts behind a day: ``1999-01-02 00:00:00``."""
    found = _MIDNIGHT.fullmatch(text)
    return found[1] if found else text
