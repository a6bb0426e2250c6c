"""In which order shapes were brought in, by everything on record together."""

from collections.abc import Iterable
from functools import cached_property
from itertools import permutations

from rdflib import URIRef

from glost.names import GLOST
from glost.record.claims import Claim, in_order
from glost.trade.times import Bounds, Chronology
from glost.words.spans import years


class Order:
    """The order in which shapes were brought in.

    Parameters
    ----------
    times
        The chronology of what is believed.
    """

    def __init__(self, times: Chronology) -> None:
        self._times = times
        self._bounds: dict[URIRef, Bounds] = {}
        self._claims: dict[tuple[URIRef, bool], tuple[Claim, ...]] = {}
        self._rows: dict[URIRef, frozenset[URIRef]] = {}

    @cached_property
    def _begins(self) -> tuple[URIRef, ...]:
        return tuple(map(_begin, self._times.belief.things(GLOST.Shape)))

    def bounds(self, shape: URIRef) -> Bounds:
        """Return between which days a shape was brought in, however contradictions are settled."""
        if shape not in self._bounds:
            self._bounds[shape] = self._times.reading_bounds(_begin(shape))
        return self._bounds[shape]

    def before(self, one: URIRef, other: URIRef) -> bool:
        """Say whether one shape was certainly brought in before another, under every reading."""
        if one == other:
            return False
        first, second = self.bounds(one), self.bounds(other)
        if _apart(first, second):
            return True
        if _apart(second, first):
            return False
        if other not in self._rows:
            ahead = self._times.ahead_of(_begin(other), self._begins)
            self._rows[other] = ahead
        return _begin(one) in self._rows[other]

    def disputed(self, shape: URIRef) -> bool:
        """Say whether sources contradict one another on when a shape was brought in."""
        return self.bounds(shape).disputed

    def claims(self, shape: URIRef, *, late: bool) -> tuple[Claim, ...]:
        """Return the claims that bound the day on which a shape was brought in, on one side."""
        if (shape, late) not in self._claims:
            told = self._times.reading_facts(_begin(shape), late=late)
            self._claims[shape, late] = in_order(self._times.belief.supporting(told))
        return self._claims[shape, late]

    def relating(self, one: URIRef, others: Iterable[URIRef]) -> tuple[Claim, ...]:
        """Return the claims that put a shape in an order with others without a date."""
        related = self._related.get(one, {})
        return in_order(claim for other in others for claim in related.get(other, ()))

    @cached_property
    def _related(self) -> dict[URIRef, dict[URIRef, list[Claim]]]:
        belief = self._times.belief
        found: dict[URIRef, dict[URIRef, list[Claim]]] = {}
        shapes = set(belief.things(GLOST.Shape))
        for verb in _RELATING:
            for statement in belief.graph.triples((None, verb, None)):
                for claim in belief.rests_on(statement):
                    terms = [
                        term for s, v, o in claim.statements if v in _RELATING for term in (s, o)
                    ]
                    named = {URIRef(str(term).partition("#")[0]) for term in terms} & shapes
                    for one, other in permutations(sorted(named), 2):
                        found.setdefault(one, {}).setdefault(other, []).append(claim)
        return found

    def words(self, shape: URIRef) -> str:
        """Say when a shape was brought in, in years: ``1898–1902``, ``by 1905``."""
        return years(self.bounds(shape)[:2]) or "not known when"


_RELATING = {
    GLOST.subjectRun, GLOST.objectRun, GLOST.copiedFrom, GLOST.redesignedFrom, GLOST.derivedFrom,
    GLOST.reissueOf,
}  # fmt: skip


def _begin(shape: URIRef) -> URIRef:
    return URIRef(f"{shape}#begin")


def _apart(one: Bounds, other: Bounds) -> bool:
    return one.latest is not None and other.earliest is not None and one.latest < other.earliest
