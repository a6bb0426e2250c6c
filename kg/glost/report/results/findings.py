"""What a check found, thing by thing."""

from collections.abc import Callable, Mapping, Sequence

from rdflib import URIRef

from glost.answer.remarks import Remark, noted
from glost.findings import Finding, Severity
from glost.report.results.common import FOUND, cited, finding
from glost.report.tree import Column, Group, Report, Row, Rule, Section, Statement, Table
from glost.words.english import count

RANK = (Severity.CONTRADICTION, Severity.WARNING, Severity.NOTE)
"""How much findings matter, the most first."""

_COUNTED = Rule("Counted by the check")
_NAMES = ("severity", "kind", "about", "message", "passages", "remedy")


def told(
    found: Sequence[Finding],
    called: Callable[[URIRef], str],
    title: str,
    summed: str = "",
    remarks: Sequence[Remark] = (),
) -> Report:
    """Tell findings, those about one thing together, and in a table for programs.

    Parameters
    ----------
    found
        The findings.
    called
        Says what a thing is called, by IRI.
    title
        What stands above them.
    summed
        How many there are, and of what; empty to leave it out.
    remarks
        What was noted of claims; each is told with the findings that those claims stand in.
    """
    groups: dict[str, list[Finding]] = {}
    for each in found:
        groups.setdefault(next(iter(each.about), "").partition("#")[0], []).append(each)
    parts = [
        Group(
            tuple(finding(each, noted(remarks, each.claims)) for each in some),
            (called(URIRef(iri)) if iri else "The collection",),
        )
        for iri, some in groups.items()
    ]
    table = Table(tuple(Column(name, "", aside=True) for name in _NAMES), tuple(map(_row, found)))
    counted = (Group((Statement((summed,), (_COUNTED,)),)),) if summed else ()
    section = Section("findings", "Findings", (*parts, table, *counted))
    return Report("", title, sections=(section,))


def _row(each: Finding) -> Row:
    cells = (
        str(each.severity), each.kind, " ".join(each.about), each.message,
        " | ".join(each.passages), each.remedy,
    )  # fmt: skip
    grounds = tuple(cited(side) for side in each.sides if side.source)
    return Row(cells, grounds or (FOUND,))


def counted(counts: Mapping[Severity, int]) -> str:
    """Say how many findings there are of each severity."""
    return ", ".join(count(counts.get(each, 0), str(each)) for each in RANK)
