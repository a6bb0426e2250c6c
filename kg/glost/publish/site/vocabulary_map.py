"""A map of the vocabulary's chief classes, and of the properties that lead from one to another.

``vocabulary_boxes.csv`` is the map as it lies, a cell a class; ``vocabulary_links.csv`` has a row
for each property that is drawn, between classes that lie beside one another.
"""

import csv
from functools import cache
from math import hypot
from pathlib import Path

from rdflib import Graph, URIRef
from rdflib.namespace import DCTERMS, RDFS

from glost.names import GLOST
from glost.publish.pictures.canvas import Canvas, Point
from glost.publish.pictures.style import COBALT, INK, PALE, PAPER, QUIET, SMALL
from glost.words.labels import label

_WIDE, _HIGH = 108.0, 30.0
_APART = (184.0, 92.0)
_MARGIN = 8.0
_ELSEWHERE = {
    "subClassOf": (RDFS.subClassOf, "is a kind of"),
    "source": (DCTERMS.isPartOf, "part of"),
}
"""Properties of other vocabularies, and what they are called on the map."""


@cache
def boxes() -> dict[str, tuple[int, int]]:
    """Return the classes of the map, each with its column and row."""
    with (Path(__file__).parent / "vocabulary_boxes.csv").open(encoding="utf-8") as file:
        return {
            name: (column, row)
            for row, names in enumerate(csv.reader(file))
            for column, name in enumerate(names)
            if name
        }


@cache
def links() -> tuple[tuple[str, str, str], ...]:
    """Return what leads from one class of the map to another: class, property, class."""
    with (Path(__file__).parent / "vocabulary_links.csv").open(encoding="utf-8") as file:
        return tuple((row["from"], row["property"], row["to"]) for row in csv.DictReader(file))


def vocabulary_map(words: Graph) -> tuple[Canvas, str]:
    """Draw the map.

    Parameters
    ----------
    words
        The vocabulary.

    Returns
    -------
    tuple of Canvas and str
        The sheet, and the same in words.
    """
    columns, rows = (max(at[way] for at in boxes().values()) for way in (0, 1))
    canvas = Canvas(
        columns * _APART[0] + _WIDE + 2 * _MARGIN, rows * _APART[1] + _HIGH + 2 * _MARGIN
    )
    told = []
    for one, property_, other in links():
        term, name = _called(property_, words)
        said = f"{_class(one, words)}: {name} {_class(other, words)}"
        told.append(said)
        with canvas.part(str(term), said):
            _link(canvas, _middle(one), _middle(other), name)
    for name in boxes():
        x, y = _middle(name)
        with canvas.part(str(GLOST[name]), _class(name, words)):
            canvas.box(x - _WIDE / 2, y - _HIGH / 2, _WIDE, _HIGH, fill=PALE, ink=COBALT, weight=1)
            canvas.text(x, y, _class(name, words), bold=True, align="center")
    return canvas, "; ".join(told) + "."


def _called(property_: str, words: Graph) -> tuple[URIRef, str]:
    if property_ in _ELSEWHERE:
        term, name = _ELSEWHERE[property_]
        return URIRef(str(term)), name
    return GLOST[property_], label(GLOST[property_], words)


def _class(name: str, words: Graph) -> str:
    return label(GLOST[name], words)


def _middle(name: str) -> Point:
    column, row = boxes()[name]
    return (
        _MARGIN + _WIDE / 2 + column * _APART[0],
        _MARGIN + _HIGH / 2 + row * _APART[1],
    )


def _link(canvas: Canvas, start: Point, end: Point, name: str) -> None:
    """Draw an arrow from the edge of one box to that of the other, its name beside its middle."""
    across, down = end[0] - start[0], end[1] - start[1]
    share = min(_WIDE / 2 / abs(across or 1e-9), _HIGH / 2 / abs(down or 1e-9))
    one = start[0] + across * share, start[1] + down * share
    tip = end[0] - across * share, end[1] - down * share
    long = hypot(across, down)
    ahead = across / long, down / long
    canvas.line([one, tip], ink=QUIET, weight=1)
    back = tip[0] - 6 * ahead[0], tip[1] - 6 * ahead[1]
    side = 2.6 * ahead[1], -2.6 * ahead[0]
    wings = [(back[0] + side[0], back[1] + side[1]), (back[0] - side[0], back[1] - side[1])]
    canvas.shape([tip, *wings], fill=QUIET)
    middle = (one[0] + tip[0]) / 2, (one[1] + tip[1]) / 2
    raised = 7.0 if not down else 0.0
    canvas.text(middle[0], middle[1] - raised, name, SMALL, ink=INK, align="center", halo=PAPER)
