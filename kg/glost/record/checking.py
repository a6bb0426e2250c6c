"""Sheets into checked rows: every cell looked at, every error reported at once."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from itertools import islice
from urllib.parse import unquote

import polars as pl
from rdflib import URIRef

from glost.limits import CELL, CELLS_TOLD, FIGURES, NEAR_TOLD, ROWS_TOLD, SHOWN
from glost.record.cells import YES, CellError, Index, checker, is_id, text_fault
from glost.record.characters import CONTROL_FOR_POLARS
from glost.record.errors import RecordError, quoted, suggestion
from glost.record.rows import PROVENANCE
from glost.record.schemes import TermScheme, published
from glost.record.sheets import ROW, TableSheet
from glost.record.tables import PARTIAL, SEPARATOR, ColumnDescription, TableDescription, kinds
from glost.record.templates import compiled


def own_schemes(sheets: Iterable[TableSheet], base: str) -> dict[str, TermScheme]:
    """Return the published schemes with the terms that a collection's ``terms`` table adds."""
    schemes = dict(published())
    for sheet in sheets:
        if sheet.table.name != "terms":
            continue
        added: dict[str, list[tuple[str, URIRef, tuple[str, ...]]]] = {}
        for row in sheet.frame.iter_rows(named=True):
            if row["scheme"] not in schemes or not is_id(row["term"]):
                continue  # its cells are told where they are checked
            labels = (row.get("name", ""), *row.get("other_names", "").split(SEPARATOR))
            term = (
                row["term"],
                URIRef(f"{base}{row['scheme']}/{row['term']}"),
                tuple(label.strip() for label in labels if label.strip()),
            )
            added.setdefault(row["scheme"], []).append(term)
        for name, terms in added.items():
            if name in schemes:
                schemes[name] = schemes[name].extended(terms)
    return schemes


def described(
    sheets: Iterable[TableSheet], more: Iterable[str], named: Iterable[str] = ()
) -> dict[str, frozenset[str]]:
    """Gather the ids that are described, by kind.

    Parameters
    ----------
    sheets
        All sheets of the collection.
    more
        Things described elsewhere, as ``kind/id``.
    named
        Things named elsewhere, as ``kind/id``; their kinds are then gathered from every table.
    """
    sheets = tuple(sheets)
    ids: dict[str, set[str]] = {kind: set() for kind in kinds()}
    for thing in more:
        kind, _, name = thing.partition("/")
        ids.setdefault(kind, set()).add(unquote(name))
    wanted = _kinds_named(sheets) | {thing.partition("/")[0] for thing in named} - set(kinds())
    for sheet in sheets:
        table = sheet.table
        frame = sheet.frame.filter(~_partial(sheet.frame))
        if table.kind:
            ids[table.kind].update(frame[table.key[0]].unique())
        elif table.key and wanted:
            _add_composite(table, frame, wanted, ids)
    return {kind: frozenset(names - {""}) for kind, names in ids.items()}


def _kinds_named(sheets: Iterable[TableSheet]) -> set[str]:
    """Find the kinds without a table of ids that some ``kind/id`` cell names."""
    named: set[str] = set()
    for sheet in sheets:
        for column in sheet.table.real:
            if column.refers == ("*",) and column.name in sheet.frame.columns:
                cells = sheet.frame[column.name].unique()
                named.update(cell.partition("/")[0] for cell in cells if "/" in cell)
    return named - set(kinds())


def _partial(frame: pl.DataFrame) -> pl.Expr:
    """Say of every row whether it is partial, before and after its cells were looked at."""
    if PARTIAL not in frame.columns:
        return pl.lit(False)
    return pl.col(PARTIAL).str.to_lowercase().is_in(sorted(YES))


def _add_composite(
    table: TableDescription, frame: pl.DataFrame, wanted: set[str], ids: dict[str, set[str]]
) -> None:
    abouts = {column.about for column in table.giving}
    for about in sorted(abouts):
        kind = about.removeprefix("../").partition("/")[0]
        if kind not in wanted:
            continue
        template = compiled(about)
        columns = [name for name in template.names if name in frame.columns]
        for row in frame.select(columns).unique().iter_rows(named=True):
            ids.setdefault(kind, set()).add(unquote(template.expand(row).partition("/")[2]))


