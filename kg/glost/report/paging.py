"""A report cut into pages: what refers to a thing may be very much, what is said of it never is."""

from collections.abc import Iterator

from glost.report.tree import Group, Part, Picture, Report, Section, Table

FIRST = 40
"""Rows and statements of one part that stand on the first page."""
FURTHER = 150
"""So many stand on each page that follows."""


def paged(report: Report) -> tuple[Report, ...]:
    """Cut a report into pages.

    Returns
    -------
    tuple of Report
        The first with all that is said of the thing, and the beginning of what refers to it, a
        section that is cut saying how much follows; the others with the rest, part by part.
    """
    rest = [
        (section, piece)
        for section in report.sections
        if section.refers
        for part in section.parts
        for piece in _cut(part)
    ]
    if not rest:
        return (report,)
    first = tuple(_beginning(section) for section in report.sections)
    pages = (_page(report, Section(s.id, s.heading, (piece,))) for s, piece in rest)
    return (_with(report, first), *pages)


def _items(part: Part) -> int:
    if isinstance(part, Picture):
        return 0
    return len(part.rows) if isinstance(part, Table) else len(part.statements)


def _cut(part: Part) -> Iterator[Part]:
    """Yield what of a part does not stand on the first page, in pieces."""
    for at in range(FIRST, _items(part), FURTHER):
        yield _piece(part, at, at + FURTHER)


def _piece(part: Part, start: int, stop: int) -> Part:
    if isinstance(part, Table):
        return Table(part.columns, part.rows[start:stop], part.heading, part.narrow, part.folded)
    assert isinstance(part, Group)
    return Group(part.statements[start:stop], part.heading, part.short, part.folded, part.sides)


def _beginning(section: Section) -> Section:
    more = sum(max(0, _items(part) - FIRST) for part in section.parts)
    if not section.refers or not more:
        return section
    parts = tuple(_piece(p, 0, FIRST) if _items(p) > FIRST else p for p in section.parts)
    lead = " ".join(part for part in (section.lead, f"{more:,} more on further pages.") if part)
    return Section(section.id, section.heading, parts, lead, section.folded, True)


def _with(report: Report, sections: tuple[Section, ...]) -> Report:
    return Report(
        report.iri, report.heading, report.lead, sections, report.exhibits, report.cautions,
        report.kind, report.collection, report.licence,
    )  # fmt: skip


def _page(report: Report, section: Section) -> Report:
    return Report(
        report.iri, report.heading, sections=(section,), kind=report.kind,
        collection=report.collection, licence=report.licence,
    )  # fmt: skip
