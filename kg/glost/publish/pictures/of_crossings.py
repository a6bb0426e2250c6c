"""Crossings between shapes made from a collection."""

from collections.abc import Iterable

from rdflib import URIRef
from rdflib.term import Node

from glost.answer.desk import Desk
from glost.answer.questions import Row
from glost.names import GLOST
from glost.publish.pictures.counts import Crossing, Crossings, Heading
from glost.publish.pictures.lives import basis
from glost.publish.pictures.of_making import must_be
from glost.record.claims import Claim
from glost.record.wording import label

_UNEXPLAINED = "none yet"
"""What the question of crossings answers where it finds no explanation."""


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
    answer = desk.answers.ask("crossings", **({"pottery": pottery} if pottery else {}))
    at = {column: place for place, column in enumerate(answer.columns)}
    found: dict[tuple[Node, Node], list[Row]] = {}
    for row in answer.rows:
        home, seen = row.values[at["home"]], row.values[at["seen_on"]]
        if home is not None and seen is not None:
            found.setdefault((home, seen), []).append(row)
    shapes = sorted({each for pair in found for each in pair}, key=lambda s: _order(desk, s))
    places = {shape: place for place, shape in enumerate(shapes)}
    whose = label(pottery, desk.graph) if pottery else desk.record.collection.title
    return Crossings(
        f"Crossings between shapes: {whose}",
        tuple(Heading(label(shape, desk.graph), _maker(desk, shape)) for shape in shapes),
        tuple(
            sorted(
                (
                    _crossing(desk, places[home], places[seen], rows, at)
                    for (home, seen), rows in found.items()
                ),
                key=lambda each: (each.home, each.seen),
            )
        ),
        "A treatment's home is the shape its number gives it; it crossed if a piece or a list "
        "shows it on another. Shapes stand by maker and in order of their beginnings.",
    )


def _crossing(
    desk: Desk, home: int, seen: int, rows: Iterable[Row], at: dict[str, int]
) -> Crossing:
    told: dict[Node | None, set[str]] = {}
    claims: list[Claim] = []
    for row in rows:
        said = told.setdefault(row.values[at["treatment"]], set())
        said.add(str(row.values[at["explanation"]] or _UNEXPLAINED))
        claims += row.support
    explained = [each for each in told.values() if each != {_UNEXPLAINED}]
    explanations = sorted({text for each in explained for text in each if text != _UNEXPLAINED})
    return Crossing(
        home, seen, len(told), len(explained), tuple(explanations), basis(claims, desk.graph)
    )


def _maker(desk: Desk, shape: Node) -> str:
    makers = {label(each, desk.graph) for each in desk.belief.graph.objects(shape, GLOST.madeBy)}
    return " and ".join(sorted(makers))


def _order(desk: Desk, shape: Node) -> tuple[str, float, str]:
    begin = desk.chronology.bounds(URIRef(f"{shape}#begin")).earliest
    return _maker(desk, shape), float("inf") if begin is None else begin, str(shape)
