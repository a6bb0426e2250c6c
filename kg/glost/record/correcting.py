"""Putting statements right: what was wrong is withdrawn, what is new added, both kept.

A correction withdraws no more than it changes, and the row that it adds says no more than what is
new. So nothing ever rests on a source that does not say it.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import NoReturn

from glost.record.amending import amend
from glost.record.appending import appended, file_for
from glost.record.belief import corrections_among
from glost.record.cells import CellError, Index, checker, text_fault
from glost.record.claims import Claim, content_id
from glost.record.corrections import OPEN
from glost.record.errors import RecordError, RecordErrors, suggestion
from glost.record.fitting import row_of
from glost.record.record import Record
from glost.record.rows import PROVENANCE, without
from glost.record.tables import PARTIAL, SEPARATOR, TableDescription, tables
from glost.record.writing import rows_of

NEW_EVIDENCE = "new-evidence"
"""The kind of a correction for which another passage shows the row to be wrong."""
TRANSCRIPTION = "transcription"
"""The kind of a correction of the recorder's own slip: the row's own passage says otherwise."""
UNDOING = "undoing"
"""The kind of a correction that takes another correction back."""

_PASSAGE = ("source", "locator", "region")
_NEEDED = {
    "reason": "the reason, in words",
    "source": f"the source's id, or the kind {TRANSCRIPTION}",
}
_NONE: Mapping[str, str] = {}


@dataclass(frozen=True, slots=True)
class Correction:
    """What was done.

    Attributes
    ----------
    id
        Id of the claim that is the correction.
    withdrawn
        Id of the claim withdrawn, in whole or in part.
    columns
        The columns of which it was withdrawn; none if the whole of it was.
    replacement
        Id of the claim that takes its place; empty if none does.
    files
        Files written, relative to the collection.
    record
        The collection as it is now.
    """

    id: str
    withdrawn: str
    columns: tuple[str, ...]
    replacement: str
    files: tuple[str, ...]
    record: Record = field(repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class Planned:
    """A correction that can be written, and nothing written yet.

    Attributes
    ----------
    record, claim
        The record it is based on, and the claim it puts right.
    id
        Id that the correction will have.
    rows
        The rows to add, by table; the correction is the last of ``corrections``.
    """

    record: Record = field(repr=False)
    claim: Claim
    id: str
    rows: Mapping[str, list[dict[str, str]]]


@dataclass(frozen=True, slots=True)
class _Change:
    """What a correction is to withdraw of a row, and the cells that are to take its place."""

    columns: tuple[str, ...]
    cells: Mapping[str, str]


def correct(
    record: Record, claim: Claim, changes: Mapping[str, str], grounds: Mapping[str, str]
) -> Correction:
    """Plan a correction, see `planned`, and write it."""
    return done(planned(record, claim, changes, grounds))


def undo(record: Record, correction: Claim, grounds: Mapping[str, str]) -> Correction:
    """Plan the undoing of a correction, see `undoing`, and write it."""
    return done(undoing(record, correction, grounds))


def planned(
    record: Record, claim: Claim, changes: Mapping[str, str], grounds: Mapping[str, str]
) -> Planned:
    """Withdraw a claim, or what some cells of it say, and put what is new in its place.

    Parameters
    ----------
    record
        The record the claim is of.
    claim
        The claim to correct.
    changes
        New cells by column name; an empty cell takes a value out, which leaves it unknown. What
        the other cells say stands, on the claim's own source. None: the whole claim is withdrawn.
    grounds
        The correction's own cells: ``reason`` (needed), ``kind``, ``source``, ``locator``,
        ``region``, ``certainty``, ``recorded_by``, ``recorded_on``, ``note``. By the kind
        ``new-evidence``, which is taken if none is given, a source is needed, and what is new
        rests on it. By ``transcription`` none may be given: what is new rests on the claim's own
        passage, and so does the correction.

    Returns
    -------
    Planned
        What is to be written; `done` writes it.

    Raises
    ------
    RecordErrors
        If the claim or the cell is withdrawn already; if a cell that names what the row is about
        is to change on new evidence, whose source does not say the rest of the row; if the claim
        fits no table; or if what is given cannot be written.
    """
    grounds = _grounds(record, claim, grounds)
    belief = record.believed()
    if claim.iri in belief.withdrawn:
        by = belief.withdrawn[claim.iri].id
        new = sorted(old.rsplit("/", 1)[-1] for old in _replacing(record, claim.iri))
        instead = f"correct {' or '.join(new)}, which replaced it" if new else f"see {by}"
        _refuse(claim, f"it is withdrawn already, by {by}", instead)
    added: dict[str, list[dict[str, str]]] = {}
    columns: tuple[str, ...] = ()
    replacement = ""
    if changes:
        table, row = _own_row(record, claim)
        change = _change(record, claim, table, row, changes, grounds["kind"])
        columns = change.columns
        new_row = dict(change.cells)
        if new_row:
            _can_rest(claim, table, row, grounds)
            new_row |= _resting(row, grounds)
            replacement = _named(record, table.name, new_row)
            added[table.name] = [new_row]
    correction = {
        "withdraws": claim.id,
        "columns": SEPARATOR.join(sorted(columns)),
        "replaced_by": replacement,
        **grounds,
    }
    return _planned(record, claim, correction, added)


def undoing(record: Record, correction: Claim, grounds: Mapping[str, str]) -> Planned:
    """Withdraw a correction, so that all is as it was before it.

    What the correction put in place of another claim falls with it. An undoing is a correction
    too, and can be undone.

    Parameters
    ----------
    record
        The record.
    correction
        The claim that is the correction.
    grounds
        As for `correct`, but the kind is ``undoing``; if no source is given, what takes the
        correction back rests on the correction's own passage.

    Returns
    -------
    Planned
        What is to be written; `done` writes it.

    Raises
    ------
    RecordErrors
        If the claim is no correction, if it is withdrawn already, or if what it put in place has
        been corrected since.
    """
    belief = record.believed()
    corrections = corrections_among(record.claims)
    if correction not in corrections:
        standing = [c for c in corrections if c.iri not in belief.withdrawn]
        by = [c.id for c in standing if correction.iri in corrections[c].withdraws]
        remedy = f"it is corrected by {' and '.join(by)}: undo that" if by else ""
        _refuse(correction, "it is no correction", remedy or "glost ask corrections lists them")
    if correction.iri in belief.withdrawn:
        by_ = belief.withdrawn[correction.iri].id
        _refuse(correction, f"it is undone already, by {by_}", f"undo {by_} to bring it back")
    for new in corrections[correction].replaced_by:
        since = [
            *(part.correction for part in belief.parts.get(new, ())),
            *([belief.withdrawn[new]] if new in belief.withdrawn else []),
        ]
        if since:
            names = " and ".join(sorted({each.id for each in since}))
            message = f"what it put in place was corrected since, by {names}"
            _refuse(correction, message, f"undo {names} first")
    grounds = _grounds(record, correction, {**grounds, "kind": UNDOING})
    return _planned(record, correction, {"withdraws": correction.id, **grounds}, {})


# -- what is to change ---------------------------------------------------------------------------


def _change(
    record: Record,
    claim: Claim,
    table: TableDescription,
    row: Mapping[str, str],
    changes: Mapping[str, str],
    kind: str,
) -> _Change:
    """Say what is to be withdrawn of a row, and which cells are to take its place."""
    _known(table, changes)
    gone = {
        column.partition("=")[0]: part.correction.id
        for part in record.believed().parts.get(claim.iri, ())
        for column in corrections_among([part.correction])[part.correction].columns
    }
    left = without(row, _columns_gone(record, claim))
    changed = {
        name: cell
        for name, cell in _plain(record, table.name, changes).items()
        if cell != left.get(name, "")
    }
    for name in changed:
        if name in gone and not left.get(name):
            by = gone[name]
            remedy = f"correct what replaced it, or undo {by}"
            _refuse(claim, f'its "{name}" is withdrawn already, by {by}', remedy)
    if not changed:
        _refuse(claim, "it says so already", "give a column its new value")
    naming = sorted(table.naming.intersection(changed))
    if naming:
        return _renamed(claim, table, left, changed, kind)
    columns, cells = [], {}
    for name, cell in changed.items():
        old, new = left.get(name, ""), cell
        if table.column(name).many:
            was, now = (set(filter(None, each.split(SEPARATOR))) for each in (old, cell))
            columns += [name] if not was & now and was else [f"{name}={v}" for v in was - now]
            new = SEPARATOR.join(sorted(now - was))
        elif old:
            columns.append(name)
        if new:
            cells[name] = new
    if not columns:
        names = " and ".join(sorted(changed))
        remedy = f"add a row to tables/{table.name}.csv that says it"
        _refuse(claim, f"it says nothing of {names} that could be withdrawn", remedy)
    if cells:
        cells |= {name: left[name] for name in sorted(table.naming) if left.get(name)}
        cells[PARTIAL] = "yes"
    return _Change(tuple(columns), cells)


def _renamed(
    claim: Claim,
    table: TableDescription,
    left: Mapping[str, str],
    changed: Mapping[str, str],
    kind: str,
) -> _Change:
    """Write the whole row again: what it is about was written down wrongly."""
    names = " and ".join(sorted(table.naming.intersection(changed)))
    if kind != TRANSCRIPTION:
        _refuse(
            claim,
            f"{names} of {table.name} names what the row is about, and the new source does not"
            " say the rest of the row",
            "withdraw the row without giving a column, and add a row that says what the new source"
            f" says; or, if the row is not what its own source says, correct it as {TRANSCRIPTION}",
        )
    cells = {
        name: cell for name, cell in left.items() if name not in PROVENANCE or name in table.key
    }
    return _Change((), {name: cell for name, cell in {**cells, **changed}.items() if cell})


def _known(table: TableDescription, changes: Mapping[str, str]) -> None:
    """Refuse columns that cannot be changed, all at once."""
    own = [c.name for c in table.real if c.name not in (*PROVENANCE, PARTIAL)]
    columns = [name for name in own if name in OPEN.get(table.name, own)]
    remedy = f"columns are {', '.join(columns)}"
    if table.name in OPEN:
        remedy += "; to change the rest, undo it and correct anew"
    errors = [
        RecordError(
            f"tables/{table.name}.csv",
            f'"{name}" is not a column of {table.name} to change',
            suggestion(name, columns, remedy),
            column=name,
        )
        for name in changes
        if name not in columns
    ]
    if errors:
        raise RecordErrors(errors)


def _own_row(record: Record, claim: Claim) -> tuple[TableDescription, dict[str, str]]:
    """Return the table and the filled cells of a claim, those of its provenance too."""
    fit = row_of(claim)
    if fit is None:
        _refuse(claim, "it fits no table", "correct it in the TriG file it stands in")
    if claim.origin.row:
        return fit[0].table, fit[1]
    ((table, (row,)),) = rows_of(record, [claim])[0].items()
    return tables()[table], row


def _columns_gone(record: Record, claim: Claim) -> tuple[str, ...]:
    """Return the columns that standing corrections withdrew of a claim."""
    parts = record.believed().parts.get(claim.iri, ())
    found = corrections_among(part.correction for part in parts)
    return tuple(column for says in found.values() for column in says.columns)


def _replacing(record: Record, iri: str) -> list[str]:
    return [new for new, old in record.believed().replaced.items() if iri in old]


def _refuse(claim: Claim, message: str, remedy: str) -> NoReturn:
    origin = claim.origin
    raise RecordErrors([RecordError(origin.file, message, remedy, origin.row, iri=str(claim.iri))])


# -- what it rests on ----------------------------------------------------------------------------


def _grounds(record: Record, claim: Claim, given: Mapping[str, str]) -> dict[str, str]:
    """Check the correction's own cells; a slip of the pen rests on the claim's own passage.

    So does the undoing of a correction that names no other.
    """
    if not claim.iri.startswith(f"{record.base}claim/"):
        remedy = "correct it there; what you found yourself is a claim of your own"
        _refuse(claim, "it is kept in another collection", remedy)
    grounds = {"kind": NEW_EVIDENCE} | {name: cell for name, cell in given.items() if cell}
    named = [name for name in _PASSAGE if name in grounds]
    slip = grounds["kind"] == TRANSCRIPTION
    if slip and named:
        raise RecordErrors(
            RecordError(
                "tables/corrections.csv",
                f"a correction of kind {TRANSCRIPTION} rests on the corrected row's own passage",
                f"leave {name} out, or give the kind {NEW_EVIDENCE}",
                column=name,
            )
            for name in named
        )
    if slip or (grounds["kind"] == UNDOING and not grounds.get("source")):
        passage = claim.passage
        own = (passage.source.rsplit("/", 1)[-1], passage.locator, passage.region)
        grounds |= dict(zip(_PASSAGE, own, strict=True))
    plain = _plain(record, "corrections", grounds, _NEEDED)
    return {name: cell for name, cell in plain.items() if cell}


def _can_rest(
    claim: Claim, table: TableDescription, row: Mapping[str, str], grounds: Mapping[str, str]
) -> None:
    """Refuse a new row that its table would make rest on something else than the evidence."""
    if table.source_from == "source" and grounds["source"] != row["source"]:
        message = f"a row of {table.name} rests on the source it describes, not on another"
        remedy = "take the value out (COLUMN=), and say what it is in the reason"
        _refuse(claim, message, remedy)


def _resting(row: Mapping[str, str], grounds: Mapping[str, str]) -> dict[str, str]:
    """Return the provenance of what takes the place of a row."""
    found = {name: cell for name, cell in grounds.items() if name in PROVENANCE}
    if grounds["kind"] == TRANSCRIPTION:
        own = (*_PASSAGE, "certainty")
        found = {name: cell for name, cell in found.items() if name not in own}
        found |= {name: row[name] for name in own if name in row}
    return found


def _named(record: Record, table: str, row: dict[str, str]) -> str:
    """Return the id that a new row will have; one is written into it if another row has that."""
    first = name = content_id(table, list(row.items()))
    number = 1
    while record.claim(name) is not None:
        number += 1
        name = row["claim"] = f"{first}-{number}"
    return name


def _plain(
    record: Record, table: str, given: Mapping[str, str], needed: Mapping[str, str] = _NONE
) -> dict[str, str]:
    """Check cells as the reader would and return their plain forms, so that ids agree with it.

    Those `needed` must be filled; each comes with what to give.
    """
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
    errors += [
        RecordError(f"tables/{table}.csv", "the cell is empty", f"give {what}", column=name)
        for name, what in needed.items()
        if not plain.get(name) and not any(error.column == name for error in errors)
    ]
    if errors:
        raise RecordErrors(errors)
    return plain


# -- writing -------------------------------------------------------------------------------------


def done(planned: Planned) -> Correction:
    """Write what was planned.

    Raises
    ------
    RecordErrors
        If the outcome would not be a sound collection, or the collection has changed since.
    """
    record, claim = planned.record, planned.claim
    files = {}
    for table, some in planned.rows.items():
        file = file_for(record, table, claim.origin.file)
        files[file] = appended(record.collection.path, file, table, some)
    row = planned.rows["corrections"][-1]
    replacement = row.get("replaced_by", "")
    now = amend(record, f"correct {claim.id}", files, added={planned.id, replacement} - {""})
    columns = tuple(filter(None, row.get("columns", "").split(SEPARATOR)))
    return Correction(planned.id, claim.id, columns, replacement, tuple(sorted(files)), now)


def _planned(
    record: Record,
    claim: Claim,
    correction: Mapping[str, str],
    added: Mapping[str, Iterable[dict[str, str]]],
) -> Planned:
    """Plan a correction and the rows that come with it."""
    row = {name: cell for name, cell in correction.items() if cell}
    name = _named(record, "corrections", row)
    rows = {table: list(some) for table, some in added.items()}
    rows.setdefault("corrections", []).append(row)
    return Planned(record, claim, name, rows)
