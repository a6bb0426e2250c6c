"""Lists read from claims: what each offers in each shape, when, and whether it is complete."""

import re
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from functools import cached_property
from itertools import groupby
from typing import Any, TypeVar

from rdflib import URIRef
from rdflib.namespace import RDF
from rdflib.term import Node

from glost.names import GLOST
from glost.record.belief import Belief
from glost.record.claims import Claim, Triple
from glost.record.dates import DEFAULT_MARGIN, Margin, hull
from glost.trade.assortments.forms import Forms
from glost.trade.times import Chronology
from glost.words.labels import first
from glost.words.spans import years

Made = TypeVar("Made")
Keeping = Callable[[Hashable, Callable[[], Any]], Any]
"""Returns what is kept under a key, or what is made, which may be kept from then on."""

_INCHES = re.compile(r"\s*(?:inches|inch|ins|in|\")\.?$", re.I)


def plain_variant(written: str) -> str:
    """Write a variant in small letters with single spaces, so that spellings of it are one."""
    return " ".join(written.casefold().split())


def plain_size(written: str) -> str:
    """Write a trade size without a word for inches, so that ``8 in`` and ``8`` are one."""
    return _INCHES.sub("", written.strip())


@dataclass(frozen=True, slots=True)
class Article:
    """A form in a trade size, of whatever shape; sorted by form, the size's figure, the variant.

    Attributes
    ----------
    form
        The ware form.
    size
        The trade size, words for inches left out; empty if none is given, or if forms are
        compared whatever their size.
    variant
        Which of several alike in form and size it is, as written; empty if not told apart.
    """

    form: URIRef
    size: str = ""
    variant: str = ""

    @property
    def which(self) -> str:
        """Its size and variant together, as they stand after the name of the form."""
        return ", ".join(part for part in (self.size, self.variant) if part)

    def __lt__(self, other: "Article") -> bool:
        """Sort by form, then by the figure the size begins with, then by the variant."""
        return self._key < other._key

    @property
    def _key(self) -> tuple[str, tuple[int, str], str]:
        return self.form, by_figure(self.size), self.variant


@dataclass(frozen=True, slots=True)
class Offer:
    """An item of a list.

    Attributes
    ----------
    article
        The article offered.
    trade, counts, measured
        Trade size, potter's counts and measured sizes as written.
    items
        Item numbers.
    claims
        The claims that it is offered.
    """

    article: Article
    trade: str
    counts: tuple[str, ...]
    measured: tuple[str, ...]
    items: tuple[str, ...]
    claims: tuple[Claim, ...]


class Complete(StrEnum):
    """Whether a list is stated to hold everything."""

    YES = "yes"
    NO = "no"
    UNSAID = "not said"
    DISPUTED = "disputed"


@dataclass(frozen=True)
class Assortment:
    """What one list offers in one shape.

    Attributes
    ----------
    iri
        The assortment.
    shape, list
        The shape and the list.
    offers
        Its items, sorted by article.
    complete
        Whether the list is stated complete.
    earliest, latest
        The days between which the list was issued, as day numbers; None if not known.
    grounds
        The claims of its date and of its completeness.
    earlier
        The lists that certainly came out before it by what sources say of their order.
    """

    iri: URIRef
    shape: URIRef
    list: URIRef
    offers: tuple[Offer, ...]
    complete: Complete
    earliest: int | None
    latest: int | None
    grounds: tuple[Claim, ...] = field(repr=False)
    earlier: frozenset[URIRef] = field(default=frozenset(), repr=False)

    @cached_property
    def articles(self) -> Mapping[Article, tuple[Offer, ...]]:
        """Its items by article."""
        found: dict[Article, list[Offer]] = {}
        for offer in self.offers:
            found.setdefault(offer.article, []).append(offer)
        return {article: tuple(offers) for article, offers in sorted(found.items())}

    @property
    def years(self) -> str:
        """The year or years in which it was issued; empty if not known."""
        return years((self.earliest, self.latest))

    def certainly_before(self, other: "Assortment") -> bool:
        """Say whether its list was issued before another's, whatever their dates leave open."""
        return before(self.latest, other.earliest) or self.list in other.earlier


