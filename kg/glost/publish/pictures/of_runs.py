"""Charts of runs made from a collection: shapes, marks, kilns and whatever else has a life."""

from rdflib import URIRef
from rdflib.namespace import RDF

from glost.answer.desk import Desk
from glost.names import GLOST
from glost.publish.pictures.lives import Lives
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


def runs(desk: Desk, kind: str) -> Runs:
    """Chart all things of a kind, grouped by maker, the earliest first."""
    lives = Lives(desk)
    facts = desk.belief.graph
    bars = []
    for thing in sorted(set(facts.subjects(RDF.type, KINDS[kind])), key=str):
        if not isinstance(thing, URIRef):
            continue
        group = " and ".join(label(each, desk.graph) for each in makers(facts, thing))
        bars.append(
            Bar(
                label(thing, desk.graph),
                lives.life(thing),
                group,
                "",
                _exhibits(desk, lives, kind, thing),
                str(thing),
                lives.basis(thing),
            )
        )
    bars.sort(key=lambda bar: (bar.group, bar.life.begin[0] or 10**9, bar.name))
    return Runs(f"{kind.capitalize()} of {desk.record.collection.title}", tuple(bars))


def _exhibits(desk: Desk, lives: Lives, kind: str, thing: URIRef) -> tuple[Exhibit, ...]:
    if kind not in _SHOWN_BY:
        return ()
    facts = desk.belief.graph
    found = []
    for piece in sorted(facts.subjects(_SHOWN_BY[kind], thing), key=str):
        if not isinstance(piece, URIRef) or (piece, RDF.type, GLOST.Piece) not in facts:
            continue
        for point in ("made", "decorated"):
            days, _ = lives.when(URIRef(f"{piece}#{point}"))
            if days != (None, None):
                found.append(
                    Exhibit(label(piece, desk.graph), days, "piece", lives.basis(piece, point))
                )
    return tuple(found)
