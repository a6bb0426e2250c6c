"""To put right: a claim corrected or withdrawn, what follows seen first, and all of it undone."""

from collections.abc import Mapping
from datetime import date
from hashlib import sha256
from http import HTTPStatus

from starlette.responses import RedirectResponse, Response

from glost.desk.asked import Asked, Missing, Routes, Unclear
from glost.desk.cells import resolved
from glost.desk.consequences import foreseen, foreseen_without
from glost.desk.frame import page
from glost.desk.opened import Opened, UndoableStep
from glost.desk.saving import differs
from glost.desk.state import State
from glost.desk.views.looking import claim_of, told
from glost.record.amending import StaleRecordError
from glost.record.belief import corrections_among
from glost.record.claims import Claim
from glost.record.correcting import NEW_EVIDENCE, TRANSCRIPTION, done, planned, undo
from glost.record.corrections import OPEN
from glost.record.entering import draft, exchange
from glost.record.errors import RecordErrors
from glost.record.fitting import row_of
from glost.record.rows import PROVENANCE, without
from glost.record.tables import PARTIAL, ColumnDescription, TableDescription, tables

_GROUNDS = ("kind", "reason", "source", "locator", "region", "certainty", "recorded_by", "note")


def correct(opened: Opened, asked: Asked) -> Response:
    """Correct a claim, or withdraw it: see what would follow, then save."""
    state = opened.state()
    name = asked.places["name"]
    found = state.claim(name)
    if found is None:
        if asked.saves:
            return _gone(state, asked)
        raise Missing(f"there is no claim {name} here; it may have been changed since")
    table, cells = standing(state, found)
    if not asked.saves:
        return _form(state, found, table, cells, asked)
    if asked.get("seen") != version(state, found):
        return _differs(state, found, table, cells, asked)
    changes = _changes(state, table, cells, asked)
    try:
        plan = planned(state.record, found, changes, _grounds(state, asked))
    except RecordErrors as bad:
        return _form(state, found, table, cells, asked, errors=bad)
    if asked.get("do") != "save":
        made = draft(state.record, plan.rows)
        if made.errors:
            return _form(state, found, table, cells, asked, errors=RecordErrors(made.errors))
        told_ = foreseen(opened, made.claims, answers=asked.get("answers") == "1")
        return _form(opened.state(), found, table, cells, asked, foreseen=told_)
    try:
        written = done(plan)
    except StaleRecordError:
        return correct(opened, asked)  # the files are read again, and the row is looked at again
    except RecordErrors as bad:
        return _form(state, found, table, cells, asked, errors=bad)
    what = f"Withdrew: {told(state, found)}" if not changes else f"Corrected: {told(state, found)}"
    opened.by = asked.get("recorded_by") or opened.by
    opened.made(
        written.record, UndoableStep(what, written.id, links=((f"/claim/{name}", "the claim"),))
    )
    return RedirectResponse(f"/claim/{name}?saved=1", HTTPStatus.SEE_OTHER)


def standing(state: State, claim: Claim) -> tuple[TableDescription, dict[str, str]]:
    """Return a claim's table, and the cells of its row that still stand.

    Raises
    ------
    Unclear
        If it is in no table, and so can only be corrected in the file it stands in.
    """
    fit = row_of(claim)
    if fit is None:
        raise Unclear(f"it fits no table; correct it in {claim.origin.file}, where it stands")
    return fit[0].table, without(fit[1], _gone_already(state, claim))


def _gone_already(state: State, claim: Claim) -> dict[str, tuple[str, ...]]:
    """Return the columns of a claim that are withdrawn, with the claims in their place."""
    parts = state.basis.belief.parts.get(claim.iri, ())
    says = corrections_among(part.correction for part in parts)
    return {
        column: tuple(map(str, each.replaced_by))
        for each in says.values()
        for column in each.columns
    }


def version(state: State, claim: Claim) -> str:
    """Return what tells how a claim stands from every other way it may stand."""
    belief = state.basis.belief
    parts = sorted(str(part.correction.iri) for part in belief.parts.get(claim.iri, ()))
    by = belief.withdrawn.get(claim.iri)
    fit = row_of(claim)
    cells = sorted(fit[1].items()) if fit else []
    text = repr((str(claim.iri), parts, str(by.iri) if by else "", cells))
    return sha256(text.encode()).hexdigest()[:20]


def open_columns(table: TableDescription) -> list[ColumnDescription]:
    """Return the columns whose cells can be corrected."""
    own = [c for c in table.real if c.name not in (*PROVENANCE, PARTIAL)]
    return [c for c in own if c.name in OPEN.get(table.name, [c.name for c in own])]


def _changes(
    state: State, table: TableDescription, cells: Mapping[str, str], asked: Asked
) -> dict[str, str]:
    """Return the cells that were changed in the form; none if all of the row is to go."""
    if asked.get("whole") == "1":
        return {}
    changed = {}
    for column in open_columns(table):
        text = asked.get(f"cell-{column.name}")
        if f"cell-{column.name}" in asked.fields and text != cells.get(column.name, ""):
            changed[column.name] = resolved(state, column, text) if text else ""
    if not changed:
        raise Unclear("no cell was changed; change one, or withdraw the whole row")
    return changed


def _grounds(state: State, asked: Asked) -> dict[str, str]:
    grounds = {name: asked.get(name) for name in _GROUNDS}
    if grounds["source"]:
        column = tables()["corrections"].column("source")
        grounds["source"] = resolved(state, column, grounds["source"])
    if grounds["kind"] == TRANSCRIPTION:
        grounds |= dict.fromkeys(("source", "locator", "region"), "")
    return {**grounds, "recorded_on": date.today().isoformat()}


