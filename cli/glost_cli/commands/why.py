"""The command ``glost why``."""

from datetime import date
from pathlib import Path

import click
from rich.text import Text

from glost.answer import reasons
from glost.findings import Side
from glost_cli import options, printing
from glost_cli.group import ASK

PART = ASK


@click.command()
@click.argument("subject")
@click.argument("property_", metavar="PROPERTY")
@click.argument("value")
@options.collection
@options.as_of
@click.option(
    "--as",
    "form",
    type=click.Choice(["text", "json", "prov"]),
    default="text",
    show_default=True,
    help="Words, JSON, or PROV-O in Turtle.",
)
@click.option("--all", "every", is_flag=True, help="Print every minimal set of claims instead.")
@click.option(
    "--cap",
    type=click.IntRange(min=1),
    default=128,
    show_default=True,
    help="With --all: how many sets to look for.",
)
def why(
    subject: str,
    property_: str,
    value: str,
    folder: Path,
    as_of: date | None,
    form: str,
    every: bool,
    cap: int,
) -> None:
    """Say why a statement holds: the shortest proof, down to the claims and their passages.

    The statement is written SUBJECT PROPERTY VALUE: a thing, a property's name or label, and a
    thing, a term of a list (form/plate) or a name.

    \b
    Example:
      glost why treatment/a12 appearsOn shape/alder
    """
    with options.snapshot(folder, as_of) as snapshot:
        triple = reasons.statement(snapshot, subject, property_, value)
        if form == "prov":
            click.echo(reasons.prov_graph(snapshot, triple).serialize(format="turtle"), nl=False)
        elif every:
            _print_supports(*reasons.supports(snapshot, triple, cap), form, cap)
        else:
            _print_steps(reasons.why(snapshot, triple), form)


def _place(side: Side) -> str:
    place = ", ".join(part for part in (side.source, side.passage) if part)
    return f"{place}  [{side.read_from}, claim {side.claim.rsplit('/', 1)[-1]}]"


def _print_steps(steps: tuple[reasons.ProofStep, ...], form: str) -> None:
    if form == "json":
        printing.as_json(
            [
                {
                    "depth": s.depth,
                    "says": s.says,
                    "rule": s.rule,
                    "claims": [side.claim for side in s.sides],
                    "places": [_place(e) for e in s.sides],
                }
                for s in steps
            ]
        )
        return
    console = printing.console()
    for step in steps:
        indent = "    " * step.depth
        rule = f"   (by {step.rule}, from)" if step.rule else ""
        console.print(Text(f"{indent}{step.says}{rule}"))
        for side in step.sides:
            console.print(Text(f"{indent}    {_place(side)}", style="dim"))


def _print_supports(sets: list[list[Side]], cut: bool, form: str, cap: int) -> None:
    if form == "json":
        printing.as_json({"sets": [[side.claim for side in found] for found in sets], "cut": cut})
        return
    console = printing.console()
    for number, found in enumerate(sets, 1):
        console.print(Text(f"{number}. by itself enough:", style="bold"))
        for side in found:
            console.print(Text(f"    {side.says}"))
            console.print(Text(f"        {_place(side)}", style="dim"))
    if cut:
        console.print(f"There may be more: the search was cut at {cap} sets; see --cap.")
