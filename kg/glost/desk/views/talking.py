"""Talks: things, pictures and pages in an order one arranges, each with its evidence."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from urllib.parse import unquote

from markupsafe import Markup
from rdflib import URIRef
from starlette.responses import HTMLResponse, RedirectResponse, Response

from glost.answer.errata import in_words
from glost.desk.asked import Asked, Missing, Routes, Unclear
from glost.desk.frame import page, policy, shown
from glost.desk.opened import Opened, UndoableStep
from glost.desk.saving import differs, saved
from glost.desk.state import State
from glost.desk.views.looking import iri_of, last_step, told
from glost.record.claims import Claim
from glost.record.entering import exchange
from glost.record.errata import to_come
from glost.record.errors import RecordErrors
from glost.record.images import FOLDER
from glost.record.writing import rows_of
from glost.report.sheet import sheet
from glost.report.things.talk import Shown, shown_in, talk_report, talks
from glost.report.tree import Group, Picture, Section

_TABLE = "public_statements"
_IDS = re.compile(r"[^A-Za-z0-9]+")
Row = dict[str, str]


@dataclass(frozen=True)
class TalkChoice:
    """What may be shown of a thing: the rows it can rest on and the pictures there are of it."""

    iri: str
    name: str
    rows: Sequence[tuple[Claim, str]]
    images: Sequence[str]


def every(opened: Opened, asked: Asked) -> Response:
    """Show the talks, and begin a new one."""
    state = opened.state()
    errors = None
    if asked.saves:
        title = asked.get("title")
        name = _free(state, "source", title or "talk")
        row = {"source": name, "title": title, "kind": "talk", "author": asked.get("author")}
        found = _saved(opened, state, (), [row], f"Began the talk {title}", "sources")
        if found is None:
            return RedirectResponse(f"/talk/{name}", 303)
        errors = found
    listed = [
        (iri, state.called(iri), len(shown_in(state.basis, iri)), to_come(iri, state.basis.belief))
        for iri in talks(state.basis)
    ]
    return page(
        "talks", state, here="/talks", listed=listed, errors=errors.errors if errors else (),
        show=asked.get("show"), given={n: asked.get(n) for n in ("title", "author")}, name=_name,
        status=400 if errors else 200,
    )  # fmt: skip


def talk(opened: Opened, asked: Asked) -> Response:
    """Show a talk as it is arranged: what comes when, with which words, on what evidence."""
    return _page(opened, asked)


def _page(opened: Opened, asked: Asked, errors: RecordErrors | None = None) -> Response:
    state = opened.state()
    iri = _talk(state, asked)
    gone: dict[str, list[str]] = {}
    overtaken = [each for each in state.snapshot.overtaken if each.done is None]
    for each, words in zip(overtaken, in_words(overtaken, state.snapshot.words), strict=True):
        now = f"now: {words.now}" if words.now else "nothing takes its place"
        gone.setdefault(str(each.statement), []).append(f"{words.withdrawn}; {now}")
    return page(
        "talk",
        state,
        here="/talks",
        iri=str(iri),
        name=_name(str(iri)),
        listed=[
            (at, each, [(c, told(state, c)) for c in each.uses], gone.get(str(each.statement), []))
            for at, each in enumerate(shown_in(state.basis, iri), 1)
        ],
        coming=to_come(iri, state.basis.belief),
        choice=_choice(state, asked.get("show")) if asked.get("show") else None,
        show=asked.get("show"),
        pictures=[file.removeprefix(f"{FOLDER}/") for file in state.pictures],
        errors=errors.errors if errors else (),
        file_of=lambda image: str(image).rsplit("/images/", 1)[-1],
        saved=last_step(opened, asked),
        status=400 if errors else 200,
    )


def _talk(state: State, asked: Asked) -> URIRef:
    name = asked.places["name"]
    if name not in state.record.ids.get("source", ()):
        raise Missing(f"there is no talk {name} here")
    return state.iri("source", name)


def _name(iri: str) -> str:
    return unquote(iri.rpartition("/")[2])


def _choice(state: State, text: str) -> TalkChoice:
    iri = str(iri_of(state, text))
    claims = [c for c in state.basis.about(iri) if c.iri not in state.basis.belief.withdrawn]
    own = [file for file, things in state.pictures.items() if iri in things]
    pages = [state.image_of(claim.passage) for claim in claims]
    files = [each.removeprefix(f"{FOLDER}/") for each in dict.fromkeys([*own, *pages]) if each]
    return TalkChoice(iri, state.called(iri), [(c, told(state, c)) for c in claims], files)


# -- to arrange ----------------------------------------------------------------------------------


def arrange(opened: Opened, asked: Asked) -> Response:
    """Add something to a talk, change what is said with it, move it, or take it out."""
    if not asked.saves:
        raise Missing("a talk is arranged from its own page")
    state = opened.state()
    iri = _talk(state, asked)
    listed = shown_in(state.basis, iri)
    do, _, at = asked.get("do").partition("-")
    seen = asked.get("seen")
    if do != "add" and seen and to_come(iri, state.basis.belief):
        there = next((n for n, each in enumerate(listed, 1) if each.claim.id == seen), None)
        if there is None:
            return _rearranged(state, listed, asked)
        at = str(there)  # it may have been moved meanwhile
    doing = {"add": _added, "change": _changed, "up": _moved, "down": _moved, "out": _out}
    if do not in doing or (do != "add" and not _at(listed, at)):
        raise Unclear("say what is to be added, changed, moved or taken out")
    if do != "add" and not to_come(iri, state.basis.belief):
        raise Unclear(
            "the talk has been given: what was shown is kept as it was; a row that is wrong is "
            "corrected from its own page"
        )
    going, rows, what = doing[do](state, iri, listed, asked, int(at or 0) - 1)
    found = _saved(opened, state, going, rows, what, _TABLE)
    if found is not None:
        return _page(opened, asked, found)
    return RedirectResponse(f"/talk/{asked.places['name']}?saved=1", 303)


Made = tuple[Sequence[Claim], Sequence[Row], str]


def _rearranged(state: State, listed: Sequence[Shown], asked: Asked) -> Response:
    """Refuse what was based on words that are no longer so, both versions side by side."""
    name, shown_ = asked.places["name"], asked.get("shown")
    at, now = next(
        ((n, each) for n, each in enumerate(listed, 1) if str(each.statement) == shown_),
        (0, None),
    )
    sides = [("words", asked.get("wording"), now.wording if now else "")]
    do = asked.get("do").partition("-")[0]
    on = {"seen": now.claim.id, "do": f"{do}-{at}"} if now else {}
    here = f"/talk/{name}/arrange" if now else ""
    return differs(state, asked, sides, here=here, what="talk", on=on, leave=f"/talk/{name}")


def _added(state: State, iri: URIRef, listed: Sequence[Shown], asked: Asked, at: int) -> Made:
    name = _name(str(iri))
    last = max((each.place or 0 for each in listed), default=0)
    about = asked.get("about").removeprefix(state.base)
    row = {
        "public_statement": _free(state, "public-statement", f"{name}-{last + 1}"),
        "said_in": name,
        "wording": asked.get("wording"),
        "about": about,
        "uses": "|".join(asked.several.get("uses", ())),
        "place_in_talk": str(last + 1),
        "image": "|".join(filter(None, asked.several.get("image", ()))),
        "recorded_by": asked.get("recorded_by"),
    }
    return (), [row], f"To be shown: {row['wording']}"


def _changed(state: State, iri: URIRef, listed: Sequence[Shown], asked: Asked, at: int) -> Made:
    item = listed[at]
    (row,) = _rows(state, [item])
    row |= {"wording": asked.get("wording"), "uses": "|".join(asked.several.get("uses", ()))}
    return [item.claim], [row], f"Changed: {row['wording']}"


def _moved(state: State, iri: URIRef, listed: Sequence[Shown], asked: Asked, at: int) -> Made:
    """Move one thing by a place; all are numbered anew, and only rows whose number differs go."""
    order = list(listed)
    other = at - 1 if asked.get("do").startswith("up") else at + 1
    if not 0 <= other < len(order):
        raise Unclear("it stands at the end already")
    order[at], order[other] = order[other], order[at]
    moved = [(to, each) for to, each in enumerate(order, 1) if each.place != to]
    rows = _rows(state, [each for _, each in moved])
    for row, (to, _) in zip(rows, moved, strict=True):
        row["place_in_talk"] = str(to)
    return [each.claim for _, each in moved], rows, f"Moved: {listed[at].wording}"


def _out(state: State, iri: URIRef, listed: Sequence[Shown], asked: Asked, at: int) -> Made:
    item = listed[at]
    return [item.claim], (), f"Taken out: {item.wording}"


def _at(listed: Sequence[Shown], text: str) -> bool:
    return text.isdigit() and 0 < int(text) <= len(listed)


def _rows(state: State, shown_: Sequence[Shown]) -> list[Row]:
    rows = []
    for each in shown_:
        found, _ = rows_of(state.record, [each.claim])
        if _TABLE not in found:
            raise Unclear(f"{each.claim.origin} is no row that can be moved; correct it there")
        rows.append({n: cell for n, cell in found[_TABLE][0].items() if n != "claim"})
    return rows


def given(opened: Opened, asked: Asked) -> Response:
    """Say on which day a talk was given; from then on what was shown in it was said in public."""
    state = opened.state()
    iri = _talk(state, asked)
    if not asked.saves:
        raise Missing("that is said on the talk's own page")
    row = {"source": _name(str(iri)), "date": asked.get("date"), "partial": "yes"}
    if not row["date"]:
        raise Unclear("give the day")
    found = _saved(opened, state, (), [row], f"Given: {state.called(str(iri))}", "sources")
    if found is not None:
        return _page(opened, asked, found)
    return RedirectResponse(f"/talk/{_name(str(iri))}?saved=1", 303)


def _saved(
    opened: Opened,
    state: State,
    going: Sequence[Claim],
    rows: Sequence[Row],
    what: str,
    table: str,
) -> RecordErrors | None:
    """Take rows out and put others in, to be undone together; return what is wrong, if anything."""
    day = date.today().isoformat()
    given_ = {table: [{"recorded_on": day, **_filled(row)} for row in rows]} if rows else {}
    taken, _ = rows_of(state.record, going)
    try:
        done = saved(opened, lambda record: exchange(record, [c.id for c in going], given_))
    except RecordErrors as bad:
        return bad
    step = UndoableStep(what, entered=done.ids, taken={n: tuple(some) for n, some in taken.items()})
    opened.made(done.record, step)
    return None


def _filled(row: Mapping[str, str]) -> Row:
    return {name: cell for name, cell in row.items() if cell}


def _free(state: State, kind: str, text: str) -> str:
    """Return an id that nothing bears, made from a text."""
    known = state.record.ids.get(kind, frozenset())
    stem = _IDS.sub("-", text.lower()).strip("-")[:40] or kind
    return next(n for n in (stem, *(f"{stem}-{at}" for at in range(2, 9_999))) if n not in known)


# -- to give -------------------------------------------------------------------------------------


def screen(opened: Opened, asked: Asked) -> Response:
    """Show a talk for a screen: one thing after the other, each as large as there is room."""
    state = opened.state(asked.as_of)
    report = talk_report(state.basis, _talk(state, asked), state.said)
    html = shown(state, report)
    slides = []
    for section in report.sections:
        seen = tuple(each for each in section.parts if isinstance(each, Picture))
        rests = [s for part in section.parts if isinstance(part, Group) for s in part.statements]
        heading = section.heading.partition(". ")[2]
        pictures = html.parts(Section(section.id, heading, seen))
        # Nothing on a slide comes late: it is there when one turns to it, and when it is printed.
        slides.append((heading, pictures.replace(Markup(' loading="lazy"'), Markup("")), rests))
    return page(
        "screen",
        state,
        lead=" ".join(str(each) for each in report.lead),
        report=report,
        slides=slides,
        place=_name(report.iri),
    )


def printed(opened: Opened, asked: Asked) -> Response:
    """Show a talk as one file to print, keep or send, its pictures within it."""
    state = opened.state(asked.as_of)
    report = talk_report(state.basis, _talk(state, asked), state.said)
    text = sheet(report, state.record.collection.path)
    return HTMLResponse(text, headers={"content-security-policy": policy(text)})


ROUTES: Routes = (
    ("/talks", every),
    ("/talk/{name}", talk),
    ("/talk/{name}/arrange", arrange),
    ("/talk/{name}/given", given),
    ("/talk/{name}/screen", screen),
    ("/talk/{name}/printed", printed),
)
