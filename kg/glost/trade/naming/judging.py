"""Everything seen against one shape."""

from collections.abc import Callable, Iterator

from rdflib import URIRef

from glost.trade.naming import appearance, marks
from glost.trade.naming.known import Known
from glost.trade.naming.points import NamingPoint
from glost.trade.naming.seen import Seen

_ASKED: tuple[Callable[[Seen, URIRef, Known], Iterator[NamingPoint]], ...] = (
    appearance.pottery,
    appearance.form,
    appearance.size,
    appearance.texts,
    appearance.features,
    marks.marks,
    marks.number,
    marks.glaze,
)


def judge(seen: Seen, shape: URIRef, known: Known) -> tuple[NamingPoint, ...]:
    """Hold everything seen against one shape.

    Returns
    -------
    tuple of Point
        One for each thing seen, in a fixed order.
    """
    return tuple(point for ask in _ASKED for point in ask(seen, shape, known))
