"""What follows about a thing from what sources say, each with its proof."""

from collections import defaultdict
from collections.abc import Iterator
from functools import cache
from typing import TYPE_CHECKING

from rdflib import URIRef
from rdflib.namespace import OWL, RDF
from rdflib.term import BNode

from glost.data import vocabulary
from glost.names import GLOST
from glost.record.claims import Triple
from glost.report.things.basis import ThingBasis, Whole
from glost.report.things.related import heading_of
from glost.report.things.said import Said, capital
from glost.report.tree import Ground, Group, Proof, Rule, Section, Statement

if TYPE_CHECKING:
    from glost.reason.closure import ProofTree as Reasoned

_W3C = "https://www.w3.org/TR/2012/REC-owl2-profiles-20121211/#"
"""Where the rules of OWL 2 RL are given; a rule's name is the table's row."""
_LEAD = "No source says this in so many words; it follows from what sources say."
_MANY = 8
"""More like statements than this are folded."""
_KEPT = Rule("Follows from the claims about it by the rules of OWL 2 RL")


def inferred(
    basis: ThingBasis, said: Said, thing: URIRef, *, of_others: bool = True
) -> Iterator[Section]:
    """Tell what follows; what nobody would say is left out.

    Parameters
    ----------
    basis, said, thing
        The collection, what words it, and the thing.
    of_others
        Whether to tell what follows of other things about this one, which stands on theirs.

    Yields
    ------
    Section
        One at most. Left out is of what kind a thing is, its relation to itself, what only turns a
        claim round, and whatever names a class that has no name.
    """
    told: dict[str, list[Statement]] = defaultdict(list)
    for triple, grounds in _found(basis, said, str(thing), of_others):
        about = str(triple[0]) == str(thing)
        name = capital(said.name(triple[1]))
        statement = Statement(
            (said.value(triple[2] if about else triple[0]),),
            grounds,
        )
        heading = name if about else heading_of(triple, f"{name}: this")
        told[heading].append(statement)
    groups = tuple(
        Group(tuple(some), (heading,), folded=len(some) > _MANY)
        for heading, some in sorted(told.items())
    )
    if groups:
        yield Section("follows", "Inferred", groups, _LEAD)


def _found(
    basis: ThingBasis, said: Said, thing: str, of_others: bool
) -> Iterator[tuple[Triple, tuple[Ground, ...]]]:
    """Yield what follows with its proof, each thing once, from the thing if that can be said."""
    triples = [triple for triple in basis.following(thing) if _sayable(triple)]
    there = set(triples)
    for triple in triples:
        subject, predicate, value = triple
        if not of_others and str(subject) != thing:
            continue
        turned = {(value, other, subject) for other in _inverses(URIRef(str(predicate)))}
        if any(each in basis.belief.graph for each in turned):
            continue
        if str(subject) != thing and turned & there:
            continue
        yield triple, _grounds(basis, said, triple)


@cache
def _inverses(property_: URIRef) -> frozenset[URIRef]:
    """Return the properties that say the same as another the other way about."""
    words = vocabulary()
    found = {*words.objects(property_, OWL.inverseOf), *words.subjects(OWL.inverseOf, property_)}
    if (property_, RDF.type, OWL.SymmetricProperty) in words:
        found.add(property_)
    return frozenset(each for each in found if isinstance(each, URIRef))


def _grounds(basis: ThingBasis, said: Said, triple: Triple) -> tuple[Ground, ...]:
    if not isinstance(basis, Whole):
        return (_KEPT,)
    proof = basis.why(triple)
    steps = tuple(_step(said, premise) for premise in proof.premises)
    return (*((Proof(steps),) if steps else ()), rule(proof.rule))


def _sayable(triple: Triple) -> bool:
    subject, predicate, value = triple
    return (
        predicate not in (RDF.type, GLOST.offers)  # what a list offers stands in a table
        and str(predicate).startswith(GLOST)
        and "#" not in str(subject)
        and subject != value
        and not isinstance(value, BNode)
    )


def _step(said: Said, proof: "Reasoned") -> Statement:
    sentence = said.sentence(proof.conclusion)
    if not proof.premises:
        return Statement(sentence, said.stated(proof.conclusion))
    parts = tuple(_step(said, premise) for premise in proof.premises)
    return Statement(sentence, (rule(proof.rule),), parts=parts)


def rule(name: str) -> Rule:
    """Return a rule of OWL 2 RL as what something rests on."""
    return Rule(f"Inferred by rule {name} of OWL 2 RL", "", _W3C + name)