class Lists:
    """Every assortment believed.

    Parameters
    ----------
    belief
        What is believed.
    margin
        How far a date marked approximate is widened at either end.
    times
        The chronology of the same; lists are then dated and ordered by everything on record
        together, else by the dates that sources give them.
    known
        What was read before of shapes of which nothing changed since.
    kept
        Keeps what is read for lists of what is believed later; see `keeping`.
    """

    def __init__(
        self,
        belief: Belief,
        margin: Margin = DEFAULT_MARGIN,
        times: Chronology | None = None,
        known: Mapping[URIRef, tuple[Assortment, ...]] | None = None,
        kept: Keeping | None = None,
    ) -> None:
        self.belief = belief
        self._kept = kept
        self.forms = Forms(belief)
        self._margin = margin
        self._times = times
        self._by_shape = dict(known or {})
        self._earlier: dict[URIRef, frozenset[URIRef]] = {}

    @cached_property
    def all(self) -> tuple[Assortment, ...]:
        """Every assortment, by shape, then as far as is known in the order of issue."""
        belief = self.belief
        listed = {
            shape
            for iri in belief.things(GLOST.Assortment)
            for shape in belief.named(iri, GLOST.ofShape)
        }
        return tuple(each for shape in sorted(listed) for each in self.of(shape))

    def of(self, shape: URIRef) -> tuple[Assortment, ...]:
        """Return the assortments of a shape, as far as is known in the order of issue."""
        if shape not in self._by_shape:
            self._by_shape[shape] = self.keeping(("lists", shape), lambda its: its._read(shape))
        return self._by_shape[shape]

    def keeping(self, key: Hashable, make: "Callable[[Lists], Made]") -> Made:
        """Return what is made of lists, or what is kept of that.

        Where it is kept, it is made of lists that know nothing yet, so that all is looked at for it
        that it rests on.
        """
        if self._kept is None:
            return make(self)
        new = Lists(self.belief, self._margin, self._times, kept=self._kept)
        found: Made = self._kept(key, lambda: make(new))
        return found

    def _read(self, shape: URIRef) -> tuple[Assortment, ...]:
        found = [
            self._assortment(iri, shape, source)
            for iri in self.belief.having(GLOST.ofShape, shape)
            if (iri, RDF.type, GLOST.Assortment) in self.belief.graph
            for source in self.belief.named(iri, GLOST.offeredIn)
        ]
        return tuple(sorted(found, key=_order))

    @cached_property
    def shapes(self) -> tuple[URIRef, ...]:
        """Every shape on record, sorted."""
        return self.belief.things(GLOST.Shape)

    @cached_property
    def makers(self) -> Mapping[URIRef, tuple[URIRef, ...]]:
        """The shapes of each pottery, sorted."""
        found: dict[URIRef, set[URIRef]] = {}
        for shape in self.shapes:
            for pottery in self.belief.named(shape, GLOST.madeBy):
                found.setdefault(pottery, set()).add(shape)
        return {pottery: tuple(sorted(shapes)) for pottery, shapes in sorted(found.items())}

    def fellows(self, shape: URIRef) -> tuple[URIRef, ...]:
        """Return the shapes of the potteries that made a shape, itself among them, sorted."""
        found = {s for shapes in self.makers.values() if shape in shapes for s in shapes}
        return tuple(sorted(found | {shape}))

    def _assortment(self, iri: URIRef, shape: URIRef, source: URIRef) -> Assortment:
        items = self.belief.named(iri, GLOST.hasOffering)
        offers = [self._offer(iri, item) for item in items]
        complete, claims = self._complete(source)
        earliest, latest, dated = self._dated(source)
        return Assortment(
            iri,
            shape,
            source,
            tuple(
                sorted(
                    (offer for offer in offers if offer is not None),
                    key=lambda o: (o.article, o.items, o.counts),
                )
            ),
            complete,
            earliest,
            latest,
            (*claims, *dated),
            self._before(source),
        )

    def _dated(self, source: URIRef) -> tuple[int | None, int | None, tuple[Claim, ...]]:
        """Say when a list came out, under every reading of what bears on it."""
        if self._times is None:
            return self._issued(source)
        found = self._times.reading_bounds(source)
        facts = [
            *self._times.reading_facts(source, late=False),
            *self._times.reading_facts(source, late=True),
        ]
        return found.earliest, found.latest, self.belief.supporting(facts)

    def _before(self, source: URIRef) -> frozenset[URIRef]:
        """Return the lists certainly out before one, if any source puts some in an order."""
        if self._times is None or not self.ordering:
            return frozenset()
        if source not in self._earlier:
            self._earlier[source] = self._times.ahead_of(source, self.sources)
        return self._earlier[source]

    @cached_property
    def sources(self) -> tuple[URIRef, ...]:
        """The sources that list assortments, sorted."""
        return self.keeping("sources", lambda its: its.belief.named(None, GLOST.offeredIn))

    @cached_property
    def ordering(self) -> tuple[Triple, ...]:
        """The statements by which sources put sources in an order, sorted."""
        graph = self.belief.graph
        return tuple(
            sorted(
                triple
                for verb in (GLOST.subjectRun, GLOST.objectRun)
                for triple in graph.triples((None, verb, None))
                if (URIRef(str(triple[2]).partition("#")[0]), RDF.type, GLOST.Source) in graph
            )
        )

    def _offer(self, assortment: URIRef, item: URIRef) -> Offer | None:
        graph = self.belief.graph
        article = first(graph, item, GLOST.offersArticle)
        form = first(graph, article, GLOST.form) if article is not None else None
        if article is None or not isinstance(form, URIRef):
            return None
        return Offer(
            self.article(article, form),
            self.belief.text(article, GLOST.tradeSize),
            self.belief.texts(item, GLOST.potterCount),
            self.belief.texts(item, GLOST.measuredSize),
            self.belief.texts(item, GLOST.itemNumber),
            self.belief.rests_on((assortment, GLOST.hasOffering, item)),
        )

    def article(self, thing: Node, form: URIRef) -> Article:
        """Read an article of a form as lists are compared: trade size and variant made plain."""
        size = self.belief.text(thing, GLOST.tradeSize)
        variant = self.belief.text(thing, GLOST.variant)
        return Article(form, plain_size(size), plain_variant(variant))

    def _complete(self, source: URIRef) -> tuple[Complete, tuple[Claim, ...]]:
        said = self.belief.texts(source, GLOST.complete)
        claims = self.belief.saying(source, GLOST.complete)
        if len(said) > 1:
            return Complete.DISPUTED, claims
        words = {"true": Complete.YES, "false": Complete.NO}
        return words.get(next(iter(said), ""), Complete.UNSAID), claims

    def _issued(self, source: URIRef) -> tuple[int | None, int | None, tuple[Claim, ...]]:
        told = self.belief.dates(source, self._margin)
        return (*hull(each.date for each in told), tuple(c for each in told for c in each.claims))


