"""The command ``glost show``."""

from datetime import date
from pathlib import Path

import click
from rich.text import Text

from glost.answer.showing import Shown, Told, find_thing
from glost.answer.showing import show as show_thing
from glost_cli import options, printing
from glost_cli.group import ASK

PART = ASK


@click.command()
@click.argument("thing")
@options.collection
@options.as_of
@options.words
@click.option("--named", is_flag=True, help="Also show claims about other things that name it.")
def show(thing: str, folder: Path, as_of: date | None, form: str, named: bool) -> None:
    """Show THING with every claim about it, current and withdrawn, and what each rests on.

    THING is kind/id (shape/alder), an id, a name, or the id of a claim.
    """
    with options.snapshot(folder, as_of) as snapshot:
        iri = find_thing(snapshot.stored, thing)
        shown = show_thing(snapshot.stored, iri, as_of, snapshot.following(iri), snapshot.labels)
    if form == "json":
        printing.as_json(shown.as_dict())
    else:
        _print_shown(shown, named)


def _print_shown(shown: Shown, named: bool) -> None:
    console = printing.console()
    kinds = f" ({', '.join(shown.kinds)})" if shown.kinds else ""
    console.print(Text(f"{shown.name}{kinds}", style="bold"))
    console.print(Text(shown.iri, style="dim"))
    for told in shown.told:
        _print_told(told)
    if shown.named and named:
        console.print(Text("\nNamed in", style="bold"))
        for told in shown.named:
            _print_told(told)
    elif shown.named:
        count = len(shown.named)
        console.print(f"\nNamed in {count} other claim{'' if count == 1 else 's'}; see --named.")
    if shown.follows:
        console.print(Text("\nWhat follows", style="bold"))
        for text in shown.follows:
            console.print(Text(f"  {text}"))


def _print_told(told: Told) -> None:
    console = printing.console()
    mark = "WITHDRAWN  " if told.status == "withdrawn" else ""
    certainty = f" ({told.side.certainty})" if told.side.certainty else ""
    console.print(Text(f"\n  {mark}{told.side.says}{certainty}"))
    place = ", ".join(part for part in (told.side.source, told.side.passage) if part)
    console.print(Text(f"      {place}", style="dim"))
    recorded = f"; {told.recorded}" if told.recorded else ""
    claim = told.side.claim.rsplit("/", 1)[-1]
    console.print(Text(f"      claim {claim}  [{told.side.read_from}]{recorded}", style="dim"))
    if told.why:
        console.print(Text(f"      {told.why}"))
    for lost in told.lost:
        console.print(Text(f"      WITHDRAWN of it  {lost.says}"))
        console.print(Text(f"          {lost.why}"))
    if told.note:
        console.print(Text(f"      Note: {told.note}"))
