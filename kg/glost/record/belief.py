"""What is believed on a day: the claims recorded by then and not withdrawn by then."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from rdflib import Graph, URIRef
from rdflib.graph import ReadOnlyGraphAggregate
from rdflib.term import Node

from glost.data import vocabulary
from glost.names import GLOST, bind
from glost.record.claims import Claim, Triple
from glost.record.sequence import ClaimSequence


@dataclass(frozen=True)
class Belief:
    """The claims that hold on a day, and what they say together.

    Attributes
    ----------
    claims
        The claims nobody has withdrawn, by IRI.
    withdrawn
        Each withdrawn claim's IRI, with the correction that withdraws it.
    replaced
        Each replacing claim's IRI, with the IRIs of the claims it replaces.
    as_of
        The last day taken into account, inclusive; None for all there is.
    """

    claims: ClaimSequence
    withdrawn: Mapping[URIRef, Claim]
    replaced: Mapping[URIRef, tuple[URIRef, ...]]
    as_of: date | None

    def statements(self) -> Iterator[Triple]:
        """Yield what the claims say, claim by claim; what two claims say comes twice."""
        for claim in self.claims:
            yield from claim.statements

    @cached_property
    def graph(self) -> Graph:
        """The union of the claims' statements. Shared: treat it as read-only."""
        graph = bind(Graph(store="SimpleMemory"))
        for statement in self.statements():
            graph.add(statement)
        return graph

    @cached_property
    def worded(self) -> Graph:
        """The same with the vocabulary, which has the names of things. Shared: read-only."""
        return ReadOnlyGraphAggregate([self.graph, vocabulary()])

    @cached_property
    def _stated(self) -> dict[Triple, list[Claim]]:
        stated: dict[Triple, list[Claim]] = defaultdict(list)
        for claim in self.claims:
            for statement in claim.statements:
                stated[statement].append(claim)
        return dict(stated)

    @cached_property
    def _of(self) -> dict[str, list[Claim]]:
        of: dict[str, list[Claim]] = defaultdict(list)
        for claim in self.claims:
            for thing in sorted({str(s).partition("#")[0] for s, _, _ in claim.statements}):
                of[thing].append(claim)
        return dict(of)

    @cached_property
    def _naming(self) -> dict[Node, list[Claim]]:
        naming: dict[Node, list[Claim]] = defaultdict(list)
        for claim in self.claims:
            for value in sorted({o for _, _, o in claim.statements if isinstance(o, URIRef)}):
                naming[value].append(claim)
        return dict(naming)

    def rests_on(self, statement: Triple) -> tuple[Claim, ...]:
        """Return the claims that make this very statement."""
        return tuple(self._stated.get(statement, ()))

    def about(self, thing: str) -> tuple[Claim, ...]:
        """Return the claims with a statement whose subject is the thing or part of its life."""
        return tuple(self._of.get(str(thing).partition("#")[0], ()))

    def mentions(self, thing: URIRef) -> tuple[Claim, ...]:
        """Return the claims with a statement whose object is the thing."""
        return tuple(self._naming.get(thing, ()))


def believe(claims: Iterable[Claim], as_of: date | None = None) -> Belief:
    """Work out what is believed on a day.

    A correction withdraws a claim as long as it is not itself withdrawn; corrections of corrections
    are followed to the end.

    Parameters
    ----------
    claims
        All claims of the record. They must be free of rings of corrections
        (`glost.record.corrections.rings`).
    as_of
        The last day taken into account, inclusive. A claim that does not say when it was recorded
        is taken to have been there always. None takes everything.
    """
    day = as_of.isoformat() if as_of else ""
    there = ClaimSequence.given(claims)
    if day:
        there = there.until(day)
    corrections = corrections_among(there)
    against: dict[URIRef, list[Claim]] = defaultdict(list)
    for correction, (withdrawn, _) in corrections.items():
        for claim in withdrawn:
            against[claim].append(correction)
    for found in against.values():
        found.sort(key=lambda claim: (claim.recorded_on, claim.iri))
    fallen = _fallen(against)
    replaced: dict[URIRef, list[URIRef]] = defaultdict(list)
    for correction, (old, new) in corrections.items():
        if correction.iri not in fallen:
            for claim in new:
                replaced[claim].extend(old)
    return Belief(
        claims=there.without(fallen) if fallen else there,
        withdrawn={claim.iri: fallen[claim.iri] for claim in there.only(fallen)},
        replaced={claim: tuple(sorted(set(old))) for claim, old in sorted(replaced.items())},
        as_of=as_of,
    )


def corrections_among(
    claims: Iterable[Claim],
) -> dict[Claim, tuple[tuple[URIRef, ...], tuple[URIRef, ...]]]:
    """Find the corrections among claims: what each withdraws, and what each puts in its place."""
    found = {}
    for claim in ClaimSequence.given(claims).of_tables("corrections"):
        withdrawn, new = [], []
        for _, predicate, value in claim.statements:
            if isinstance(value, URIRef):
                if predicate == GLOST.withdraws:
                    withdrawn.append(value)
                elif predicate == GLOST.replacedBy:
                    new.append(value)
        if withdrawn:
            found[claim] = (tuple(withdrawn), tuple(new))
    return found


def rings(claims: Iterable[Claim]) -> list[tuple[Claim, ...]]:
    """Find corrections that withdraw one another in a ring; none of them could then hold."""
    corrections = {claim.iri: (claim, old) for claim, (old, _) in corrections_among(claims).items()}
    done: set[URIRef] = set()
    found = []
    for start in sorted(corrections):
        path: list[URIRef] = []
        at = start
        while at in corrections and at not in done and at not in path:
            path.append(at)
            at = next((old for old in corrections[at][1] if old in corrections), URIRef(""))
        if at in path:
            found.append(tuple(corrections[iri][0] for iri in path[path.index(at) :]))
        done.update(path)
    return found


def _fallen(against: Mapping[URIRef, list[Claim]]) -> dict[URIRef, Claim]:
    """Find the claims that a standing correction withdraws, with the first such correction."""
    known: dict[URIRef, Claim | None] = {}

    def standing(claim: URIRef) -> bool:
        if claim not in known:
            known[claim] = next((c for c in against.get(claim, ()) if standing(c.iri)), None)
        return known[claim] is None

    return {claim: by for claim in against if not standing(claim) and (by := known[claim])}