def before(day: int | None, other: int | None) -> bool:
    """Say whether a day is known to come before another; never if one of them is not known."""
    return day is not None and other is not None and day < other


def by_figure(text: str) -> tuple[int, str]:
    """Order sizes and counts by the figure they begin with; those without come last."""
    figure = re.match("[0-9]{1,9}", text)
    return int(figure[0]) if figure else 10**6, text


def _order(each: Assortment) -> tuple[str, float, float, str]:
    late = float("inf")
    earliest = late if each.earliest is None else each.earliest
    latest = late if each.latest is None else each.latest
    return str(each.shape), earliest, latest, str(each.list)


def steps(found: Iterable[Assortment]) -> list[tuple[Assortment, Assortment]]:
    """Pair each list with the latest of those that are certainly earlier, or with several such.

    Parameters
    ----------
    found
        Assortments of one shape.
    """
    given = list(found)
    pairs = []
    for after in given:
        before = [each for each in given if each.certainly_before(after)]
        last = [e for e in before if not any(e.certainly_before(other) for other in before)]
        pairs += [(each, after) for each in last]
    return pairs


def following(lists: Lists) -> Iterator[Triple]:
    """Yield which assortment follows which, as `steps` has it, as statements.

    ``glost:followsAssortment`` leads from each to the latest that is certainly earlier, or to
    several of which none is known to be the latest.
    """
    for _, found in groupby(lists.all, key=lambda each: each.shape):
        yield from following_of(found)


def following_of(found: Iterable[Assortment]) -> Iterator[Triple]:
    """Yield the same of the assortments of one shape."""
    for earlier, later in steps(found):
        yield later.iri, GLOST.followsAssortment, earlier.iri
