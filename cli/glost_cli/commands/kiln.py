"""The command ``glost kiln``."""

from datetime import date
from pathlib import Path

import click
from rdflib import URIRef
from rich.text import Text

from glost.answer.showing import find_thing
from glost.answer.snapshot import Snapshot
from glost.trade.kilns.assumptions import Assumptions
from glost.trade.kilns.cones import Chart, ConeError, chart, charts
from glost.trade.kilns.reckoned import Reckoned
from glost.trade.kilns.report import KilnReport, kiln_report
from glost_cli import options, printing, working
from glost_cli.group import RECKON

PART = RECKON


@click.command()
@click.argument("kiln_", metavar="KILN")
@options.collection
@options.as_of
@options.form
@working.assume
@click.option(
    "--cones",
    metavar="CHART",
    type=click.Choice(sorted(charts())),
    help="Turn cones into temperatures by this chart: " + "; ".join(sorted(charts())) + ".",
)
@click.option("--evidence", is_flag=True, help="Print the claims under each figure.")
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
        report = _kiln_report(snapshot, iri, assumed, chart(cones) if cones else None)
        if form == "json":
            printing.as_json(report.as_dict())
        elif form == "csv":
            printing.as_csv(_COLUMNS, [_row(of.of, of.reckoned) for of in report.reckoned])
        else:
            _print_kiln(report, snapshot, evidence)


def _kiln_report(
    snapshot: Snapshot, iri: URIRef, assumed: Assumptions, by: Chart | None
) -> KilnReport:
    try:
        return kiln_report(snapshot.kept, snapshot.labels, iri, assumed, by)
    except ConeError as bad:
        raise click.BadParameter(str(bad), param_hint="--cones") from None


_COLUMNS = (
    "of", "figure", "low", "high", "unit", "formula", "inputs", "assumed", "claims",
)  # fmt: skip


def _row(of: str, figure: Reckoned) -> list[str]:
    plain = figure.as_dict()
    return [
        of,
        figure.name,
        repr(plain["low"]),
        repr(plain["high"]),
        plain["unit"],
        figure.formula,
        "; ".join(each.words() for each in figure.inputs),
        " | ".join(figure.assumptions),
        " ".join(str(claim.iri) for claim in figure.claims),
    ]


def _print_kiln(report: KilnReport, snapshot: Snapshot, evidence: bool) -> None:
    working.heading(report.name, report.kiln)
    said = [
        (each.of, each.what, each.written, working.sources(snapshot, each.claims))
        for each in report.said
    ]
    printing.table(["of", "what", "as written", "by"], said, "The sources say")
    notes = _Notes()
    rows = [
        (of.of, of.reckoned.name, of.reckoned.value(), notes.working(of.reckoned))
        for of in report.reckoned
    ]
    click.echo()
    if rows:
        printing.table(["of", "figure", "value", "from"], rows, "We reckon")
    else:
        click.echo("Nothing can be reckoned from this.")
    notes.print()
    if evidence:
        for line in report.reckoned:
            working.print_evidence(
                snapshot, f"{line.of} {line.reckoned.name}".strip(), line.reckoned.claims
            )
    working.end(report.findings, report.cautions)


class _Notes:
    """Numbers what is assumed, so that a table can refer to it."""

    def __init__(self) -> None:
        self.texts: list[str] = []

    def number(self, text: str) -> str:
        """Return the number of a note, new or given before."""
        if text not in self.texts:
            self.texts.append(text)
        return f"assumption {self.texts.index(text) + 1}"

    def working(self, figure: Reckoned) -> str:
        """Tell formula and inputs, each assumption by its number."""
        parts = [
            f"{each.name} {' or '.join(each.given)}".strip() if each.given else each.name
            for each in figure.inputs
        ]
        told = [
            f"{part} ({self.number(each.words())})" if each.assumed else part
            for part, each in zip(parts, figure.inputs, strict=True)
        ]
        return f"{figure.formula}: {'; '.join(dict.fromkeys(told))}"

    def print(self) -> None:
        """Print the notes."""
        if self.texts:
            click.echo("\nAssumed, where no source tells:")
        for place, text in enumerate(self.texts, 1):
            printing.console().print(Text(f"  {place}. {text}"))
