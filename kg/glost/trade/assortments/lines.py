"""Which line had an article first, which last, and which alone."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from weakref import WeakKeyDictionary

from rdflib import URIRef
from rdflib.namespace import RDF

from glost.names import GLOST
from glost.record.belief import Belief
from glost.record.claims import Claim, in_order
from glost.trade.assortments.lists import Article, Assortment, Lists, before, plain_size, things


@dataclass(frozen=True, slots=True)
class FirstLast:
    """The lists that may have been the first, and the last, to offer an article.

    Attributes
    ----------
    article
        The article, or the form.
    first, last
        Assortments before which, and after which, none that offers it certainly stands; several
        where dates leave it open.
    claims
        The claims that they offer it, and of their dates.
    """

    article: Article
    first: tuple[Assortment, ...]
    last: tuple[Assortment, ...]
    claims: tuple[Claim, ...]


def first_and_last(
    lists: Lists, shapes: Iterable[URIRef], *, by_form: bool = False
) -> tuple[FirstLast, ...]:
    """Find the first and the last list of some shapes to offer each article.

    Parameters
    ----------
    lists
        Every list.
    shapes
        The shapes among whose lists to look: those of a pottery.
    by_form
        Whether articles of one form count as one whatever their size.
    """
    offered = _offered(lists, shapes, by_form)
    return tuple(_first_last(article, found, by_form) for article, found in offered.items())


def _first_last(article: Article, found: tuple[Assortment, ...], by_form: bool) -> FirstLast:
    first_by = min((e.latest for e in found if e.latest is not None), default=None)
    last_from = max((e.earliest for e in found if e.earliest is not None), default=None)
    first = tuple(e for e in found if not before(first_by, e.earliest))
    last = tuple(e for e in found if not before(e.latest, last_from))
    claims = [
        claim
        for each in {*first, *last}
        for claim in (*_offering(each, article, by_form), *each.grounds)
    ]
    return FirstLast(article, first, last, in_order(claims))


def _offering(each: Assortment, article: Article, by_form: bool) -> Iterator[Claim]:
    for offer in each.offers:
        if offer.article == article or (by_form and offer.article.form == article.form):
            yield from offer.claims


def _offered(
    lists: Lists, shapes: Iterable[URIRef], by_form: bool
) -> dict[Article, tuple[Assortment, ...]]:
    wanted = set(shapes)
    found: dict[Article, list[Assortment]] = {}
    for shape in sorted(wanted):
        for each in lists.of(shape):
            articles = {Article(a.form) if by_form else a for a in each.articles}
            for article in articles:
                found.setdefault(article, []).append(each)
    return {article: tuple(found[article]) for article in sorted(found)}


def lines_before(lists: Lists, shape: URIRef) -> tuple[URIRef, ...]:
    """Return the line of the same pottery that was first listed last before a shape was.

    Returns
    -------
    tuple of URIRef
        Several shapes where dates leave open which came last; none if the shape is in no list, or
        no other was certainly listed before it.
    """
    own = _listed_first(lists.of(shape))
    fellows = [other for other in lists.fellows(shape) if other != shape]
    first = {other: _listed_first(lists.of(other)) for other in fellows}
    earlier = {other: days for other, days in first.items() if before(days[1], own[0])}
    start = max((days[0] for days in earlier.values() if days[0] is not None), default=None)
    return tuple(other for other, days in earlier.items() if not before(days[1], start))


def _listed_first(found: tuple[Assortment, ...]) -> tuple[int | None, int | None]:
    """Return the days between which the first of some lists was issued."""
    starts = [each.earliest for each in found]
    ends = [each.latest for each in found if each.latest is not None]
    return (
        None if None in starts else min((s for s in starts if s is not None), default=None),
        min(ends, default=None),
    )


@dataclass(frozen=True, slots=True)
class Seen:
    """A piece that shows an article of a shape.

    Attributes
    ----------
    piece, shape, article
        The piece, its shape, and the article as the piece goes by its form and trade size.
    claims
        The claims of its shape, form and size.
    """

    piece: URIRef
    shape: URIRef
    article: Article
    claims: tuple[Claim, ...]


_SEEN: WeakKeyDictionary[Lists, tuple[Seen, ...]] = WeakKeyDictionary()


def seen(lists: Lists) -> tuple[Seen, ...]:
    """Return what pieces show: one for each shape and form said of each piece."""
    if lists not in _SEEN:
        _SEEN[lists] = tuple(_seen(lists.belief))
    return _SEEN[lists]


def _seen(belief: Belief) -> Iterator[Seen]:
    for piece in things(belief.graph.subjects(RDF.type, GLOST.Piece)):
        sizes = sorted(set(belief.graph.objects(piece, GLOST.tradeSize)), key=str)
        size = plain_size(str(sizes[0])) if sizes else ""
        said = [c for s in sizes for c in belief.rests_on((piece, GLOST.tradeSize, s))]
        for shape in things(belief.graph.objects(piece, GLOST.ofShape)):
            for form in things(belief.graph.objects(piece, GLOST.form)):
                claims = (
                    *belief.rests_on((piece, GLOST.ofShape, shape)),
                    *belief.rests_on((piece, GLOST.form, form)),
                    *said,
                )
                yield Seen(piece, shape, Article(form, size), in_order(claims))


@dataclass(frozen=True, slots=True)
class Produced:
    """What a source says of whether an article of a shape was produced.

    Attributes
    ----------
    shape, article
        The shape and the article.
    produced
        Whether it was; if not, it was modelled only.
    claims
        The claims that say so.
    """

    shape: URIRef
    article: Article
    produced: bool
    claims: tuple[Claim, ...]


def produced(lists: Lists) -> Iterator[Produced]:
    """Yield what sources say of whether articles were produced, sorted."""
    belief = lists.belief
    for thing, value in sorted(belief.graph.subject_objects(GLOST.produced), key=str):
        claims = belief.rests_on((thing, GLOST.produced, value))
        for shape in things(belief.graph.objects(thing, GLOST.ofShape)):
            for form in things(belief.graph.objects(thing, GLOST.form)):
                article = lists.article(thing, form)
                yield Produced(shape, article, str(value) == "true", claims)


@dataclass(frozen=True, slots=True)
class Peculiar:
    """A form that only one shape of a pottery is known to have had.

    Attributes
    ----------
    form, shape
        The form and the shape.
    unsure
        Other shapes of the pottery of which no list is stated complete without dispute, so that
        they may have had it.
    claims
        The claims that the shape had it, and where all others are listed whole, of that.
    """

    form: URIRef
    shape: URIRef
    unsure: tuple[URIRef, ...]
    claims: tuple[Claim, ...]


def peculiar(lists: Lists, shapes: Iterable[URIRef]) -> tuple[Peculiar, ...]:
    """Find the forms that only one of some shapes had, by lists and by pieces.

    Parameters
    ----------
    lists
        Every list.
    shapes
        The shapes of a pottery.
    """
    wanted = sorted(set(shapes))
    had: dict[URIRef, dict[URIRef, list[Claim]]] = {}
    for shape in wanted:
        for offer in (offer for each in lists.of(shape) for offer in each.offers):
            claims = had.setdefault(offer.article.form, {}).setdefault(shape, [])
            claims.extend(offer.claims)
    for shown in seen(lists):
        if shown.shape in wanted:
            claims = had.setdefault(shown.article.form, {}).setdefault(shown.shape, [])
            claims.extend(shown.claims)
    whole = {
        shape: [c for each in lists.of(shape) if each.complete == "yes" for c in each.grounds]
        for shape in wanted
        if any(each.complete == "yes" for each in lists.of(shape))
    }
    found = []
    for form, by_shape in sorted(had.items()):
        if len(by_shape) == 1:
            ((shape, claims),) = by_shape.items()
            others = [other for other in wanted if other != shape]
            grounds = [claim for other in others for claim in whole.get(other, ())]
            unsure = tuple(other for other in others if other not in whole)
            found.append(Peculiar(form, shape, unsure, in_order([*claims, *grounds])))
    return tuple(found)
