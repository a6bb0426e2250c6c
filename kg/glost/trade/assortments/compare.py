"""Two assortments set side by side: what is in both, lost, gained, or only not seen."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from functools import cached_property

from rdflib import URIRef

from glost.names import GLOST
from glost.record.claims import Claim, in_order
from glost.trade.assortments.counts import reduction
from glost.trade.assortments.lists import Article, Assortment, Complete, Lists, Offer, by_figure


class ArticleStanding(StrEnum):
    """How an article stands in two assortments."""

    CARRIED = "in both"
    LOST = "lost"
    GAINED = "gained"
    NOT_AFTER = "not seen in the second"
    NOT_BEFORE = "not seen in the first"


@dataclass(frozen=True)
class ComparedSide:
    """One assortment, or all those of a line taken together.

    Attributes
    ----------
    shape
        The shape.
    assortments
        What it is made of.
    by_form
        Whether articles of one form count as one whatever their size.
    """

    shape: URIRef
    assortments: tuple[Assortment, ...]
    by_form: bool = False

    @cached_property
    def articles(self) -> dict[Article, tuple[Offer, ...]]:
        """Its items by article, or by form."""
        found: dict[Article, list[Offer]] = {}
        for each in self.assortments:
            for article, offers in each.articles.items():
                key = Article(article.form) if self.by_form else article
                found.setdefault(key, []).extend(offers)
        return {article: tuple(offers) for article, offers in sorted(found.items())}

    @property
    def complete(self) -> tuple[Assortment, ...]:
        """Those of its lists that are stated complete, no source saying otherwise."""
        return tuple(each for each in self.assortments if each.complete == Complete.YES)

    def whole(self) -> bool:
        """Say whether what it lacks was not offered, as far as it goes."""
        return bool(self.complete)


@dataclass(frozen=True, slots=True)
class ArticleChange:
    """How one article stands.

    Attributes
    ----------
    article
        The article, or the form.
    standing
        How it stands.
    remark
        What else differs: another count, another measured size.
    claims
        The claims it rests on: that it is offered, and where it is lost or gained, that the list
        which lacks it is complete.
    """

    article: Article
    standing: ArticleStanding
    remark: str
    claims: tuple[Claim, ...]


@dataclass(frozen=True)
class Comparison:
    """Two assortments compared.

    Attributes
    ----------
    first, second
        The two.
    changes
        How each article of either stands, sorted.
    sharing
        Claims that the two shapes share flatware.
    """

    first: ComparedSide
    second: ComparedSide
    changes: tuple[ArticleChange, ...]
    sharing: tuple[Claim, ...] = ()

    def count(self, *standings: ArticleStanding) -> int:
        """Count the articles that stand so."""
        return sum(change.standing in standings for change in self.changes)

    @property
    def carried(self) -> int:
        """How many articles are in both."""
        return self.count(ArticleStanding.CARRIED)

    @property
    def share_of_first(self) -> Fraction | None:
        """Per cent of the first that is in both; None if the first is empty."""
        return _share(self.carried, len(self.first.articles))

    @property
    def share_of_second(self) -> Fraction | None:
        """Per cent of the second that is in both; None if the second is empty."""
        return _share(self.carried, len(self.second.articles))

    @property
    def jaccard(self) -> Fraction | None:
        """Articles in both over articles in either; None if both are empty."""
        return Fraction(self.carried, len(self.changes)) if self.changes else None

    @property
    def reduction(self) -> Fraction | None:
        """By how many per cent the second is smaller; below nought if it is larger."""
        return reduction(len(self.first.articles), len(self.second.articles))

    @property
    def comparable(self) -> bool:
        """Whether both are stated complete, so that their numbers can be set against each other."""
        return self.first.whole() and self.second.whole()


def _share(part: int, whole: int) -> Fraction | None:
    return Fraction(100 * part, whole) if whole else None


def compare(first: ComparedSide, second: ComparedSide, lists: Lists) -> Comparison:
    """Compare two assortments, or two lines.

    An article of one that the other lacks is lost or gained only if a list of the other is stated
    complete and no source says otherwise; else it is only not seen.

    Parameters
    ----------
    first, second
        The two; both by article, or both by form.
    lists
        Every list, for claims of shared flatware.
    """
    changes = []
    for article in sorted({*first.articles, *second.articles}):
        before, after = first.articles.get(article, ()), second.articles.get(article, ())
        claims = [c for offer in (*before, *after) for c in offer.claims]
        lacking = second if not after else first if not before else None
        if lacking is None:
            standing = ArticleStanding.CARRIED
        elif lacking.whole():
            standing = ArticleStanding.LOST if before else ArticleStanding.GAINED
            claims += [c for each in lacking.complete for c in each.grounds]
        else:
            standing = ArticleStanding.NOT_AFTER if before else ArticleStanding.NOT_BEFORE
        remark = "" if first.by_form else _remark(before, after)
        changes.append(ArticleChange(article, standing, remark, in_order(claims)))
    return Comparison(first, second, tuple(changes), _sharing(lists, first.shape, second.shape))


def _remark(before: tuple[Offer, ...], after: tuple[Offer, ...]) -> str:
    """Say where counts or measured sizes of an article in both differ."""
    if not before or not after:
        return ""
    found = []
    for what, one, other in (
        ("count", _texts(o.counts for o in before), _texts(o.counts for o in after)),
        ("measured", _texts(o.measured for o in before), _texts(o.measured for o in after)),
    ):
        if one and other and one != other:
            found.append(f"{what} {' or '.join(one)}, then {' or '.join(other)}")
    return "; ".join(found)


def _texts(given: Iterable[tuple[str, ...]]) -> tuple[str, ...]:
    return tuple(sorted({text for texts in given for text in texts}, key=by_figure))


def _sharing(lists: Lists, one: URIRef, other: URIRef) -> tuple[Claim, ...]:
    statements = ((one, other), (other, one))
    found = [
        claim
        for a, b in statements
        for claim in lists.belief.rests_on((a, GLOST.sharesFlatwareWith, b))
    ]
    return in_order(found)
