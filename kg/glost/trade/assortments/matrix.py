"""Articles by shapes, or by the lists of one shape in their order, as a matrix of plain values."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from rdflib import URIRef

from glost.record.claims import Claim, in_order
from glost.trade.assortments.compare import ComparedSide
from glost.trade.assortments.lines import ShownLine, produced, seen
from glost.trade.assortments.lists import Article, Assortment, Complete, Lists


class Status(StrEnum):
    """What is known of an article in a shape or a list."""

    OFFERED = "offered"
    """A list offers it."""
    ABSENT = "absent"
    """A list stated complete, no source saying otherwise, lacks it; or a source says so."""
    DROPPED = "no longer offered"
    """A list stated complete lacks it, and a list that is certainly earlier offers it."""
    NEVER = "modelled, never produced"
    """A source says that it was modelled only; no list offers it and no piece shows it."""
    NOT_SEEN = "not seen"
    """No list offers it, and none is stated complete."""
    DISPUTED = "disputed"
    """Sources differ: whether the list is complete, or whether an article offered was produced."""
    SHOWN = "shown by a piece"
    """No list offers it, and a piece of it is known."""
    SAID = "said to be produced"
    """No list offers and no piece shows it, and a source says that it was produced."""


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
class MatrixColumn:
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
    columns: tuple[MatrixColumn, ...]
    cells: Mapping[tuple[Article, MatrixColumn], Cell]


def by_lists(lists: Lists, shape: URIRef, *, by_form: bool = False) -> Matrix:
    """Set the articles of a shape against its lists, as far as is known in the order of issue."""
    sides = {
        MatrixColumn(shape, each.list, each.years): ComparedSide(shape, (each,), by_form)
        for each in lists.of(shape)
    }
    never = _never_produced(lists, by_form=by_form)
    found = {article for side in sides.values() for article in side.articles}
    found |= {article for of, article in never if of == shape and sides}
    articles = tuple(sorted(found))
    cells = {
        (article, column): _in_list(sides, column, article, never.get((shape, article), ()))
        for article in articles
        for column in sides
    }
    return Matrix(articles, tuple(sides), cells)


def _in_list(
    sides: Mapping[MatrixColumn, ComparedSide],
    column: MatrixColumn,
    article: Article,
    never: tuple[Claim, ...],
) -> Cell:
    """Say what is known of an article in one list, by that list and those before it."""
    cell = _in_lists(sides[column], article)
    if never:
        offered = cell.status == Status.OFFERED
        claims = in_order((*cell.claims, *never)) if offered else never
        return Cell(Status.DISPUTED if offered else Status.NEVER, claims)
    if cell.status == Status.ABSENT:
        (own,) = sides[column].assortments
        earlier = [
            offer
            for side in sides.values()
            for each in side.assortments
            if each.certainly_before(own)
            for offer in side.articles.get(article, ())
        ]
        if earlier:
            claims = in_order((*cell.claims, *(c for offer in earlier for c in offer.claims)))
            return Cell(Status.DROPPED, claims)
    return cell


def nothing_stated(shape: URIRef, article: Article) -> tuple[Claim, ...]:
    """Give no claim that a shape lacked an article: what is used where none is looked for."""
    return ()


def by_shapes(
    lists: Lists,
    shapes: Iterable[URIRef],
    *,
    by_form: bool = False,
    absent: Callable[[URIRef, Article], tuple[Claim, ...]] = nothing_stated,
) -> Matrix:
    """Set the articles of some shapes against the shapes, each with all of its lists.

    Pieces count: an article that no list offers may be shown by a piece. A piece that goes by no
    trade size counts only where no list offers its form in the shape in any size; one that goes by
    a size, only where no list offers any variant of it.

    Parameters
    ----------
    lists
        Every list.
    shapes
        The shapes.
    by_form
        Whether articles of one form count as one whatever their size.
    absent
        Gives the claims that a shape lacked an article; see `Having.denying`.
    """
    sides = {MatrixColumn(shape): ComparedSide(shape, lists.of(shape), by_form) for shape in shapes}
    listed = {
        (column.shape, *key)
        for column, side in sides.items()
        for a in side.articles
        for key in ((a.form, ""), (a.form, a.size))
    }
    shown: dict[tuple[URIRef, Article], list[ShownLine]] = {}
    for each in seen(lists):
        article = Article(each.article.form) if by_form else each.article
        if (each.shape, article.form, article.size) not in listed:
            shown.setdefault((each.shape, article), []).append(each)
    never = _never_produced(lists, by_form=by_form)
    said = _said(lists, True, by_form=by_form)
    articles = {article for side in sides.values() for article in side.articles}
    articles |= {
        article for shape, article in (*shown, *never, *said) if MatrixColumn(shape) in sides
    }
    ordered = tuple(sorted(articles))
    cells = {
        (article, column): _in_shape(
            side,
            article,
            shown.get((column.shape, article), []),
            never.get((column.shape, article), ()),
            said.get((column.shape, article), ()),
            absent(column.shape, article),
        )
        for article in ordered
        for column, side in sides.items()
    }
    return Matrix(ordered, tuple(sides), cells)


def _in_lists(side: ComparedSide, article: Article) -> Cell:
    offers = side.articles.get(article, ())
    if offers:
        return Cell(Status.OFFERED, in_order(c for offer in offers for c in offer.claims))
    if side.complete:
        return Cell(Status.ABSENT, in_order(c for each in side.complete for c in each.grounds))
    disputed = [each for each in side.assortments if each.complete == Complete.DISPUTED]
    if disputed:
        return Cell(Status.DISPUTED, _grounds(disputed))
    return Cell(Status.NOT_SEEN)


def _in_shape(
    side: ComparedSide,
    article: Article,
    pieces: list[ShownLine],
    never: tuple[Claim, ...],
    said: tuple[Claim, ...],
    absent: tuple[Claim, ...],
) -> Cell:
    cell = _in_lists(side, article)
    shown = [claim for piece in pieces for claim in piece.claims]
    offered = cell.status == Status.OFFERED
    if never or absent:
        had = offered or bool(pieces) or bool(said)
        claims = (*cell.claims, *shown, *said) if had else ()
        status = Status.DISPUTED if had else Status.NEVER if never else Status.ABSENT
        return Cell(status, in_order((*claims, *never, *absent)))
    if not offered and pieces:
        return Cell(Status.SHOWN, in_order((*shown, *said)))
    if not offered and said:
        return Cell(Status.SAID, said)
    return cell


def _grounds(disputed: Iterable[Assortment]) -> tuple[Claim, ...]:
    return in_order(claim for each in disputed for claim in each.grounds)


def _never_produced(
    lists: Lists, *, by_form: bool
) -> dict[tuple[URIRef, Article], tuple[Claim, ...]]:
    """Find articles that sources say were modelled and never produced.

    A form in which a shape had another article, by a list, a piece or a source, was produced.
    """
    never = _said(lists, False, by_form=by_form)
    if not by_form:
        return never
    had = {(each.shape, Article(each.article.form)) for each in seen(lists)}
    had |= {(each.shape, Article(article.form)) for each in lists.all for article in each.articles}
    had |= set(_said(lists, True, by_form=True))
    return {key: claims for key, claims in never.items() if key not in had}


def _said(
    lists: Lists, was: bool, *, by_form: bool
) -> dict[tuple[URIRef, Article], tuple[Claim, ...]]:
    """Find the articles that sources say were produced, or were not."""
    found: dict[tuple[URIRef, Article], list[Claim]] = {}
    for each in produced(lists):
        if each.produced == was:
            article = Article(each.article.form) if by_form else each.article
            found.setdefault((each.shape, article), []).extend(each.claims)
    return {key: in_order(claims) for key, claims in found.items()}
