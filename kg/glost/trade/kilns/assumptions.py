"""What is assumed where no source gives a figure; always said, and open to change."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache

from glost.record.errors import nearest
from glost.trade.kilns.amounts import rows
from glost.trade.kilns.reckoned import Input


class AssumptionError(ValueError):
    """An assumption that is not known, or whose range cannot be read; the message says which."""


@dataclass(frozen=True, slots=True)
class Assumption:
    """A figure taken for want of a source.

    Attributes
    ----------
    name
        By which it is set otherwise.
    low, high, unit
        Its range.
    what
        What it is the figure of.
    ground
        Why so much.
    """

    name: str
    low: Fraction
    high: Fraction
    unit: str
    what: str
    ground: str

    def input(self) -> Input:
        """Return it as something that goes into a reckoning."""
        return Input(self.what, self.low, self.high, self.unit, assumed=self.ground)


Assumptions = Mapping[str, Assumption]


@cache
def usual() -> Assumptions:
    """Read what is assumed unless told otherwise. Read-only."""
    return {
        row["name"]: Assumption(
            row["name"],
            Fraction(row["low"]),
            Fraction(row["high"]),
            row["unit"],
            row["what"],
            row["ground"],
        )
        for row in rows("assumptions.csv")
    }


def assumptions(*settings: str) -> Assumptions:
    """Return what is assumed, some of it set otherwise.

    Parameters
    ----------
    settings
        ``days-in-use=350`` or ``days-in-use=340..360``, in the unit of the assumption.

    Raises
    ------
    AssumptionError
        If there is no such assumption, or no such range.
    """
    made = dict(usual())
    for setting in settings:
        name, _, text = setting.partition("=")
        if name not in made:
            near = nearest(name, made)
            remedy = f'did you mean "{near}"?' if near else f"there are {', '.join(sorted(made))}"
            raise AssumptionError(f'nothing called "{name}" is assumed; {remedy}')
        low, _, high = text.partition("..")
        try:
            ends = Fraction(low), Fraction(high or low)
        except (ValueError, ZeroDivisionError):
            ends = Fraction(0), Fraction(-1)
        if ends[0] > ends[1] or (ends[0] <= 0 and not name.endswith("temperature")):
            example = f"{name}={made[name].low}..{made[name].high}"
            raise AssumptionError(f'"{setting}" is no range; write it like {example}')
        made[name] = replace(made[name], low=ends[0], high=ends[1], ground="as asked for")
    return made
