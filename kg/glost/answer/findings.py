"""Everything found wrong with a record, gathered and sorted."""

from collections.abc import Callable, Iterable, Iterator
from datetime import date

from rdflib import Graph
from rdflib.graph import ReadOnlyGraphAggregate
from rdflib.namespace import RDF

from glost.answer.clashes import clash_findings
from glost.answer.errata import column_findings, errata_findings
from glost.answer.pictured import image_findings
from glost.answer.shacl import Violation, involved
from glost.answer.times import conflict_findings
from glost.answer.values import differing, unreadable
from glost.findings import Finding, Severity
from glost.names import GLOST
from glost.reason.closure import Closure
from glost.record.belief import Belief
from glost.record.claims import Claim, Triple
from glost.record.errata import overtaken, unknown_columns
from glost.record.provenance import record_graph
from glost.record.record import Record
from glost.record.wording import Words, label, sides
from glost.trade.assortments.findings import assortment_findings, stated_findings
from glost.trade.assortments.holding import Holding
from glost.trade.codes.findings import code_findings
from glost.trade.kilns.findings import kiln_findings
from glost.trade.lineage import lineage, lineage_findings
from glost.trade.times import Chronology

_ENOUGH = 5
"""So many claims about a thing are told where something is missing."""

_RANK = {Severity.CONTRADICTION: 0, Severity.WARNING: 1, Severity.NOTE: 2}


def find(
    record: Record,
    *,
    closure: Closure,
    times: Chronology,
    holding: Holding,
    breaches: Callable[[], Iterable[Violation]],
    data: Graph,
    as_of: date | None = None,
) -> tuple[Finding, ...]:
    """Find everything wrong.

    Parameters
    ----------
    record
        The record.
    closure
        What follows from what is believed on the day.
    times
        The chronology of what is believed on the day.
    holding
        What sources state about lists, held against everything else.
    breaches
        Gives the breaches of the SHACL constraints; see `glost.answer.shacl.begin`.
    data
        What is believed on the day, with the record's graph; see `validated`.
    as_of
        The last day taken into account, inclusive; None for all there is.

    Returns
    -------
    tuple of Finding
        Rows said twice, breaches of SHACL constraints, clashes of OWL 2 RL, values that differ,
        lengths not understood, kiln zones that do not add up, rings of descent and copies older
        than their model, numbers and date codes that do not fit their schemes or what bears them,
        dates that cannot all hold, and what was said in public and is still to be put right;
        contradictions first, then warnings, then notes, each by check, thing and message.
    """
    belief = record.believed(as_of)
    graph = belief.worded
    found = [
        *record.findings,
        *clash_findings(closure, belief, graph),
        *differing(belief, graph, record.collection.margin),
        *unreadable(belief, graph),
        *kiln_findings(belief, graph),
        *lineage_findings(lineage(belief), record.collection.margin),
        *assortment_findings(belief, graph),
        *stated_findings(holding, graph),
        *code_findings(belief, graph, record.collection.margin),
        *conflict_findings(times, graph),
        *image_findings(belief, record.collection.path, record.base, graph),
        *errata_findings(overtaken(record, belief), graph),
        *column_findings(unknown_columns(record, belief), graph),
        *constraint_findings(breaches(), data, belief, Words(graph), record),
    ]
    return in_order(found)


def in_order(found: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return findings each once: contradictions first, then by check, thing and message."""
    return tuple(sorted(set(found), key=_order))


def _order(finding: Finding) -> tuple[int, str, tuple[str, ...], str, tuple[str, ...]]:
    rank = _RANK[finding.severity]
    return rank, finding.kind, finding.about, finding.message, finding.claims


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
