"""Results on a terminal, as CSV or as JSON."""

import csv
import io
import json
import shutil
import sys
from collections.abc import Iterable, Sequence
from typing import Any

import click
from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

_PIPED = 160


def console() -> Console:
    """Return a console as wide as the terminal, or wide enough for tables when piped."""
    width = shutil.get_terminal_size().columns if sys.stdout.isatty() else _PIPED
    return Console(width=width, highlight=False, soft_wrap=False)


def table(columns: Sequence[str], rows: Iterable[Sequence[str]], title: str = "") -> None:
    """Print rows as a table; long cells fold, nothing is cut."""
    drawn = Table(
        box=box.SIMPLE_HEAD,
        show_edge=False,
        pad_edge=False,
        title=Text(title) if title else None,
        title_justify="left",
    )
    for column in columns:
        drawn.add_column(column.replace("_", " "), overflow="fold")
    for row in rows:
        drawn.add_row(*(Text(cell) for cell in row))
    console().print(drawn)


def as_csv(columns: Sequence[str], rows: Iterable[Sequence[str]]) -> None:
    """Print rows as CSV."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows(rows)
    click.echo(out.getvalue(), nl=False)


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
