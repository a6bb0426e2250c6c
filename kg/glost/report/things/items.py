"""What one list offers in one shape: a table of its items."""

from collections.abc import Iterator

from rdflib import URIRef
from rdflib.namespace import RDF
from rdflib.term import Node

from glost.names import GLOST
from glost.report.things.basis import ThingBasis
from glost.report.things.related import natural
from glost.report.things.said import Said
from glost.report.tree import Cell, Column, Ref, Row, Rule, Section, Table
from glost.words.labels import label

_ITEMS = (
    Column("item", "Item"),
    Column("article", "Article", "thing"),
    Column("size", "Size"),
    Column("count", "Count"),
    Column("measured", "Measured"),
    Column("price", "Price"),
)
_COUNTED = Rule("Counted from the rows")


def items(basis: ThingBasis, said: Said, assortment: URIRef) -> Iterator[Section]:
    """Tell what one list offers in a shape, an item a row."""
    graph = basis.belief.graph
    if (assortment, RDF.type, GLOST.Assortment) not in graph:
        return
    offered = sorted(set(graph.objects(assortment, GLOST.hasOffering)), key=str)
    rows = [_item(basis, said, assortment, each) for each in offered]
    if rows:
        kept = sorted(rows, key=lambda row: (natural(row.texts[0]), row.texts))
        yield Section("items", "Assortment", (Table(_ITEMS, tuple(kept)).trimmed(),))


def _item(basis: ThingBasis, said: Said, assortment: URIRef, item: Node) -> Row:
    graph = basis.belief.graph
    article = min(graph.objects(item, GLOST.offersArticle), key=str, default=None)
    named: Cell = None
    sizes = ""
    if article is not None:
        form = min(graph.objects(article, GLOST.form), key=str, default=None)
        name = label(form, basis.words) if form is not None else said.ref(article).text
        variant = _texts(basis, article, GLOST.variant)
        named = Ref(str(article), f"{name}, {variant}" if variant else name)
        sizes = _texts(basis, article, GLOST.tradeSize)
    price = " ".join(
        part for part in (_texts(basis, item, GLOST.price), _texts(basis, item, GLOST.priceUnit))
        if part
    )  # fmt: skip
    claims = [
        *basis.belief.rests_on((assortment, GLOST.hasOffering, item)),
        *(() if article is None else basis.belief.rests_on((item, GLOST.offersArticle, article))),
    ]
    cells = (
        _texts(basis, item, GLOST.itemNumber) or None,
        named or said.ref(item),
        sizes or None,
        _texts(basis, item, GLOST.potterCount) or None,
        _texts(basis, item, GLOST.measuredSize) or None,
        price or None,
    )
    return Row(cells, said.grounds(claims) or said.grounds(basis.about(str(item))) or (_COUNTED,))


def _texts(basis: ThingBasis, thing: Node, property_: URIRef) -> str:
    values = basis.belief.graph.objects(thing, property_)
    return ", ".join(sorted({label(value, basis.words) for value in values}))
