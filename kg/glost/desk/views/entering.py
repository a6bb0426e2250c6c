"""To enter rows: a form for a table's columns, cells checked, what follows seen before saving."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from http import HTTPStatus
from urllib.parse import urlencode

from starlette.responses import RedirectResponse, Response

from glost.desk.asked import Asked, Missing, Routes
from glost.desk.cells import NAMED, ToldCell, named_row, tell
from glost.desk.consequences import Foreseen, foreseen
from glost.desk.frame import page, part
from glost.desk.opened import Opened, UndoableStep
from glost.desk.saving import saved
from glost.desk.state import State
from glost.desk.views.looking import claim_of, last_step, told
from glost.record.claims import Claim
from glost.record.entering import Draft, draft, enter, same_again
from glost.record.errors import RecordError, RecordErrors
from glost.record.rows import PROVENANCE
from glost.record.tables import PARTIAL, ColumnDescription, TableDescription, tables
from glost.words.sentences import says

_LATER = ("recorded_on", "claim", PARTIAL)
"""Columns that stand behind a fold: they are filled by the desk, or seldom at all."""


@dataclass(frozen=True)
class RowForm:
    """A form for a row of a table.

    Attributes
    ----------
    table
        The table.
    cells
        What stands in each column.
    told
        What is said of a cell, by column.
    errors
        What is wrong with the row, not told of one cell.
    foreseen
        What would follow if it were saved; None if nobody asked.
    back
        The address of the page or recording it is read from; empty if from none.
    again
        Whether it goes on from the row before: one types on in the first cell that is empty, and
        Enter saves and goes on.
    """

    table: TableDescription
    cells: Mapping[str, str]
    told: Mapping[str, ToldCell]
    errors: tuple[RecordError, ...] = ()
    foreseen: Foreseen | None = None
    back: str = ""
    again: bool = False

    @property
    def own(self) -> list[ColumnDescription]:
        """The columns of the table's own, those that must be filled first."""
        common = {*PROVENANCE, PARTIAL}
        own = [c for c in self.table.real if c.name not in common or c.name in self.table.key]
        return sorted(own, key=lambda c: not c.required)

    @property
    def goes_on(self) -> str:
        """The column in which one types on: the first that is empty, or the first of all."""
        empty = (c.name for c in self.own if not self.cells.get(c.name))
        return next(empty, self.own[0].name) if not self.told else ""

    @property
    def makes(self) -> str:
        """The column of ids that are made of names; empty if the table has none."""
        names = {column.name for column in self.table.real}
        made = self.table.kind and self.table.key and names.intersection(NAMED)
        return self.table.key[0] if made else ""

    @property
    def rests(self) -> list[ColumnDescription]:
        """The columns that say what the row rests on."""
        own = {c.name for c in self.own}
        return [
            c for c in self.table.real if c.name in PROVENANCE and c.name not in (*own, *_LATER)
        ]

    @property
    def later(self) -> list[ColumnDescription]:
        """The others."""
        return [c for c in self.table.real if c.name in _LATER]


def choose(opened: Opened, asked: Asked) -> Response:
    """Show the tables that a row may be added to."""
    return page("enter-what", opened.state(), here="/", tables=list(tables().values()))


def form(opened: Opened, asked: Asked) -> Response:
    """Show a form for a row of a table and what would follow from it, and save it."""
    state = opened.state()
    made = row_form(opened, state, asked, asked.places["table"])
    if isinstance(made, Response):
        return made
    status = HTTPStatus.BAD_REQUEST if made.errors or _wrong(made) else HTTPStatus.OK
    return page(
        "enter", opened.state(), here="/", status=status if asked.saves else HTTPStatus.OK,
        form=made, saved=last_step(opened, asked), beside=_beside(opened.state(), asked),
    )  # fmt: skip


def _beside(state: State, asked: Asked) -> tuple[Claim, str] | None:
    """Return the claim beside which a row of another source is entered, and what it says."""
    if not asked.get("beside"):
        return None
    claim = claim_of(state, asked.get("beside"))
    return claim, told(state, claim)


def _wrong(made: RowForm) -> bool:
    return any(each.message for each in made.told.values())


