"""To bring in images and tables; and to take away: sheets, labels, picking lists, comparisons."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from http import HTTPStatus
from io import BytesIO
from pathlib import Path, PurePosixPath
from tempfile import TemporaryDirectory

import segno
from markupsafe import Markup
from rdflib import URIRef
from rdflib.namespace import RDF
from starlette.responses import HTMLResponse, RedirectResponse, Response

from glost.desk.asked import Asked, Missing, Routes, Unclear
from glost.desk.cells import resolved_row
from glost.desk.consequences import Foreseen, foreseen
from glost.desk.frame import page, policy, shown
from glost.desk.opened import Opened, UndoableStep
from glost.desk.saving import saved
from glost.desk.state import State
from glost.desk.views.looking import iri_of, thing_at
from glost.names import GLOST
from glost.record.entering import draft, enter
from glost.record.errors import RecordError
from glost.record.images import FOLDER, look
from glost.record.sheets import DELIMITED, ROW, WORKBOOK, TableSheet, read_sheets
from glost.record.tables import TableDescription, tables
from glost.record.transaction import Place, changing
from glost.report.kinds import kinds
from glost.report.sheet import sheet
from glost.report.things import SHORT, report_of
from glost.report.things.full import SHEET

_GRID = 100
"""Rows of a table that can be mended on the page."""
_LABELS = 240
"""Labels that are made at once: ten pages of them."""
_TICKED = 500
"""Things that are shown to be ticked."""


@dataclass(frozen=True)
class Grid:
    """Rows of a table that was brought, to be mended in place.

    Attributes
    ----------
    table
        The table.
    columns
        Names of the columns it fills.
    rows
        The cells of each row.
    errors
        What is wrong: of a cell by row, from 1, and column; of a row with an empty column.
    """

    table: TableDescription
    columns: tuple[str, ...]
    rows: tuple[dict[str, str], ...]
    errors: tuple[RecordError, ...]
    foreseen: Foreseen | None = None

    def wrong(self, row: int, column: str) -> str:
        """Return what is wrong with a cell, or with a row as a whole; empty if nothing is."""
        found = [e for e in self.errors if e.row == row and e.column == column]
        return "; ".join(": ".join(filter(None, (e.message, e.remedy))) for e in found)

    @property
    def others(self) -> list[RecordError]:
        """What is wrong that stands at no cell or row of the grid."""
        there = {(n, c) for n in range(1, len(self.rows) + 1) for c in ("", *self.columns)}
        return [e for e in self.errors if (e.row, e.column) not in there]


def bring(opened: Opened, asked: Asked) -> Response:
    """Take images into the collection, and rows out of tables that were brought."""
    state = opened.state()
    if not asked.saves:
        return page(
            "bring", state, here="/pages", errors=(), grid=None, brought=asked.get("brought")
        )
    if asked.get("table") in tables():
        return _mended(opened, state, asked)
    images, brought, errors = [], [], list[RecordError]()
    grid = None
    for name, content in asked.files:
        plain = plain_name(name)
        suffix = PurePosixPath(plain).suffix
        if suffix in DELIMITED | WORKBOOK:
            grid = _grid(opened, state, plain, content, errors)
            continue
        found = fault_of(plain, content, state.record.collection.path)
        if found is not None:
            errors.append(found)
        else:
            images.append((plain, content))
    if images and not errors:
        brought = [name for name, _ in images]
        _put(state.record.collection.path, images)
    if not asked.files:
        errors.append(RecordError("", "no file was chosen", "choose one, or drop it on the field"))
    if brought and grid is None and not errors:
        where = f"/page/{brought[0]}" if len(brought) == 1 else "/pages"
        return RedirectResponse(where, HTTPStatus.SEE_OTHER)
    status = HTTPStatus.BAD_REQUEST if errors else HTTPStatus.OK
    return page(
        "bring", opened.state(), here="/pages", status=status, errors=errors, grid=grid,
        brought=", ".join(brought),
    )  # fmt: skip


def plain_name(name: str) -> str:
    """Return the name a file is kept under: its last part, of letters, digits, -, _ and a dot."""
    last = re.split(r"[/\\]", name)[-1]
    stem, dot, suffix = last.rpartition(".")
    stem = re.sub(r"[^A-Za-z0-9_-]+", "-", stem).strip("-") or "image"
    return f"{stem[:80]}{dot}{re.sub(r'[^a-z0-9]', '', suffix.lower())[:8]}"


def fault_of(name: str, content: bytes, top: Path) -> RecordError | None:
    """Say what is wrong with an image that is brought; None if it can be kept.

    It is looked at apart from the collection, and not unpacked.
    """
    if (top / FOLDER / name).exists():
        remedy = "give the file another name, and bring it again"
        return RecordError(f"{FOLDER}/{name}", "there is an image of that name already", remedy)
    with TemporaryDirectory(prefix="glost-desk-") as apart:
        (Path(apart) / FOLDER).mkdir()
        (Path(apart) / FOLDER / name).write_bytes(content)
        found = look(Path(apart), f"{FOLDER}/{name}")
        return found if isinstance(found, RecordError) else None


def _put(top: Path, images: Iterable[tuple[str, bytes]]) -> None:
    with changing(Place.within(top), "bring images") as change:
        for name, content in images:
            change.put(f"{FOLDER}/{name}", content)
        change.commit()


# -- tables --------------------------------------------------------------------------------------


def _grid(
    opened: Opened, state: State, name: str, content: bytes, errors: list[RecordError]
) -> Grid | None:
    with TemporaryDirectory(prefix="glost-desk-") as apart:
        path = Path(apart) / name
        path.write_bytes(content)
        sheets = read_sheets(Path(apart), path, errors)
    if not sheets:
        return None
    table, rows = _rows(sheets[0])
    if len(sheets) > 1:
        errors.append(RecordError(name, "it has several sheets", "bring one sheet at a time"))
    if len(rows) > _GRID:
        message = f"it has {len(rows):,} rows, and {_GRID} can be mended here"
        remedy = "bring it in parts, or put the file into tables/ and run glost check"
        errors.append(RecordError(name, message, remedy))
        return None
    return _checked(opened, state, table, rows)


def _rows(found: TableSheet) -> tuple[TableDescription, list[dict[str, str]]]:
    frame = found.frame.drop(ROW)
    rows = [{n: cell for n, cell in row.items() if cell} for row in frame.iter_rows(named=True)]
    return found.table, [row for row in rows if row]


def _checked(
    opened: Opened, state: State, table: TableDescription, rows: list[dict[str, str]]
) -> Grid:
    plain = [resolved_row(state, table.name, row) for row in rows]
    made = draft(state.record, {table.name: plain})
    needed = [column.name for column in table.needed(partial=False)]
    used = {name for row in rows for name in row} | set(needed)
    columns = tuple(column.name for column in table.real if column.name in used)
    seen = None if made.errors else foreseen(opened, made.claims)
    return Grid(table, columns, tuple(rows), made.errors, seen)


def _mended(opened: Opened, state: State, asked: Asked) -> Response:
    """Check rows again that were mended, and save them if that was asked for."""
    table = tables()[asked.get("table")]
    names = {column.name for column in table.real}
    by: dict[int, dict[str, str]] = {}
    for field, text in asked.fields.items():
        place = re.fullmatch(r"row-([0-9]{1,3})-(\w+)", field)
        if place and place[2] in names and int(place[1]) <= _GRID:
            by.setdefault(int(place[1]), {})[place[2]] = text.strip()
    rows = [{n: t for n, t in by[at].items() if t} for at in sorted(by)]
    rows = [row for row in rows if row]
    if not rows:
        raise Unclear("there are no rows to bring")
    grid = _checked(opened, state, table, rows)
    if asked.get("do") == "save" and not grid.errors:
        plain = [resolved_row(opened.state(), table.name, row) for row in rows]
        entered = saved(opened, lambda record: enter(record, {table.name: plain}))
        step = UndoableStep(f"Brought {len(plain)} rows of {table.name}", entered=entered.ids)
        opened.made(entered.record, step)
        return RedirectResponse("/history?saved=1", HTTPStatus.SEE_OTHER)
    status = HTTPStatus.BAD_REQUEST if grid.errors else HTTPStatus.OK
    return page(
        "bring", opened.state(), here="/pages", status=status, errors=(), grid=grid, brought=""
    )


# -- to take away --------------------------------------------------------------------------------


def as_sheet(opened: Opened, asked: Asked) -> Response:
    """Show a thing's sheet: one page to print or send, that needs nothing beside it."""
    state = opened.state(asked.as_of)
    iri = thing_at(state, f"{asked.places['kind']}/{asked.places['name']}")
    report = report_of(state.basis, iri, SHEET, shown=True)
    text = sheet(report, state.record.collection.path)
    return HTMLResponse(text, headers={"content-security-policy": policy(text)})


