"""The command ``glost when``."""

from datetime import date
from pathlib import Path

import click

from glost.answer.dated import when as when_happened
from glost.answer.showing import find_thing
from glost.report.results.when import told
from glost.report.things import Kept
from glost.report.things.said import Said
from glost_cli import options, printing
from glost_cli.group import RECKON
from glost_cli.meaning import meant

PART = RECKON


@click.command()
@click.argument("thing")
@options.collection
@options.as_of
@options.report
@click.option("--year", type=int, metavar="YEAR", help="Say if it was in production in that year.")
@click.option("--with", "other", metavar="OTHER", help="Say how its run may lie to that of OTHER.")
def when(
    thing: str, folder: Path, as_of: date | None, form: str, year: int | None, other: str | None
) -> None:
    """Say when THING happened, as all sources together bound it, and why.

    THING is a shape, a redesign of an article, a treatment, mark, glaze, kiln, plant, pottery or
    person (its beginning and end), a piece (its making and decorating) or a source; a group of
    shapes stands for its members. Each limit is printed with the shortest
    argument for it and every claim behind that. "In dispute" says that sources contradict one
    another on it; the limits are then those that glost conflicts would give, and "in any case" says
    what holds whichever is right. So does what --year says: yes, no, possibly or not known.

    \b
    Examples:
      glost when halewin --year 1930
      glost when shape/moraine --with shape/bretelle
    """
    with options.snapshot(folder, as_of) as snapshot:
        asked = meant(snapshot, thing, record=snapshot.stored)
        further = find_thing(snapshot.stored, other) if other is not None else None
        times, words = snapshot.stored_times, snapshot.labels
        found = [when_happened(times, words, each, year, further) for each in asked.things]
        made = asked.report(snapshot, Said(Kept(snapshot)), [told(each) for each in found])
    printing.report(made, form, folder, beside=True, table="points")
