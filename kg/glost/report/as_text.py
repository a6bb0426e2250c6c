"""A report for a terminal, made of what rich prints; nothing here prints."""

import re
from collections.abc import Iterable, Iterator, Sequence
from typing import Literal

from rich import box
from rich.console import Console, ConsoleOptions, Group, RenderableType, RenderResult
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from glost.report import tree
from glost.report.numbering import Numbers, rows_of, runs
from glost.report.tree import Report, Statement, cited, plain

_GAP = 3
_PLACES = 3
"""So many places are printed under a statement."""
_FOLDED = 1.6
"""How many times as wide as the line a table's cells may be together before they are set apart."""


def text(report: Report, notes: bool = True, beside: bool = False) -> RenderableType:
    """Return a report as something that rich prints.

    Parameters
    ----------
    report
        The report.
    notes
        Whether to print what its statements rest on, with numbers that lead there.
    beside
        Whether to print it under each statement instead that has none under it, and no numbers.
    """
    return Group(*_Writer(report, notes and not beside, beside).parts())


class _Writer:
    def __init__(self, report: Report, notes: bool, beside: bool) -> None:
        self._beside = beside
        self._report = report
        self._numbers = Numbers(report.notes)
        self._noted = notes

    def parts(self) -> Iterator[RenderableType]:
        report = self._report
        if report.heading:
            yield Text(report.heading, style="bold")
        under = " · ".join(part for part in (report.kind, report.iri) if part)
        if under:
            yield Text(under, style="dim")
        for statement in report.lead:
            yield Text("")
            yield self._told(statement)
            yield from self._below(statement, 2)
        for section in report.sections:
            if section.heading:
                yield Text(f"\n{section.heading}", style="bold underline")
            if section.lead:
                yield Text(section.lead, style="italic")
            for part in section.parts:
                yield from self._part(part)
        if report.exhibits:
            yield Text("\nExhibits", style="bold underline")
            yield from (self._item(each.statement, 2) for each in report.exhibits)
        if report.cautions:
            yield Text("\nCautions", style="bold underline")
            yield Text(" ").join(map(self._told, report.cautions))
        if self._noted and self._numbers.notes:
            yield Text("\nRests on", style="bold underline")
            yield self._notes()

    def _part(self, part: tree.Part) -> Iterator[RenderableType]:
        if isinstance(part, tree.Picture):
            if part.caption is not None:
                yield self._told(part.caption)
            yield Padding(Text(f"Picture: {part.file}", style="dim"), (0, 0, 0, 2))
            return
        if isinstance(part, tree.Table):
            part = part.shown
            if not part.columns:
                return
        if part.heading:
            yield Text(f"\n{plain(part.heading)}", style="bold")
        if isinstance(part, tree.Table):
            yield self._table(part)
        elif part.short:
            yield Padding(Text("; ").join(map(self._told, part.statements)), (0, 0, 0, 2))
        else:
            yield from self._statements(part)

    def _statements(self, group: tree.Group) -> Iterator[RenderableType]:
        """Yield statements one below the other; those that tell something as a list of it."""
        names = [each.named(plain) for each in group.statements]
        lines = Table.grid(padding=(0, 2, 0, 2))
        lines.add_column(width=max(map(len, names), default=0))
        lines.add_column(overflow="fold")
        last = None
        for name, statement in zip(names, group.statements, strict=True):
            if not name:
                yield self._item(statement, 2)
                yield from self._below(statement, 4)
                continue
            told = Text(name if name != last else "", style="dim")
            below: list[RenderableType] = [Text(c, style="dim") for c in self._cited(statement)]
            below += self._below(statement, 2)
            lines.add_row(told, Group(self._told(statement, named=False), *below))
            last = name
        if lines.row_count:
            yield lines

    def _below(self, statement: Statement, indent: int) -> Iterator[RenderableType]:
        for each in statement.below:
            yield self._item(each, indent)
            yield from self._below(each, indent + 2)

    def _item(self, statement: Statement, indent: int) -> RenderableType:
        lines = Table.grid()
        lines.add_column(width=2)
        lines.add_column(overflow="fold")
        lines.add_row(Text("-", style="dim"), self._told(statement))
        for line in self._cited(statement):
            lines.add_row("", Padding(Text(line, style="dim"), (0, 0, 0, 4)))
        return Padding(lines, (0, 0, 0, indent), expand=False)

    def _cited(self, statement: Statement) -> Iterator[str]:
        """Yield where a statement that has none under it rests, the first few places."""
        if not self._beside or statement.below:
            return
        passages = [note for note in statement.notes if isinstance(note, tree.CitedPassage)]
        for note in passages[:_PLACES]:
            yield f"{cited(note)}  [{rows_of(note)}]"
        if len(passages) > _PLACES:
            yield f"and {len(passages) - _PLACES} more places; --as json has all"

    def _told(self, statement: Statement, named: bool = True) -> Text:
        made = Text()
        name = statement.named(plain) if named else ""
        if name:
            made.append(f"{name}: ", style="dim")
        marks: list[int] = []

        def mark(note: tree.Note) -> str:
            marks.append(self._numbers(note))
            return "\0"

        made.append(statement.told(plain, mark).rstrip("\0"))
        if statement.status:
            made.append(f" ({statement.status})", style="bold")
        if self._noted and marks:
            made.append(f" [{_runs(marks)}]", style="dim")
        return made

    def _table(self, of: tree.Table) -> RenderableType:
        if len(of.columns) == 1:
            names = (
                f"{row.texts[0]} ({row.status})" if row.status else row.texts[0] for row in of.rows
            )
            marks = _runs(map(self._numbers, of.notes)) if self._noted else ""
            return Padding(Text("; ".join(names) + (f" [{marks}]" if marks else "")), (0, 0, 0, 2))
        rows = []
        for row in of.rows:
            cells = [*row.texts]
            status = f" ({row.status})" if row.status else ""
            at = next((at for at, cell in enumerate(cells) if cell), 0)
            cells[at] += status
            rows.append([*cells, *([_runs(map(self._numbers, row.notes))] * self._noted)])
        columns = [column.title for column in of.columns] + ["rests on"] * self._noted
        filled = [at for at in range(len(columns)) if not rows or any(row[at] for row in rows)]
        rows = [[row[at] for at in filled] for row in rows]
        cells_of = zip(*rows, strict=True) if rows else ()
        right = [all(map(_NUMBER.fullmatch, filter(None, some))) for some in cells_of]
        return TextTable([columns[at] for at in filled], rows, right=right)

    def _notes(self) -> RenderableType:
        lines = Table.grid(padding=(0, 1, 0, 0))
        lines.add_column(justify="right", style="dim")
        lines.add_column(overflow="fold")
        for number, note in enumerate(self._numbers.notes, 1):
            said = Text(cited(note))
            claims = note.claims if isinstance(note, tree.CitedPassage) else ()
            recorded = dict.fromkeys(claim.recorded for claim in claims if claim.recorded)
            told = "; ".join(filter(None, (rows_of(note), *recorded)))
            if told:
                said.append(f"  [{told}]", style="dim")
            for claim in claims:
                if claim.says:
                    said.append(f"\n{claim.says}  [claim {claim.id}]")
            for remark in dict.fromkeys(claim.note for claim in claims if claim.note):
                said.append(f"\nNote: {remark}", style="italic")
            lines.add_row(Text(str(number)), said)
        return lines


