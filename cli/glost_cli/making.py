"""Commands on how ware was made: kilns and plants."""

from collections.abc import Callable, Iterable, Sequence
from datetime import date
from pathlib import Path
from typing import Any, TypeVar

import click
from rdflib import URIRef
from rich.text import Text

from glost.answer.desk import Desk
from glost.answer.showing import find_thing
from glost.record.claims import Claim
from glost.record.dates import to_iso
from glost.record.errors import RecordError, RecordErrors
from glost.record.wording import label
from glost.trade.cautions import Caution
from glost.trade.kilns.assumptions import AssumptionError, Assumptions, assumptions, usual
from glost.trade.kilns.cones import Chart, ConeError, chart, charts
from glost.trade.kilns.plants import Period, PlantReport, plant_report
from glost.trade.kilns.reckoned import Reckoned
from glost.trade.kilns.report import KilnReport, kiln_report
from glost.trade.kilns.timeline import Days, Stay, claimed_bounds
from glost_cli import options, printing

Command = TypeVar("Command", bound=Callable[..., Any])


def _assume(command: Command) -> Command:
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


def _assumptions(settings: tuple[str, ...]) -> Assumptions:
    try:
        return assumptions(*settings)
    except AssumptionError as bad:
        raise click.BadParameter(str(bad), param_hint="--assume") from None


def thing_of(desk: Desk, name: str, kind: str) -> URIRef:
    """Find a thing of one kind by id, kind/id or name.

    Raises
    ------
    RecordErrors
        If there is none, or it is of another kind.
    """
    record = desk.record
    named = name if name not in record.ids.get(kind, ()) else f"{kind}/{name}"
    found = find_thing(record, named)
    if not found.startswith(f"{record.base}{kind}/"):
        what = str(found).removeprefix(record.base)
        raise RecordErrors(
            [RecordError(str(record.collection.path), f'"{name}" is {what}', f"name a {kind}")]
        )
    return found


@click.command()
@click.argument("kiln_", metavar="KILN")
@options.collection
@options.as_of
@options.form
@_assume
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
    assumed = _assumptions(settings)
    with options.desk(folder, as_of) as desk:
        iri = thing_of(desk, kiln_, "kiln")
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
    _heading(report.name, report.kiln)
    said = [(each.of, each.what, each.written, _sources(desk, each.claims)) for each in report.said]
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
            _print_evidence(desk, f"{line.of} {line.reckoned.name}".strip(), line.reckoned.claims)
    _end(report.findings, report.cautions)


def _heading(name: str, iri: URIRef) -> None:
    printing.console().print(Text(name, style="bold"))
    printing.console().print(Text(f"{iri}\n", style="dim"))


def _sources(desk: Desk, claims: Iterable[Claim]) -> str:
    """Name the source of each claim and the place in it, each once."""
    places = (
        ", ".join(p for p in (label(c.passage.source, desk.graph), c.passage.locator) if p)
        for c in claims
    )
    return "; ".join(dict.fromkeys(places))


def _print_evidence(desk: Desk, heading: str, claims: Sequence[Claim]) -> None:
    if claims:
        printing.console().print(Text(f"\n{heading}", style="bold"))
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


def _end(findings: Sequence[Any], cautions: Sequence[Caution]) -> None:
    if findings:
        click.echo("\nWhere figures disagree:\n")
        printing.findings(findings)
    else:
        click.echo()
    for caution in cautions:
        printing.console().print(Text(f"{caution.heading}. ", style="bold"), Text(caution.text))


@click.command()
@click.argument("plant_", metavar="PLANT")
@options.collection
@options.as_of
@options.form
@_assume
@click.option("--evidence", is_flag=True, help="Print the claims under each line.")
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
    assumed = _assumptions(settings)
    with options.desk(folder, as_of) as desk:
        iri = thing_of(desk, plant_, "plant")
        bounds = claimed_bounds(desk.belief, desk.record.collection.margin)
        report = plant_report(desk.belief, desk.graph, iri, bounds, assumed)
        if form == "json":
            printing.as_json(report.as_dict())
        elif form == "csv":
            printing.as_csv(_PERIODS, [_period(report, each) for each in report.periods])
        else:
            _print_plant(report, desk, evidence)


_PERIODS = (
    "firing", "first_year", "last_year", "kilns_certainly", "kilns_possibly", "capacity_low",
    "capacity_high", "unit", "left_out", "assumed", "claims",
)  # fmt: skip


def _period(report: PlantReport, period: Period) -> list[str]:
    capacity = period.capacity
    return [
        report.names[period.firing],
        str(period.first),
        str(period.last),
        " ".join(map(str, period.certain)),
        " ".join(map(str, period.possible)),
        repr(float(capacity.low)) if capacity else "",
        repr(float(capacity.high)) if capacity else "",
        capacity.unit if capacity else "",
        " ".join(map(str, period.left_out)),
        " | ".join(capacity.assumptions) if capacity else "",
        " ".join(str(claim.iri) for claim in period.claims),
    ]


def _print_plant(report: PlantReport, desk: Desk, evidence: bool) -> None:
    _heading(report.name, report.plant)
    kilns = [
        (
            report.names[stay.kiln],
            ", ".join(report.names[kind] for kind in stay.kinds),
            ", ".join(report.names[firing] for firing in stay.firings),
            _between(stay.begin),
            _end_of(stay),
            _sources(desk, stay.claims),
        )
        for stay in report.stays
    ]
    printing.table(["kiln", "kind", "firing", "began", "ended", "by"], kilns, "Its kilns")
    rows = [
        (
            report.names[each.firing],
            f"{each.first} to {each.last}" if each.last > each.first else str(each.first),
            _count(len(each.certain), len(each.possible)),
            each.capacity.value() if each.capacity else "not known",
            ", ".join(report.names[kiln] for kiln in each.left_out),
        )
        for each in report.periods
    ]
    click.echo()
    columns = ["firing", "years", "kilns in use", "capacity", "left out of it: output not known"]
    printing.table(columns, rows, "What it could fire, as we reckon")
    if report.assumptions:
        click.echo("\nAssumed, where no source tells:")
        for place, text in enumerate(report.assumptions, 1):
            printing.console().print(Text(f"  {place}. {text}"))
    if evidence:
        for each in report.periods:
            heading = f"{report.names[each.firing]}, {each.first} to {each.last}"
            _print_evidence(desk, heading, each.claims)
    _end(report.findings, report.cautions)


def _count(certain: int, possible: int) -> str:
    return str(certain) if certain == possible else f"{certain} to {possible}"


def _between(days: Days) -> str:
    """Tell two days between which something fell; whole years and months as such."""
    first, last = (None if day is None else to_iso(day) for day in days)
    if days[0] is None or days[1] is None or first is None or last is None:
        return f"by {last}" if last else f"{first} or later" if first else "not known"
    after = to_iso(days[1] + 1)
    if first[:7] == last[:7] and first.endswith("-01") and after.endswith("-01"):
        return first[:7]
    first = first.removesuffix("-01-01")
    last = last[:4] if after.endswith("-01-01") else last
    return first if first == last else f"{first} to {last}"


def _end_of(stay: Stay) -> str:
    text = _between(stay.end)
    return f"{text} (assumed with its plant)" if stay.end_assumed and stay.end[1] else text
