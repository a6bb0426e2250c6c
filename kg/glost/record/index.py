"""Statements by subject, by value and by claim: the one index of a set of claims."""

from bisect import bisect_left, insort
from collections.abc import Iterable, Iterator
from functools import cached_property
from typing import TypeAlias

from rdflib import Graph, URIRef
from rdflib.term import Node

from glost.names import bind
from glost.record.claims import Claim, Triple
from glost.record.later import LaterStore, filled, filling

_AT_ONCE = 400
"""So many claims are gone through at one go."""
_SORTED = 20_000
"""So many statements are sorted at one go."""


_Sorted: TypeAlias = dict[str, dict[Triple, None]]
"""Statements by the IRI of a thing."""


class ClaimIndex:
    """What some claims state, and which of them state it.

    Parameters
    ----------
    claims
        The claims, in the order of their IRIs; each is gone through once, when anything is first
        looked up.
    """

    def __init__(self, claims: Iterable[Claim]) -> None:
        self._claims = claims
        self._gone_through: dict[Triple, list[Claim]] = {}
        self._steps = self._going_through()
        self._begun: dict[int, tuple[_Sorted, Iterator[None]]] = {}
        for place in (0, 2):
            sorted_: _Sorted = {}
            self._begun[place] = sorted_, self._sorting(place, sorted_)

    def _going_through(self) -> Iterator[None]:
        found = self._gone_through
        known = found.get
        for at, claim in enumerate(self._claims, 1):
            for statement in claim.statements:
                making = known(statement)
                if making is None:
                    found[statement] = [claim]
                else:
                    making.append(claim)
            if at % _AT_ONCE == 0:
                yield

    @cached_property
    def _making(self) -> dict[Triple, list[Claim]]:
        for _ in self._steps:
            pass  # what was gone through part by part is gone on with
        return self._gone_through

    def readying(self) -> Iterator[None]:
        """Make what is looked up and what a change needs, a part at each step."""
        yield from self._steps
        yield from filling(self.graph)
        for _, steps in self._begun.values():
            yield from steps

    @cached_property
    def graph(self) -> Graph:
        """The union of the statements. Shared: treat it as read-only."""
        return bind(Graph(store=LaterStore(lambda: self._making)))

    @cached_property
    def _of(self) -> _Sorted:
        """The statements by the thing they are about."""
        return self._sorted(0)

    @cached_property
    def _to(self) -> _Sorted:
        """The statements by the thing they name."""
        return self._sorted(2)

    def _sorted(self, place: int) -> _Sorted:
        found, steps = self._begun[place]
        for _ in steps:
            pass
        return found

    def _sorting(self, place: int, found: _Sorted) -> Iterator[None]:
        for at, statement in enumerate(self._making, 1):
            if place == 0 or isinstance(statement[place], URIRef):
                found.setdefault(whole(statement[place]), {})[statement] = None
            if at % _SORTED == 0:
                yield

    def rests_on(self, statement: Triple) -> tuple[Claim, ...]:
        """Return the claims that make this very statement."""
        return tuple(self._making.get(statement, ()))

    def things(self) -> Iterable[str]:
        """Return everything of which, or of a part of whose life, something is stated."""
        return self._of.keys()

    def of(self, thing: str) -> Iterable[Triple]:
        """Return the statements about a thing and the parts of its life."""
        return self._of.get(str(thing), {}).keys()

    def to(self, thing: str) -> Iterable[Triple]:
        """Return the statements whose value is a thing or a part of its life."""
        return self._to.get(str(thing), {}).keys()

    def making(self, statements: Iterable[Triple]) -> tuple[Claim, ...]:
        """Return the claims that make any of some statements, by IRI."""
        found = {claim.iri: claim for each in statements for claim in self._making[each]}
        return tuple(found[iri] for iri in sorted(found))

    def change(self, came: Iterable[Claim], went: Iterable[Claim]) -> None:
        """Put some claims in and take others out, in time that grows with their number alone."""
        _ = self._of, self._to  # patched from here on
        filled(self.graph)
        touched: dict[Triple, None] = {}
        for claim in went:
            for statement in dict.fromkeys(claim.statements):
                making = self._making[statement]
                del making[bisect_left(making, claim.iri, key=_iri)]
                touched[statement] = None
        for claim in came:
            for statement in dict.fromkeys(claim.statements):
                insort(self._making.setdefault(statement, []), claim, key=_iri)
                touched[statement] = None
        for statement in touched:
            if self._making[statement]:
                self._add(statement)
                self.graph.add(statement)
            else:
                del self._making[statement]
                self._take(statement)
                self.graph.remove(statement)

    def _add(self, statement: Triple) -> None:
        for index, key in self._keys(statement):
            index.setdefault(key, {})[statement] = None

    def _take(self, statement: Triple) -> None:
        for index, key in self._keys(statement):
            del index[key][statement]
            if not index[key]:
                del index[key]

    def _keys(self, statement: Triple) -> Iterable[tuple[dict[str, dict[Triple, None]], str]]:
        """Return what a statement is kept in, and under what: its thing, and what it names."""
        subject, _, value = statement
        yield self._of, whole(subject)
        if isinstance(value, URIRef):
            yield self._to, whole(value)


def whole(term: Node) -> str:
    """Return the thing a term is or belongs to: its IRI without the fragment."""
    return str(term).partition("#")[0]


def _iri(claim: Claim) -> URIRef:
    return claim.iri
