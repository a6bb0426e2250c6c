"""Matches: what things are in thesauri and files of names that others keep.

A match is a claim, and a link of a kind of its own: it stands in one of the mapping relations of
SKOS, or denies one. Nothing is made one by it.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from rdflib import URIRef
from rdflib.namespace import SKOS

from glost.names import GLOST, SCHEMES
from glost.record.belief import Belief, iris
from glost.record.claims import Claim, Triple


class MatchRelation(StrEnum):
    """How a thing stands to what an authority lists."""

    EXACT = "exact"
    CLOSE = "close"
    BROAD = "broad"
    NARROW = "narrow"
    RELATED = "related"
    NO_MATCH = "no-match"

    @property
    def iri(self) -> URIRef:
        """Its concept."""
        return URIRef(f"{SCHEMES}match-relation/{self}")

    @property
    def predicate(self) -> URIRef:
        """The mapping relation of SKOS that holds or, of no match, is denied."""
        return SKOS[f"{MatchRelation.EXACT if self is MatchRelation.NO_MATCH else self}Match"]

    @property
    def denied(self) -> bool:
        """Whether it says that the one is not the other."""
        return self is MatchRelation.NO_MATCH


@dataclass(frozen=True, slots=True)
class AuthorityMatch:
    """What claims say of a thing and what an authority lists.

    Attributes
    ----------
    iri
        The match.
    thing
        The thing of the record.
    relation
        How it stands to the other.
    listed
        What the authority lists, by its identifier there.
    claims
        The claims that say so.
    """

    iri: URIRef
    thing: URIRef
    relation: MatchRelation
    listed: URIRef
    claims: tuple[Claim, ...]

    @property
    def mapping(self) -> Triple:
        """The two in the mapping relation of SKOS."""
        return self.thing, self.relation.predicate, self.listed

    @property
    def statements(self) -> tuple[Triple, ...]:
        """What is stated: the two and the relation."""
        return (
            (self.iri, GLOST.linkedThing, self.thing),
            (self.iri, GLOST.matchRelation, self.relation.iri),
            (self.iri, GLOST.linkedTo, self.listed),
        )


def matches_in(belief: Belief) -> tuple[AuthorityMatch, ...]:
    """Return the matches that are believed, by thing, identifier and relation.

    Parameters
    ----------
    belief
        What is believed. A match that lacks an end, or that stands in two relations at once (one
        at most can hold: SKOS Reference, S46), is a breach of constraints and no match here.
    """
    found = _matches(belief)
    return tuple(sorted(found, key=lambda each: (each.thing, each.listed, each.relation)))


def _matches(belief: Belief) -> Iterator[AuthorityMatch]:
    relations = {relation.iri: relation for relation in MatchRelation}
    for iri in belief.things(GLOST.Match):
        ends = [iris(belief.values(iri, each)) for each in (GLOST.linkedThing, GLOST.linkedTo)]
        said = belief.said(iri, GLOST.matchRelation)
        if any(len(each) != 1 for each in (*ends, said)):
            continue
        relation = relations.get(URIRef(str(said[0][0])))
        if relation is not None:
            yield AuthorityMatch(iri, ends[0][0], relation, ends[1][0], said[0][1])


def mappings(belief: Belief) -> dict[Triple, tuple[Triple, ...]]:
    """Return each thing in a mapping relation of SKOS, with the statements it follows from."""
    return {
        each.mapping: each.statements for each in matches_in(belief) if not each.relation.denied
    }
