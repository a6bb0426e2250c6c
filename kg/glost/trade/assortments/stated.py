"""What sources say about lists: absences, superlatives and totals, read from claims."""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from functools import cached_property

from rdflib import URIRef

from glost.names import GLOST
from glost.record.belief import Belief
from glost.record.claims import Claim, in_order
from glost.trade.assortments.lists import Article, plain_size


class Best(StrEnum):
    """What a superlative says."""

    FIRST = "first"
    LAST = "last"
    ONLY = "only"
    MOST = "most"
    FEWEST = "fewest"


@dataclass(frozen=True, slots=True)
class Absence:
    """That an article, or a mark that names a shape, was not there.

    Attributes
    ----------
    iri
        The statement.
    of
        The shape, the pottery or the list that lacked it.
    article
        The article; without a size, whatever its size. None for a mark.
    after, before
        Of a pottery: only the shapes brought in after, or before, these.
    claims
        The claims that say so.
    """

    iri: URIRef
    of: URIRef
    article: Article | None
    after: tuple[URIRef, ...]
    before: tuple[URIRef, ...]
    claims: tuple[Claim, ...]


@dataclass(frozen=True, slots=True)
class Superlative:
    """That a shape or a pottery was the first, last or only one to have an article, or had most.

    Attributes
    ----------
    iri
        The statement.
    of
        The shape, among those of its pottery; or the pottery, among all on record.
    best
        What it was.
    article
        The article; None if all articles are meant.
    claims
        The claims that say so.
    """

    iri: URIRef
    of: URIRef
    best: Best
    article: Article | None
    claims: tuple[Claim, ...]


@dataclass(frozen=True, slots=True)
class Total:
    """How many there were, by one statement; several sources may make it, not all alike.

    Attributes
    ----------
    iri
        The statement.
    of
        The shape, the pottery or the list.
    counted
        ``articles``, ``forms``, ``sizes`` or ``shapes``.
    form
        Only of this form, if one is given.
    ware
        Only ``flatware`` or ``hollow ware``, if one is given.
    date, than_date
        When there were so many, and so many of the others: EDTF as written, empty if not said.
    least, most
        The number or numbers given; None if a proportion is.
    about
        Whether they are given as about right.
    proportion
        What part of the others; None if a number is given.
    than
        The others.
    claims
        The claims that say so.
    """

    iri: URIRef
    of: URIRef
    counted: str
    form: URIRef | None
    ware: str
    date: str
    than_date: str
    least: int | None
    most: int | None
    about: bool
    proportion: Fraction | None
    than: URIRef | None
    claims: tuple[Claim, ...]


def read_proportion(text: str) -> Fraction:
    """Read a proportion as written: ``2/3``, ``50 %``."""
    plain = text.replace(" ", "")
    return Fraction(plain.removesuffix("%")) / 100 if plain.endswith("%") else Fraction(plain)


class StatedOfLists:
    """What sources say about lists.

    Parameters
    ----------
    belief
        What is believed.
    """

    def __init__(self, belief: Belief) -> None:
        self._belief = belief

    @cached_property
    def absences(self) -> tuple[Absence, ...]:
        """Every stated absence, sorted."""
        return tuple(self._absences())

    def _absences(self) -> Iterator[Absence]:
        for iri in self._belief.things(GLOST.Absence):
            marks = self._belief.text(iri, GLOST.lacks) == "mark"
            article = None if marks else self._article(iri)
            if not marks and article is None:
                continue
            after, before = (
                self._belief.named(iri, verb)
                for verb in (GLOST.broughtInAfter, GLOST.broughtInBefore)
            )
            for of in self._belief.named(iri, GLOST.statedOf):
                yield Absence(iri, of, article, after, before, in_order(self._belief.about(iri)))

    @cached_property
    def superlatives(self) -> tuple[Superlative, ...]:
        """Every superlative, sorted."""
        return tuple(self._superlatives())

    def _superlatives(self) -> Iterator[Superlative]:
        for iri in self._belief.things(GLOST.Superlative):
            word = self._belief.text(iri, GLOST.superlative)
            if word not in set(Best):
                continue
            best, article = Best(word), self._article(iri)
            if article is None and best not in (Best.MOST, Best.FEWEST):
                continue
            for of in self._belief.named(iri, GLOST.statedOf):
                yield Superlative(iri, of, best, article, in_order(self._belief.about(iri)))

    @cached_property
    def totals(self) -> tuple[Total, ...]:
        """Every total, sorted."""
        return tuple(self._totals())

    def _totals(self) -> Iterator[Total]:
        for iri in self._belief.things(GLOST.Total):
            numbers = [
                int(text)
                for verb in (GLOST.statedNumber, GLOST.statedUpTo)
                for text in self._belief.texts(iri, verb)
            ]
            proportion = self._belief.text(iri, GLOST.proportion)
            than = self._belief.named(iri, GLOST.proportionOf)
            if not numbers and not (proportion and than):
                continue
            for of in self._belief.named(iri, GLOST.statedOf):
                yield Total(
                    iri,
                    of,
                    self._belief.text(iri, GLOST.counted),
                    next(iter(self._belief.named(iri, GLOST.form)), None),
                    self._belief.text(iri, GLOST.countedWare),
                    self._belief.text(iri, GLOST.countedIn),
                    self._belief.text(iri, GLOST.comparedIn),
                    min(numbers, default=None),
                    max(numbers, default=None),
                    self._belief.text(iri, GLOST.approximate) == "true",
                    None if numbers else read_proportion(proportion),
                    None if numbers else than[0],
                    in_order(self._belief.about(iri)),
                )

    def _article(self, iri: URIRef) -> Article | None:
        forms = self._belief.named(iri, GLOST.form)
        size = plain_size(self._belief.text(iri, GLOST.tradeSize))
        return Article(forms[0], size) if forms else None
