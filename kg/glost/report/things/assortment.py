"""What lists offered: tables of items, and what was gained and lost from one list to the next."""

from collections.abc import Iterable, Iterator, Sequence

from rdflib import URIRef
from rdflib.namespace import RDF
from rdflib.term import Node

from glost.names import GLOST
from glost.record.claims import Claim
from glost.report.things.basis import Basis, Whole
from glost.report.things.said import Said
from glost.report.tree import (
    Cell,
    Column,
    Group,
    Ref,
    Row,
    Rule,
    Section,
    Sentence,
    Statement,
    Table,
)
from glost.trade.assortments.compare import ComparedSide, Standing, compare
from glost.trade.assortments.lists import Article, Assortment, Complete, by_figure, steps
from glost.words.english import count
from glost.words.labels import label

_STANDING = {
    Complete.YES: "stated to be complete",
    Complete.NO: "stated to be incomplete",
    Complete.UNSAID: "not said to be complete",
    Complete.DISPUTED: "of which it is disputed whether it is complete",
}
_ITEMS = (
    Column("item", "Item"),
    Column("article", "Article", "thing"),
    Column("size", "Size"),
    Column("count", "Count"),
    Column("measured", "Measured"),
    Column("price", "Price"),
)
_COUNTED = Rule("Counted from the rows, each form and trade size once")
_LACKING = Rule(
    "Compared by form and trade size; that an article was lost or gained is concluded only from a "
    "list stated to be complete without dispute"
)


def items(basis: Basis, said: Said, assortment: URIRef) -> Iterator[Section]:
    """Tell what one list offers in a shape, an item a row."""
    graph = basis.belief.graph
    if (assortment, RDF.type, GLOST.Assortment) not in graph:
        return
    offered = sorted(set(graph.objects(assortment, GLOST.hasOffering)), key=str)
    rows = [_item(basis, said, assortment, each) for each in offered]
    if rows:
        kept = sorted(rows, key=lambda row: (by_figure(str(row.cells[0] or "")), row.texts))
        yield Section("items", "Assortment", (without_empty(Table(_ITEMS, tuple(kept))),))


def _item(basis: Basis, said: Said, assortment: URIRef, item: Node) -> Row:
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


def _texts(basis: Basis, thing: Node, property_: URIRef) -> str:
    values = basis.belief.graph.objects(thing, property_)
    return ", ".join(sorted({label(value, basis.words) for value in values}))


def without_empty(table: Table) -> Table:
    """Return a table without the columns in which every cell is empty."""
    kept = [
        at
        for at in range(len(table.columns))
        if any(row.cells[at] not in (None, "") for row in table.rows)
    ]
    rows = (Row(tuple(r.cells[at] for at in kept), r.grounds, r.status) for r in table.rows)
    columns = tuple(table.columns[at] for at in kept)
    return Table(columns, tuple(rows), table.heading, table.narrow, table.folded)


def offered(basis: Basis, said: Said, shape: URIRef) -> Iterator[Section]:
    """Tell in which lists a shape was offered, which articles each had, and what changed."""
    if not isinstance(basis, Whole):
        return
    lists = [each for each in basis.lists.of(shape) if each.offers]
    if not lists:
        return
    told = tuple(_list(said, each) for each in lists)
    parts: list[Group | Table] = [Group(told)]
    parts.append(_matrix(basis, said, lists))
    if changes := tuple(_changes(basis, said, shape, lists)):
        parts.append(Group(changes, ("From one list to the next",)))
    yield Section("offered", "Offered in", tuple(parts))


def _list(said: Said, each: Assortment) -> Statement:
    claims = [claim for offer in each.offers for claim in offer.claims]
    years = f" ({each.years})" if each.years else ""
    text = f"{years}, {_STANDING[each.complete]}: {count(len(each.articles), 'article')}."
    grounds = (*said.grounds([*claims, *each.grounds]), _COUNTED)
    return Statement((Ref(str(each.iri), said.ref(each.list).text), text), grounds)


def _matrix(basis: Whole, said: Said, lists: Sequence[Assortment]) -> Table:
    """Set the lists side by side: an article a row, and where each list has it."""
    articles = sorted({article for each in lists for article in each.articles})
    columns = (
        Column("article", "Article"),
        Column("size", "Size"),
        *(Column(f"list_{at}", _short(said, each)) for at, each in enumerate(lists, 1)),
    )
    rows = tuple(_article_row(basis, said, article, lists) for article in articles)
    table = Table(columns, rows, ("Articles by list",), folded=len(rows) > 40)
    return without_empty(table)


def _short(said: Said, each: Assortment) -> str:
    return each.years or said.ref(each.list).text


def _article_row(basis: Whole, said: Said, article: Article, lists: Sequence[Assortment]) -> Row:
    cells: list[Cell] = [label(article.form, basis.words).capitalize(), article.which or None]
    claims: list[Claim] = []
    for each in lists:
        offers = each.articles.get(article, ())
        claims += (claim for offer in offers for claim in offer.claims)
        items = dict.fromkeys(item for offer in offers for item in offer.items)
        cells.append((", ".join(items) or "yes") if offers else None)
    return Row(tuple(cells), said.grounds(claims) or (_COUNTED,))


def _changes(
    basis: Whole, said: Said, shape: URIRef, lists: Iterable[Assortment]
) -> Iterator[Statement]:
    """Tell what a shape's articles gained and lost from one list to the next."""
    for before, after in steps(lists):
        sides = (ComparedSide(shape, (before,)), ComparedSide(shape, (after,)))
        found = compare(*sides, basis.lists)
        told = [f"{found.carried} {Standing.CARRIED}"]
        for standing in Standing:
            changes = [change for change in found.changes if change.standing == standing]
            if changes and standing != Standing.CARRIED:
                names = ", ".join(_article(basis, change.article) for change in changes)
                told.append(f"{standing}: {names}")
        sentence: Sentence = (
            "From ", said.ref(before.list), f"{_years(before)} to ", said.ref(after.list),
            f"{_years(after)}: {'; '.join(told)}.",
        )  # fmt: skip
        claims = [claim for change in found.changes for claim in change.claims]
        yield Statement(sentence, (*said.grounds(claims), _LACKING))


def _article(basis: Basis, article: Article) -> str:
    return f"{label(article.form, basis.words)} {article.which}".strip()


def _years(each: Assortment) -> str:
    return f" ({each.years})" if each.years else ""
