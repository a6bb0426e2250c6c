"""Rows that are to be added: checked as the reader checks them, made claims of, and written.

What one is about to add can be looked at before it is written: a `Draft` says what is wrong with
it, cell by cell, in the reader's own words, and holds the claims it would become.
"""

import csv
import io
import re
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import polars as pl
from rdflib import URIRef

from glost.record.amending import amend
from glost.record.appending import appended, file_for
from glost.record.cells import Index, checker, text_fault
from glost.record.checking import (
    check_claim_references,
    check_says_something,
    check_sheet,
    described,
    source_iris,
)
from glost.record.claims import Claim
from glost.record.errors import RecordError, RecordErrors
from glost.record.record import Record
from glost.record.rows import ClaimRows, RowReader, Rows, content_ids
from glost.record.schemes import TermScheme
from glost.record.sheets import DELIMITED, ROW, TableSheet, read_sheets
from glost.record.tables import SEPARATOR, ColumnDescription, tables
from glost.record.writing import delimited

Row = Mapping[str, str]
"""Cells by column name; an empty one may be left out."""

_NUMBER = re.compile(r"([0-9]+)([^0-9]*)\Z")


@dataclass(frozen=True, slots=True)
class Draft:
    """Rows that could be added.

    Attributes
    ----------
    record
        The record they would be added to.
    rows
        Their filled cells in plain form, by table.
    claims
        What they would become; none if anything is wrong.
    errors
        Everything wrong with them; `RecordError.row` counts the rows of a table from 1.
    """

    record: Record = field(repr=False)
    rows: Mapping[str, tuple[dict[str, str], ...]]
    claims: tuple[Claim, ...]
    errors: tuple[RecordError, ...]


@dataclass(frozen=True, slots=True)
class Entered:
    """What was added.

    Attributes
    ----------
    ids
        Ids of the claims that are new, in the order of the rows, table by table.
    files
        Files written, relative to the collection.
    record
        The collection as it is now.
    """

    ids: tuple[str, ...]
    files: tuple[str, ...]
    record: Record = field(repr=False, compare=False)


def check_cell(record: Record, column: ColumnDescription, text: str) -> str:
    """Check one cell as the reader does.

    Parameters
    ----------
    record
        The record whose things and terms it may name.
    column
        The column it stands in.
    text
        What was written.

    Returns
    -------
    str
        Its plain form.

    Raises
    ------
    glost.record.cells.CellError
        If it is not what the column asks for.
    """
    if fault := text_fault(text):
        raise fault
    cell = text.strip()
    known = _claims_known(record) if column.refers == ("claims",) else frozenset[str]()
    return checker(column, Index(record.ids, known, record.schemes))(cell) if cell else ""


def draft(record: Record, given: Mapping[str, Sequence[Row]]) -> Draft:
    """Check rows as the reader would, and make the claims they would become.

    Parameters
    ----------
    record
        The record they are to be added to. Rows may name each other.
    given
        Rows by table name.

    Raises
    ------
    KeyError
        If there is no such table.
    """
    whole, record = record, record.own or record
    errors: list[RecordError] = []
    sheets = [_sheet(name, rows, errors) for name, rows in sorted(given.items())]
    schemes = _schemes(record, given)
    index = _index(record, sheets, schemes)
    frames = [check_sheet(sheet, index, errors) for sheet in sheets]
    made = []
    for sheet, frame in zip(sheets, frames, strict=True):
        check_says_something(sheet, errors)
        named = frame["claim"]
        content = content_ids(sheet.table, frame)
        ids = frame.select(pl.when(named == "").then(content).otherwise(named).alias("id"))["id"]
        sources = source_iris(sheet.table, frame, index.ids, record.base)
        reader = RowReader.of(sheet.table, record.base, schemes)
        rows = Rows(sheet.file, frame, reader)
        certainties = schemes["certainty"].iris
        made.append(ClaimRows(rows, ids, sources, record.base, certainties))
    _check_claims(record, sheets, made, index, errors)
    plain = {
        rows.table: tuple(rows.rows.values(at) for at in range(rows.rows.frame.height))
        for rows in made
    }
    if not errors:
        errors.extend(_there_already(record, made))
    claims = () if errors else tuple(claim for rows in made for claim in rows.claims())
    return Draft(whole, plain, claims, tuple(errors))


