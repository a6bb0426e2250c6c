"""Statements by subject, by property, by value and by claim: the one index of a set of claims."""

from bisect import bisect_left, insort
from collections import defaultdict
from collections.abc import Iterable

from rdflib import Graph, URIRef
from rdflib.term import Node

from glost.names import bind
from glost.record.claims import Claim, Triple


class StatementIndex:
    """What some claims state, and which of them state it.

    Parameters
    ----------
    claims
        The claims, in the order of their IRIs; each is gone through once.

    Attributes
    ----------
    graph
        The union of their statements. Shared: treat it as read-only.
    """

    def __init__(self, claims: Iterable[Claim]) -> None:
        self._making: dict[Triple, list[Claim]] = {}
        for claim in claims:
            for statement in claim.statements:
                self._making.setdefault(statement, []).append(claim)
        self.graph = bind(Graph(store="SimpleMemory"))
        self._parts: dict[str, set[Node]] = defaultdict(set)
        for statement in self._making:
            self._add(statement)

    def rests_on(self, statement: Triple) -> tuple[Claim, ...]:
        """Return the claims that make this very statement."""
        return tuple(self._making.get(statement, ()))

    def things(self) -> Iterable[str]:
        """Return everything that statements are about, the parts of its life with it."""
        return self._parts.keys()

    def of(self, thing: str) -> list[Triple]:
        """Return the statements about a thing and the parts of its life."""
        parts = self._parts.get(thing, ())
        return [triple for part in parts for triple in self.graph.triples((part, None, None))]

    def about(self, thing: str) -> tuple[Claim, ...]:
        """Return the claims with a statement about a thing or a part of its life, by IRI."""
        return self._claims(self.of(thing))

    def mentions(self, thing: Node) -> tuple[Claim, ...]:
        """Return the claims with a statement whose value is the thing, by IRI."""
        return self._claims(self.graph.triples((None, None, thing)))

    def _claims(self, statements: Iterable[Triple]) -> tuple[Claim, ...]:
        found = {claim.iri: claim for each in statements for claim in self._making[each]}
        return tuple(found[iri] for iri in sorted(found))

    def change(self, came: Iterable[Claim], went: Iterable[Claim]) -> None:
        """Put some claims in and take others out, in time that grows with their number alone."""
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
            else:
                self._take(statement)

    def _add(self, statement: Triple) -> None:
        self.graph.add(statement)
        self._parts[_whole(statement[0])].add(statement[0])

    def _take(self, statement: Triple) -> None:
        del self._making[statement]
        self.graph.remove(statement)
        subject = statement[0]
        if (subject, None, None) not in self.graph:
            thing = _whole(subject)
            self._parts[thing].discard(subject)
            if not self._parts[thing]:
                del self._parts[thing]


def _whole(term: Node) -> str:
    """Return the thing a term is or belongs to: its IRI without the fragment."""
    return str(term).partition("#")[0]


def _iri(claim: Claim) -> URIRef:
    return claim.iri
