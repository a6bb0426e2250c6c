"""The command ``glost conflicts``."""

from datetime import date
from pathlib import Path

import click

from glost.answer.dated import settlement
from glost.report.results.settling import told
from glost_cli import options, printing
from glost_cli.group import RECKON

PART = RECKON


@click.command()
@options.collection
@options.as_of
@options.report
@click.pass_context
def conflicts(ctx: click.Context, folder: Path, as_of: date | None, form: str) -> None:
    """Show which dates cannot all hold, and the least that would have to be set aside.

    For each contradiction two arguments that meet, with every claim; then what it would cost
    least to set aside so that the rest agrees, with everything else that would cost as little;
    then what would change. Nothing is changed: record what you decide with glost correct.

    What it costs to set a claim aside follows from the certainty it states and from [trust] in
    collection.toml. Ends with 1 if anything clashes.
    """
    with options.snapshot(folder, as_of) as snapshot:
        found = settlement(snapshot.chronology, snapshot.words)
    printing.report(told(found), form, folder, beside=True)
    if found.settlings:
        ctx.exit(1)
