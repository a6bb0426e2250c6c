"""Everything found wrong with a record, gathered and sorted."""

from collections.abc import Callable, Iterable, Iterator
from datetime import date

from rdflib import Graph
from rdflib.graph import ReadOnlyGraphAggregate
from rdflib.namespace import RDF

from glost.answer.checks import checks
from glost.answer.shacl import Violation, involved
from glost.answer.snapshot import Snapshot
from glost.findings import Finding, in_order
from glost.names import GLOST
from glost.record.belief import Belief
from glost.record.claims import Claim, Triple
from glost.record.provenance import record_graph
from glost.record.record import Record
from glost.words.labels import Words, label, remembered
from glost.words.sentences import sides

_ENOUGH = 5
"""So many claims about a thing are told where something is missing."""


def find(
    snapshot: Snapshot, breaches: Callable[[], Iterable[Violation]], data: Graph
) -> tuple[Finding, ...]:
    """Find everything wrong.

    Parameters
    ----------
    snapshot
        The collection; its day counts.
    breaches
        Gives the breaches of the SHACL constraints; see `glost.answer.shacl.begin`.
    data
        What is believed on the day, with the record's graph; see `validated`.

    Returns
    -------
    tuple of Finding
        What reading brought to light, breaches of SHACL constraints, and all that is looked for in
        `glost.answer.checks`; contradictions first, then warnings, then notes, each by check, thing
        and message.
    """
    belief, record = snapshot.belief, snapshot.record
    found = list(record.findings)
    with remembered(belief.worded):
        for check in checks().values():
            found += check.find(snapshot, belief)
        found += constraint_findings(breaches(), data, belief, belief.worded, record)
    return in_order(found)


def disputes(snapshot: Snapshot) -> Iterator[Finding]:
    """Find where claims about things cannot all be right, or differ."""
    for check in checks().values():
        if check.disputes:
            yield from check.find(snapshot, snapshot.belief)


def validated(record: Record, as_of: date | None = None) -> Graph:
    """Return what the SHACL constraints speak of: what is believed, with the record's graph."""
    return ReadOnlyGraphAggregate([record.believed(as_of).graph, record_graph(record, as_of)])


def constraint_findings(
    breaches: Iterable[Violation],
    data: Graph,
    belief: Belief,
    graph: Graph | Words,
    record: Record,
) -> Iterator[Finding]:
    """Tell each breach of a SHACL constraint with the claims behind it.

    Parameters
    ----------
    breaches
        The breaches.
    data
        What is believed, with the record's graph.
    belief
        What is believed.
    graph
        What is believed, with the vocabulary, for wording.
    record
        The record, to find claims that are themselves at fault.
    """
    for violation in breaches:
        statements = involved(violation, data)
        claims = _claims(violation, statements, data, belief, record)
        yield Finding(
            kind=violation.constraint,
            severity=violation.severity,
            about=(str(violation.focus),),
            message=f"{label(violation.focus, graph)}: {violation.message}",
            sides=sides(claims, graph, statements),
            remedy=violation.remedy,
        )


def _claims(
    violation: Violation,
    statements: tuple[Triple, ...],
    data: Graph,
    belief: Belief,
    record: Record,
) -> list[Claim]:
    """Find the claims that make the statements, or of which the record's graph makes them.

    What is missing nobody claims: then a few claims about the thing show where it could be said.
    """
    terms = [violation.focus, *(term for s, _, o in statements for term in (s, o))]
    named = [term for term in terms if (term, RDF.type, GLOST.Claim) in data]
    claims = [claim for term in named if (claim := record.claims.at(str(term))) is not None]
    claims += [claim for statement in statements for claim in belief.rests_on(statement)]
    return claims or list(belief.about(str(violation.focus)))[:_ENOUGH]
