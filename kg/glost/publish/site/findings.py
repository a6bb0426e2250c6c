"""Pages of what disagrees: a list by severity, and each finding with its sides."""

from collections.abc import Iterator

from rdflib import URIRef

from glost.answer.remarks import noted
from glost.findings import Finding, Severity
from glost.publish.site.entities import Entities
from glost.publish.site.paths import more
from glost.report.results.common import FOUND
from glost.report.tree import Column, Ground, Group, Ref, Report, Row, Section, Statement, Table
from glost.words.english import count

_LISTED = 200
_SIDES = 100
_COLUMNS = (
    Column("finding", "Finding"),
    Column("check", "Check"),
    Column("about", "About", "thing"),
)
_LEAD = (
    "Where sources disagree the disagreement is a result, not a fault to be hidden. Each finding "
    "shows every claim that takes part in it."
)
_CRUMB = (("Findings", "findings/index.html"),)


def finding_pages(entities: Entities) -> Iterator[tuple[str, bytes]]:
    """Make the list of findings and the page of each."""
    held = entities.holdings
    entities.said.about = ""
    named = list(zip(held.findings, held.finding_names, strict=True))
    parts = [named[at : at + _LISTED] for at in range(0, len(named), _LISTED)] or [[]]
    files = [more("findings/index.html", number) for number in range(1, len(parts) + 1)]
    counts = ((each, sum(f.severity == each for f in held.findings)) for each in Severity)
    many = "; ".join(count(n, str(each)) for each, n in counts) + "."
    lead = (Statement((_LEAD,), (FOUND,)), Statement((many,), (FOUND,)))
    for number, (file, part) in enumerate(zip(files, parts, strict=True), 1):
        rows = tuple(_row(entities, finding, name) for finding, name in part)
        nothing = Group((Statement(("Nothing disagrees.",), (FOUND,)),))
        table = Table(_COLUMNS, rows, narrow=("check",)) if rows else nothing
        heading = "Findings" if number == 1 else f"Findings, page {number} of {len(files)}"
        report = Report("", heading, lead, (Section("findings", "What disagrees", (table,)),))
        yield from entities.told(report, file, "Findings", pages=files, number=number)
    for name, finding in {name: finding for finding, name in reversed(named)}.items():
        report = _report(entities, finding)
        yield from entities.told(report, f"findings/{name}.html", "Findings", _CRUMB)


def _grounds(entities: Entities, finding: Finding) -> tuple[Ground, ...]:
    known = (entities.holdings.basis.by_iri.get(iri) for iri in finding.claims[:_SIDES])
    return entities.said.passages(claim for claim in known if claim is not None) or (FOUND,)


def _row(entities: Entities, finding: Finding, name: str) -> Row:
    message = Ref(f"{entities.holdings.base}findings/{name}", finding.message)
    about = entities.said.ref(URIRef(finding.about[0])) if finding.about else None
    cells = (message, finding.kind.replace("-", " "), about)
    return Row(cells, _grounds(entities, finding), str(finding.severity))


def _report(entities: Entities, finding: Finding) -> Report:
    said, by_iri = entities.said, entities.holdings.basis.by_iri
    about: list[str | Ref] = []
    for iri in finding.about:
        about += [", " if about else "About ", said.ref(URIRef(iri))]
    lead = (Statement((*about, "."), (FOUND,)),) if about else ()
    sides = [
        Statement((side.says,), said.passages([by_iri[side.claim]]), side.certainty)
        for side in finding.sides[:_SIDES]
        if side.claim in by_iri
    ]
    if not sides:
        sides = [Statement(("No claim takes part in it.",), (FOUND,))]
    left = len(finding.sides) - _SIDES
    if left > 0:
        sides.append(Statement((f"{left} more claims take part.",), (FOUND,)))
    sections = [Section("sides", "Who says what", (Group(tuple(sides)),))]
    notes = tuple(
        Statement((f"{each.manner}: {each.side.says}",), said.passages([by_iri[each.side.claim]]))
        for each in noted(entities.holdings.remarks, finding.claims)
    )
    if notes:
        sections.append(Section("noted", "Noted", (Group(notes),)))
    if finding.remedy:
        remedy = Group((Statement((finding.remedy,), (FOUND,)),))
        sections.append(Section("remedy", "What could be done", (remedy,)))
    kind = f"{finding.severity}, {finding.kind.replace('-', ' ')}"
    return Report("", finding.message, lead, tuple(sections), kind=kind)