def labels(opened: Opened, asked: Asked) -> Response:
    """Make labels: a thing's name, its id, and its identifier as a QR code (ISO/IEC 18004).

    Where nothing is named yet, things of a kind are shown to be ticked.
    """
    state = opened.state()
    texts = asked.several.get("of", ())
    if not texts:
        return _to_label(state, asked)
    iris = [iri_of(state, text) for text in dict.fromkeys(texts)]
    made = [(state.called(iri), _place(state, iri), _code(str(iri))) for iri in iris[:_LABELS]]
    return page("labels", state, labels=made, more=max(0, len(iris) - _LABELS))


def _to_label(state: State, asked: Asked) -> Response:
    ids = state.record.ids
    kinds_ = [each for each in kinds().values() if ids.get(each.name) or each.name in state.kept]
    names = [each.name for each in kinds_]
    chosen = asked.get("kind") or next((n for n in ("piece", *names) if n in names), "")
    if chosen and chosen not in names:
        raise Missing(f'there is nothing of the kind "{chosen}" here')
    only = asked.get("only").casefold()
    listed = []
    own = [(str(state.iri(chosen, name)), f"{chosen}/{name}") for name in ids.get(chosen, ())]
    for iri, place in (*own, *((iri, iri) for iri in state.kept.get(chosen, ()))):
        called = state.called(iri)
        if only in called.casefold() or only in place.partition("/")[2].casefold():
            listed.append((called, place))
    return page(
        "to-label", state, here="", kinds=kinds_, chosen=chosen, only=asked.get("only"),
        listed=sorted(listed)[:_TICKED], count=len(listed), all=asked.get("all") == "1",
    )  # fmt: skip