def _form(
    state: State,
    found: Claim,
    table: TableDescription,
    cells: Mapping[str, str],
    asked: Asked,
    errors: RecordErrors | None = None,
    foreseen: object = None,
) -> Response:
    gone = _gone_already(state, found)
    columns = [c for c in open_columns(table) if c.name not in gone]
    texts = {c.name: asked.fields.get(f"cell-{c.name}", cells.get(c.name, "")) for c in columns}
    return page(
        "correct",
        state,
        status=HTTPStatus.BAD_REQUEST if errors else HTTPStatus.OK,
        claim=found,
        says=told(state, found),
        table=table,
        columns=columns,
        gone=gone,
        was={c.name: cells.get(c.name, "") for c in columns},
        cells=texts,
        given=_given(asked),
        whole=asked.get("whole") == "1",
        seen=version(state, found),
        errors=errors.errors if errors else (),
        foreseen=foreseen,
        provenance={c.name: c for c in tables()["corrections"].real},
    )  # fmt: skip


def _given(asked: Asked) -> dict[str, str]:
    return {name: asked.get(name) for name in _GROUNDS} | {
        "kind": asked.get("kind") or NEW_EVIDENCE
    }


def _differs(
    state: State, found: Claim, table: TableDescription, cells: Mapping[str, str], asked: Asked
) -> Response:
    """Refuse what was based on a row that is no longer so, both versions side by side."""
    columns = open_columns(table)
    sides = [
        (c.name, asked.get(f"cell-{c.name}"), cells.get(c.name, ""))
        for c in columns
        if asked.get(f"cell-{c.name}") or cells.get(c.name)
    ]
    by = state.basis.belief.withdrawn.get(found.iri)
    return differs(
        state,
        asked,
        sides,
        here=f"/claim/{found.id}/correct",
        what="row",
        on={} if by else {"seen": version(state, found)},
        leave=f"/claim/{found.id}",
        claim=found,
        withdrawn=by,
        given={name: asked.get(name) for name in _GROUNDS if asked.get(name)},
    )


def _gone(state: State, asked: Asked) -> Response:
    """Refuse what was based on a row that is there no longer, beside what stands in its place."""
    table = asked.get("table")
    names = [c.name for c in tables()[table].real] if table in tables() else []
    now = [
        claim
        for claim in state.basis.claims
        if str(claim.origin) == asked.get("origin") and claim.origin.row
    ]
    fit = row_of(now[0]) if now else None
    cells = fit[1] if fit else {}
    sides = [
        (each, asked.get(f"cell-{each}"), cells.get(each, ""))
        for each in names
        if asked.get(f"cell-{each}") or cells.get(each)
    ]
    return differs(
        state,
        asked,
        sides,
        here=f"/claim/{now[0].id}/correct" if now else "",
        what="row",
        on={"seen": version(state, now[0])} if now else {},
        leave=f"/claim/{now[0].id}" if now else "/",
        claim=now[0] if now else None,
        given={each: asked.get(each) for each in _GROUNDS if asked.get(each)},
    )


# -- to undo -------------------------------------------------------------------------------------


def undo_step(opened: Opened, asked: Asked) -> Response:
    """Undo what was done at this sitting."""
    state = opened.state()
    number = asked.places["number"]
    if not asked.saves or not number.isdigit() or int(number) >= len(opened.steps):
        raise Missing("there is nothing of this sitting to undo under that number")
    step = opened.steps[int(number)]
    if step.correction:
        _undone(opened, claim_of(state, step.correction), "undone at once, at the desk", asked)
    else:
        try:
            opened.made(exchange(state.record, step.entered, step.taken).record)
        except StaleRecordError:
            return undo_step(opened, asked)
        except RecordErrors as bad:
            raise Unclear(
                "it cannot be taken out, for other rows have come to name it; withdraw it from its "
                f"own page instead ({bad.errors[0].message})"
            ) from None
    opened.steps.remove(step)
    return RedirectResponse("/history?undone=1", HTTPStatus.SEE_OTHER)


def undo_correction(opened: Opened, asked: Asked) -> Response:
    """Take back a correction on record, for a reason."""
    if not asked.saves:
        raise Missing("a correction is undone from the history")
    state = opened.state()
    found = claim_of(state, asked.places["name"])
    _undone(opened, found, asked.get("reason"), asked)
    opened.steps[:] = [each for each in opened.steps if each.correction != found.id]
    return RedirectResponse("/history?undone=1", HTTPStatus.SEE_OTHER)


def _undone(opened: Opened, correction: Claim, reason: str, asked: Asked) -> None:
    grounds = {
        "reason": reason,
        "recorded_on": date.today().isoformat(),
        "recorded_by": asked.get("recorded_by") or opened.by,
    }
    opened.made(undo(opened.state().record, correction, grounds).record)


# -- to see what follows -------------------------------------------------------------------------


def aside(opened: Opened, asked: Asked) -> Response:
    """Show what would follow if some claims were set aside; nothing is changed."""
    state = opened.state()
    names = asked.several.get("claim", ())
    chosen = [claim_of(state, name) for name in names]
    if not chosen:
        raise Unclear("tick what to set aside, then ask what follows")
    listed = [(claim, told(state, claim)) for claim in chosen]
    told_ = foreseen_without(opened, chosen)
    return page("aside", opened.state(), here="/conflicts", chosen=listed, foreseen=told_)


ROUTES: Routes = (
    ("/claim/{name}/correct", correct),
    ("/claim/{name}/undo", undo_correction),
    ("/undo/{number}", undo_step),
    ("/aside", aside),
)
