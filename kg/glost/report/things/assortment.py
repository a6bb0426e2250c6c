"""What lists offered: tables of items, and what was gained and lost from one list to the next."""

from collections.abc import Iterable, Iterator, Sequence

from rdflib import URIRef

from glost.record.claims import Claim
from glost.report.things.basis import ThingBasis, Whole
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
from glost.trade.assortments.compare import ArticleStanding, ComparedSide, compare
from glost.trade.assortments.lists import Article, Assortment, Complete, steps
from glost.words.english import count
from glost.words.labels import label

_STANDING = {
    Complete.YES: "stated to be complete",
    Complete.NO: "stated to be incomplete",
    Complete.UNSAID: "not said to be complete",
    Complete.DISPUTED: "of which it is disputed whether it is complete",
}
_COUNTED = Rule("Counted from the rows, each form and trade size once")
_LACKING = Rule(
    "Compared by form and trade size; that an article was lost or gained is concluded only from a "
    "list stated to be complete without dispute"
)


def offered(basis: ThingBasis, said: Said, shape: URIRef) -> Iterator[Section]:
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
    return table.trimmed()


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
        told = [f"{found.carried} {ArticleStanding.CARRIED}"]
        for standing in ArticleStanding:
            changes = [change for change in found.changes if change.standing == standing]
            if changes and standing != ArticleStanding.CARRIED:
                names = ", ".join(_article(basis, change.article) for change in changes)
                told.append(f"{standing}: {names}")
        sentence: Sentence = (
            "From ", said.ref(before.list), f"{_years(before)} to ", said.ref(after.list),
            f"{_years(after)}: {'; '.join(told)}.",
        )  # fmt: skip
        claims = [claim for change in found.changes for claim in change.claims]
        yield Statement(sentence, (*said.grounds(claims), _LACKING))


def _article(basis: ThingBasis, article: Article) -> str:
    return f"{label(article.form, basis.words)} {article.which}".strip()


def _years(each: Assortment) -> str:
    return f" ({each.years})" if each.years else ""
