"""Pyrometric cones, kept as cones; a temperature only by a named chart, kind of cone and rate."""

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from glost.record.claims import Claim
from glost.record.errors import nearest
from glost.trade.kilns.amounts import rows
from glost.trade.kilns.reckoned import Input

_CONE = re.compile(r"(?:cone|orton|no\.?|#|\^)*\s*([0-9]{1,3})", re.I)


class ConeError(ValueError):
    """A chart that is not known, or a cone that a chart does not hold; the message says which."""


@dataclass(frozen=True, slots=True)
class Chart:
    """A chart of cones: of which kind, at which rate of heating, from which edition.

    Attributes
    ----------
    name
        By which it is asked for.
    cones, rate, edition
        The kind of cone, the rate of heating and the edition.
    standing
        How its figures were read.
    ends
        End point of each cone in degrees C.
    """

    name: str
    cones: str
    rate: str
    edition: str
    standing: str
    ends: dict[str, Fraction]

    def words(self) -> str:
        """Name chart, kind of cone and rate."""
        return f"Orton {self.cones} at {self.rate}, {self.edition} ({self.standing})"

    def temperature(self, cone: str, claims: tuple[Claim, ...] = ()) -> Input:
        """Turn a cone into the temperature at which the chart has it down.

        Raises
        ------
        ConeError
            If it is no single cone, or the chart does not hold it.
        """
        found = _CONE.fullmatch(cone.strip())
        end = self.ends.get(found[1]) if found else None
        if end is None:
            raise ConeError(f'the chart {self.name} has no cone "{cone}"')
        given = (f"cone {found[1]}",) if found else ()
        return Input("highest temperature", end, end, "degC", given, claims, self.words())


@cache
def charts() -> dict[str, Chart]:
    """Read the charts. Read-only."""
    ends = list(rows("orton_cones.csv"))
    return {
        row["chart"]: Chart(
            row["chart"],
            row["cones"],
            row["rate"],
            row["edition"],
            row["standing"],
            {each["cone"]: Fraction(each[row["chart"]]) for each in ends if each[row["chart"]]},
        )
        for row in rows("cone_charts.csv")
    }


def chart(name: str) -> Chart:
    """Find a chart by name.

    Raises
    ------
    ConeError
        If there is none of that name; says which there are.
    """
    found = charts().get(name)
    if found is None:
        near = nearest(name, charts())
        remedy = f'did you mean "{near}"?' if near else f"there are {', '.join(sorted(charts()))}"
        raise ConeError(f'there is no chart of cones called "{name}"; {remedy}')
    return found