_NUMBER = re.compile(r"[-+–]?[0-9][0-9,]*(\.[0-9]+)?%?")
"""What stands to the right where a column holds nothing else."""


def _runs(numbers: Iterable[int]) -> str:
    return ",".join(str(a) if a == b else f"{a}–{b}" for a, b in runs(numbers))


class TextTable:
    """A table, or its rows one below the other where a table would be too narrow to read.

    Nothing is cut, and no word is parted that fits the line.

    Parameters
    ----------
    columns
        Headings.
    rows
        Cells, one for each column.
    title
        What stands above it; empty for none.
    right
        Which columns stand to the right, as numbers do; none if not given.
    """

    def __init__(
        self,
        columns: Sequence[str],
        rows: Iterable[Sequence[str]],
        title: str = "",
        right: Sequence[bool] = (),
    ) -> None:
        self._columns = [column.replace("_", " ") for column in columns]
        self._rows = [[*row] for row in rows]
        self._title = title
        self._right = right or [False] * len(self._columns)

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        """Yield what is printed at the width there is."""
        if self._too_wide(options.max_width):
            if self._title:
                yield Text(self._title, style="italic")
            yield from map(self._record, self._rows)
            return
        drawn = Table(
            box=box.SIMPLE_HEAD,
            show_edge=False,
            pad_edge=False,
            title=Text(self._title) if self._title else None,
            title_justify="left",
        )
        for name, right, least in zip(self._columns, self._right, self._words(), strict=True):
            justify: Literal["left", "right"] = "right" if right else "left"
            drawn.add_column(name, overflow="fold", justify=justify, min_width=least)
        for row in self._rows:
            drawn.add_row(*map(Text, row))
        yield drawn

    def _too_wide(self, width: int) -> bool:
        """Say whether words would be parted, or most cells folded, in a table of a width."""
        gaps = _GAP * (len(self._columns) - 1)
        words = sum(self._words())
        whole = sum(max(map(len, column)) for column in self._cells())
        return words + gaps > width or whole + gaps > _FOLDED * width

    def _cells(self) -> list[list[str]]:
        """Return the cells of each column, its heading first."""
        return [[n, *(row[at] for row in self._rows)] for at, n in enumerate(self._columns)]

    def _words(self) -> list[int]:
        """Return how long the longest word of each column is."""
        return [max(map(_longest_word, column)) for column in self._cells()]

    def _record(self, row: Sequence[str]) -> Padding:
        """Return a row as lines, each a column's name and the cell; empty cells are left out."""
        filled = [(name, cell) for name, cell in zip(self._columns, row, strict=True) if cell]
        lines = Table.grid(padding=(0, 2, 0, 0))
        lines.add_column(width=max((len(name) for name, _ in filled), default=0))
        lines.add_column(overflow="fold")
        for at, (name, cell) in enumerate(filled):
            lines.add_row(Text(name, style="dim"), Text(cell, style="bold" if at == 0 else ""))
        return Padding(lines, (0, 0, 1, 0), expand=False)


def _longest_word(cell: str) -> int:
    return max((len(word) for word in cell.split()), default=0)
