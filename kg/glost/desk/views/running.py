"""What ran when, on a line of years one moves along; and what came from what, link by link."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING
from urllib.parse import quote, urlencode

from rdflib import URIRef
from rdflib.namespace import RDF
from starlette.responses import Response

from glost.answer.groups import standing_for
from glost.desk.asked import Asked, Missing, Routes, Unclear
from glost.desk.frame import page
from glost.desk.opened import Opened
from glost.desk.state import State
from glost.desk.views.looking import thing_at
from glost.names import GLOST
from glost.record.dates import day_number
from glost.trade import lineage as kin
from glost.trade.lineage.graph import makers
from glost.words.spans import between
from glost.words.spans import life as life_in_words

# Pictures draw with what takes long to import, so they are imported where they are asked for.
if TYPE_CHECKING:
    from glost.publish.pictures.model import Life
    from glost.publish.pictures.timeline import Axis

_ROWS = 200
"""Rows that a page shows."""
_WIDE = 1000.0
_TICKS = 6
_STEPS = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1_000, 2_000)
_LEAST = 4
"""Years that are shown at least."""
_FORMED = (GLOST.ofShape, GLOST.bearsMark, GLOST.bearsTreatment, GLOST.bearsDecal, GLOST.bearsGlaze)


@dataclass(frozen=True, slots=True)
class TimelineBar:
    """A thing on the line of years.

    Attributes
    ----------
    iri, name, group
        The thing, what it is called, and who made it.
    told
        When it ran, in words.
    disputed
        Whether sources of it cannot all be right.
    possible, certain
        Where it may have run and where it certainly did: left end and width of a thousand; None
        where it did not in the years shown.
    open
        Whether no first and no last day are known, so that it may have begun before and ended
        after what is drawn.
    """

    iri: str
    name: str
    group: str
    told: str
    disputed: bool
    possible: tuple[float, float] | None
    certain: tuple[float, float] | None
    open: tuple[bool, bool]


def timeline(opened: Opened, asked: Asked) -> Response:
    """Show what ran when, narrowed by maker, group and form, for the years asked for."""
    from glost.publish.pictures.kinds.runs import KINDS
    from glost.publish.pictures.lives import Lives
    from glost.publish.pictures.timeline import Axis, year_span

    state = opened.state(asked.as_of)
    kind = asked.get("kind") or "shapes"
    if kind not in KINDS:
        raise Missing(f'nothing called "{kind}" has a line of years here')
    lives = Lives(state.snapshot)
    given = {name: asked.get(name) for name in ("maker", "group", "form")}
    things = [(iri, lives.life(iri)) for iri in _narrowed(state, KINDS[kind], given)]
    known = [(iri, life) for iri, life in things if life.known]
    whole = year_span(day for _, life in known for day in (*life.begin, *life.end))
    first, last = _years(asked, whole)
    axis = Axis(first, last, 0.0, _WIDE)
    inside = [each for each in known if _laid(axis, each[1].possible)]
    inside.sort(key=lambda each: _placed(state, each, axis))
    fixed = {name: text for name, text in {"kind": kind, **given}.items() if text}
    return page(
        "timeline",
        state,
        here="/timeline",
        kinds=list(KINDS),
        kind=kind,
        given=given,
        bars=[_bar(state, each, axis) for each in inside[:_ROWS]],
        count=len(inside),
        undated=len(things) - len(known),
        axis=[(year, axis.at(day_number(year, 1, 1))) for year in _ticks(axis)],
        years=(first, last),
        moves=[
            (name, f"/timeline?{urlencode({**fixed, **to})}")
            for name, to in _moves(first, last)
        ],
        all=f"/timeline?{urlencode(fixed)}",
        makers=_named(state, "pottery"),
        groups=_named(state, "group"),
        forms=_forms(state),
    )  # fmt: skip


def _narrowed(state: State, kind: URIRef, given: dict[str, str]) -> list[URIRef]:
    """Return the things of a class that a maker made, that a group holds, that had a form."""
    facts = state.snapshot.belief.graph
    forms = state.record.schemes["form"].iris
    known = {
        "maker": state.record.ids.get("pottery", frozenset()),
        "group": state.record.ids.get("group", frozenset()),
        "form": frozenset(forms),
    }
    for name, text in given.items():
        if text and text not in known[name]:
            raise Missing(f'there is no {name} "{text}" here')
    chosen = {URIRef(str(s)) for s in facts.subjects(RDF.type, kind)}
    if given["maker"]:
        maker = state.iri("pottery", given["maker"])
        chosen = {each for each in chosen if maker in makers(facts, each) or each == maker}
    if given["group"]:
        group = state.iri("group", given["group"])
        chosen &= set(standing_for(state.snapshot.belief, group, str(state.snapshot.path)))
    if given["form"]:
        of = set(facts.subjects(GLOST.form, forms[given["form"]]))
        chosen &= {o for each in of for p in _FORMED for o in facts.objects(each, p)}
    return sorted(chosen)


def _years(asked: Asked, whole: tuple[int, int]) -> tuple[int, int]:
    """Return the years to show: those asked for, or all."""
    texts = asked.get("from"), asked.get("to")
    try:
        first, last = (int(text) if text else at for text, at in zip(texts, whole, strict=True))
    except ValueError:
        raise Unclear("years are whole numbers, like 1906") from None
    if not (0 < first <= last < 10_000):
        raise Unclear(f"{first} to {last} are no years that follow one another")
    return first, last


def _moves(first: int, last: int) -> Iterator[tuple[str, dict[str, str]]]:
    """Yield the years that lie one step away: earlier, later, nearer, wider."""
    span = last - first + 1
    step, quarter = max(1, span // 2), span // 4
    for name, one, two in (
        ("Earlier", first - step, last - step),
        ("Later", first + step, last + step),
        ("Nearer", first + quarter, last - quarter),
        ("Wider", first - step, last + step),
    ):
        if 0 < one <= two < 10_000 and (name != "Nearer" or two - one + 1 >= _LEAST):
            yield name, {"from": str(one), "to": str(two)}


def _ticks(axis: "Axis") -> Iterable[int]:
    """Return round years, few enough that they can be read side by side."""
    step = next(each for each in _STEPS if (axis.last - axis.first) / each <= _TICKS)
    return range(-(-axis.first // step) * step, axis.last + 1, step)


def _makers(state: State, thing: URIRef) -> str:
    facts = state.snapshot.belief.graph
    return " and ".join(state.called(str(maker)) for maker in makers(facts, thing))


def _placed(
    state: State, each: "tuple[URIRef, Life]", axis: "Axis"
) -> tuple[bool, str, float, str]:
    """Sort by who made it, then by when it may have begun."""
    group = _makers(state, each[0])
    left, _ = _laid(axis, each[1].possible) or (0.0, 0.0)
    return not group, group, left, state.called(str(each[0]))


def _bar(state: State, each: "tuple[URIRef, Life]", axis: "Axis") -> TimelineBar:
    iri, life = each
    begun, ended = life.possible
    return TimelineBar(
        str(iri),
        state.called(str(iri)),
        _makers(state, iri),
        _told(life),
        life.disputed,
        _laid(axis, life.possible),
        _laid(axis, life.certain) if life.certain else None,
        (begun is None, ended is None),
    )


def _told(life: "Life") -> str:
    """Say when something ran; shortly where both ends are known well enough."""
    parts = (
        f"{word} {between(days)}"
        for word, days in (("began", life.begin), ("ended", life.end))
        if any(day is not None for day in days)
    )
    return life_in_words(life.begin, life.end) or ", ".join(parts)


def _laid(axis: "Axis", days: tuple[int | None, int | None]) -> tuple[float, float] | None:
    start, end = day_number(axis.first, 1, 1), day_number(axis.last + 1, 1, 1)
    one = start if days[0] is None else days[0]
    two = end if days[1] is None else days[1] + 1
    if two <= start or one >= end:
        return None
    left, right = axis.at(one), axis.at(two)
    return round(left, 1), round(max(3.0, right - left), 1)


def _named(state: State, kind: str) -> list[tuple[str, str]]:
    names = ((state.called(str(state.iri(kind, n))), n) for n in state.record.ids.get(kind, ()))
    return [(name, called) for called, name in sorted(names)]


def _forms(state: State) -> list[tuple[str, str]]:
    """Return the forms that anything on record has, by name."""
    there = set(state.snapshot.belief.graph.objects(None, GLOST.form))
    forms = state.record.schemes["form"].iris.items()
    found = sorted((state.called(str(iri)), slug) for slug, iri in forms if iri in there)
    return [(slug, called) for called, slug in found]


# -- what came from what -------------------------------------------------------------------------


def lineage(opened: Opened, asked: Asked) -> Response:
    """Show what a thing came from and what came of it, each leading on to its own lineage."""
    state = opened.state(asked.as_of)
    place = f"{asked.places['kind']}/{asked.places['name']}"
    iri = thing_at(state, place)
    lines = kin.lineage_lines(kin.lineage(state.snapshot.belief), iri, state.snapshot.chronology)
    groups: dict[str, list[kin.LineageRow]] = {}
    for line in lines:
        groups.setdefault(line.what, []).append(line)
    return page(
        "lineage",
        state,
        here="",
        iri=str(iri),
        place=place,
        groups=groups,
        walk=lambda thing: f"/lineage/{quote(str(thing).removeprefix(state.base))}",
        came=_came(state, asked.several.get("by", ())),
        by=[*asked.several.get("by", ()), place],
    )


def _came(state: State, by: Sequence[str]) -> list[tuple[str, str, str]]:
    """Return the things one came by: where each leads, with what was before it, and its name."""
    found = []
    for at, place in enumerate(by[-8:]):
        query = urlencode([("by", each) for each in by[:at]])
        address = f"/lineage/{quote(place)}{'?' + query if query else ''}"
        found.append((place, address, state.called(f"{state.base}{place}")))
    return found


ROUTES: Routes = (
    ("/timeline", timeline),
    ("/lineage/{kind}/{name:path}", lineage),
)
