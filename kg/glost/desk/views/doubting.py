"""To leave open: a claim disputed by another source or doubted, a conflict kept with a note."""

import re
from collections.abc import Iterable, Sequence
from datetime import date
from hashlib import sha256
from urllib.parse import urlencode

from starlette.responses import RedirectResponse, Response

from glost.desk.asked import Asked, Routes, Unclear
from glost.desk.cells import resolved
from glost.desk.frame import page
from glost.desk.opened import Opened, UndoableStep
from glost.desk.saving import differs, saved
from glost.desk.state import State
from glost.desk.views.looking import claim_of, told
from glost.desk.views.righting import version
from glost.record.claims import Claim
from glost.record.entering import enter
from glost.record.errors import RecordErrors
from glost.record.fitting import row_of
from glost.record.tables import tables

_FIELDS = ("text", "source", "locator", "certainty", "recorded_by")


def dispute(opened: Opened, asked: Asked) -> Response:
    """Show how a claim is disputed: another source is entered beside it, or a doubt is noted."""
    state = opened.state()
    return _page(opened, state, [claim_of(state, asked.places["name"])], asked)


def remark(opened: Opened, asked: Asked) -> Response:
    """Note why several claims are left open, or why one is doubted; the note stays with them."""
    state = opened.state()
    names = tuple(dict.fromkeys(asked.several.get("on", ())))
    if not names:
        raise Unclear("say on which claims the note is")
    if asked.saves and (changed := _changed(state, names, asked)) is not None:
        return changed
    on = [claim_of(state, name) for name in names]
    if not asked.saves:
        return _page(opened, state, on, asked)
    given = _rows(state, on, asked)
    try:
        done = saved(opened, lambda record: enter(record, given))
    except RecordErrors as bad:
        return _page(opened, state, on, asked, bad)
    opened.by = asked.get("recorded_by") or opened.by
    link = (f"/claim/{done.ids[-1]}", "the note")
    opened.made(
        done.record, UndoableStep(f"Noted: {asked.get('text')}", entered=done.ids, links=(link,))
    )
    return RedirectResponse(f"/claim/{on[0].id}?saved=1", 303)


def _changed(state: State, names: Sequence[str], asked: Asked) -> Response | None:
    """Refuse a note on what is no longer as it was seen; None if all is."""
    sides, now, by = [], [], None
    seen = asked.several.get("seen", ())
    origins, said = asked.several.get("origin", ()), asked.several.get("says", ())
    if not len(seen) == len(names) == len(origins) == len(said):
        return None
    for name, was, origin, text in zip(names, seen, origins, said, strict=True):
        claim = state.claim(name)
        if claim is None:
            stands = (c for c in state.basis.claims if str(c.origin) == origin and c.origin.row)
            claim = next(stands, None)
        if claim is None or version(state, claim) != was:
            sides.append((origin, text, told(state, claim) if claim else ""))
            by = by or (state.basis.belief.withdrawn.get(claim.iri) if claim else None)
        now += [claim] if claim else []
    if not sides:
        return None
    note = {name: asked.get(name) for name in _FIELDS if asked.get(name)}
    return differs(
        state, asked, sides, here="/remark" if now else "", what="row",
        on=_as_seen(state, now) | {"do": "save"}, leave=f"/claim/{now[0].id}" if now else "/",
        withdrawn=by, given=note,
    )  # fmt: skip


def _as_seen(state: State, on: Iterable[Claim]) -> dict[str, Sequence[str]]:
    """Return the fields that say on which claims a note is, and how they stood when it was made."""
    some = list(on)
    return {
        "on": [claim.id for claim in some],
        "seen": [version(state, claim) for claim in some],
        "origin": [str(claim.origin) for claim in some],
        "says": [told(state, claim) for claim in some],
    }


def _rows(state: State, on: list[Claim], asked: Asked) -> dict[str, list[dict[str, str]]]:
    row = {name: asked.get(name) for name in _FIELDS}
    row |= {"on": "|".join(claim.id for claim in on), "recorded_on": date.today().isoformat()}
    row["remark"] = sha256(repr(sorted(row.items())).encode()).hexdigest()[:12]
    return with_notes(state, "remarks", row)


def with_notes(state: State, table: str, row: dict[str, str]) -> dict[str, list[dict[str, str]]]:
    """Complete a row of what somebody found: one that names no source rests on their own notes.

    Parameters
    ----------
    state
        The collection.
    table
        The table.
    row
        Its cells, ``recorded_by`` and ``recorded_on`` among them.

    Returns
    -------
    dict of list of dict
        The row by its table, and that of a source for the notes if there is none yet.
    """
    rows, by = {table: [row]}, row["recorded_by"]
    if row["source"]:
        row["source"] = resolved(state, tables()[table].column("source"), row["source"])
    elif by:
        row["source"] = f"notes-{_slug(by)}"
        if row["source"] not in state.record.ids.get("source", ()):
            own = {"source": row["source"], "title": f"[Notes of {by}]", "author": by}
            day = {"date": row["recorded_on"], "recorded_on": row["recorded_on"]}
            rows["sources"] = [{**own, **day, "recorded_by": by}]
    return {name: [{n: c for n, c in r.items() if c} for r in some] for name, some in rows.items()}


def _slug(text: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-") or "nobody"


def _page(
    opened: Opened,
    state: State,
    on: list[Claim],
    asked: Asked,
    errors: RecordErrors | None = None,
) -> Response:
    given = {name: asked.get(name) for name in _FIELDS}
    given["recorded_by"] = given["recorded_by"] or opened.by
    return page(
        "remark",
        state,
        status=400 if errors else 200,
        here="/conflicts",
        on=[(claim, told(state, claim)) for claim in on],
        fields=_as_seen(state, on),
        beside=_beside(on[0]) if len(on) == 1 else "",
        given=given,
        source=tables()["remarks"].column("source"),
        errors=errors.errors if errors else (),
    )


def _beside(claim: Claim) -> str:
    """Return the address of a form for what another source says of the same; empty if of none."""
    fit = row_of(claim)
    if fit is None:
        return ""
    key = {f"cell-{name}": fit[1][name] for name in fit[0].table.key if fit[1].get(name)}
    return f"/enter/{fit[0].table.name}?{urlencode({**key, 'beside': claim.id})}"


ROUTES: Routes = (
    ("/claim/{name}/dispute", dispute),
    ("/remark", remark),
)
