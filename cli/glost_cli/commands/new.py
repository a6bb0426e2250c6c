"""The command ``glost new``."""

from pathlib import Path

import click

from glost.record.starting import begin as begin_collection
from glost_cli.group import KEEP

PART = KEEP


@click.command()
@click.argument("folder", type=click.Path(file_okay=False, path_type=Path))
@click.option("--title", default="A collection", show_default=True, help="What it is called.")
@click.option(
    "--base",
    default="https://example.org/collection/",
    show_default=True,
    help="Web address of your own that begins every identifier; ends in /.",
)
def new(folder: Path, title: str, base: str) -> None:
    """Start a collection in FOLDER: settings, a template of every table, and a guide."""
    files = begin_collection(folder, title, base)
    click.echo(f"Wrote {len(files)} files. Read {folder / 'GUIDE.md'}, then fill in the tables.")