def check_sheet(sheet: TableSheet, index: Index, errors: list[RecordError]) -> pl.DataFrame:
    """Check every cell of a sheet and return the frame with each in its plain form.

    References to claims are left for `check_claim_references`, since ids of claims are made from
    checked cells.

    Parameters
    ----------
    sheet
        The sheet as read.
    index
        What its cells may name.
    errors
        Everything wrong is appended here.
    """
    frame = sheet.frame
    suspected = _suspected(frame)
    for column in sheet.table.real:
        if column.name not in frame.columns or column.refers == ("claims",):
            continue
        suspects = _suspects(frame[column.name]) if column.name in suspected else []
        frame = _plain_column(sheet, frame, column, suspects, checker(column, index), errors)
    _required(sheet, errors)
    _sourced(sheet, errors)
    _partial_rows(sheet, index, errors)
    return frame


def check_claim_references(
    sheet: TableSheet, frame: pl.DataFrame, index: Index, errors: list[RecordError]
) -> None:
    """Check that every claim a sheet names is there."""
    for column in sheet.table.real:
        if column.refers == ("claims",) and column.name in frame.columns:
            suspects = _suspects(frame[column.name])
            _plain_column(sheet, frame, column, suspects, checker(column, index), errors)


def _plain_column(
    sheet: TableSheet,
    frame: pl.DataFrame,
    column: ColumnDescription,
    suspects: Iterable[str],
    check: Callable[[str], str],
    errors: list[RecordError],
) -> pl.DataFrame:
    changed: dict[str, str] = {}
    wrong: dict[str, CellError] = {}
    for cell in suspects:
        if fault := text_fault(cell):
            wrong[cell] = fault
    for cell in frame[column.name].unique():
        if not cell or cell in wrong:
            continue
        try:
            plain = check(cell)
        except CellError as bad:
            wrong[cell] = bad
        else:
            if plain != cell:
                changed[cell] = plain
    if wrong:
        _report(sheet, column, wrong, errors)
    if changed:
        cells = pl.col(column.name).replace(changed)
        frame = frame.with_columns(cells)
    return frame


def _suspected(frame: pl.DataFrame) -> frozenset[str]:
    """Find the columns that may hold a cell for `_suspects`, all at once."""
    cells = frame.select(pl.col(pl.String))
    control = cells.select(pl.all().str.contains(CONTROL_FOR_POLARS).any())
    longest = cells.select(pl.all().str.len_bytes().max().fill_null(0))
    told = zip(cells.columns, control.row(0), longest.row(0), strict=True)
    return frozenset(name for name, is_there, most in told if is_there or most > FIGURES)


def _suspects(cells: pl.Series) -> list[str]:
    """Find the cells that `text_fault` is to look at, without looking at each in Python."""
    suspect = cells.str.contains(CONTROL_FOR_POLARS)
    suspect |= cells.str.contains(f"[0-9]{{{FIGURES + 1}}}")
    suspect |= cells.str.len_chars() > CELL
    return cells.filter(suspect).unique().to_list()


def _report(
    sheet: TableSheet,
    column: ColumnDescription,
    wrong: Mapping[str, CellError],
    errors: list[RecordError],
) -> None:
    if (0, column.name) in sheet.faulty:
        return  # so many cells of the column are not what they show that it is told as a whole
    bad_rows = sheet.frame.filter(pl.col(column.name).is_in(sorted(wrong)))
    places: dict[str, list[int]] = {}
    for cell, row in bad_rows.select(column.name, ROW).iter_rows():
        if (row, column.name) in sheet.faulty:
            continue
        places.setdefault(cell, []).append(row)
    for at, (cell, rows) in enumerate(islice(places.items(), CELLS_TOLD)):
        bad = wrong[cell]
        remedy = bad.remedy if at < NEAR_TOLD else bad.otherwise
        found = cell[:SHOWN]
        for row in rows[:ROWS_TOLD]:
            errors.append(RecordError(sheet.file, bad.message, remedy, row, column.name, found))
        if len(rows) > ROWS_TOLD:
            message = f"{len(rows) - ROWS_TOLD} more rows hold {quoted(cell)}"
            errors.append(RecordError(sheet.file, message, remedy, 0, column.name, found))
    if len(places) > CELLS_TOLD:
        message = f"{len(places) - CELLS_TOLD:,} more cells of the column are wrong"
        remedy = "correct the first, and see what is left"
        errors.append(RecordError(sheet.file, message, remedy, 0, column.name))


