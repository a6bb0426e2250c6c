"""Wording on a piece that law or custom dates, and what its absence proves."""

import csv
import re
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from glost.record.dates import from_iso

MISSING = "No country is named. That proves little: much ware never bore a country's name."


@dataclass(frozen=True, slots=True)
class Custom:
    """A row of ``law.csv``: wording, and what law or custom says of it.

    Attributes
    ----------
    pattern
        A regular expression that the wording holds.
    not_before
        Day number of the day from which it holds; None if it has none.
    bounds
        Whether the piece cannot be older; if not, it is a hint from which nothing is reckoned.
    text
        What it says.
    source, standing
        What it rests on, and ``verified``, ``common practice`` or ``memory``.
    """

    pattern: str
    not_before: int | None
    bounds: bool
    text: str
    source: str
    standing: str


@cache
def customs() -> tuple[Custom, ...]:
    """Read what law and custom say of wording, in the order of the file."""
    text = files("glost.trade.dating").joinpath("law.csv").read_text(encoding="utf-8")
    return tuple(
        Custom(
            row["pattern"],
            from_iso(row["not_before"]) if row["not_before"] else None,
            row["bounds"] == "yes",
            row["text"],
            row["source"],
            row["standing"],
        )
        for row in csv.DictReader(text.splitlines())
    )


def customs_for(country: str, wording: str) -> tuple[Custom, ...]:
    """Find what law and custom say of the wording on a piece.

    Parameters
    ----------
    country
        The country wording; the row on naming a country speaks of it alone.
    wording
        Everything else that can be read.
    """
    *others, naming = customs()
    text = f"{country} {wording}"
    found = [custom for custom in others if re.search(custom.pattern, text)]
    if re.search(naming.pattern, country):
        found.append(naming)
    return tuple(found)
