"""Articles by shapes, or by the lists of one shape in their order, as a matrix of plain values."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from rdflib import URIRef

from glost.names import GLOST
from glost.record.claims import Claim, in_order
from glost.trade.assortments.compare import Side
from glost.trade.assortments.lines import Seen, seen
from glost.trade.assortments.lists import Article, Assortment, Complete, Lists, plain_size, things


class Status(StrEnum):
    """What is known of an article in a shape or a list."""

    OFFERED = "offered"
    """A list offers it."""
    ABSENT = "absent"
    """A list stated complete, no source saying otherwise, lacks it, or it was never produced."""
    NOT_SEEN = "not seen"
    """No list offers it, and none is stated complete."""
    DISPUTED = "disputed"
    """Sources differ: whether the list is complete, or whether an article offered was produced."""
    SHOWN = "shown by a piece"
    """No list offers it, and a piece of it is known."""


@dataclass(frozen=True, slots=True)
class Cell:
    """What is known of one article in one column.

    Attributes
    ----------
    status
        What is known.
    claims
        The claims that this rests on; none if it is only not seen.
    """

    status: Status
    claims: tuple[Claim, ...] = ()


@dataclass(frozen=True, slots=True)
class Column:
    """A column: a shape, or what one list offered in it.

    Attributes
    ----------
    shape
        The shape.
    list
        The list; None if the column is the shape with all of its lists.
    years
        The year or years of the list as text; empty if not known.
    """

    shape: URIRef
    list: URIRef | None = None
    years: str = ""


@dataclass(frozen=True, slots=True)
class Matrix:
    """Articles, columns, and what is known of each in each.

    Attributes
    ----------
    articles
        The rows, sorted by form and size.
    columns
        The columns, in their order.
    cells
        A cell for every article and column.
    """

    articles: tuple[Article, ...]
    columns: tuple[Column, ...]
    cells: Mapping[tuple[Article, Column], Cell]


def by_lists(lists: Lists, shape: URIRef, *, by_form: bool = False) -> Matrix:
    """Set the articles of a shape against its lists, as far as is known in the order of issue."""
    sides = {
        Column(shape, each.list, each.years): Side(shape, (each,), by_form)
        for each in lists.of(shape)
    }
    articles = tuple(sorted({article for side in sides.values() for article in side.articles}))
    cells = {
        (article, column): _in_lists(side, article)
        for article in articles
        for column, side in sides.items()
    }
    return Matrix(articles, tuple(sides), cells)


def by_shapes(lists: Lists, shapes: Iterable[URIRef], *, by_form: bool = False) -> Matrix:
    """Set the articles of some shapes against the shapes, each with all of its lists.

    Pieces count: an article that no list offers may be shown by a piece. A piece that goes by no
    trade size counts only where no list offers its form in the shape in any size.
    """
    sides = {Column(shape): Side(shape, lists.of(shape), by_form) for shape in shapes}
    forms = {column.shape: {a.form for a in side.articles} for column, side in sides.items()}
    shown: dict[tuple[URIRef, Article], list[Seen]] = {}
    for each in seen(lists):
        article = Article(each.article.form) if by_form else each.article
        if not article.size and each.shape in forms and article.form in forms[each.shape]:
            continue
        shown.setdefault((each.shape, article), []).append(each)
    never = {} if by_form else _never_produced(lists)
    articles = {article for side in sides.values() for article in side.articles}
    articles |= {article for shape, article in shown if Column(shape) in sides}
    ordered = tuple(sorted(articles))
    cells = {
        (article, column): _in_shape(
            side,
            article,
            shown.get((column.shape, article), []),
            never.get((column.shape, article), ()),
        )
        for article in ordered
        for column, side in sides.items()
    }
    return Matrix(ordered, tuple(sides), cells)


def _in_lists(side: Side, article: Article) -> Cell:
    offers = side.articles.get(article, ())
    if offers:
        return Cell(Status.OFFERED, in_order(c for offer in offers for c in offer.claims))
    if side.complete:
        return Cell(Status.ABSENT, in_order(c for each in side.complete for c in each.grounds))
    disputed = [each for each in side.assortments if each.complete == Complete.DISPUTED]
    if disputed:
        return Cell(Status.DISPUTED, _grounds(disputed))
    return Cell(Status.NOT_SEEN)


def _in_shape(side: Side, article: Article, pieces: list[Seen], never: tuple[Claim, ...]) -> Cell:
    cell = _in_lists(side, article)
    shown = [claim for piece in pieces for claim in piece.claims]
    if never:
        had = cell.status == Status.OFFERED or bool(pieces)
        claims = (*cell.claims, *shown) if had else ()
        return Cell(Status.DISPUTED if had else Status.ABSENT, in_order((*claims, *never)))
    if cell.status != Status.OFFERED and pieces:
        return Cell(Status.SHOWN, in_order(shown))
    return cell


def _grounds(disputed: Iterable[Assortment]) -> tuple[Claim, ...]:
    return in_order(claim for each in disputed for claim in each.grounds)


def _never_produced(lists: Lists) -> dict[tuple[URIRef, Article], tuple[Claim, ...]]:
    """Find articles that sources say were modelled and never produced."""
    belief = lists.belief
    found: dict[tuple[URIRef, Article], tuple[Claim, ...]] = {}
    for thing, value in sorted(belief.graph.subject_objects(GLOST.produced), key=str):
        if str(value) != "false":
            continue
        sizes = sorted(map(str, belief.graph.objects(thing, GLOST.tradeSize)))
        size = plain_size(sizes[0]) if sizes else ""
        claims = belief.rests_on((thing, GLOST.produced, value))
        for shape in things(belief.graph.objects(thing, GLOST.ofShape)):
            for form in things(belief.graph.objects(thing, GLOST.form)):
                found[shape, Article(form, size)] = claims
    return found