def _required(sheet: TableSheet, errors: list[RecordError]) -> None:
    naming = {column.name for column in sheet.table.needed(partial=True)}
    whole = sheet.frame.filter(~_partial(sheet.frame))
    for column in sheet.table.needed(partial=False):
        if column.name in sheet.frame.columns:
            frame = sheet.frame if column.name in naming else whole
            empty = frame.filter(pl.col(column.name) == "")[ROW].to_list()
            remedy = f"give {column.description}"
            errors.extend(_each_row(sheet, empty, "the cell is empty", remedy, column.name))


def _each_row(
    sheet: TableSheet, rows: list[int], message: str, remedy: str, column: str = ""
) -> Iterator[RecordError]:
    """Tell one fault of many rows: the first, and how many more there are."""
    for row in rows[:ROWS_TOLD]:
        yield RecordError(sheet.file, message, remedy, row, column)
    if len(rows) > ROWS_TOLD:
        more = f"{len(rows) - ROWS_TOLD:,} more rows: {message}"
        yield RecordError(sheet.file, more, remedy, 0, column)


def _sourced(sheet: TableSheet, errors: list[RecordError]) -> None:
    if sheet.table.source_from:
        return
    if "source" not in sheet.frame.columns:
        message = "there is no source column: every row must say what it rests on"
        errors.append(RecordError(sheet.file, message, "add the column source", 1, "source"))
        return
    unsaid = sheet.frame.filter(pl.col("source") == "")[ROW].to_list()
    message = "the row names no source: every row must say what it rests on"
    remedy = "give the id of a source or a piece"
    errors.extend(_each_row(sheet, unsaid, message, remedy, "source"))


def _partial_rows(sheet: TableSheet, index: Index, errors: list[RecordError]) -> None:
    """Check that partial rows add something to a thing that another row describes."""
    table, frame = sheet.table, sheet.frame.filter(_partial(sheet.frame))
    adding = [
        column.name
        for column in table.real
        if column.property and column.name not in table.naming and column.name in frame.columns
    ]
    for row in frame.iter_rows(named=True):
        if not any(row[name] for name in adding):
            remedy = f"fill one of {', '.join(adding)}, or delete the row"
            message = "the row is partial and adds nothing"
            errors.append(RecordError(sheet.file, message, remedy, row[ROW], PARTIAL))
        name = row[table.key[0]] if table.kind else ""
        if name and name not in index.ids[table.kind]:
            message = f'the row is partial, and no whole row describes "{name}"'
            remedy = suggestion(name, index.ids[table.kind], "leave partial empty")
            errors.append(RecordError(sheet.file, message, remedy, row[ROW], PARTIAL))


def check_says_something(sheet: TableSheet, errors: list[RecordError]) -> None:
    """Check that no row of a table whose columns are all optional says nothing at all."""
    table = sheet.table
    asserting = [
        column.name
        for column in table.real
        if column.name in sheet.frame.columns and column.name not in PROVENANCE and column.property
    ]
    if table.name != "lineage" or not asserting:
        return
    blank = sheet.frame.filter(pl.all_horizontal([pl.col(name) == "" for name in asserting]))
    for row in blank[ROW]:
        errors.append(
            RecordError(
                sheet.file, "the row says nothing", f"fill one of {', '.join(asserting)}", row
            )
        )


def source_iris(
    table: TableDescription, frame: pl.DataFrame, ids: Mapping[str, frozenset[str]], base: str
) -> pl.Series:
    """Find the IRI of the source of every row, by the rules of its table."""
    pieces = ids.get("piece", frozenset()) - ids.get("source", frozenset())
    named = pl.col("source") if "source" in frame.columns else pl.lit("")
    other = pl.col(table.source_from) if table.source_from else named
    kind = "piece" if table.source_from == "piece" else "source"
    used = set(frame["source"].unique()) if "source" in frame.columns else set()
    own = (
        pl.when(named.is_in(sorted(used & pieces)))
        .then(pl.lit("piece/"))
        .otherwise(pl.lit("source/"))
    )
    found = pl.when(named != "").then(own + named).otherwise(pl.lit(f"{kind}/") + other)
    return frame.with_columns((pl.lit(base) + found).alias("source"))["source"]


def shared_ids(ids: Mapping[str, frozenset[str]]) -> list[RecordError]:
    """Report ids that both a source and a piece bear: a source column could mean either."""
    both = ids.get("source", frozenset()) & ids.get("piece", frozenset())
    return [
        RecordError(
            "tables/pieces.csv",
            f'"{name}" is the id of a source and of a piece',
            "give one of them another id",
            0,
            "piece",
            found=name,
        )
        for name in sorted(both)
    ]
