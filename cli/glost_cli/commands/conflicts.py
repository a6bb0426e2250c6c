"""The command ``glost conflicts``."""

from datetime import date
from pathlib import Path

import click
from rich.text import Text

from glost.answer.dated import Settlement, Settling, settlement
from glost.words.english import count
from glost_cli import options, printing
from glost_cli.group import RECKON
from glost_cli.sides import print_sides

PART = RECKON


@click.command()
@options.collection
@options.as_of
@options.words
@click.pass_context
def conflicts(ctx: click.Context, folder: Path, as_of: date | None, form: str) -> None:
    """Show which dates cannot all hold, and the least that would have to be set aside.

    For each contradiction two arguments that meet, with every claim; then what it would cost
    least to set aside so that the rest agrees, with everything else that would cost as little;
    then what would change. Nothing is changed: record what you decide with glost correct.

    What it costs to set a claim aside follows from the certainty it states and from [trust] in
    collection.toml. Ends with 1 if anything clashes.
    """
    with options.snapshot(folder, as_of) as snapshot:
        found = settlement(snapshot.chronology, snapshot.words)
    if form == "json":
        printing.as_json(found)
    else:
        _print_settlement(found)
    if found.settlings:
        ctx.exit(1)


def _print_settlement(found: Settlement) -> None:
    console = printing.console()
    if not found.settlings:
        console.print("No dates clash.")
        return
    for number, settling in enumerate(found.settlings, 1):
        _print_settling(number, settling)
    console.print(Text("If the first of each were set aside", style="bold"))
    rows = [(each.name, each.before, each.after) for each in found.consequences]
    printing.table(["what", "as recorded", "then"], rows)


def _print_settling(number: int, settling: Settling) -> None:
    console = printing.console()
    what = count(len(settling.clashes), "contradiction")
    console.print(Text(f"{number}. {what}", style="bold"))
    for clash in settling.clashes:
        console.print(Text(f"    {clash.words}"))
        print_sides(clash.sides)
    console.print(Text(f"    Least costly to set aside (cost {settling.cost:g}):", style="bold"))
    for place, option in enumerate(settling.options):
        console.print(Text(f"      {'or ' if place else ''}{'; and '.join(option.says)}"))
        names = ", ".join(claim.rsplit("/", 1)[-1] for claim in option.claims)
        console.print(Text(f"            claims {names}", style="dim"))
    if not settling.complete:
        console.print("      There is more that would cost as little.")
    console.print()
