"""Tables, and whole reports, as CSV (RFC 4180, line ends as Unix has them)."""

import csv as writing
import io
from collections.abc import Iterable, Iterator

from glost.record.spreadsheets import guarded
from glost.report.tree import (
    CitedPassage,
    Group,
    Note,
    Picture,
    Report,
    Statement,
    Table,
    cited,
    plain,
)

_COLUMNS = ("section", "under", "tells", "says", "status", "rests_on", "claims")


def table(of: Table) -> str:
    """Write a table.

    Returns
    -------
    str
        A line of its columns' names, then its rows; after its own columns ``status`` if any row has
        one, ``rests_on`` (citations, parted by `` | ``) and ``claims`` (their IRIs).
    """
    status = ["status"] if any(row.status for row in of.rows) else []
    head = [*(column.name for column in of.columns), *status, "rests_on", "claims"]
    rows = (
        [*row.texts, *([row.status] if status else []), *_grounds(row.notes)] for row in of.rows
    )
    return _written(head, rows)


def tables(report: Report, section: str) -> str:
    """Write the first table of a section; with it that of a section for each of several things.

    Parameters
    ----------
    report
        The report; see `glost.report.tree.together` for several things in one.
    section
        The id of the section.

    Returns
    -------
    str
        As for `table`; nothing if there is no such table.
    """
    found = [
        next((part for part in each.parts if isinstance(part, Table)), None)
        for each in report.sections
        if each.id.partition(".")[0] == section
    ]
    some = [each for each in found if each is not None]
    if not some:
        return ""
    return table(Table(some[0].columns, tuple(row for each in some for row in each.rows)))


def csv(report: Report) -> str:
    """Write a report, a line for each statement and each row of its tables.

    Returns
    -------
    str
        Columns ``section``, ``under`` (heading of the group or table), ``tells`` (what a value is
        of), ``says``, ``status``, ``rests_on`` and ``claims`` as in `table`. What stands under
        a statement follows it.
    """
    return _written(_COLUMNS, _lines(report))


def _lines(report: Report) -> Iterator[list[str]]:
    for statement in report.lead:
        yield from _told("", "", statement)
    for section in report.sections:
        for part in section.parts:
            if isinstance(part, Picture):
                if part.caption is not None:
                    yield from _told(section.heading, "", part.caption)
                continue
            under = plain(part.heading)
            if isinstance(part, Group):
                for statement in part.statements:
                    yield from _told(section.heading, under, statement)
                continue
            for row in part.rows:
                cells = zip(part.columns, row.texts, strict=True)
                says = "; ".join(f"{column.title}: {text}" for column, text in cells if text)
                yield [section.heading, under, "", says, row.status, *_grounds(row.notes)]
    for exhibit in report.exhibits:
        yield from _told("Exhibits", "", exhibit.statement)
    for statement in report.cautions:
        yield from _told("Cautions", "", statement)


def _told(section: str, under: str, statement: Statement) -> Iterator[list[str]]:
    for each in statement.all():
        says = each.told(plain, lambda note: "\0").rstrip("\0")
        yield [section, under, each.named(plain), says, each.status, *_grounds(each.notes)]


def _grounds(notes: Iterable[Note]) -> tuple[str, str]:
    notes = tuple(notes)
    claims = [c.iri for note in notes if isinstance(note, CitedPassage) for c in note.claims]
    return " | ".join(dict.fromkeys(map(cited, notes))), " ".join(dict.fromkeys(claims))


def _written(head: Iterable[str], rows: Iterable[Iterable[str]]) -> str:
    out = io.StringIO()
    writer = writing.writer(out, lineterminator="\n")
    writer.writerow(head)
    writer.writerows([guarded(cell) for cell in row] for row in rows)
    return out.getvalue()
