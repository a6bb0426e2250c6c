"""What stands on record of a page, as the rows that were entered from it."""

from collections.abc import Iterable
from dataclasses import dataclass

from glost.desk.cells import meant
from glost.desk.state import State
from glost.record.belief import Belief
from glost.record.claims import Claim
from glost.record.fitting import Fitter
from glost.record.tables import ColumnDescription, TableDescription


@dataclass(frozen=True, slots=True)
class PageRow:
    """A claim as a row.

    Attributes
    ----------
    claim
        The claim.
    place
        The number of the region it was read from, from 1, and what that is called.
    cells
        What stands in each column, in words; empty where nothing does.
    withdrawn
        Whether any of it is no longer believed.
    """

    claim: Claim
    place: tuple[int, str]
    cells: tuple[str, ...]
    withdrawn: bool


@dataclass(frozen=True, slots=True)
class PageRows:
    """Rows of one table that were read from a page.

    Attributes
    ----------
    table
        The table.
    common
        What all of them say alike, in words.
    columns
        The columns in which they differ.
    rows
        The rows, in the order of their places on the page.
    """

    table: TableDescription
    common: tuple[str, ...]
    columns: tuple[ColumnDescription, ...]
    rows: tuple[PageRow, ...]


def page_rows(
    state: State, found: Iterable[tuple[tuple[int, str], Claim]]
) -> tuple[list[PageRows], list[tuple[tuple[int, str], Claim]]]:
    """Put claims into the rows that say just what they say.

    Parameters
    ----------
    state
        The collection.
    found
        Claims, each with its place.

    Returns
    -------
    list of PageRows
        Rows by table, the fullest table first.
    list
        Claims that fit no table, with their places.
    """
    fitter = Fitter(state.base, state.record.schemes)
    tables: dict[str, list[tuple[tuple[int, str], Claim, dict[str, str]]]] = {}
    known: dict[str, TableDescription] = {}
    left = []
    for place, claim in found:
        expander, cells = next(fitter.fits(claim.statements), (None, {}))
        if expander is None:
            left.append((place, claim))
            continue
        known[expander.table.name] = expander.table
        tables.setdefault(expander.table.name, []).append((place, claim, cells))
    made = [_rows(state, known[name], rows) for name, rows in tables.items()]
    return sorted(made, key=lambda each: (-len(each.rows), each.table.name)), left


def _rows(
    state: State, table: TableDescription, rows: list[tuple[tuple[int, str], Claim, dict[str, str]]]
) -> PageRows:
    filled = [column for column in table.real if any(row.get(column.name) for *_, row in rows)]
    alike = [
        column
        for column in filled
        if len(rows) > 1 and len({row.get(column.name, "") for *_, row in rows}) == 1
    ]
    differ = tuple(column for column in filled if column not in alike)
    first = rows[0][2]
    return PageRows(
        table,
        tuple(_said(state, column, first[column.name]) for column in alike),
        differ,
        tuple(
            PageRow(
                claim,
                place,
                tuple(_said(state, column, row.get(column.name, "")) for column in differ),
                _withdrawn(state.snapshot.belief, claim),
            )
            for place, claim, row in rows
        ),
    )


def _withdrawn(belief: Belief, claim: Claim) -> bool:
    return claim.iri in belief.withdrawn or claim.iri in belief.parts


def _said(state: State, column: ColumnDescription, cell: str) -> str:
    return meant(state, column, cell) or cell if cell else ""
