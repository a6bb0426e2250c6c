"""Charts of runs made from a collection: shapes, marks, kilns and whatever else has a life."""

from rdflib import Graph, URIRef
from rdflib.namespace import RDF

from glost.answer.desk import Desk
from glost.answer.groups import standing_for
from glost.names import GLOST
from glost.publish.pictures.lives import Lives, basis
from glost.publish.pictures.model import Bar, Exhibit, Runs
from glost.record.wording import label
from glost.trade.lineage import makers

KINDS = {
    "shapes": GLOST.Shape,
    "marks": GLOST.Mark,
    "kilns": GLOST.Kiln,
    "decals": GLOST.Decal,
    "treatments": GLOST.Treatment,
    "glazes": GLOST.Glaze,
    "plants": GLOST.Plant,
    "potteries": GLOST.Pottery,
}
"""What can be charted."""

_SHOWN_BY = {"shapes": GLOST.ofShape, "marks": GLOST.bearsMark, "treatments": GLOST.bearsTreatment}


_NO_MAKER = "Maker not said"
_CLOSELY = 1096
"""A piece is an exhibit if its date is known to within so many days: three years."""


def runs(desk: Desk, kind: str, group: URIRef | None = None) -> Runs:
    """Chart all things of a kind, grouped by maker, the earliest first.

    Parameters
    ----------
    desk
        The collection.
    kind
        A key of `KINDS`.
    group
        A group of shapes, whose members alone are charted; None for all.
    """
    lives = Lives(desk)
    facts = desk.belief.graph
    shown = _exhibits(desk, lives, kind)
    if kind == "shapes":
        _lists(desk, shown)
    bars = []
    chosen = set(facts.subjects(RDF.type, KINDS[kind]))
    if group is not None:
        chosen &= set(standing_for(desk.belief, group, str(desk.path)))
    for thing in sorted(chosen, key=str):
        if isinstance(thing, URIRef):
            bars.append(
                Bar(
                    _name(desk, thing),
                    lives.life(thing),
                    _group(desk, thing),
                    _note(desk, thing),
                    tuple(shown.get(thing, ())),
                    str(thing),
                    lives.basis(thing),
                )
            )
    bars.sort(key=lambda bar: (bar.group == _NO_MAKER, bar.group, _first(bar), bar.name))
    what = kind.capitalize() if group is None else label(group, desk.words)
    title = f"{what}: {desk.record.collection.title}"
    note = lives.note
    if any(shown.values()):
        note += " Pieces and lists are ticked whose date is known to within three years."
    return Runs(title, tuple(bars), note)


def _first(bar: Bar) -> int:
    days = [day for day in (*bar.life.begin, *bar.life.end) if day is not None]
    return min(days, default=10**9)


def _group(desk: Desk, thing: URIRef) -> str:
    names = [label(each, desk.words) for each in _makers(desk.belief.graph, thing)]
    return " and ".join(names) or _NO_MAKER


def _makers(facts: Graph, thing: URIRef) -> tuple[URIRef, ...]:
    if (thing, RDF.type, GLOST.Kiln) in facts:
        plants = {each for each in facts.objects(thing, GLOST.inPlant) if isinstance(each, URIRef)}
        return tuple(sorted(plants))
    return makers(facts, thing)


def _name(desk: Desk, thing: URIRef) -> str:
    """Name a thing; a mark by its wording."""
    wording = sorted(str(words) for words in desk.belief.graph.objects(thing, GLOST.wording))
    return wording[0] if wording else label(thing, desk.words)


def _note(desk: Desk, thing: URIRef) -> str:
    """Tell how a mark is applied, or what kind of kiln it is and what it fires."""
    said = []
    for property_ in (GLOST.application, GLOST.kilnKind, GLOST.firing):
        values = {label(value, desk.words) for value in desk.belief.graph.objects(thing, property_)}
        said += sorted(values)
    return ", ".join(said)


def _exhibits(desk: Desk, lives: Lives, kind: str) -> dict[URIRef, list[Exhibit]]:
    found: dict[URIRef, list[Exhibit]] = {}
    if kind not in _SHOWN_BY:
        return found
    facts = desk.belief.graph
    for piece, thing in sorted(facts.subject_objects(_SHOWN_BY[kind]), key=repr):
        if not (isinstance(piece, URIRef) and isinstance(thing, URIRef)):
            continue
        if (piece, RDF.type, GLOST.Piece) not in facts:
            continue
        for point in ("made", "decorated"):
            days, _ = lives.when(URIRef(f"{piece}#{point}"))
            if None not in days and days[1] - days[0] <= _CLOSELY:  # type: ignore[operator]
                shows = Exhibit(label(piece, desk.words), days, "piece", lives.basis(piece, point))
                found.setdefault(thing, []).append(shows)
                break
    return found


def _lists(desk: Desk, shown: dict[URIRef, list[Exhibit]]) -> None:
    """Add the lists that offer each shape; each rests on its date and on its first item."""
    for each in desk.lists.all:
        early, late = each.earliest, each.latest
        if early is not None and late is not None and late - early <= _CLOSELY:
            name = label(each.list, desk.words)
            offered = each.offers[0].claims if each.offers else ()
            rests = basis((*each.grounds, *offered), desk.words)
            shown.setdefault(each.shape, []).append(Exhibit(name, (early, late), "list", rests))
