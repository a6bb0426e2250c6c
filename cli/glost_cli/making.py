"""The command on kilns, and what it shares with that on plants."""

from collections.abc import Callable, Iterable, Sequence
from datetime import date
from pathlib import Path
from typing import Any, TypeVar

import click
from rdflib import URIRef
from rich.text import Text

from glost.answer.desk import Desk
from glost.answer.showing import find_thing
from glost.findings import Finding
from glost.record.claims import Claim
from glost.record.wording import label
from glost.trade.cautions import Caution
from glost.trade.kilns.assumptions import AssumptionError, Assumptions, assumptions, usual
from glost.trade.kilns.cones import Chart, ConeError, chart, charts
from glost.trade.kilns.reckoned import Reckoned
from glost.trade.kilns.report import KilnReport, kiln_report
from glost_cli import options, printing

Command = TypeVar("Command", bound=Callable[..., Any])


def assume(command: Command) -> Command:
    """Add the options that set assumptions and list them."""
    command = click.option(
        "--assume",
        "settings",
        multiple=True,
        metavar="NAME=LOW..HIGH",
        help="Assume otherwise for want of a source; --assumptions lists the names.",
    )(command)
    return click.option(
        "--assumptions",
        is_flag=True,
        is_eager=True,
        expose_value=False,
        callback=_list_assumptions,
        help="List what is assumed where no source gives a figure, and end.",
    )(command)


def _list_assumptions(ctx: click.Context, _: click.Parameter, asked: bool) -> None:
    if asked:
        rows = [
            (name, f"{each.low}..{each.high} {each.unit}", each.what, each.ground)
            for name, each in sorted(usual().items())
        ]
        printing.table(["name", "range", "what", "ground"], rows)
        ctx.exit()


def settled(settings: tuple[str, ...]) -> Assumptions:
    """Read what is to be assumed, as the option gives it."""
    try:
        return assumptions(*settings)
    except AssumptionError as bad:
        raise click.BadParameter(str(bad), param_hint="--assume") from None


@click.command()
@click.argument("kiln_", metavar="KILN")
@options.collection
@options.as_of
@options.form
@assume
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
    assumed = settled(settings)
    with options.desk(folder, as_of) as desk:
        iri = find_thing(desk.record, kiln_, "kiln")
        report = _kiln_report(desk, iri, assumed, chart(cones) if cones else None)
        if form == "json":
            printing.as_json(report.as_dict())
        elif form == "csv":
            printing.as_csv(_COLUMNS, [_row(of.of, of.reckoned) for of in report.reckoned])
        else:
            _print_kiln(report, desk, evidence)


def _kiln_report(desk: Desk, iri: URIRef, assumed: Assumptions, by: Chart | None) -> KilnReport:
    try:
        return kiln_report(desk.belief, desk.graph, iri, assumed, by)
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


def _print_kiln(report: KilnReport, desk: Desk, evidence: bool) -> None:
    heading(report.name, report.kiln)
    said = [(each.of, each.what, each.written, sources(desk, each.claims)) for each in report.said]
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
            print_evidence(desk, f"{line.of} {line.reckoned.name}".strip(), line.reckoned.claims)
    end(report.findings, report.cautions)


def heading(name: str, iri: URIRef) -> None:
    """Print what a report is about."""
    printing.console().print(Text(name, style="bold"))
    printing.console().print(Text(f"{iri}\n", style="dim"))


def sources(desk: Desk, claims: Iterable[Claim]) -> str:
    """Name the source of each claim and the place in it, each once, with how sure it is."""
    places = []
    for claim in claims:
        source = label(claim.passage.source, desk.graph)
        place = ", ".join(part for part in (source, claim.passage.locator) if part)
        sure = f" ({label(claim.certainty, desk.graph)})" if claim.certainty else ""
        places.append(place + sure)
    return "; ".join(dict.fromkeys(places))


def print_evidence(desk: Desk, title: str, claims: Sequence[Claim]) -> None:
    """Print a title and the claims under it, if there are any."""
    if claims:
        printing.console().print(Text(f"\n{title}", style="bold"))
        printing.support(claims, desk.graph)


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


def end(findings: Sequence[Finding], cautions: Sequence[Caution]) -> None:
    """Print where figures disagree, and the cautions."""
    if findings:
        click.echo("\nWhere figures disagree:\n")
        printing.findings(findings)
    else:
        click.echo()
    for caution in cautions:
        printing.console().print(Text(f"{caution.heading}. ", style="bold"), Text(caution.text))
