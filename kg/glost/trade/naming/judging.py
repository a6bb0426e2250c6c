"""Everything seen against one shape."""

from collections.abc import Callable, Iterator

from rdflib import URIRef

from glost.trade.naming import looks, stamps
from glost.trade.naming.known import Known
from glost.trade.naming.points import Point
from glost.trade.naming.seen import Seen

_ASKED: tuple[Callable[[Seen, URIRef, Known], Iterator[Point]], ...] = (
    looks.pottery,
    looks.form,
    looks.size,
    looks.texts,
    looks.features,
    stamps.marks,
    stamps.number,
    stamps.glaze,
)


def judge(seen: Seen, shape: URIRef, known: Known) -> tuple[Point, ...]:
    """Hold everything seen against one shape.

    Returns
    -------
    tuple of Point
        One for each thing seen, in a fixed order.
    """
    return tuple(point for ask in _ASKED for point in ask(seen, shape, known))
