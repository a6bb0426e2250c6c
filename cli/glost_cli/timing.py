"""Commands that say when things happened, and which dates cannot all hold."""

from collections.abc import Iterable
from datetime import date
from itertools import groupby
from pathlib import Path

import click
from rich.text import Text

from glost.answer.dated import Limit, Settlement, Settling, When, settlement
from glost.answer.dated import when as when_happened
from glost.answer.showing import find_thing
from glost.findings import Side
from glost_cli import options, printing
from glost_cli.meaning import meant

_ROWS = 3
"""So many claims that say the very same are printed; JSON has them all."""


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
    another on it; the limits are then those that glost settle would give, and "in any case" says
    what holds whichever is right. So does what --year says: yes, no, possibly or not known.

    \b
    Examples:
      glost when halewin --year 1930
      glost when shape/moraine --with shape/bretelle
    """
    with options.desk(folder, as_of) as desk:
        asked = meant(desk, thing)
        further = find_thing(desk.record, other) if other is not None else None
        found = [
            when_happened(desk.chronology, desk.graph, each, year, further) for each in asked.things
        ]
        if form == "json":
            asked.print_json(desk, [each.as_dict() for each in found])
            return
        asked.print_heading(desk)
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


def _print_limit(limit: Limit) -> None:
    console = printing.console()
    console.print(Text(f"    {limit.because}"))
    _print_sides(limit.sides)
    for why in limit.rules:
        console.print(Text(f"        {why}", style="italic"))


def _print_sides(sides: Iterable[Side]) -> None:
    """Print what each claim says, where it says so; of many rows that say the same, a few."""
    console = printing.console()
    for says, group in groupby(sides, key=lambda side: side.says):
        told = list(group)
        console.print(Text(f"        {says}"))
        for side in told[:_ROWS]:
            place = ", ".join(part for part in (side.source, side.passage) if part)
            claim = side.claim.rsplit("/", 1)[-1]
            where = f"{place}  [{side.read_from}, claim {claim}]"
            console.print(Text(f"            {where}", style="dim"))
        if len(told) > _ROWS:
            more = f"and {len(told) - _ROWS} more rows; --as json names them"
            console.print(Text(f"            {more}", style="dim"))


@click.command()
@options.collection
@options.as_of
@options.words
@click.pass_context
def settle(ctx: click.Context, folder: Path, as_of: date | None, form: str) -> None:
    """Show which dates cannot all hold, and the least that would have to be set aside.

    For each contradiction two arguments that meet, with every claim; then what it would cost
    least to set aside so that the rest agrees, with everything else that would cost as little;
    then what would change. Nothing is changed: record what you decide with glost correct.

    What it costs to set a claim aside follows from the certainty it states and from [trust] in
    collection.toml. Ends with 1 if anything clashes.
    """
    with options.desk(folder, as_of) as desk:
        found = settlement(desk.chronology, desk.graph)
    if form == "json":
        printing.as_json(found.as_dict())
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
    count = len(settling.clashes)
    what = "one contradiction" if count == 1 else f"{count} contradictions"
    console.print(Text(f"{number}. {what}", style="bold"))
    for clash in settling.clashes:
        console.print(Text(f"    {clash.words}"))
        _print_sides(clash.sides)
    console.print(Text(f"    Least costly to set aside (cost {settling.cost:g}):", style="bold"))
    for place, option in enumerate(settling.options):
        console.print(Text(f"      {'or ' if place else ''}{'; and '.join(option.says)}"))
        names = ", ".join(claim.rsplit("/", 1)[-1] for claim in option.claims)
        console.print(Text(f"            claims {names}", style="dim"))
    if not settling.complete:
        console.print("      There is more that would cost as little.")
    console.print()
