"""The command ``glost when``."""

from datetime import date
from pathlib import Path

import click
from rich.text import Text

from glost.answer.dated import LimitInWords, When
from glost.answer.dated import when as when_happened
from glost.answer.showing import find_thing
from glost_cli import options, printing
from glost_cli.group import RECKON
from glost_cli.meaning import meant
from glost_cli.sides import print_sides

PART = RECKON


@click.command()
@click.argument("thing")
@options.collection
@options.as_of
@options.words
@click.option("--year", type=int, metavar="YEAR", help="Say if it was in production in that year.")
@click.option("--with", "other", metavar="OTHER", help="Say how its run may lie to that of OTHER.")
def when(
    thing: str, folder: Path, as_of: date | None, form: str, year: int | None, other: str | None
) -> None:
    """Say when THING happened, as all sources together bound it, and why.

    THING is a shape, a redesign of an article, a treatment, mark, glaze, kiln, plant, pottery or
    person (its beginning and end), a piece (its making and decorating) or a source; a group of
    shapes stands for its members. Each limit is printed with the shortest
    argument for it and every claim behind that. "In dispute" says that sources contradict one
    another on it; the limits are then those that glost conflicts would give, and "in any case" says
    what holds whichever is right. So does what --year says: yes, no, possibly or not known.

    \b
    Examples:
      glost when halewin --year 1930
      glost when shape/moraine --with shape/bretelle
    """
    with options.snapshot(folder, as_of) as snapshot:
        asked = meant(snapshot, thing, record=snapshot.stored)
        further = find_thing(snapshot.stored, other) if other is not None else None
        times, words = snapshot.stored_times, snapshot.labels
        found = [when_happened(times, words, each, year, further) for each in asked.things]
        if form == "json":
            asked.print_json(snapshot, found)
            return
        asked.print_heading(snapshot)
        for each in found:
            _print_when(each)


def _print_when(found: When) -> None:
    console = printing.console()
    for point in (*found.points, *found.redesigns):
        dispute = f"  (in dispute; in any case {point.in_any_case})" if point.disputed else ""
        console.print(Text(f"{point.name} {point.words}{dispute}", style="bold"))
        for limit in (point.not_before, point.not_after):
            if limit is not None:
                _print_limit(limit)
        console.print()
    if found.year is not None:
        dispute = " (in dispute)" if any(point.disputed for point in found.points) else ""
        console.print(Text(f"In production in {found.year}: {found.production}{dispute}."))
    if found.other:
        console.print(Text(f"{found.name} may lie to {found.other} so:", style="bold"))
        for name, words in found.relations:
            console.print(Text(f"    {name}: {found.name} {words}"))


def _print_limit(limit: LimitInWords) -> None:
    console = printing.console()
    console.print(Text(f"    {limit.because}"))
    print_sides(limit.sides)
    for why in limit.rules:
        console.print(Text(f"        {why}", style="italic"))
