"""The command ``glost plant``."""

from datetime import date
from pathlib import Path

import click
from rich.text import Text

from glost.answer.showing import find_thing
from glost.answer.snapshot import Snapshot
from glost.trade.kilns.plants import Period, PlantReport, plant_report
from glost.trade.kilns.timeline import Days
from glost.words.spans import between
from glost_cli import options, printing, working
from glost_cli.group import RECKON

PART = RECKON


@click.command()
@click.argument("plant_", metavar="PLANT")
@options.collection
@options.as_of
@options.form
@working.assume
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
    assumed = working.settled(settings)
    with options.snapshot(folder, as_of) as snapshot:
        iri = find_thing(snapshot.record, plant_, "plant")
        report = plant_report(snapshot.belief, snapshot.words, iri, snapshot.chronology, assumed)
        if form == "json":
            printing.as_json(report.as_dict())
        elif form == "csv":
            printing.as_csv(_PERIODS, [_period(report, each) for each in report.periods])
        else:
            _print_plant(report, snapshot, evidence)


_PERIODS = (
    "firing", "first_year", "last_year", "kilns_certainly", "kilns_possibly", "number",
    "capacity_low", "capacity_high", "unit", "left_out", "assumed", "claims",
)  # fmt: skip


def _period(report: PlantReport, period: Period) -> list[str]:
    capacity = period.capacity
    return [
        report.names[period.firing],
        str(period.first),
        str(period.last),
        " ".join(map(str, period.certain)),
        " ".join(map(str, period.possible)),
        period.number,
        repr(float(capacity.low)) if capacity else "",
        repr(float(capacity.high)) if capacity and not capacity.limit else "",
        capacity.unit if capacity else "",
        " ".join(map(str, period.left_out)),
        " | ".join(capacity.assumptions) if capacity else "",
        " ".join(str(claim.iri) for claim in period.claims),
    ]


def _print_plant(report: PlantReport, snapshot: Snapshot, evidence: bool) -> None:
    working.heading(report.name, report.plant)
    if not report.stays:
        click.echo("No kiln is recorded in it.")
        working.end(report.findings, report.cautions)
        return
    kilns = [
        (
            report.names[stay.kiln],
            stay.count.words,
            ", ".join(report.names[kind] for kind in stay.kinds),
            ", ".join(report.names[firing] for firing in stay.firings),
            _between(stay.begin),
            _between(stay.end) + (" (in dispute)" if stay.disputed else ""),
            working.sources(snapshot, stay.claims),
        )
        for stay in report.stays
    ]
    printing.table(["kiln", "number", "kind", "firing", "began", "ended", "by"], kilns, "Its kilns")
    rows = [
        (
            report.names[each.firing],
            f"{each.first} to {each.last}" if each.last > each.first else str(each.first),
            each.number,
            each.capacity.value() if each.capacity else "not known",
            ", ".join(report.names[kiln] for kiln in each.left_out),
        )
        for each in report.periods
    ]
    _print_change(report, snapshot)
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
            working.print_evidence(snapshot, heading, each.claims)
    working.end(report.findings, report.cautions)


def _print_change(report: PlantReport, snapshot: Snapshot) -> None:
    change = report.change
    click.echo()
    rows = [("first tunnel kiln", _between(change.first_tunnel), "")]
    rows += [("last periodic kiln drawn", _between(change.last_periodic), "")]
    for each in change.conversions:
        what = f"{report.names[each.tunnel]} for {report.names[each.periodic]} ({each.basis})"
        rows.append((what, _between(each.days), working.sources(snapshot, each.claims)))
    printing.table(["what", "when", "by"], rows, "From periodic to tunnel kilns")
    told = f"Both kinds in use at one time, of the kilns on record: {change.side_by_side}"
    told += f" (what would decide it: {'; '.join(change.deciding)})" if change.deciding else ""
    told += f"; in dispute: {'; '.join(change.disputed)}" if change.disputed else ""
    printing.console().print(Text(f"{told}."))


def _between(days: Days) -> str:
    return "not known" if days == (None, None) else between(days)
