"""The command ``glost mean-date``."""

from datetime import date
from pathlib import Path

import click

from glost.answer.group import pieces_of
from glost.answer.group import spread as reckon
from glost.report.results.mean_date import told
from glost.report.things import Kept
from glost.report.things.said import Said
from glost_cli import options, printing
from glost_cli.group import RECKON

PART = RECKON


@click.command()
@click.argument("pieces", nargs=-1, metavar="[PIECE]...")
@options.collection
@options.as_of
@options.report
@click.option("--of", metavar="THING", help="Pieces of that shape or pottery, or that show it.")
@click.option(
    "--years",
    type=click.IntRange(min=1),
    default=5,
    show_default=True,
    help="How many years a period has.",
)
@options.evidence
def mean_date(
    pieces: tuple[str, ...],
    folder: Path,
    as_of: date | None,
    form: str,
    of: str | None,
    years: int,
    evidence: bool,
) -> None:
    """Say what the dates of a group of pieces come to: their mean, and their spread over the years.

    The group is the PIECEs named, those of a thing, or all. The mean is South's mean ceramic
    date: of each shape the middle of the years it may have run, weighed by the pieces of it. The
    spread shares each piece out over the days between its limits (aoristic weights); "possible"
    counts it in every period it may belong to.

    \b
    Examples:
      glost mean-date --of tamsin
      glost mean-date wv-001 wv-031 wv-056 --years 10
    """
    with options.snapshot(folder, as_of) as snapshot:
        found = reckon(snapshot, pieces_of(snapshot, pieces, of), years)
        made = told(found, Said(Kept(snapshot), evidence))
    printing.report(made, form, folder, evidence, "spread")
