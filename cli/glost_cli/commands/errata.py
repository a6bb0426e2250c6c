"""The command ``glost errata``."""

from datetime import date
from pathlib import Path

import click
from rich.text import Text

from glost.answer.errata import Erratum, in_words, notice
from glost.answer.showing import find_thing
from glost.record.files import write_whole
from glost_cli import options, printing
from glost_cli.group import KEEP

PART = KEEP

_COLUMNS = (
    "public_statement", "said in", "place", "wording", "no longer held", "now", "reason",
    "evidence", "correction", "done on", "done in", "claims",
)  # fmt: skip


@click.command()
@click.argument("publication", required=False)
@options.collection
@options.as_of
@options.form
@click.option("--all", "every", is_flag=True, help="List also those that have been put right.")
@click.option("--notice", "as_notice", is_flag=True, help="Print a notice of errata in Markdown.")
@options.output("With --notice: write it to a file instead.")
@click.pass_context
def errata(
    ctx: click.Context,
    publication: str | None,
    folder: Path,
    as_of: date | None,
    form: str,
    every: bool,
    as_notice: bool,
    target: Path | None,
) -> None:
    """List what was said in public and a correction has overtaken, in PUBLICATION or anywhere.

    What was said stands in tables/public_statements.csv with the claims it used. Each line names
    what was said and where, what of it no longer holds, what holds now, and on what evidence. Once
    it has been put right in public, say so in tables/errata.csv: done_on, and where.

    Ends with 1 if anything is still to be put right; a notice ends with 0.

    \b
    Examples:
      glost errata
      glost errata --notice -o errata.md
    """
    if target is not None and not as_notice:
        raise click.UsageError("--output goes with --notice")
    with options.snapshot(folder, as_of) as snapshot:
        found = tuple(each for each in snapshot.overtaken if not each.to_come)
        if publication is not None:
            source = find_thing(snapshot.record, publication, "source")
            found = tuple(each for each in found if each.said_in == source)
        told = in_words(found, snapshot.words)
        title = snapshot.record.collection.title
    shown = [each for each in told if every or not each.done_on]
    if as_notice:
        text = notice(shown, title)
        if target is None:
            click.echo(text, nl=False)
        else:
            write_whole(target, text)
            click.echo(f"{target}: {len(shown)} errata.")
        return
    _print(shown, form)
    ctx.exit(int(any(not each.done_on for each in shown)))


def _print(shown: list[Erratum], form: str) -> None:
    if form == "json":
        printing.as_json(shown)
    elif form == "csv":
        printing.as_csv(_COLUMNS, [_row(each) for each in shown])
    else:
        print_errata(shown)


def print_errata(shown: list[Erratum]) -> None:
    """Print errata for reading."""
    console = printing.console()
    for each in shown:
        where = ", ".join(part for part in (each.said_in, each.place) if part)
        done = f"  (put right on {each.done_on}: {each.done_in})" if each.done_on else ""
        console.print(Text(f"{where}: “{each.wording}”{done}", style="bold"))
        console.print(Text(f"    no longer held: {each.withdrawn}"))
        console.print(Text(f"    now: {each.now or 'nothing takes its place'}"))
        console.print(Text(f"    {each.reason} ({'; '.join(each.evidence)})"))
        ids = f"public_statement {each.statement}, correction {each.correction}"
        console.print(Text(f"    {ids}", style="dim"))
    left = sum(not each.done_on for each in shown)
    click.echo(f"{left} to be put right in public.")


def _row(each: Erratum) -> list[str]:
    return [
        each.statement, each.said_in, each.place, each.wording, each.withdrawn, each.now,
        each.reason, " | ".join(each.evidence), each.correction, each.done_on, each.done_in,
        " ".join(each.claims),
    ]  # fmt: skip
