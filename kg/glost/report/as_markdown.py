"""A report as Markdown (CommonMark), with tables and footnotes as most programs read them."""

import re
from collections.abc import Iterable, Iterator

from glost.report.numbering import Numbers, rows_of
from glost.report.tree import (
    Cell,
    CitedPassage,
    Group,
    Note,
    Part,
    Picture,
    Report,
    Row,
    Sentence,
    Statement,
    Table,
    cell_text,
    cited,
    plain,
)

_SPECIAL = re.compile(r"([\\`*_\[\]<>|~#])")
_ENTITY = re.compile(r"&(?=#?\w+;)")
_NUMBERED = re.compile(r"^(\d+)([.)])(?=\s)")
_BULLET = re.compile(r"^([-+])(?=\s)")
_INDENT = "    "


def markdown(report: Report) -> str:
    """Write a report as Markdown.

    Parameters
    ----------
    report
        The report. Whatever would be read as a sign of Markdown in it is escaped.
    """
    lines = "\n".join(_Writer(report).lines())
    return re.sub(r"\n{3,}", "\n\n", lines).strip() + "\n"


def escaped(text: str) -> str:
    """Escape a text so that Markdown prints it as it stands, on one line."""
    line = " ".join(text.split())
    line = _SPECIAL.sub(r"\\\1", line)
    line = _BULLET.sub(r"\\\1", line)
    return _NUMBERED.sub(r"\1\\\2", _ENTITY.sub(r"\\&", line))


class _Writer:
    def __init__(self, report: Report) -> None:
        self._report = report
        self._numbers = Numbers(report.notes)

    def lines(self) -> Iterator[str]:
        report = self._report
        yield f"# {escaped(report.heading)}\n"
        under = [report.kind, f"`{report.id}`" if report.id else "", escaped(report.collection)]
        yield " · ".join(part for part in under if part) + "\n"
        for statement in report.lead:
            yield self._told(statement) + "\n"
            yield from self._below(statement, "")
        for section in report.sections:
            yield f"\n## {escaped(section.heading)}\n" if section.heading else ""
            if section.lead:
                yield escaped(section.lead) + "\n"
            for part in section.parts:
                yield from self._part(part)
        yield from self._exhibits()
        if report.cautions:
            yield "\n## Cautions\n"
            yield " ".join(map(self._told, report.cautions)) + "\n"
        yield from self._notes()

    def _part(self, part: Part) -> Iterator[str]:
        if isinstance(part, Picture):
            yield self._picture(part)
            if part.caption is not None:
                yield "\n" + self._told(part.caption) + "\n"
            return
        if isinstance(part, Table):
            part = part.shown
            if not part.columns:
                return
        if part.heading:
            marks = self._marks(part.notes) if isinstance(part, Table) else ""
            yield f"\n### {escaped(plain(part.heading))}{marks}\n"
        if isinstance(part, Table):
            yield from self._table(part)
        elif part.short:
            yield "; ".join(map(self._told, part.statements)) + ".\n"
        else:
            yield from self._list(part)
            yield ""

    def _list(self, group: Group) -> Iterator[str]:
        for statement in group.statements:
            yield f"- {self._told(statement)}"
            yield from self._below(statement, _INDENT)

    def _below(self, statement: Statement, indent: str) -> Iterator[str]:
        for each in statement.below:
            yield f"{indent}- {self._told(each)}"
            yield from self._below(each, indent + _INDENT)

    def _marks(self, notes: Iterable[Note]) -> str:
        numbers = dict.fromkeys(map(self._numbers, notes))
        return "".join(f"[^{number}]" for number in numbers)

    def _told(self, statement: Statement) -> str:
        name = statement.named(_sentence)
        told = statement.told(_sentence, lambda note: f"[^{self._numbers(note)}]")
        status = f" *({statement.status})*" if statement.status else ""
        return f"{name}: {told}{status}" if name else told + status

    def _table(self, table: Table) -> Iterator[str]:
        if len(table.columns) == 1:
            marks = "" if table.heading else self._marks(table.notes)
            yield "; ".join(self._cells(row)[0] for row in table.rows) + f".{marks}\n"
            return
        titles = [escaped(column.title) for column in table.columns]
        right = ["--:" if column.type == "number" else "---" for column in table.columns]
        # Without a heading to carry them, the marks of notes stand in the rows.
        noted = not table.heading
        yield ""
        yield _line([*titles, *(["rests on"] * noted)])
        yield _line([*right, *(["---"] * noted)])
        for row in table.rows:
            yield _line([*self._cells(row), *([self._marks(row.notes)] * noted)])
        yield ""

    def _cells(self, row: Row) -> list[str]:
        cells = list(map(_cell, row.cells))
        status = f" *({row.status})*" if row.status else ""
        at = next((at for at, cell in enumerate(cells) if cell), 0)
        cells[at] += status
        return cells

    def _exhibits(self) -> Iterator[str]:
        if self._report.exhibits:
            yield "\n## Exhibits\n"
        for exhibit in self._report.exhibits:
            yield f"- {self._told(exhibit.statement)}"
            if exhibit.picture is not None:
                yield f"  {self._picture(exhibit.picture)}"

    def _picture(self, picture: Picture) -> str:
        part = f", part {','.join(f'{each:g}' for each in picture.box)}" if picture.box else ""
        return f"Picture: `{picture.file.replace('`', '')}`{part}"

    def _notes(self) -> Iterator[str]:
        report = self._report
        yield "\n## Notes\n" if self._numbers.notes else ""
        for number, note in enumerate(self._numbers.notes, 1):
            rows = rows_of(note)
            told = f" [{escaped(rows)}]" if rows else ""
            claims = note.claims if isinstance(note, CitedPassage) else ()
            quoted = "; ".join(dict.fromkeys(claim.says for claim in claims if claim.says))
            words = f" {escaped(quoted)}" if quoted else ""
            yield f"[^{number}]: {escaped(cited(note).rstrip('.'))}.{told}{words}\n"
        licence = f"Licence of the record: {escaped(report.licence)}. " if report.licence else ""
        yield f"\n{licence}{f'Identifier: {escaped(report.iri)}' if report.iri else ''}"


def _sentence(sentence: Sentence) -> str:
    return escaped(plain(sentence))


def _cell(cell: Cell) -> str:
    return escaped(cell_text(cell))


def _line(cells: list[str]) -> str:
    return f"| {' | '.join(cells)} |"
