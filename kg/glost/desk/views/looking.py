"""To look: the collection, its things, its claims, what disagrees, and what was done."""

from http import HTTPStatus

from rdflib import URIRef
from starlette.responses import FileResponse, RedirectResponse, Response

from glost.answer.remarks import noted
from glost.desk.asked import Asked, Missing, Routes
from glost.desk.frame import page, part, shown
from glost.desk.opened import Opened, UndoableStep
from glost.desk.state import State, by_kind
from glost.findings import Finding, Severity
from glost.names import GLOST
from glost.record.belief import corrections_among
from glost.record.claims import Claim
from glost.record.errors import RecordErrors
from glost.record.fitting import row_of
from glost.report.gallery import TYPES
from glost.report.kinds import kind, kinds
from glost.report.things import report_of
from glost.report.things.basis import finding_name
from glost.report.things.claim import claim_report
from glost.report.things.full import PAGE
from glost.words.sentences import says

_LATEST = 8
_FOUND = 12
_FIRST = 24
"""Things of a kind that are shown at once of what a text may mean."""
_MOST = 2_000
_SHOWN = 100
"""Findings that a page shows."""


def start(opened: Opened, asked: Asked) -> Response:
    """Show the collection: what is in it, what disagrees, what came last."""
    state = opened.state(asked.as_of)
    own = state.record.ids
    counts = {
        name: many for name in own if (many := len(own[name]) + len(state.kept.get(name, ())))
    }
    listed = [(each, counts[each.name]) for each in kinds().values() if each.name in counts]
    return page(
        "start",
        state,
        here="/",
        listed=listed,
        claims=state.count,
        severities=_severities(state),
        latest=[(claim, told(state, claim)) for claim in state.known.latest(_LATEST)],
        steps=opened.steps[:-6:-1],
        images=len(state.pictures),
    )


def _severities(state: State) -> list[tuple[str, int]]:
    found = [each.severity for each in state.findings]
    return [(str(each), found.count(each)) for each in Severity if each in found]


def told(state: State, claim: Claim) -> str:
    """Say what a claim says, in a line."""
    return says(claim.statements, state.snapshot.words)


def things(opened: Opened, asked: Asked) -> Response:
    """Show the things of a kind."""
    state = opened.state(asked.as_of)
    name = asked.places["kind"]
    if not state.record.ids.get(name) and name not in state.kept:
        raise Missing(f'there is nothing of the kind "{name}" here')
    own = (str(state.iri(name, each)) for each in state.record.ids.get(name, ()))
    iris = [*own, *state.kept.get(name, ())]
    listed = sorted((state.called(iri), iri) for iri in iris)
    return page("things", state, here="/", name=name, listed=listed[:_MOST], count=len(listed))


def thing(opened: Opened, asked: Asked) -> Response:
    """Show a thing: its report, and the rows that say it."""
    state = opened.state(asked.as_of)
    place = f"{asked.places['kind']}/{asked.places['name']}"
    iri = thing_at(state, place)
    claims = state.basis.about(str(iri))
    report = report_of(state.basis, iri, PAGE, state.said, shown=True)
    return page(
        "thing",
        state,
        here="/",
        iri=str(iri),
        place=place,
        report=report,
        body=shown(state, report).body(),
        rows=[(claim, told(state, claim)) for claim in claims],
        withdrawn=state.basis.belief.withdrawn,
    )


def thing_at(state: State, place: str) -> URIRef:
    """Find a thing by its place, kind and id.

    Raises
    ------
    Missing
        If there is none.
    """
    iri = state.thing(place)
    if iri is None:
        kind, _, name = place.partition("/")
        raise Missing(f"there is no {kind} {name} here")
    return iri


def claim(opened: Opened, asked: Asked) -> Response:
    """Show a claim: what it says, on what it rests, and the cells of its row."""
    state = opened.state(asked.as_of)
    found = claim_of(state, asked.places["name"])
    report = claim_report(state.basis, found, state.said)
    fit = row_of(found)
    return page(
        "claim",
        state,
        claim=found,
        report=report,
        body=shown(state, report).body(),
        table=fit[0].table if fit else None,
        cells=fit[1] if fit else {},
        gone=state.basis.belief.withdrawn.get(found.iri),
        correction=found in corrections_among([found]),
        image=state.image_of(found.passage),
        saved=last_step(opened, asked),
    )


def last_step(opened: Opened, asked: Asked) -> UndoableStep | None:
    """Return what was done last, if a page is to say so; None otherwise."""
    return opened.steps[-1] if asked.get("saved") and opened.steps else None


def claim_of(state: State, name: str) -> Claim:
    """Find a claim by id.

    Raises
    ------
    Missing
        If there is none of that id.
    """
    found = state.claim(name)
    if found is None:
        raise Missing(f"there is no claim {name} here, or several keepers gave that id")
    return found


def passage(opened: Opened, asked: Asked) -> Response:
    """Show a passage: the page with its region if there is an image, else its source."""
    state = opened.state()
    keeper, colon, rest = asked.places["name"].rpartition(":")
    found = state.passage(state.placed(f"{keeper}{colon}passage/{rest}"))
    if found is None:
        raise Missing("no claim rests on that passage")
    image = state.image_of(found)
    if image:
        region = found.region.rpartition("#")[2]
        return RedirectResponse(f"/page/{image.removeprefix('images/')}?region={region}", 303)
    return RedirectResponse(state.link(str(found.source)) or "/", HTTPStatus.SEE_OTHER)