def row_form(
    opened: Opened,
    state: State,
    asked: Asked,
    name: str,
    defaults: Mapping[str, str] | None = None,
    back: str = "",
) -> RowForm | Response:
    """Make a form for a row, as it was sent or as it begins; save the row if it was meant to be.

    Parameters
    ----------
    opened, state
        The collection.
    asked
        The request.
    name
        The table.
    defaults
        Cells that a new row begins with.
    back
        The address of the page or recording it is read from; empty if from none.

    Returns
    -------
    RowForm or Response
        The answer, if the row was saved.
    """
    if name not in tables():
        raise Missing(f'there is no table "{name}"')
    table = tables()[name]
    cells = {c.name: asked.get(f"cell-{c.name}") for c in table.real}
    if not asked.saves:
        begun = dict(defaults or {})
        if asked.get("again"):
            begun |= same_again(name, opened.rows.get(name, [])[-2:])
            begun |= {"region": ""}
        begun.setdefault("recorded_by", opened.by)
        cells = {each: text or begun.get(each, "") for each, text in cells.items()}
        return RowForm(table, cells, {}, back=back, again=asked.get("again") == "1")
    row = named_row(state, name, cells)
    row.setdefault("recorded_on", date.today().isoformat())
    made = draft(state.record, {name: [row]})
    if made.errors:
        return _refused(state, table, cells, made.errors, back)
    if asked.get("do") not in ("save", "again"):
        # What is said of the cells names things as they are now: it comes before what would be.
        told = {c.name: tell(state, c, cells[c.name]) for c in table.real if cells[c.name]}
        seen = foreseen(opened, made.claims, answers=asked.get("answers") == "1")
        return RowForm(table, cells, told, (), seen, back)
    return _save(opened, state, asked, table, cells, made, back)


def _refused(
    state: State,
    table: TableDescription,
    cells: Mapping[str, str],
    errors: tuple[RecordError, ...],
    back: str,
) -> RowForm:
    told = {c.name: tell(state, c, cells[c.name]) for c in table.real if cells[c.name]}
    for error in errors:
        if error.column and not (error.column in told and told[error.column].message):
            told[error.column] = ToldCell(message=error.message, remedy=error.remedy)
    rest = tuple(error for error in errors if not error.column)
    return RowForm(table, cells, told, rest, None, back)


def _save(
    opened: Opened,
    state: State,
    asked: Asked,
    table: TableDescription,
    cells: Mapping[str, str],
    made: Draft,
    back: str,
) -> RowForm | Response:
    (claim,) = made.claims
    what = f"Entered: {says(claim.statements, state.snapshot.words)}"
    rows = {name: list(some) for name, some in made.rows.items()}
    try:
        entered = saved(opened, lambda record: enter(record, rows))
    except RecordErrors as bad:
        return _refused(opened.state(), table, cells, bad.errors, back)
    opened.by = cells.get("recorded_by") or opened.by
    opened.rows.setdefault(table.name, []).append(dict(rows[table.name][0]))
    step = UndoableStep(
        what, entered=entered.ids, links=((f"/claim/{entered.ids[0]}", "the claim"),)
    )
    opened.made(entered.record, step)
    again = {"again": "1"} if asked.get("do") == "again" else {}
    query = urlencode({"table": table.name, "saved": "1", **again})
    if back:
        return RedirectResponse(f"{back}?{query}#row", HTTPStatus.SEE_OTHER)
    if again:
        return RedirectResponse(f"/enter/{table.name}?{query}", HTTPStatus.SEE_OTHER)
    return RedirectResponse(f"/claim/{entered.ids[0]}?saved=1", HTTPStatus.SEE_OTHER)


def cell(opened: Opened, asked: Asked) -> Response:
    """Show what is said of one cell, while one types."""
    state = opened.state()
    name, column = asked.get("table"), asked.get("column")
    table = tables().get(name)
    found = next((c for c in table.real if c.name == column), None) if table else None
    if found is None:
        raise Missing(f'there is no column "{column}" of "{name}"')
    text = asked.get("text")
    told = tell(state, found, text, lately(opened, state))
    return part("cell", told=told, column=found, text=text, describe=describing(found, text))


def lately(opened: Opened, state: State) -> list[str]:
    """Return the IRIs of the things that rows were entered of at this sitting, the last first."""
    found = []
    for step in reversed(opened.steps):
        for name in step.entered:
            claim = state.claim(name)
            if claim is not None:
                found.append(str(claim.statements[0][0]).partition("#")[0])
    return list(dict.fromkeys(found))


def describing(column: ColumnDescription, text: str) -> str:
    """Return where a thing that a cell names could be described; empty if it names none."""
    for name in column.refers:
        if name in tables() and text:
            table = tables()[name]
            return f"/enter/{name}?{urlencode({f'cell-{table.key[0]}': text})}"
    return ""


def foretold(opened: Opened, asked: Asked) -> Response:
    """Show what a row would bring about, as a part of a page, while one types."""
    state = opened.state()
    name = asked.places["table"]
    if name not in tables():
        raise Missing(f'there is no table "{name}"')
    cells = {c.name: asked.get(f"cell-{c.name}") for c in tables()[name].real}
    made = draft(state.record, {name: [named_row(state, name, cells)]})
    seen = None if made.errors else foreseen(opened, made.claims)
    return part("foreseen", foreseen=seen, errors=made.errors)


ROUTES: Routes = (
    ("/enter", choose),
    ("/enter/{table}", form),
    ("/cell", cell),
    ("/foretold/{table}", foretold),
)
