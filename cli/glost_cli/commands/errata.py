"""The command ``glost errata``."""

from datetime import date
from pathlib import Path

import click

from glost.answer.errata import in_words, notice
from glost.answer.showing import find_thing
from glost.record.files import write_whole
from glost.report.results.errata import told
from glost_cli import options, printing
from glost_cli.group import KEEP

PART = KEEP


@click.command()
@click.argument("publication", required=False)
@options.collection
@options.as_of
@options.report
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
        listed = in_words(found, snapshot.words)
        title = snapshot.record.collection.title
    shown = [each for each in listed if every or not each.done_on]
    if as_notice:
        text = notice(shown, title)
        if target is None:
            click.echo(text, nl=False)
        else:
            write_whole(target, text)
            click.echo(f"{target}: {len(shown)} errata.")
        return
    printing.report(told(shown), form, folder, table="errata")
    ctx.exit(int(any(not each.done_on for each in shown)))