def enter(record: Record, given: Mapping[str, Sequence[Row]]) -> Entered:
    """Add rows to the end of their tables, all or none.

    Parameters
    ----------
    record
        The record they are to be added to.
    given
        Rows by table name.

    Raises
    ------
    RecordErrors
        If anything is wrong with them, one is on record already, what comes of them would be no
        sound collection, or the collection has changed since it was read. Nothing is then changed.
    """
    return exchange(record, (), given)


def exchange(record: Record, ids: Iterable[str], given: Mapping[str, Sequence[Row]]) -> Entered:
    """Take rows out and add others in their stead, all or none; see `take_out` and `enter`.

    Parameters
    ----------
    record
        The record they are in.
    ids
        Ids of the claims that go.
    given
        Rows that come, by table name; none may be what one of those that go is.

    Raises
    ------
    RecordErrors
        As of `take_out` and `enter`. Nothing is then changed.
    """
    going = sorted(set(ids))
    made = draft(record, given)
    if made.errors:
        raise RecordErrors(made.errors)
    files = _less(record, going)
    for table, rows in made.rows.items():
        file = file_for(record, table)
        files[file] = appended(record.collection.path, file, table, list(rows), files.get(file))
    new = tuple(claim.id for claim in made.claims)
    parts = [f"take out {_rows(len(going))}" if going else "", f"add {_rows(len(new))}"]
    record = amend(record, " and ".join(filter(None, parts)), files, added=new, removed=going)
    return Entered(new, tuple(sorted(files)), record)


def take_out(record: Record, ids: Iterable[str]) -> Record:
    """Take rows out of their tables that nothing has come to rest on, as if never entered.

    This is for rows entered a moment ago. What others may have read is corrected instead (see
    `glost.record.correcting`), so that it stays on record.

    Parameters
    ----------
    record
        The record they are in.
    ids
        Ids of their claims.

    Returns
    -------
    Record
        The collection as it is now.

    Raises
    ------
    RecordErrors
        If one is not there or stands in no text file, if something else names what it describes,
        or the collection has changed since it was read. Nothing is then changed.
    """
    return exchange(record, ids, {}).record


def _rows(number: int) -> str:
    return f"{number} {'row' if number == 1 else 'rows'}"


def _less(record: Record, names: Iterable[str]) -> dict[str, str]:
    """Return the text of each file less the rows that some claims stand in."""
    wanted: dict[str, set[int]] = defaultdict(set)
    errors = []
    for name in names:
        claim = record.claim(name)
        if claim is None:
            remedy = "nothing need be done"
            errors.append(RecordError("tables", f'there is no claim "{name}"', remedy))
        elif not claim.origin.row or not claim.origin.file.endswith(tuple(DELIMITED)):
            message = f'"{name}" stands in no table of plain text'
            errors.append(RecordError(claim.origin.file, message, "withdraw it"))
        else:
            wanted[claim.origin.file].add(claim.origin.row)
    if errors:
        raise RecordErrors(errors)
    return {file: _without(record, file, rows) for file, rows in wanted.items()}


def same_again(table: str, saved: Sequence[Row]) -> dict[str, str]:
    """Begin a row like those just entered: what stayed the same is kept, numbers are counted on.

    Parameters
    ----------
    table
        The table.
    saved
        The rows entered so far, the last one last.

    Returns
    -------
    dict of str to str
        Cells of the next row. A cell that the last two rows share is kept; one that went up by
        one from the one to the other is counted on; any other is left empty. After one row alone
        its own id, item, number, order and place on the page are counted on, and the rest is
        kept. A region is never kept.
    """
    if not saved:
        return {}
    last, kind = saved[-1], tables()[table]
    counted = {"item", "number", "order", "locator", *(kind.key[:1] if kind.kind else ())}
    found = {}
    for column in kind.real:
        name = column.name
        cell = last.get(name, "")
        if not cell or name in ("region", "claim"):
            continue
        before = saved[-2].get(name, "") if len(saved) > 1 else None
        if before is not None:
            found[name] = cell if before == cell else _next(before, cell)
        elif name not in counted or (name == "locator" and not _counts(cell)):
            found[name] = cell
        else:
            found[name] = counted_on(cell)
    return {name: cell for name, cell in found.items() if cell}


def _next(before: str, cell: str) -> str:
    """Count on a cell that came of the one before it by counting on; else return nothing."""
    return counted_on(cell) if counted_on(before) == cell else ""


