"""Results on a terminal, as CSV or as JSON."""

import csv
import io
import json
import os
import re
import shutil
import sys
from collections.abc import Iterable, Sequence
from typing import Any

import click
from rdflib import Graph, URIRef
from rich.console import Console, ConsoleOptions, ConsoleRenderable, RenderHook, RenderResult
from rich.padding import Padding
from rich.segment import Segment
from rich.text import Text

from glost.findings import Finding
from glost.plain import plain
from glost.record.characters import visible
from glost.record.claims import Claim
from glost.record.spreadsheets import guarded
from glost.report.as_text import TextTable
from glost.words.labels import Words
from glost.words.sentences import side

_PIPED = 160
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

    Nothing is cut, and no word is parted that fits the line; numbers stand to the right.
    """
    rows = [[*row] for row in rows]
    right = [
        any(cells) and all(map(_NUMBER.fullmatch, filter(None, cells)))
        for cells in ([row[at] for row in rows] for at in range(len(columns)))
    ]
    console().print(TextTable(columns, rows, title, right))


_NUMBER = re.compile(r"[-+–]?[0-9][0-9,]*(\.[0-9]+)?%?")
"""What stands to the right where a column holds nothing else."""


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
    """Print a value, data classes under the names of their fields, as JSON."""
    click.echo(json.dumps(plain(value), indent=2, ensure_ascii=False))


def result(form: str, columns: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
    """Print rows in the form asked for."""
    if form == "csv":
        as_csv(columns, rows)
    elif form == "json":
        as_json([dict(zip(columns, row, strict=True)) for row in rows])
    else:
        table(columns, rows)


def by_thing(found: Iterable[Finding], words: Words) -> None:
    """Print findings, those that are about one thing together under what that is called.

    The things of which the worst was found come first.
    """
    groups: dict[str, list[Finding]] = {}
    for finding in found:
        groups.setdefault(next(iter(finding.about), "").partition("#")[0], []).append(finding)
    out = console()
    for iri, some in groups.items():
        name = words.with_id(URIRef(iri)) if iri else "The collection"
        out.print(Text(name, style="bold underline"))
        findings(some)


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
            out.print(_indented(f"{each.says}{certainty}", 4))
            place = ", ".join(part for part in (each.source, each.passage) if part)
            claim = each.claim.rsplit("/", 1)[-1]
            read_from = f"  [{each.read_from}, claim {claim}]" if each.read_from else ""
            out.print(_indented(f"{place}{read_from}", 8, "dim"))
        if finding.remedy:
            out.print(_indented(f"What to do: {finding.remedy}", 4))
        out.print()


def _indented(text: str, by: int, style: str = "") -> Padding:
    """Return a text of which every line is indented."""
    return Padding(Text(text, style=style), (0, 0, 0, by), expand=False)


def support(claims: Iterable[Claim], graph: Graph | Words) -> None:
    """Print what each claim says, with its source and passage, file and row."""
    out = console()
    for claim in claims:
        told = side(claim, graph)
        out.print(_indented(told.says, 4))
        place = ", ".join(part for part in (told.source, told.passage) if part)
        out.print(_indented(f"{place}  [{told.read_from}]", 8, "dim"))


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
