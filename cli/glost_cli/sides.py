"""How claims that bear on a date are printed."""

from collections.abc import Iterable
from itertools import groupby

from rich.text import Text

from glost.findings import Side
from glost_cli import printing

ROWS = 3
"""So many claims that say the very same are printed; JSON has them all."""


def print_sides(sides: Iterable[Side]) -> None:
    """Print what each claim says, where it says so; of many rows that say the same, a few."""
    console = printing.console()
    for says, group in groupby(sides, key=lambda side: side.says):
        told = list(group)
        console.print(Text(f"        {says}"))
        for side in told[:ROWS]:
            place = ", ".join(part for part in (side.source, side.passage) if part)
            claim = side.claim.rsplit("/", 1)[-1]
            where = f"{place}  [{side.read_from}, claim {claim}]"
            console.print(Text(f"            {where}", style="dim"))
        if len(told) > ROWS:
            more = f"and {len(told) - ROWS} more rows; --as json names them"
            console.print(Text(f"            {more}", style="dim"))
