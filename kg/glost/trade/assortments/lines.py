"""What lines were listed before others, and what pieces and sources show of their articles."""

from collections.abc import Iterator
from dataclasses import dataclass
from weakref import WeakKeyDictionary

from rdflib import URIRef
from rdflib.namespace import RDF
from rdflib.term import Node

from glost.names import GLOST
from glost.record.belief import Belief
from glost.record.claims import Claim, in_order
from glost.trade.assortments.lists import Article, Assortment, Lists, before, plain_size


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
class ShownLine:
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


_SEEN: WeakKeyDictionary[Lists, tuple[ShownLine, ...]] = WeakKeyDictionary()


def seen(lists: Lists) -> tuple[ShownLine, ...]:
    """Return what pieces show: one for each shape and form said of each piece."""
    if lists not in _SEEN:
        _SEEN[lists] = tuple(_seen(lists.belief))
    return _SEEN[lists]


def _seen(belief: Belief) -> Iterator[ShownLine]:
    for piece in belief.things(GLOST.Piece):
        for shape in belief.named(piece, GLOST.ofShape):
            yield from _shown(belief, piece, shape)


def seen_of(belief: Belief, shape: URIRef) -> Iterator[ShownLine]:
    """Yield what pieces show of one shape, by piece."""
    for thing in belief.having(GLOST.ofShape, shape):
        if (thing, RDF.type, GLOST.Piece) in belief.graph:
            yield from _shown(belief, thing, shape)


def _shown(belief: Belief, piece: URIRef, shape: URIRef) -> Iterator[ShownLine]:
    size = plain_size(belief.text(piece, GLOST.tradeSize))
    said = belief.saying(piece, GLOST.tradeSize)
    for form in belief.named(piece, GLOST.form):
        claims = (
            *belief.rests_on((piece, GLOST.ofShape, shape)),
            *belief.rests_on((piece, GLOST.form, form)),
            *said,
        )
        yield ShownLine(piece, shape, Article(form, size), in_order(claims))


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
        for shape in belief.named(thing, GLOST.ofShape):
            yield from _produced(lists, thing, value, shape)


def produced_of(lists: Lists, shape: URIRef) -> Iterator[Produced]:
    """Yield the same of one shape."""
    graph = lists.belief.graph
    said = [
        (thing, value)
        for thing in lists.belief.having(GLOST.ofShape, shape)
        for value in graph.objects(thing, GLOST.produced)
    ]
    for thing, value in sorted(said, key=str):
        yield from _produced(lists, thing, value, shape)


def _produced(lists: Lists, thing: Node, value: Node, shape: URIRef) -> Iterator[Produced]:
    claims = lists.belief.rests_on((thing, GLOST.produced, value))
    for form in lists.belief.named(thing, GLOST.form):
        yield Produced(shape, lists.article(thing, form), str(value) == "true", claims)