def _place(state: State, iri: URIRef) -> str:
    return str(iri).removeprefix(state.base)


def _code(text: str) -> Markup:
    out = BytesIO()
    segno.make(text, error="m", micro=False).save(
        out, kind="svg", xmldecl=False, svgns=True, omitsize=True, svgclass="qr", lineclass=None
    )
    return Markup(out.getvalue().decode())


def picking(opened: Opened, asked: Asked) -> Response:
    """Make a picking list: which pieces show a thing, where each is kept, and under what number."""
    state = opened.state(asked.as_of)
    iri = iri_of(state, asked.get("of"))
    facts = state.snapshot.belief.graph
    shown_by = (GLOST.ofShape, GLOST.bearsTreatment, GLOST.bearsDecal, GLOST.bearsMark,
                GLOST.bearsGlaze, GLOST.madeBy)  # fmt: skip
    found = {
        str(piece)
        for each in shown_by
        for piece in facts.subjects(each, iri)
        if (piece, RDF.type, GLOST.Piece) in facts
    }
    rows = []
    for piece in sorted(found):
        told = [
            "; ".join(sorted(map(str, facts.objects(URIRef(piece), each))))
            for each in (GLOST.heldBy, GLOST.accession)
        ]
        rows.append((state.called(piece), state.link(piece), *told))
    rows.sort(key=lambda row: (row[2], row[3], row[0]))
    return page("picking", state, of=state.called(iri), iri=str(iri), rows=rows)


def compare(opened: Opened, asked: Asked) -> Response:
    """Show two things side by side."""
    state = opened.state(asked.as_of)
    texts = [asked.get("a"), asked.get("b")]
    sides = []
    if all(texts):
        for text in texts:
            report = report_of(state.basis, iri_of(state, text), SHORT, warned=None)
            sides.append(shown(state, report))
    bodies = [_apart(each.body(), mark) for each, mark in zip(sides, "ab", strict=bool(sides))]
    return page("compare", state, texts=texts, bodies=bodies)


def _apart(body: Markup, mark: str) -> Markup:
    """Keep the names of a report's parts apart from those of another on the same page."""
    plain = re.sub(
        r"(</?)section\b", r"\g<1>div", re.sub(r' aria-labelledby="[^"]*"', "", str(body))
    )
    named = re.sub(r'(\sid=")', rf"\g<1>{mark}-", plain)
    return Markup(re.sub(r'(\shref="#)', rf"\g<1>{mark}-", named))


ROUTES: Routes = (
    ("/bring", bring),
    ("/sheet/{kind}/{name:path}", as_sheet),
    ("/labels", labels),
    ("/picking", picking),
    ("/compare", compare),
)
