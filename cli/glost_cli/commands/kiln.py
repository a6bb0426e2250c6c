"""The command ``glost kiln``."""

from datetime import date
from pathlib import Path

import click

from glost.answer.showing import find_thing
from glost.report.results.kiln import told
from glost.report.things import Kept
from glost.report.things.said import Said
from glost.trade.kilns.cones import ConeError, chart, charts
from glost.trade.kilns.kiln import kiln_result
from glost_cli import options, printing, working
from glost_cli.group import RECKON

PART = RECKON


@click.command()
@click.argument("kiln_", metavar="KILN")
@options.collection
@options.as_of
@options.report
@working.assume
@click.option(
    "--cones",
    metavar="CHART",
    type=click.Choice(sorted(charts())),
    help="Turn cones into temperatures by this chart: " + "; ".join(sorted(charts())) + ".",
)
@options.evidence
def kiln(
    kiln_: str,
    folder: Path,
    as_of: date | None,
    form: str,
    settings: tuple[str, ...],
    cones: str | None,
    evidence: bool,
) -> None:
    """Say what sources say of KILN, and reckon what follows from it, with the working.

    Lengths, times and temperatures are kept as written and reckoned exactly: zones and shares,
    speed, time in the kiln and in each zone, rates of heating and cooling, output, ware in the
    kiln; for a periodic kiln firings a year, output and room. Whatever is assumed is said beside
    the figure, as a range. Cones stay cones unless a chart is named.

    These are reckonings for history, not for running a kiln.
    """
    assumed = working.settled(settings)
    with options.snapshot(folder, as_of) as snapshot:
        iri = find_thing(snapshot.stored, kiln_, "kiln")
        by = chart(cones) if cones else None
        try:
            found = kiln_result(snapshot.kept, snapshot.labels, iri, assumed, by)
        except ConeError as bad:
            raise click.BadParameter(str(bad), param_hint="--cones") from None
        made = told(found, Said(Kept(snapshot), evidence))
    printing.report(made, form, folder, evidence, table="reckoned")