def conflicts(opened: Opened, asked: Asked) -> Response:
    """Show what disagrees, grouped by what it is about, with what would settle it."""
    state = opened.state(asked.as_of)
    wanted = asked.get("severity")
    order = {str(severity): at for at, severity in enumerate(Severity)}
    about: dict[str, int] = {}
    for each in state.findings:
        thing = _about(each)
        about[thing] = min(about.get(thing, len(order)), order[str(each.severity)])
    found = [each for each in state.findings if wanted in ("", str(each.severity))]
    found.sort(key=lambda each: (about[_about(each)], _about(each)))
    start = int(asked.get("start")) if asked.get("start").isdigit() else 0
    named = asked.get("finding")
    if named:  # a link leads to the part of the list in which it stands
        there = (at for at, each in enumerate(found) if finding_name(each) == named)
        start = next(there, 0) // _SHOWN * _SHOWN
    groups: dict[str, list[tuple[str, Finding]]] = {}
    for each in found[start : start + _SHOWN]:
        groups.setdefault(_about(each), []).append((finding_name(each), each))
    return page(
        "conflicts",
        state,
        here="/conflicts",
        groups=list(groups.items()),
        severities=_severities(state),
        wanted=wanted,
        count=len(found),
        start=start,
        shown=_SHOWN,
        noted=lambda claims: noted(state.remarks, claims),
    )


def _about(finding: Finding) -> str:
    return finding.about[0] if finding.about else ""


def history(opened: Opened, asked: Asked) -> Response:
    """Show what was done at this sitting, and every correction on record."""
    state = opened.state()
    corrections = corrections_among(state.known)
    listed = sorted(corrections, key=lambda c: (c.recorded_on, c.iri), reverse=True)
    withdrawn = state.basis.belief.withdrawn
    return page(
        "history",
        state,
        here="/history",
        steps=list(enumerate(opened.steps))[::-1],
        corrections=[
            (
                c,
                "; ".join(sorted(str(o) for _, p, o in c.statements if p == GLOST.reason)),
                [(each, state.called(each)) for each in corrections[c].withdraws],
                c.iri in withdrawn,
            )
            for c in listed
        ],
        saved=last_step(opened, asked),
        undone=asked.get("undone") == "1",
    )


# -- to find -------------------------------------------------------------------------------------


def find(opened: Opened, asked: Asked) -> Response:
    """Show what a text may mean, as a page."""
    state = opened.state(asked.as_of)
    text = asked.get("q")
    if text and state.record.claim(text) is not None:
        return RedirectResponse(f"/claim/{text}", HTTPStatus.SEE_OTHER)
    iris = found_for(state, text, ()) if text else ()
    if len(iris) == 1 and not asked.get("list"):
        link = state.link(iris[0])
        if link:
            return RedirectResponse(link, HTTPStatus.SEE_OTHER)
    found = by_kind(iris[:_MOST])
    groups = {name: found[name] for name in sorted(found, key=lambda each: kind(each).order)}
    return page("find", state, text=text, groups=groups, first=_FIRST)


def finding(opened: Opened, asked: Asked) -> Response:
    """Show the same as a part of a page, while one types."""
    state = opened.state()
    text = asked.get("q")
    iris = found_for(state, text, ())[:_FOUND] if text else ()
    return part("found", state=state, text=text, iris=iris)


def found_for(state: State, text: str, of: tuple[str, ...]) -> tuple[str, ...]:
    """Return what a text may mean: what bears the name, what has it in part, what is near.

    Parameters
    ----------
    state
        The collection.
    text
        What was typed.
    of
        Kinds of things; any if empty.
    """
    exact = state.names.find(text, of)
    folded = text.casefold()
    begun = [
        iri
        for iri, names in state.names.called.items()
        if (not of or iri.removeprefix(state.base).partition("/")[0] in of)
        and any(folded in name.casefold() for name in (*names, iri.rpartition("/")[2]))
    ]
    return tuple(dict.fromkeys([*exact, *begun[:_MOST]])) or state.names.nearest(text, of)


def image(opened: Opened, asked: Asked) -> Response:
    """Give an image file of the collection, and no other file."""
    state = opened.state()
    file = f"images/{asked.places['file']}"
    found = state.image(file)
    if found is None:
        raise Missing("there is no such image in the collection")
    kind = TYPES[found.path.suffix.lower()]
    # An SVG may hold a script; as an image it runs none, and opened by itself this forbids it.
    headers = {"content-security-policy": "default-src 'none'; sandbox"}
    return FileResponse(found.path, media_type=kind, headers=headers)


def errors_page(errors: RecordErrors, status: int) -> Response:
    """Say what is wrong with files, each with its file, row and column."""
    return page("errors", None, status=status, errors=errors.errors)


def iri_of(state: State, text: str) -> URIRef:
    """Find the one thing that a text means.

    Raises
    ------
    Missing
        If there is none, or several.
    """
    found = state.names.find(text)
    if len(found) != 1:
        raise Missing(f'"{text}" is called by {len(found) or "nothing"} here')
    return URIRef(found[0])


ROUTES: Routes = (
    ("/", start),
    ("/things/{kind}", things),
    ("/thing/{kind}/{name:path}", thing),
    ("/claim/{name}", claim),
    ("/passage/{name}", passage),
    ("/conflicts", conflicts),
    ("/history", history),
    ("/find", find),
    ("/finding", finding),
    ("/image/{file:path}", image),
)
