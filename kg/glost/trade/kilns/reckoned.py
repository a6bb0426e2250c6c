"""A reckoned figure with its working: a range, the formula in words, and what went into it."""

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from itertools import product

from glost.record.claims import Claim, in_order

UNITS = {
    "minute": "min", "hour": "h", "day": "days", "week": "weeks", "fortnight": "fortnights",
    "year": "years", "foot": "ft", "inch": "in", "meter": "m", "degC": "C", "degF": "F",
    "piece": "pieces", "saggar": "saggars", "ton": "tons",
}  # fmt: skip
"""Short words for units; a unit not named here is written as it is called."""
AT_LEAST = "at least"
"""What limits a figure that nothing bounds above."""


def number(value: Fraction) -> str:
    """Write a figure with as many places as its size needs, two at most, and none left over."""
    size = abs(value)
    places = 0 if size >= 10000 else 1 if size >= 1000 else 2
    if 0 < size < Fraction(1, 100):
        return f"{float(value):.2g}"
    text = f"{float(round(value, places)):,.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def ranged(low: Fraction, high: Fraction, unit: str) -> str:
    """Write a range, or a single figure if it is none, with its unit."""
    ends = number(low) if number(low) == number(high) else f"{number(low)} to {number(high)}"
    return f"{ends} {unit_words(unit)}".rstrip()


def unit_words(unit: str) -> str:
    """Write a unit, or so much of it in some time, in short words."""
    of, per, time = unit.partition(" a ")
    return UNITS.get(of, of) + per + time


@dataclass(frozen=True, slots=True)
class Input:
    """A figure that goes into a reckoning.

    Attributes
    ----------
    name
        What it is: ``push interval``.
    low, high
        The least and the most it may be, in `unit`. Where sources differ, the least and the most
        that any of them gives.
    unit
        Its unit.
    given
        As each source writes it; empty if no source gives it.
    claims
        The claims that give it.
    assumed
        What is assumed of it, and on what ground; empty if sources give it outright.
    """

    name: str
    low: Fraction
    high: Fraction
    unit: str
    given: tuple[str, ...] = ()
    claims: tuple[Claim, ...] = ()
    assumed: str = ""

    @property
    def disputed(self) -> bool:
        """Whether sources give it differently."""
        return len(set(self.given)) > 1

    def words(self) -> str:
        """Say what it is, as written, and what is assumed."""
        parts = [" or ".join(self.given)] if self.given else []
        if self.assumed:
            parts.append(f"assumed {ranged(self.low, self.high, self.unit)}: {self.assumed}")
        return f"{self.name} {'; '.join(parts)}"


@dataclass(frozen=True, slots=True)
class Reckoned:
    """A figure that no source gives, reckoned from some that sources give or that are assumed.

    Attributes
    ----------
    name
        What it is: ``residence in the kiln``.
    low, high
        The least and the most it comes to over all that its inputs may be.
    unit
        Its unit.
    formula
        How it is reckoned, in words.
    inputs
        What goes into it.
    limit
        ``at least``, ``no faster than`` and so on where the figure is only a bound; empty where it
        is the figure itself. ``at least`` leaves it open above `low`.
    """

    name: str
    low: Fraction
    high: Fraction
    unit: str
    formula: str
    inputs: tuple[Input, ...]
    limit: str = ""

    @property
    def claims(self) -> tuple[Claim, ...]:
        """The claims it rests on, each once, sorted by file and row."""
        return in_order(claim for each in self.inputs for claim in each.claims)

    @property
    def assumptions(self) -> tuple[str, ...]:
        """What is assumed in it, in words, each once."""
        return tuple(dict.fromkeys(each.words() for each in self.inputs if each.assumed))

    def value(self) -> str:
        """Write the figure, its range, or what it is a bound of, with its unit."""
        high = self.low if self.limit == AT_LEAST else self.high
        return f"{self.limit} {ranged(self.low, high, self.unit)}".lstrip()

    def words(self) -> str:
        """Say the figure with its working; what is assumed is always said."""
        working = "; ".join(dict.fromkeys(each.words() for each in self.inputs))
        return f"{self.name}: {self.value()} ({self.formula}; {working})"


def reckon(
    name: str,
    unit: str,
    formula: str,
    function: Callable[..., Fraction],
    *inputs: Input,
    limit: str = "",
) -> Reckoned:
    """Reckon a figure at the least and most of its inputs, and keep the working.

    Parameters
    ----------
    name, unit, formula
        What it is, its unit, and how it is reckoned, in words.
    function
        Reckons it from a value of each input, in their order. It must rise or fall steadily with
        each of them, so that its least and most lie at their ends.
    inputs
        What goes into it.
    limit
        What makes the figure a bound only; see `Reckoned`.
    """
    corners = product(*(sorted({each.low, each.high}) for each in inputs))
    values = [function(*corner) for corner in corners]
    return Reckoned(name, min(values), max(values), unit, formula, inputs, limit)
