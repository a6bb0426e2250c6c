"""The command ``glost overview``."""

from datetime import date
from pathlib import Path

import click

from glost.answer.holdings import holdings
from glost.report.results.plain import table
from glost.report.tree import Column, together
from glost_cli import options, printing
from glost_cli.group import KEEP

PART = KEEP

_COLUMNS = (Column("of", "", aside=True), "what", Column("count", "count", "number"))
_GROUND = "Counted from the record"


@click.command()
@options.collection
@options.as_of
@options.report
def overview(folder: Path, as_of: date | None, form: str) -> None:
    """Report what the collection holds: things, sources, claims and years."""
    with options.snapshot(folder, as_of) as snapshot:
        held = holdings(snapshot.record, as_of)
    counts = [("things", kind, count) for kind, count in held.things]
    counts += [("sources", kind, str(count)) for kind, count in held.sources]
    counts += [("claims resting on", name, str(count)) for _, name, count in held.resting]
    counts += [
        ("claims", "that hold", str(held.claims)),
        ("claims", "withdrawn", str(held.withdrawn)),
    ]
    counts.append(("sources", "without a date", str(held.undated)))
    if held.years:
        counts.append(("years", f"{held.years[0]} to {held.years[1]}", ""))
    made = [
        table(part, _COLUMNS, [each for each in counts if each[0] == part], _GROUND)
        for part in dict.fromkeys(part for part, _, _ in counts)
    ]
    printing.report(together(made, held.title), form, folder, table="table")
