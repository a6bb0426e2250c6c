"""In which order shapes were brought in, by everything on record together."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from functools import cached_property
from itertools import permutations
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray
from rdflib import URIRef

from glost.names import GLOST
from glost.record.claims import Claim, in_order
from glost.trade.times import Bounds, Chronology
from glost.words.spans import years

Floats: TypeAlias = NDArray[np.float64]


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
        self._ordered: dict[URIRef, frozenset[URIRef]] = {}

    def believing(self, times: Chronology, anew: Collection[str], *, related: bool) -> "Order":
        """Return the order after a change, with what is known of shapes it leaves alone.

        Parameters
        ----------
        times
            The chronology after it.
        anew
            IRIs of the things of which the chronology was reckoned again.
        related
            Whether it may bear on which claims put shapes in an order without a date.
        """
        found = Order(times)
        found._bounds, found._ordered = dict(self._bounds), dict(self._ordered)
        found._claims = dict(self._claims)
        for shape in map(URIRef, anew):
            found._bounds.pop(shape, None)
            found._ordered.pop(shape, None)
            for late in (False, True):
                found._claims.pop((shape, late), None)
        if not related and "_related" in vars(self):
            found.__dict__["_related"] = self._related
        return found

    def look_up(self, shapes: Iterable[URIRef]) -> None:
        """Look up all there is of some shapes, so that nothing is asked of what is believed."""
        _ = self._related
        for shape in shapes:
            if shape in self._ordered and (shape, True) in self._claims:
                continue
            self.ordered(shape)
            for late in (False, True):
                self.claims(shape, late=late)

    @cached_property
    def _shapes(self) -> frozenset[URIRef]:
        return frozenset(self._times.belief.things(GLOST.Shape))

    def bounds(self, shape: URIRef) -> Bounds:
        """Return between which days a shape was brought in, however contradictions are settled."""
        if shape not in self._bounds:
            self._bounds[shape] = self._times.reading_bounds(_begin(shape))
        return self._bounds[shape]

    def before(self, one: URIRef, other: URIRef) -> bool:
        """Say whether one shape was certainly brought in before another, under every reading."""
        if one == other:
            return False
        return _apart(self.bounds(one), self.bounds(other)) or one in self.ordered(other)

    def ordered(self, shape: URIRef) -> frozenset[URIRef]:
        """Return the shapes certainly brought in before one though their days overlap."""
        if shape not in self._ordered:
            points = map(str, self._times.preceding(_begin(shape)))
            ahead = (URIRef(each.removesuffix("#begin")) for each in points)
            near = (each for each in ahead if each in self._shapes and self._near(each, shape))
            self._ordered[shape] = frozenset(near) - {shape}
        return self._ordered[shape]

    def _near(self, one: URIRef, other: URIRef) -> bool:
        """Say whether the days of two shapes overlap."""
        both = self.bounds(one), self.bounds(other)
        return not _apart(*both) and not _apart(*both[::-1])

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
        related = self.related(one)
        return in_order(claim for other in others for claim in related.get(other, ()))

    def related(self, shape: URIRef) -> Mapping[URIRef, Sequence[Claim]]:
        """Return the same of a shape and each other that any such claim names with it."""
        return self._related.get(shape, {})

    def related_otherwise(self, before: "Order") -> set[URIRef]:
        """Return the shapes that other claims put in an order without a date than before."""
        was, now = before._related, self._related
        if was is now:
            return set()
        return {shape for shape in was.keys() | now.keys() if was.get(shape) != now.get(shape)}

    @cached_property
    def _related(self) -> dict[URIRef, dict[URIRef, list[Claim]]]:
        belief = self._times.belief
        found: dict[URIRef, dict[URIRef, list[Claim]]] = {}
        shapes = set(belief.things(GLOST.Shape))
        for verb in RELATING:
            for statement in belief.graph.triples((None, verb, None)):
                for claim in belief.rests_on(statement):
                    terms = [
                        term for s, v, o in claim.statements if v in RELATING for term in (s, o)
                    ]
                    named = {URIRef(str(term).partition("#")[0]) for term in terms} & shapes
                    for one, other in permutations(sorted(named), 2):
                        found.setdefault(one, {}).setdefault(other, []).append(claim)
        return found

    def words(self, shape: URIRef) -> str:
        """Say when a shape was brought in, in years: ``1898–1902``, ``by 1905``."""
        return years(self.bounds(shape)[:2]) or "not known when"


RELATING = {
    GLOST.subjectRun, GLOST.objectRun, GLOST.copiedFrom, GLOST.redesignedFrom, GLOST.derivedFrom,
    GLOST.reissueOf,
}  # fmt: skip
"""The properties by which claims put shapes in an order without a date."""


def days(found: Iterable[tuple[int | None, int | None]]) -> tuple["Floats", "Floats"]:
    """Return first days and last days as numbers, without end where they are not known."""
    pairs = list(found)
    first = [-np.inf if earliest is None else earliest for earliest, _ in pairs]
    last = [np.inf if latest is None else latest for _, latest in pairs]
    return np.array(first, dtype=float), np.array(last, dtype=float)


def _begin(shape: URIRef) -> URIRef:
    return URIRef(f"{shape}#begin")


def _apart(one: Bounds, other: Bounds) -> bool:
    return one.latest is not None and other.earliest is not None and one.latest < other.earliest
