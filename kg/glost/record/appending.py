"""Rows added to the end of a collection's text files; what is there stays as it is written."""

import csv
import io
from pathlib import Path

from glost.record.errors import RecordError
from glost.record.record import Record
from glost.record.sheets import DELIMITED, column_named, read_sheets, table_name
from glost.record.spreadsheets import guarded
from glost.record.tables import tables
from glost.record.writing import delimited


def file_for(record: Record, table: str, origin: str = "") -> str:
    """Find the text file that a table's row is to be added to.

    Parameters
    ----------
    record
        The collection.
    table
        The table.
    origin
        Where the row it belongs to stands; empty if there is none.

    Returns
    -------
    str
        That very file, the table's own, or a new one where the table is kept in a workbook.
    """
    own = Path(origin)
    if own.suffix.lower() in DELIMITED and table_name(own.stem) == table:
        return origin
    plain = f"tables/{table}.csv"
    in_workbook = (record.collection.path / f"tables/{table}.xlsx").exists()
    return f"tables/{table}-corrected.csv" if in_workbook else plain


def appended(
    top: Path, file: str, table: str, rows: list[dict[str, str]], now: str | None = None
) -> str:
    """Return the text of a file with rows added, its columns widened if need be.

    Parameters
    ----------
    top, file, table
        The collection's folder, the file's path in it, and the table it holds.
    rows
        Filled cells by column name. Everything that is there stays as it is written.
    now
        What the file is to hold before; None for what it does.
    """
    path = top / file
    names = list(dict.fromkeys(name for row in rows for name in row))
    if not path.exists():
        order = [column.name for column in tables()[table].real if column.name in names]
        return delimited([order, *([guarded(row.get(name, "")) for name in order] for row in rows)])
    errors: list[RecordError] = []
    sheet = read_sheets(top, path, errors)[0]
    text = path.read_bytes().decode() if now is None else now
    mark = "\ufeff" if text.startswith("\ufeff") else ""
    text = text.removeprefix(mark)
    ending = "\r\n" if "\r\n" in text else "\n"
    records = list(csv.reader(io.StringIO(text, newline=""), delimiter=sheet.delimiter))
    header = _canonical(records[0], table)
    wider = [name for name in names if name not in header]
    for name in wider:
        records[0].append(name)
        header.append(name)
    if wider:
        records[1:] = [cells + [""] * (len(header) - len(cells)) for cells in records[1:]]
    records += [[guarded(row.get(name, "")) for name in header] for row in rows]
    return mark + delimited(records, sheet.delimiter, ending)


def _canonical(header: list[str], table: str) -> list[str]:
    return [column_named(tables()[table], cell) or cell.strip() for cell in header]
