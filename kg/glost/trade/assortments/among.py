"""Some shapes with whether each had an article, set in the order in which they were brought in.

What is asked of one shape is asked of all others at once, as columns: of a thousand shapes that had
a form dozens may have been the first, and each is held against every other.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray
from rdflib import URIRef

from glost.record.claims import Claim, in_order
from glost.trade.assortments.having import Had
from glost.trade.assortments.order import Order, days
from glost.verdicts import Verdict

Mask: TypeAlias = NDArray[np.bool_]
"""Of each shape, in their order, whether it is one of some."""
Places: TypeAlias = NDArray[np.intp]


class Span(NamedTuple):
    """A part of what is on record of shapes that follow one another in an order.

    Attributes
    ----------
    part
        The part; see `PARTS`.
    order
        The place of the order in `Among.orders`.
    begin, end
        The first shape in that order, and the one after the last.
    """

    part: str
    order: int
    begin: int
    end: int


class Among:
    """Some shapes, each with whether it had an article.

    Parameters
    ----------
    had
        Whether each had it.
    order
        The order in which shapes were brought in.

    Attributes
    ----------
    earliest, latest
        Between which days each was brought in.
    speaking, lacking, unknown
        Which of them something says had it, which had it not, and of which it is not known.
    disputed
        Of which sources differ on that.
    """

    def __init__(self, had: Iterable[Had], order: Order) -> None:
        self.had: Sequence[Had] = tuple(had)
        self.order = order
        self.earliest, self.latest = days(order.bounds(each.shape)[:2] for each in self.had)
        self.speaking = self._which(bool(each.speaking) for each in self.had)
        no = self._which(each.verdict == Verdict.NO for each in self.had)
        self.lacking, self.unknown = no & ~self.speaking, ~no & ~self.speaking
        self.disputed = self._which(each.disputed for each in self.had)

    def _which(self, some: Iterable[bool]) -> Mask:
        return np.fromiter(some, dtype=np.bool_, count=len(self.had))

    def only(self, at: int) -> Mask:
        """Return which is in a place."""
        found = np.zeros(len(self.had), dtype=np.bool_)
        found[at] = True
        return found

    def before(self, at: int) -> Mask:
        """Return which were certainly brought in before one."""
        found: Mask = self.latest < self.earliest[at]
        found[self._ordered[0].get(at, [])] = True
        found[at] = False
        return found

    def after(self, at: int) -> Mask:
        """Return which were certainly brought in after one."""
        found: Mask = self.earliest > self.latest[at]
        found[self._ordered[1].get(at, [])] = True
        found[at] = False
        return found

    @cached_property
    def place(self) -> dict[URIRef, int]:
        """The place of each shape."""
        return {each.shape: at for at, each in enumerate(self.had)}

    @cached_property
    def _ordered(self) -> tuple[dict[int, list[int]], dict[int, list[int]]]:
        """Those before, and those after, each in a place, though their days overlap."""
        before: dict[int, list[int]] = {}
        after: dict[int, list[int]] = {}
        for at, each in enumerate(self.had):
            for other in self.order.ordered(each.shape):
                if other in self.place:
                    before.setdefault(at, []).append(self.place[other])
                    after.setdefault(self.place[other], []).append(at)
        return before, after

    @cached_property
    def listed(self) -> Mask:
        """Which of them lists offer it in."""
        return self._which(bool(each.lists) for each in self.had)

    @cached_property
    def in_any_list(self) -> Mask:
        """Of which any list is on record."""
        return self._which(each.listed for each in self.had)

    @cached_property
    def lists_from(self) -> NDArray[np.float64]:
        """The first day on which a list that offers it may have come out, of each shape."""
        return np.array([min(_from(each), default=np.inf) for each in self.had], dtype=float)

    @cached_property
    def lists_by(self) -> NDArray[np.float64]:
        """The last day on which one may have, of each shape."""
        return np.array([max(_by(each), default=-np.inf) for each in self.had], dtype=float)

    # -- what it rests on --------------------------------------------------------------------------

    def claims(self, part: str, at: int) -> tuple[Claim, ...]:
        """Return the claims that one had it or not, or that bound when it was brought in.

        Parameters
        ----------
        part
            ``had``, ``early`` or ``late``.
        at
            The place of the shape.
        """
        each = self.had[at]
        return each.claims if part == "had" else self.order.claims(each.shape, late=part == "late")

    @cached_property
    def orders(self) -> tuple[Places, ...]:
        """The places of the shapes by their first days, and by their last.

        Those that had it come first, then those that had it not: so what judgements rest on mostly
        follows one another.
        """
        known = 2 * self.speaking + self.lacking
        return tuple(np.lexsort((by, -known)) for by in (self.earliest, self.latest))

    def claims_in(self, span: Span) -> Iterator[Claim]:
        """Yield the claims of a part about the shapes of a span."""
        for at in self.orders[span.order][span.begin : span.end].tolist():
            yield from self.claims(span.part, at)

    @cached_property
    def named(self) -> "dict[str, tuple[Places, NDArray[np.intp]]]":
        """For each part, places in `all_iris`, and beside each the place of the shape."""
        at_iri = {iri: at for at, iri in enumerate(self.all_iris.tolist())}
        return {
            part: (
                np.array([at_iri[iri] for _, iri in told], dtype=np.intp),
                np.array([at for at, _ in told], dtype=np.intp),
            )
            for part, told in self._told.items()
        }

    @cached_property
    def _told(self) -> dict[str, list[tuple[int, str]]]:
        return {
            part: [(at, str(c.iri)) for at in range(len(self.had)) for c in self.claims(part, at)]
            for part in PARTS
        }

    @cached_property
    def all_iris(self) -> NDArray[np.object_]:
        """The IRIs of all claims about them, sorted."""
        return np.array(sorted({iri for told in self._told.values() for _, iri in told}), object)

    @cached_property
    def _places(self) -> dict[str, dict[str, list[int]]]:
        found: dict[str, dict[str, list[int]]] = {part: {} for part in PARTS}
        for part, told in self._told.items():
            for at, iri in told:
                found[part].setdefault(iri, []).append(at)
        return found

    def resting(self, part: str, iri: str) -> list[int]:
        """Return the places of the shapes of which a part rests on a claim."""
        return self._places[part].get(iri, [])


PARTS = ("had", "early", "late")
"""What is on record of a shape here: whether it had the article, and when it was brought in."""


@dataclass(frozen=True, eq=False)
class Resting:
    """What a judgement rests on, found when it is asked for: of hundreds of shapes it is much.

    Attributes
    ----------
    among
        The shapes.
    parts
        Of which shapes each part counts; see `PARTS`.
    more
        The claims beside these.
    """

    among: Among
    parts: dict[str, Mask]
    more: tuple[Claim, ...]

    @property
    def claims(self) -> tuple[Claim, ...]:
        """The claims, in order."""
        found = [
            claim
            for part, mask in self.parts.items()
            for at in np.flatnonzero(mask).tolist()
            for claim in self.among.claims(part, at)
        ]
        return in_order((*found, *self.more))

    def spans(self) -> Iterator[Span]:
        """Yield what it rests on beside single claims, in as few spans as either order gives."""
        for part, mask in self.parts.items():
            ends = [_ends(mask[order]) for order in self.among.orders]
            order = min(range(len(ends)), key=lambda at: len(ends[at]))
            for begin, end in ends[order]:
                yield Span(part, order, begin, end)

    @cached_property
    def iris(self) -> tuple[str, ...]:
        """The IRIs of the claims, sorted."""
        among = self.among
        found = np.zeros(len(among.all_iris), dtype=np.bool_)
        for part, mask in self.parts.items():
            iris, shapes = among.named[part]
            found[iris[mask[shapes]]] = True
        told: list[str] = among.all_iris[found].tolist()
        more = {str(claim.iri) for claim in self.more}.difference(told)
        return tuple(sorted((*told, *more))) if more else tuple(told)

    def rests(self, iri: str) -> bool:
        """Say whether it rests on a claim."""
        return any(
            bool(mask[at]) for part, mask in self.parts.items()
            for at in self.among.resting(part, iri)
        ) or any(str(claim.iri) == iri for claim in self.more)  # fmt: skip


def _ends(mask: Mask) -> list[tuple[int, int]]:
    """Return where each unbroken run of places begins, and where it ends."""
    edges = np.flatnonzero(np.diff(mask.astype(np.int8), prepend=0, append=0)).tolist()
    return list(zip(edges[::2], edges[1::2], strict=True))


def _from(each: Had) -> list[float]:
    return [-np.inf if one.earliest is None else one.earliest for one in each.lists]


def _by(each: Had) -> list[float]:
    return [np.inf if one.latest is None else one.latest for one in each.lists]
