"""Stated totals and proportions set against what can be counted in lists."""

import csv
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from importlib.resources import files

from rdflib import URIRef

from glost.record.claims import Claim
from glost.record.dates import DateError, Margin
from glost.record.dates import read as read_date
from glost.trade.assortments.lists import Article, Assortment, Complete, Lists, before
from glost.trade.assortments.stated import Total
from glost.verdicts import Verdict


@cache
def margins() -> dict[str, Fraction]:
    """Read how near a stated total must come to what is counted, by its name."""
    text = files("glost.trade.assortments").joinpath("margins.csv").read_text(encoding="utf-8")
    rows = csv.DictReader(line for line in text.splitlines() if not line.startswith("#"))
    return {row["name"]: Fraction(row["margin"]) for row in rows}


@dataclass(frozen=True, slots=True)
class ArticleCount:
    """How many of something lists show at one time or over all.

    Attributes
    ----------
    number
        How many.
    whole
        Whether there can have been no more, every list counted being stated complete.
    claims
        The claims counted, and those that the lists are complete.
    """

    number: int
    whole: bool
    claims: tuple[Claim, ...]


class Counter:
    """Counts what stated totals speak of.

    Parameters
    ----------
    lists
        Every list.
    margin
        How far a date marked approximate is widened at either end.
    """

    def __init__(self, lists: Lists, margin: Margin) -> None:
        self._lists, self._margin = lists, margin

    def counts(self, total: Total, of: URIRef, date: str) -> tuple[ArticleCount, ...]:
        """Count what a total speaks of: in each list, then in all of them together.

        Parameters
        ----------
        total
            The total; its form, class and date limit what is counted.
        of
            What it is counted of: that of the total, or that with which it compares.
        date
            Lists that may be of this time are counted, as EDTF; empty for all.
        """
        by_list: dict[URIRef, list[Assortment]] = {}
        for each in self._assortments(of):
            if self._then(each, date):
                by_list.setdefault(each.list, []).append(each)
        alone = [self._count(total, some) for some in by_list.values()]
        if len(alone) < 2:
            return tuple(alone)
        return (*alone, self._count(total, [each for some in by_list.values() for each in some]))

    def _assortments(self, of: URIRef) -> Iterable[Assortment]:
        if of in self._lists.makers:
            shapes = set(self._lists.makers[of])
            return [each for each in self._lists.all if each.shape in shapes]
        return [each for each in self._lists.all if of in (each.shape, each.list)]

    def _then(self, each: Assortment, date: str) -> bool:
        """Say whether a list may be of a time."""
        if not date:
            return True
        try:
            then = read_date(date, self._margin)
        except DateError:
            return False
        gone, to_come = before(each.latest, then.earliest), before(then.latest, each.earliest)
        return not (gone or to_come)

    def _count(self, total: Total, found: list[Assortment]) -> ArticleCount:
        offers = [
            (each, article, offers)
            for each in found
            for article, offers in each.articles.items()
            if self._wanted(total, article)
        ]
        things: set[object] = {_thing(total.counted, each, article) for each, article, _ in offers}
        claims = [claim for _, _, some in offers for offer in some for claim in offer.claims]
        claims += [claim for each in found for claim in each.grounds]
        whole = all(each.complete == Complete.YES for each in found)
        return ArticleCount(len(things - {None}), whole, tuple(dict.fromkeys(claims)))

    def _wanted(self, total: Total, article: Article) -> bool:
        if total.form is not None and total.form not in self._lists.forms.wider(article.form):
            return False
        return total.ware in ("", str(self._lists.forms.class_of(article.form)))


def _thing(counted: str, each: Assortment, article: Article) -> object:
    """Return what counts once."""
    if counted == "forms":
        return article.form
    if counted == "sizes":
        return article.size or None
    return each.shape if counted == "shapes" else article


def meets(total: Total, one: tuple[ArticleCount, ...], other: tuple[ArticleCount, ...]) -> Verdict:
    """Say whether a total is borne out by what was counted.

    Parameters
    ----------
    total
        The total.
    one
        What was counted of it, in each list and in all.
    other
        For a proportion, what was counted of that with which it compares.

    Returns
    -------
    Verdict
        Yes, if complete lists show so many; no, if they show another number each and together, or
        if every list shows more than was stated; possibly, if lists show fewer or so many and more
        may have been offered.
    """
    if total.proportion is not None:
        return _in_proportion(total, one, other)
    if not one:
        return Verdict.NOT_KNOWN
    least, most = _limits(total)
    if any(each.whole and least <= each.number <= most for each in one):
        return Verdict.YES
    if any(each.whole for each in one) or all(each.number > most for each in one):
        return Verdict.NO
    return Verdict.POSSIBLY


_HALF = Fraction(1, 2)


def _limits(total: Total) -> tuple[Fraction, Fraction]:
    margin = margins()["about" if total.about else "exact"]
    least, most = total.least or 0, total.most or 0
    return least * (1 - margin), most * (1 + margin)


def _in_proportion(
    total: Total, one: tuple[ArticleCount, ...], other: tuple[ArticleCount, ...]
) -> Verdict:
    pairs = [(a, b) for a in one for b in other if b.number]
    if not pairs:
        return Verdict.NOT_KNOWN
    margin = margins()["about-proportion" if total.about else "proportion"]
    whole = [(a, b) for a, b in pairs if a.whole and b.whole]
    part = total.proportion or Fraction(0)
    # Articles are whole: of two thirds of five none is nearer than three.
    if any(abs(a.number - part * b.number) <= max(margin * b.number, _HALF) for a, b in whole):
        return Verdict.YES
    return Verdict.NO if whole else Verdict.POSSIBLY
