"""The command ``glost edition``."""

from datetime import date
from pathlib import Path

import click

from glost.publish.editions.edition import FOLDER, Edition, editions, folder_of, read_edition
from glost.report.results import plain
from glost.report.tree import Column
from glost_cli import options, printing
from glost_cli.group import SHOW

PART = SHOW


@click.command()
@click.argument("name", required=False)
@options.collection
@options.report
@click.option(
    "--on", "day", type=options.Day(), metavar="DAY", help="The day it is made.  [default: today]"
)
@click.option("--note", default="", help="What you say of it.")
@click.option(
    "--sign",
    "key",
    metavar="KEY",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="Sign it with a private key that OpenSSH can read.",
)
@click.option(
    "--since",
    metavar="EDITION",
    help="Make none; tell what changed since that one, here or in a colleague's collection.",
)
def edition(
    name: str | None,
    folder: Path,
    form: str,
    day: date | None,
    note: str,
    key: Path | None,
    since: str | None,
) -> None:
    """Keep the collection as it stands as the edition NAME, or list its editions.

    An edition is a folder in editions/: every statement as canonical N-Quads (RDFC-1.0), packed;
    the collection's own files; what changed since the edition before, as an RDF Patch and in
    words; and the sums of all these. It is never changed. The site keeps it, commands ask it
    with --edition NAME, and glost verify proves a copy of it.

    \b
    Examples:
      glost edition 2026.1 --note "With the Quillmoor lists" -c examples/wend-valley
      glost edition -c examples/wend-valley
      glost edition --since 2026.1 -c ../colleague
    """
    if since is not None and name is not None:
        raise click.UsageError("--since tells what changed, and makes no edition NAME")
    if name is None and since is None:
        _list(editions(folder), form, folder)
        return
    from glost.publish.editions.making import changes, make  # a list needs none of it

    if since is not None:
        told = read_edition(folder_of(folder, since))
        with options.snapshot(folder) as snapshot:
            for line in changes(snapshot, told):
                click.echo(line)
        return
    assert name is not None

    with options.snapshot(folder) as snapshot:
        made = make(snapshot, name, day or date.today(), note, key)
    click.echo(
        f"Wrote {folder / FOLDER / name}: {made.statements:,} statements of {made.claims:,} "
        f"claims, with the sum {made.digest}."
    )


_COLUMNS: tuple[str | Column, ...] = (
    "edition", "day",
    *(Column(name, name, "number") for name in ("statements", "claims", "sources")),
    "follows", "note", Column("sum", "SHA-256", aside=True),
)  # fmt: skip
_GROUND = "What each edition says of itself"


def _list(found: list[Edition], form: str, folder: Path) -> None:
    if not found and form == "text":
        click.echo("No edition has been made; glost edition NAME makes one.")
        return
    rows = [
        (each.name, each.day, str(each.statements), str(each.claims), str(each.sources),
         each.previous, each.note, each.digest)
        for each in found
    ]  # fmt: skip
    told = plain.table("Editions", _COLUMNS, rows, _GROUND)
    printing.report(told, form, folder, table="table")
