"""What is in dispute about a thing, what was withdrawn, and what follows."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from rdflib import Graph, URIRef
from rdflib.namespace import RDF

from glost.answer.sheets.known import own
from glost.answer.sheets.model import Group, Note, Statement
from glost.answer.sheets.notes import notes_of
from glost.findings import Finding
from glost.names import GLOST
from glost.reason.closure import Closure
from glost.record.belief import Belief
from glost.record.claims import Claim, Triple
from glost.record.record import Record
from glost.words.labels import called, label
from glost.words.sentences import says, withdrawal

_TURNED_ROUND = {"prp-inv1", "prp-inv2", "prp-symp"}
"""Rules that only say a claim the other way about."""


@dataclass(frozen=True, slots=True)
class Withdrawn:
    """What a correction withdrew of a claim, or the whole of it."""

    claim: Claim
    correction: Claim
    statements: tuple[Triple, ...]


def disputed_statements(
    belief: Belief, graph: Graph, found: Iterable[Finding], thing: URIRef
) -> frozenset[Triple]:
    """Return the statements of a thing that stand on a side of a dispute."""
    sides = {(side.claim, side.says) for finding in found for side in finding.sides}
    return frozenset(
        triple
        for triple in own(belief, thing)
        for claim in belief.rests_on(triple)
        if (str(claim.iri), says([triple], graph)) in sides
    )


def disputed_groups(belief: Belief, graph: Graph, found: Iterable[Finding]) -> Iterator[Group]:
    """Yield each dispute with every side of it."""
    claims = {str(claim.iri): claim for claim in belief.claims}
    told = tuple(_dispute(finding, claims, graph) for finding in found if finding.claims)
    if told:
        yield Group("", told)


def _dispute(finding: Finding, claims: dict[str, Claim], graph: Graph) -> Statement:
    sides: dict[str, list[Claim]] = defaultdict(list)
    for side in finding.sides:
        sides[side.says].append(claims[side.claim])
    parts = [Statement(f"{text}.", notes_of(some, graph)) for text, some in sides.items()]
    every = [claim for some in sides.values() for claim in some]
    return Statement(finding.message, notes_of(every, graph), parts)


def withdrawn(record: Record, belief: Belief) -> dict[str, list[Withdrawn]]:
    """Return what was withdrawn, claim by claim, by the things it is about."""
    found: dict[str, list[Withdrawn]] = defaultdict(list)
    gone = {*belief.withdrawn, *belief.parts}
    for claim in record.claims.only(gone):
        told = [
            Withdrawn(claim, p.correction, p.statements) for p in belief.parts.get(claim.iri, ())
        ]
        if claim.iri in belief.withdrawn:
            told.append(Withdrawn(claim, belief.withdrawn[claim.iri], belief.kept(claim)))
        for each in told:
            for thing in sorted({str(s).partition("#")[0] for s, _, _ in each.statements}):
                found[thing].append(each)
    return found


def withdrawn_groups(graph: Graph, found: Iterable[Withdrawn]) -> Iterator[Group]:
    """Yield what was said of a thing and has been withdrawn, and on what evidence."""
    told = []
    for each in found:
        text = f"{says(each.statements, graph)}. {withdrawal(each.correction)}"
        told.append(Statement(text, notes_of([each.claim, each.correction], graph)))
    if told:
        yield Group("", tuple(told))


def inferred_about(closure: Closure) -> dict[str, list[Triple]]:
    """Return what follows, by the things it is about, types and frames left out."""
    found: dict[str, list[Triple]] = defaultdict(list)
    for triple in closure.inferred.sorted():
        subject, predicate, value = triple
        if predicate != RDF.type and str(predicate).startswith(GLOST) and subject != value:
            for thing in (subject, value):
                found[str(thing)].append(triple)
    return found


def inferred_groups(
    belief: Belief, graph: Graph, closure: Closure, thing: URIRef, triples: Iterable[Triple]
) -> Iterator[Group]:
    """Yield what follows about a thing, with the claims at the leaves of each proof."""
    found: dict[tuple[str, bool], list[Statement]] = defaultdict(list)
    for triple in triples:
        subject, predicate, value = triple
        proof = closure.why(triple)
        if proof.rule in _TURNED_ROUND and proof.size == 2:
            continue
        claims = [claim for leaf in proof.facts for claim in belief.rests_on(leaf)]
        how = Note(f"Inferred by rule {proof.rule} of OWL 2 RL", "reckoned")
        about = subject == thing
        text = called(value if about else subject, graph)
        statement = Statement(text, [*notes_of(claims, graph), how])
        found[str(predicate), about].append(statement)
    for (verb, about), told in sorted(found.items(), key=lambda item: item[0]):
        name = label(URIRef(verb), graph)
        heading = name[:1].upper() + name[1:] if about else f"What {name} it"
        yield Group(heading, tuple(told), short=True)
