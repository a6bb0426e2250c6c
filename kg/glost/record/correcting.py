"""Putting a statement right: the old claim is withdrawn, the new one added, both kept."""

import csv
import io
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from glost.record.amending import amend
from glost.record.cells import CellError, Index, checker, text_fault
from glost.record.claims import Claim, content_id
from glost.record.errors import RecordError, RecordErrors, suggestion
from glost.record.record import Record
from glost.record.rows import PROVENANCE
from glost.record.sheets import DELIMITED, column_named, read_sheets, table_name
from glost.record.spreadsheets import guarded
from glost.record.tables import tables
from glost.record.writing import delimited, rows_of


@dataclass(frozen=True, slots=True)
class Correction:
    """What was done.

    Attributes
    ----------
    withdrawn
        Id of the claim withdrawn.
    replacement
        Id of the claim that takes its place; empty if none does.
    files
        Files written, relative to the collection.
    """

    withdrawn: str
    replacement: str
    files: tuple[str, ...]


def correct(
    record: Record, claim: Claim, changes: Mapping[str, str], grounds: Mapping[str, str]
) -> Correction:
    """Withdraw a claim and, if anything is changed, put another in its place.

    Parameters
    ----------
    record
        The record the claim is of.
    claim
        The claim to withdraw.
    changes
        New cells by column name; an empty cell takes a value out. None: withdraw only.
    grounds
        The correction's own cells: ``reason`` and ``source`` (both needed), ``locator``,
        ``region``, ``certainty``, ``recorded_by``, ``recorded_on``, ``note``. The replacement
        rests on the same source and passage.

    Returns
    -------
    Correction
        Ids and files.

    Raises
    ------
    RecordErrors
        If the claim is withdrawn already, fits no table, or the outcome would not be a sound
        collection. Nothing is then changed.
    """
    added: dict[str, list[dict[str, str]]] = {}
    grounds = _plain(record, "corrections", grounds)
    if claim.iri in record.believed().withdrawn:
        _refuse(claim, "it is withdrawn already", "correct the claim that replaced it")
    replacement = ""
    if changes:
        table, row = _replacement(record, claim, changes, grounds)
        replacement = content_id(table, list(row.items()))
        added[table] = [row]
    row = {"withdraws": claim.id, "replaced_by": replacement, **grounds}
    row = {name: cell for name, cell in row.items() if cell}
    added["corrections"] = [row]
    ids = {content_id("corrections", list(row.items())), replacement} - {""}
    files = {}
    for name, rows in added.items():
        file = _file_for(record, name, claim.origin.file)
        files[file] = _appended(record.collection.path, file, name, rows)
    amend(record, f"correct {claim.id}", files, added=ids)
    return Correction(claim.id, replacement, tuple(sorted(files)))


def _refuse(claim: Claim, message: str, remedy: str) -> None:
    origin = claim.origin
    raise RecordErrors([RecordError(origin.file, message, remedy, origin.row, iri=str(claim.iri))])


def _replacement(
    record: Record, claim: Claim, changes: Mapping[str, str], grounds: Mapping[str, str]
) -> tuple[str, dict[str, str]]:
    found, _ = rows_of(record, [claim])
    if not found:
        _refuse(claim, "it fits no table", "correct it in the TriG file it stands in")
    ((table, (old,)),) = found.items()
    columns = [column.name for column in tables()[table].real if column.name not in PROVENANCE]
    errors = [
        RecordError(
            f"tables/{table}.csv",
            f'"{name}" is not a column of {table} to change',
            suggestion(name, columns, f"columns are {', '.join(columns)}"),
            column=name,
        )
        for name in changes
        if name not in columns
    ]
    if errors:
        raise RecordErrors(errors)
    row = {name: cell for name, cell in old.items() if name not in PROVENANCE}
    row |= _plain(record, table, changes)
    row |= {name: cell for name, cell in grounds.items() if name in PROVENANCE}
    return table, {name: cell for name, cell in row.items() if cell}


def _plain(record: Record, table: str, given: Mapping[str, str]) -> dict[str, str]:
    """Check cells as the reader would and return their plain forms, so that ids agree with it."""
    known = frozenset(claim.id for claim in record.claims)
    index = Index(record.ids, known, record.schemes)
    errors = []
    plain = {}
    for name, cell in given.items():
        try:
            if fault := text_fault(cell):
                raise fault
            column = tables()[table].column(name)
            plain[name] = checker(column, index)(cell.strip()) if cell.strip() else ""
        except CellError as bad:
            file = f"tables/{table}.csv"
            errors.append(RecordError(file, bad.message, bad.remedy, column=name, found=cell))
    if table == "corrections":
        errors += [
            RecordError("tables/corrections.csv", "the cell is empty", f"give {what}", column=name)
            for name, what in (("reason", "the reason, in words"), ("source", "the source's id"))
            if not plain.get(name) and not any(error.column == name for error in errors)
        ]
    if errors:
        raise RecordErrors(errors)
    return plain


def _file_for(record: Record, table: str, origin: str) -> str:
    """Find the text file to append to: the claim's own, the table's, or a new one."""
    own = Path(origin)
    if own.suffix.lower() in DELIMITED and table_name(own.stem) == table:
        return origin
    plain = f"tables/{table}.csv"
    in_workbook = (record.collection.path / f"tables/{table}.xlsx").exists()
    return f"tables/{table}-corrected.csv" if in_workbook else plain


def _appended(top: Path, file: str, table: str, rows: list[dict[str, str]]) -> str:
    """Return the text of a file with rows added, its columns widened if need be."""
    path = top / file
    names = list(dict.fromkeys(name for row in rows for name in row))
    if not path.exists():
        order = [column.name for column in tables()[table].real if column.name in names]
        return delimited([order, *([guarded(row.get(name, "")) for name in order] for row in rows)])
    errors: list[RecordError] = []
    sheet = read_sheets(top, path, errors)[0]
    text = path.read_bytes().decode()
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
