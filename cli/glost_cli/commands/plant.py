"""The command ``glost plant``."""

from datetime import date
from pathlib import Path

import click

from glost.answer.showing import find_thing
from glost.report.results.plant import told
from glost.report.things import Kept
from glost.report.things.said import Said
from glost.trade.kilns.plants import plant_result
from glost_cli import options, printing, working
from glost_cli.group import RECKON

PART = RECKON


@click.command()
@click.argument("plant_", metavar="PLANT")
@options.collection
@options.as_of
@options.report
@working.assume
@options.evidence
def plant(
    plant_: str,
    folder: Path,
    as_of: date | None,
    form: str,
    settings: tuple[str, ...],
    evidence: bool,
) -> None:
    """Show the kilns of PLANT through time, and what they came to, firing by firing.

    For each span of years: how many kilns were certainly and how many possibly in use on some day
    of each year, and their capacity as a range, with everything assumed said below. Kilns whose
    output nothing tells are counted and left out.

    These are reckonings for history, not for running a kiln.
    """
    assumed = working.settled(settings)
    with options.snapshot(folder, as_of) as snapshot:
        iri = find_thing(snapshot.stored, plant_, "plant")
        report = plant_result(snapshot.kept, snapshot.labels, iri, snapshot.stored_times, assumed)
        made = told(report, Said(Kept(snapshot), evidence))
    printing.report(made, form, folder, evidence, table="capacity")
