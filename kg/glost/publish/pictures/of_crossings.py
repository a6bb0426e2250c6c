"""Crossings between shapes made from a collection."""

from collections.abc import Iterable

from rdflib import URIRef
from rdflib.term import Node

from glost.answer.desk import Desk
from glost.names import GLOST
from glost.publish.pictures.counts import Crossing, Crossings, Heading
from glost.publish.pictures.lives import basis
from glost.publish.pictures.of_making import must_be
from glost.record.wording import label
from glost.trade.crossings import Crossing as Found
from glost.trade.crossings import crossings as find
from glost.trade.crossings import matrix, support


def crossings(desk: Desk, pottery: URIRef | None = None) -> Crossings:
    """Count the treatments that crossed from each shape to each other one.

    Parameters
    ----------
    desk
        The collection.
    pottery
        Only treatments of this pottery; None for all.

    Raises
    ------
    RecordErrors
        If it is no pottery.
    """
    if pottery is not None:
        must_be(desk, pottery, GLOST.Pottery)
    found = find(desk.belief, desk.chronology)
    if pottery is not None:
        issued = set(desk.belief.graph.subjects(GLOST.issuedBy, pottery))
        found = tuple(each for each in found if each.treatment in issued)
    cells = matrix(found, desk.chronology).cells
    shapes = sorted({s for c in cells for s in (c.home, c.seen_on)}, key=lambda s: _order(desk, s))
    places = {shape: place for place, shape in enumerate(shapes)}
    whose = label(pottery, desk.words) if pottery else desk.record.collection.title
    return Crossings(
        f"Crossings between shapes: {whose}",
        tuple(Heading(label(shape, desk.words), _maker(desk, shape)) for shape in shapes),
        tuple(
            sorted(
                (_crossing(desk, places[c.home], places[c.seen_on], c.crossings) for c in cells),
                key=lambda each: (each.home, each.seen),
            )
        ),
        "A treatment's home is the shape its number gives it; it crossed if a piece or a list "
        "shows it on another. Shapes stand by maker and in order of their beginnings.",
    )


def _crossing(desk: Desk, home: int, seen: int, found: Iterable[Found]) -> Crossing:
    all_of = tuple(found)
    explained = [each for each in all_of if any(e.strength for e in each.explanations)]
    words = sorted({e.words for each in explained for e in each.explanations if e.strength})
    claims = [claim for each in all_of for claim in support(each)]
    return Crossing(
        home, seen, len(all_of), len(explained), tuple(words), basis(claims, desk.words)
    )


def _maker(desk: Desk, shape: Node) -> str:
    makers = {label(each, desk.words) for each in desk.belief.graph.objects(shape, GLOST.madeBy)}
    return " and ".join(sorted(makers))


def _order(desk: Desk, shape: Node) -> tuple[str, float, str]:
    begin = desk.chronology.bounds(URIRef(f"{shape}#begin")).earliest
    return _maker(desk, shape), float("inf") if begin is None else begin, str(shape)
