"""Results on a terminal, as CSV or as JSON."""

import csv
import io
import json
import os
import shutil
import sys
from collections.abc import Iterable, Sequence
from typing import Any

import click
from rdflib import Graph, URIRef
from rich import box
from rich.console import Console, ConsoleOptions, ConsoleRenderable, RenderHook, RenderResult
from rich.padding import Padding
from rich.segment import Segment
from rich.table import Table
from rich.text import Text

from glost.findings import Finding
from glost.record.characters import visible
from glost.record.claims import Claim
from glost.record.spreadsheets import guarded
from glost.words.labels import Words
from glost.words.sentences import side

_PIPED = 160
_GAP = 3
_FOLDED = 1.6
"""How many times as wide as the line a table's cells may be together before they are set apart."""
_PLACES = 3


def console() -> Console:
    """Return a console as wide as the terminal; piped, as `COLUMNS` says, or wide for tables."""
    told = os.environ.get("COLUMNS", "")
    piped = int(told) if told.isdecimal() and int(told) else _PIPED
    width = shutil.get_terminal_size().columns if sys.stdout.isatty() else piped
    made = Console(width=width, highlight=False, soft_wrap=False)
    made.push_render_hook(_Hook())
    return made


class _Hook(RenderHook):
    """Shows control characters of what is printed; those of the console's own styles stay."""

    def process_renderables(self, renderables: list[ConsoleRenderable]) -> list[ConsoleRenderable]:
        """Wrap everything that is about to be printed."""
        return [_Visible(each) for each in renderables]


class _Visible:
    def __init__(self, renderable: ConsoleRenderable) -> None:
        self._renderable = renderable

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        for segment in console.render(self._renderable, options):
            if segment.control:
                yield segment
            else:
                yield Segment(visible(segment.text), segment.style)


def table(columns: Sequence[str], rows: Iterable[Sequence[str]], title: str = "") -> None:
    """Print rows as a table, or one below the other where a table would be too narrow to read.

    Nothing is cut, and no word is parted that fits the line.
    """
    rows = [[*row] for row in rows]
    names = [column.replace("_", " ") for column in columns]
    out = console()
    if _too_wide(names, rows, out.width):
        if title:
            out.print(Text(title), style="italic")
        for row in rows:
            out.print(_record(names, row))
        return
    drawn = Table(
        box=box.SIMPLE_HEAD,
        show_edge=False,
        pad_edge=False,
        title=Text(title) if title else None,
        title_justify="left",
    )
    for name in names:
        drawn.add_column(name, overflow="fold")
    for row in rows:
        drawn.add_row(*(Text(cell) for cell in row))
    out.print(drawn)


def _too_wide(names: Sequence[str], rows: Sequence[Sequence[str]], width: int) -> bool:
    """Say whether words would be parted, or most cells folded, in a table of a width."""
    columns = [[name, *(row[at] for row in rows)] for at, name in enumerate(names)]
    gaps = _GAP * (len(names) - 1)
    words = sum(max(_longest_word(cell) for cell in column) for column in columns)
    whole = sum(max(len(cell) for cell in column) for column in columns)
    return words + gaps > width or whole + gaps > _FOLDED * width


def _longest_word(cell: str) -> int:
    return max((len(word) for word in cell.split()), default=0)


def _record(names: Sequence[str], row: Sequence[str]) -> Padding:
    """Return a row as lines, each a column's name and the cell; empty cells are left out."""
    filled = [(name, cell) for name, cell in zip(names, row, strict=True) if cell]
    lines = Table.grid(padding=(0, 2, 0, 0))
    lines.add_column(width=max((len(name) for name, _ in filled), default=0))
    lines.add_column(overflow="fold")
    for at, (name, cell) in enumerate(filled):
        lines.add_row(Text(name, style="dim"), Text(cell, style="bold" if at == 0 else ""))
    return Padding(lines, (0, 0, 1, 0), expand=False)


def as_csv(
    columns: Sequence[str], rows: Iterable[Sequence[str]], heading: Iterable[str] = ()
) -> None:
    """Print rows as CSV; the lines of a heading stand first, as comment that begins with ``#``."""
    out = io.StringIO()
    out.writelines(f"# {' '.join(line.split())}\n" for line in heading)
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows(map(guarded, row) for row in rows)
    click.echo(visible(out.getvalue()), nl=False)


def as_json(value: Any) -> None:
    """Print a value as JSON."""
    click.echo(json.dumps(value, indent=2, ensure_ascii=False))


def result(form: str, columns: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
    """Print rows in the form asked for."""
    if form == "csv":
        as_csv(columns, rows)
    elif form == "json":
        as_json([dict(zip(columns, row, strict=True)) for row in rows])
    else:
        table(columns, rows)


def findings(found: Iterable[Finding]) -> None:
    """Print findings, each with what every claim says and what could be done."""
    out = console()
    for finding in found:
        out.print(
            Text(f"{finding.severity}", style="bold"),
            Text(f"({finding.kind})", style="dim"),
            Text(finding.message),
        )
        for each in finding.sides:
            certainty = f" ({each.certainty})" if each.certainty else ""
            out.print(Text(f"    {each.says}{certainty}"))
            place = ", ".join(part for part in (each.source, each.passage) if part)
            claim = each.claim.rsplit("/", 1)[-1]
            read_from = f"  [{each.read_from}, claim {claim}]" if each.read_from else ""
            out.print(Text(f"        {place}{read_from}", style="dim"))
        if finding.remedy:
            out.print(Text(f"    What to do: {finding.remedy}"))
        out.print()


def support(claims: Iterable[Claim], graph: Graph | Words) -> None:
    """Print what each claim says, with its source and passage, file and row."""
    out = console()
    for claim in claims:
        told = side(claim, graph)
        out.print(Text(f"    {told.says}"))
        place = ", ".join(part for part in (told.source, told.passage) if part)
        out.print(Text(f"        {place}  [{told.read_from}]", style="dim"))


def places(claims: Sequence[Claim], words: Graph | Words, indent: str) -> None:
    """Print where the first few of some claims rest, each source before further rows of one."""
    out = console()
    for claim in _spread(claims)[:_PLACES]:
        told = side(claim, words)
        place = ", ".join(part for part in (told.source, told.passage) if part)
        line = f"{indent}{place}  [{told.read_from}, claim {claim.id}]"
        out.print(Text(line, style="dim"))
    if len(claims) > _PLACES:
        more = f"{indent}and {len(claims) - _PLACES} more claims; --as json names all"
        out.print(Text(more, style="dim"))


def _spread(claims: Sequence[Claim]) -> list[Claim]:
    """Put the first claim of each source before further ones of the same."""
    told: dict[URIRef, int] = {}
    order = []
    for claim in claims:
        told[claim.passage.source] = told.get(claim.passage.source, 0) + 1
        order.append((told[claim.passage.source], claim))
    return [claim for _, claim in sorted(order, key=lambda each: each[0])]
