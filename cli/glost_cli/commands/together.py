"""The command ``glost together``."""

from pathlib import Path

import click

from glost.record.together import begin
from glost_cli.group import KEEP

PART = KEEP


@click.command()
@click.argument("folder", type=click.Path(file_okay=False, path_type=Path))
@click.argument(
    "collections",
    nargs=-1,
    required=True,
    type=click.Path(exists=True, file_okay=False, path_type=Path),
)
@click.option("--title", default="Collections together", show_default=True, help="Its title.")
@click.option(
    "--base",
    default="https://example.org/together/",
    show_default=True,
    help="Web address of your own that begins what is recorded of all of them; ends in /.",
)
def together(folder: Path, collections: tuple[Path, ...], title: str, base: str) -> None:
    """Lay COLLECTIONS side by side: FOLDER is then read as all of them together.

    Each stays whole, where it is, under its own identifiers, and its keeper's. FOLDER names them in
    its settings and holds what is recorded of all of them: links between their things, and the
    sources these rest on. Every command takes it like any collection; a thing is called keeper:id
    where two keepers gave one id.

    \b
    Example:
      glost together both ../wend-valley ../sallow-shelf --base https://example.org/both/
      glost review shapes -c both
      glost ask crossings -c both --through links
    """
    files = begin(folder, title, base, collections)
    click.echo(f"Wrote {len(files)} files. Look it over: glost check {folder}")
