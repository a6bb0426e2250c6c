"""Results on a terminal, as CSV or as JSON."""

import csv
import io
import os
import shutil
import sys
from collections.abc import Iterable, Sequence
from pathlib import Path

import click
from rich.console import Console, ConsoleOptions, ConsoleRenderable, RenderHook, RenderResult
from rich.segment import Segment

from glost.record.characters import visible
from glost.record.spreadsheets import guarded
from glost.report.as_text import text
from glost.report.tree import Report

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


def report(
    made: Report,
    form: str,
    folder: Path,
    notes: bool = False,
    table: str = "",
    beside: bool = False,
) -> None:
    """Print a report in the form asked for.

    Parameters
    ----------
    made
        The report.
    form
        One of `glost_cli.options.FORMS`.
    folder
        The collection's folder, where pictures are.
    notes
        Whether to print, as text, what its statements rest on.
    beside
        Whether to print it under each statement, and not at the end by numbers.
    table
        The id of the section whose table is what there is of it in CSV; empty for all statements.
    """
    if form == "text":
        console().print(text(made, notes, beside))
        return
    # Each form is imported when it is asked for.
    if form == "csv":
        from glost.report import as_csv as written

        told = written.tables(made, table) if table else written.csv(made)
    elif form == "json":
        from glost.report.as_json import json as written_json

        told = written_json(made).decode() + "\n"
    elif form == "markdown":
        from glost.report.as_markdown import markdown

        told = markdown(made)
    else:
        from glost.report.sheet import sheet

        told = sheet(made, folder)
    click.echo(visible(told) if form == "csv" else told, nl=False)


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
