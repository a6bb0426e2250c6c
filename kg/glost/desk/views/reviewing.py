"""Pairs that may be one, reviewed one after the other: yes, no or later, each with one key."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from urllib.parse import urlencode

from rdflib import URIRef
from starlette.responses import RedirectResponse, Response

from glost.answer.alike import KINDS, lines_of
from glost.answer.review import PairAnswer, Reviewed, Sitting, entered, in_order
from glost.desk.asked import Asked, Missing, Routes, Unclear
from glost.desk.cells import resolved
from glost.desk.frame import page
from glost.desk.opened import Opened, UndoableStep
from glost.desk.saving import differs, saved
from glost.desk.state import State
from glost.desk.views.looking import last_step, told
from glost.desk.views.paging import box
from glost.record.claims import Claim
from glost.record.errors import RecordErrors
from glost.record.images import ImageFile
from glost.record.tables import tables
from glost.trade.linking.candidates import Match, worded
from glost.trade.linking.links import Standing, links_in

_MARGIN = 12
_SEEN = 2
"""Parts of pages that are shown of each of a pair."""


@dataclass(frozen=True, slots=True)
class PagePart:
    """A part of a page on which something rests."""

    file: str
    image: ImageFile
    box: tuple[float, float, float, float]
    said: str


@dataclass(frozen=True, slots=True)
class PairSide:
    """One of a pair, with what is said of it and where."""

    iri: str
    name: str
    rows: Sequence[tuple[Claim, str]]
    parts: Sequence[PagePart]


def review(opened: Opened, asked: Asked) -> Response:
    """Show the pair of which it is least certain whether they are one, and take what is found."""
    state = opened.state()
    given = {name: asked.get(name) for name in ("kind", "list", "with") if asked.get(name)}
    if asked.saves:
        return _found(opened, state, asked, given)
    return _page(opened, state, asked, given)


def _page(
    opened: Opened,
    state: State,
    asked: Asked,
    given: dict[str, str],
    errors: RecordErrors | None = None,
) -> Response:
    pairs = _pairs(opened, state, given)
    shown = pairs[0] if pairs else None
    return page(
        "review",
        state,
        here="/conflicts",
        status=400 if errors else 200,
        given=given,
        kinds=list(KINDS),
        sources=_lists(state),
        left=len(pairs),
        match=shown,
        sides=[_side(state, iri) for iri in (shown.one, shown.other)] if shown else [],
        by=asked.get("recorded_by") or opened.by,
        errors=errors.errors if errors else (),
        saved=last_step(opened, asked),
        compared=compared,
        called=worded(),
        seen=linked(state, str(shown.one), str(shown.other)) if shown else "",
        put_off=sum(each.standing is Standing.UNDECIDED for each in pairs),
    )


def compared(column: str, text: str) -> str:
    """Word what was compared: a line's place in its list goes from 0 to 1, a price by cents."""
    if column == "place" and text:
        return f"{float(text):.0%} of the way down"
    return f"{float(text) / 100:.2f}" if column == "price" and text else text


def _pairs(opened: Opened, state: State, given: dict[str, str]) -> list[Match]:
    """Return the pairs that nobody has decided yet, the least certain first."""
    if "list" in given and "with" in given:
        lists = [state.thing(given[name]) for name in ("list", "with")]
        if None in lists or lists[0] == lists[1]:
            raise Missing("name two lists of the collection")
        found = lines_of(state.snapshot, *map(URIRef, map(str, lists)))
    elif "kind" in given:
        if given["kind"] not in KINDS:
            raise Missing(f'"{given["kind"]}" are not compared; {", ".join(KINDS)} are')
        found = opened.meetings.alike(state.snapshot, given["kind"])
    else:
        return []
    return in_order(found)


def _lists(state: State) -> list[tuple[str, str]]:
    """Return the sources that hold lists, by name."""
    held = map(str, state.snapshot.lists.sources)
    named = sorted((state.called(iri), iri.removeprefix(state.base)) for iri in held)
    return [(place, name) for name, place in named]


def _side(state: State, iri: URIRef) -> PairSide:
    withdrawn = state.basis.belief.withdrawn
    claims = [c for c in state.basis.about(str(iri)) if c.iri not in withdrawn]
    parts = [part for claim in claims if (part := _part(state, claim)) is not None]
    rows = [(claim, told(state, claim)) for claim in claims]
    return PairSide(str(iri), state.called(str(iri)), rows, parts[:_SEEN])


def _part(state: State, claim: Claim) -> PagePart | None:
    """Return the part of a page that a claim rests on, with a margin; None if none is shown."""
    file = state.image_of(claim.passage)
    image = state.image(file) if file else None
    place = box(claim.passage.region, image) if image is not None else None
    if image is None or place is None:
        return None
    x, y, w, h = place
    left, top = max(0.0, x - _MARGIN), max(0.0, y - _MARGIN)
    right, foot = min(image.width, x + w + _MARGIN), min(image.height, y + h + _MARGIN)
    name = file.removeprefix("images/")
    return PagePart(name, image, (left, top, right - left, foot - top), claim.passage.place)


def _found(opened: Opened, state: State, asked: Asked, given: dict[str, str]) -> Response:
    one, other = asked.get("one"), asked.get("other")
    back = f"/review?{urlencode(given)}"
    if asked.get("do") not in set(PairAnswer):
        raise Unclear("say whether they are the same, are not, or that it is left for later")
    answer, by = PairAnswer(asked.get("do")), asked.get("recorded_by")
    source = resolved(state, tables()["links"].column("source"), asked.get("source"))
    if not by and not source:
        raise Unclear("say who compares them, or name a source that says so")
    opened.by = by or opened.by
    if "seen" in asked.fields and asked.get("seen") != linked(state, one, other):
        return _answered(state, asked, back)
    said = Reviewed(URIRef(one), URIRef(other), answer, asked.get("evidence"))
    try:
        sitting = Sitting(by, date.today().isoformat(), source)
        done = saved(opened, lambda record: entered(record, [said], sitting))
    except RecordErrors as bad:
        return _page(opened, state, asked, given, bad)
    what = f"{state.called(one)} and {state.called(other)}: {answer}"
    opened.made(done.record, UndoableStep(what, entered=done.ids))
    return RedirectResponse(f"{back}&saved=1", 303)


def _links(state: State, one: str, other: str) -> list[tuple[str, Claim]]:
    """Return what links of two things say, each with a claim that says so."""
    ends = {one, other}
    links = links_in(state.snapshot.belief).every
    return [
        (str(link.kind), claim)
        for link in links
        if {str(link.one), str(link.other)} == ends
        for claim in link.claims
    ]


def linked(state: State, one: str, other: str) -> str:
    """Return what tells how two things are linked from every other way they may be."""
    return " ".join(sorted(claim.id for _, claim in _links(state, one, other)))


def _answered(state: State, asked: Asked, back: str) -> Response:
    """Refuse an answer about two things of which another was given meanwhile."""
    one, other = asked.get("one"), asked.get("other")
    now = _links(state, one, other)
    answer = PairAnswer(asked.get("do"))
    sides = [
        ("answer", str(answer.kind), "; ".join(kind for kind, _ in now)),
        ("why", asked.get("evidence"), "; ".join(told(state, claim) for _, claim in now)),
    ]
    on = {"seen": linked(state, one, other), "do": str(answer)}
    leave = f"/claim/{now[0][1].id}" if now else back
    return differs(state, asked, sides, here=back, what="answer", on=on, leave=leave)


ROUTES: Routes = (("/review", review),)
