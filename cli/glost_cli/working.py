"""What the commands on kilns and plants share: assumptions, and the working of a reckoning."""

from collections.abc import Callable, Iterable, Sequence
from typing import Any, TypeVar

import click
from rdflib import URIRef
from rich.text import Text

from glost.answer.snapshot import Snapshot
from glost.findings import Finding
from glost.record.claims import Claim
from glost.trade.cautions import Caution
from glost.trade.kilns.assumptions import AssumptionError, Assumptions, assumptions, usual
from glost.words.labels import label
from glost_cli import printing

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


def heading(name: str, iri: URIRef) -> None:
    """Print what a report is about."""
    printing.console().print(Text(name, style="bold"))
    printing.console().print(Text(f"{iri}\n", style="dim"))


def sources(snapshot: Snapshot, claims: Iterable[Claim]) -> str:
    """Name the source of each claim and the place in it, each once, with how sure it is."""
    places = []
    for claim in claims:
        source = label(claim.passage.source, snapshot.labels)
        place = ", ".join(part for part in (source, claim.passage.locator) if part)
        sure = f" ({label(claim.certainty, snapshot.labels)})" if claim.certainty else ""
        places.append(place + sure)
    return "; ".join(dict.fromkeys(places))


def print_evidence(snapshot: Snapshot, title: str, claims: Sequence[Claim]) -> None:
    """Print a title and the claims under it, if there are any."""
    if claims:
        printing.console().print(Text(f"\n{title}", style="bold"))
        printing.support(claims, snapshot.labels)


def end(findings: Sequence[Finding], cautions: Sequence[Caution]) -> None:
    """Print where figures disagree, and the cautions."""
    if findings:
        click.echo("\nWhere figures disagree:\n")
        printing.findings(findings)
    else:
        click.echo()
    for caution in cautions:
        printing.console().print(Text(f"{caution.heading}. ", style="bold"), Text(caution.text))