def _counts(locator: str) -> bool:
    """Say whether a place within a page is given, ``p. 3, item 12``, and not the page alone."""
    return bool(re.search(r"(item|no\.?|line|fig\.?|entry|row)\s*[0-9]+\D*$", locator, re.I))


def counted_on(text: str) -> str:
    """Return a text with its last number one higher, as wide as before; empty if it has none."""
    found = _NUMBER.search(text)
    if found is None:
        return ""
    number = found[1]
    return f"{text[: found.start()]}{int(number) + 1:0{len(number)}}{found[2]}"


# -- parts ---------------------------------------------------------------------------------------


def _sheet(name: str, rows: Sequence[Row], errors: list[RecordError]) -> TableSheet:
    table = tables()[name]
    file = f"tables/{name}.csv"
    columns = [column.name for column in table.real]
    for at, row in enumerate(rows, 1):
        for unknown in sorted(set(row) - set(columns)):
            message = f'there is no column "{unknown}" in {name}'
            remedy = f"columns are {', '.join(columns)}"
            errors.append(RecordError(file, message, remedy, at, unknown))
    cells = {column: [row.get(column, "").strip() for row in rows] for column in columns}
    frame = pl.DataFrame(
        {**cells, ROW: list(range(1, len(rows) + 1))},
        schema={**dict.fromkeys(columns, pl.String), ROW: pl.Int64},
    )
    return TableSheet(file, table, frame, ",")


def _schemes(record: Record, given: Mapping[str, Sequence[Row]]) -> Mapping[str, TermScheme]:
    """Return the record's lists of terms with those that rows add."""
    schemes = dict(record.schemes)
    for row in given.get("terms", ()):
        name, term = row.get("scheme", ""), row.get("term", "")
        if name in schemes and term:
            labels = (row.get("name", ""), *row.get("other_names", "").split(SEPARATOR))
            iri = URIRef(f"{record.base}{name}/{term}")
            schemes[name] = schemes[name].extended([(term, iri, tuple(filter(None, labels)))])
    return schemes


def _index(
    record: Record, sheets: Sequence[TableSheet], schemes: Mapping[str, TermScheme]
) -> Index:
    new = described(sheets, ())
    ids = {
        kind: record.ids.get(kind, frozenset()) | new.get(kind, frozenset())
        for kind in sorted({*record.ids, *new})
    }
    return Index(ids, frozenset(), schemes)


def _claims_known(record: Record) -> frozenset[str]:
    return frozenset(iri.rsplit("/", 1)[-1] for iri in record.claims.iris())


def _check_claims(
    record: Record,
    sheets: Sequence[TableSheet],
    made: Sequence[ClaimRows],
    index: Index,
    errors: list[RecordError],
) -> None:
    """Check the claims that rows name, where any does."""
    if not any(c.refers == ("claims",) for sheet in sheets for c in sheet.table.real):
        return
    known = _claims_known(record) | {name for rows in made for name in rows.ids}
    index = Index(index.ids, known, index.schemes)
    for sheet, rows in zip(sheets, made, strict=True):
        check_claim_references(sheet, rows.rows.frame, index, errors)


def _there_already(record: Record, made: Iterable[ClaimRows]) -> Iterable[RecordError]:
    seen: set[str] = set()
    for rows in made:
        for at, name in enumerate(rows.ids, 1):
            there = record.claim(name)
            where = str(there.origin) if there is not None else "a row before it"
            if there is not None or name in seen:
                message = f"the very same row is there already: {where}"
                remedy = "leave it out, or say where they differ"
                yield RecordError(rows.rows.file, message, remedy, at)
            seen.add(name)


def _without(record: Record, file: str, rows: set[int]) -> str:
    """Return the text of a file less some rows, the header being row 1."""
    top = record.collection.path
    sheet = read_sheets(top, top / file, [])[0]
    text = (top / file).read_bytes().decode()
    mark = "\ufeff" if text.startswith("\ufeff") else ""
    text = text.removeprefix(mark)
    ending = "\r\n" if "\r\n" in text else "\n"
    records = csv.reader(io.StringIO(text, newline=""), delimiter=sheet.delimiter)
    kept = [cells for at, cells in enumerate(records, 1) if at not in rows]
    return mark + delimited(kept, sheet.delimiter, ending)
