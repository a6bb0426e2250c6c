"""What was said of a thing and has been withdrawn, with the reason and the evidence."""

from collections.abc import Iterator

from rdflib import URIRef

from glost.record.claims import Claim, Triple
from glost.record.index import whole
from glost.report.things.basis import ThingBasis
from glost.report.things.said import Said
from glost.report.tree import Group, Section, Statement
from glost.words.sentences import withdrawal


def withdrawn(basis: ThingBasis, said: Said, thing: URIRef) -> Iterator[Section]:
    """Tell what was withdrawn of claims about a thing, part by part."""
    told = tuple(_told(said, *each) for each in _found(basis, str(thing)))
    if told:
        yield Section("withdrawn", "Withdrawn", (Group(told),))


def _found(basis: ThingBasis, thing: str) -> Iterator[tuple[Claim, Claim, tuple[Triple, ...]]]:
    """Yield the claim, the correction, and the statements it took, for each part withdrawn."""
    belief = basis.belief
    for claim in basis.about(thing):
        for part in belief.parts.get(claim.iri, ()):
            if any(whole(subject) == thing for subject, _, _ in part.statements):
                yield claim, part.correction, part.statements
        if claim.iri in belief.withdrawn:
            yield claim, belief.withdrawn[claim.iri], belief.kept(claim)


def _told(said: Said, claim: Claim, correction: Claim, statements: tuple[Triple, ...]) -> Statement:
    sentence = (*said.says(statements), f". {withdrawal(correction)}")
    return Statement(sentence, said.grounds([claim, correction]), "withdrawn")
