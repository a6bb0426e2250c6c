"""Cautions that belong with glazed and decorated ware and with kilns, as data with their sources.

The wording stands in ``cautions.csv`` and the limits in ``leaching_limits.csv``. Nothing here
judges a piece, a glaze or a kiln: laboratories, licensed practice and local codes do.
"""

import csv
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from importlib.resources import files

_HERE = files(__name__)
_METALS = {"Pb": "lead", "Cd": "cadmium"}


@dataclass(frozen=True, slots=True)
class ReleaseLimit:
    """How much of a metal an authority lets ware give off in the test it prescribes.

    Attributes
    ----------
    authority
        Who sets the limit, and where.
    year
        Year of the rule; empty where the rule has none of its own.
    category
        The ware it is set for, as the authority divides ware; not the trade's flatware and
        hollow ware.
    metal
        ``lead`` or ``cadmium``.
    limit
        The figure, in `unit`.
    unit
        As the authority gives it; 1 ug/mL is 1 mg/L, while mg/dm2 is by area and no such thing.
    criterion
        How the figure is compared with samples; empty if not known.
    standing
        ``verified`` if the figure was read in the rule, ``memory`` if it was not at hand.
    criterion_standing
        The same of the criterion; empty if there is none.
    """

    authority: str
    year: str
    category: str
    metal: str
    limit: Decimal
    unit: str
    criterion: str
    standing: str
    criterion_standing: str

    def __str__(self) -> str:
        """Return the limit in words, with its standing."""
        criterion = f", {self.criterion}" if self.criterion else ""
        if self.criterion and self.criterion_standing != self.standing:
            criterion += f" ({self.criterion_standing})"
        return f"{self.metal} {self.limit} {self.unit}, {self.category}{criterion}"


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution.

    Attributes
    ----------
    name
        Its id in ``cautions.csv``.
    of
        Local names of the classes it belongs with.
    heading, text
        What it is about, and what it says.
    source
        The rule it rests on; empty for common practice.
    standing
        ``verified``, ``memory`` or ``common practice``.
    limits
        The limits printed with it; none for most.
    """

    name: str
    of: frozenset[str]
    heading: str
    text: str
    source: str
    standing: str
    limits: tuple[ReleaseLimit, ...] = ()


@cache
def limits() -> tuple[ReleaseLimit, ...]:
    """Read the limits of lead and cadmium, in the order of the file."""
    return tuple(
        ReleaseLimit(
            authority=row["authority"],
            year=row["year"],
            category=row["category"],
            metal=_METALS[row["metal"]],
            limit=Decimal(row["limit"]),
            unit=row["unit"],
            criterion=row["criterion"],
            standing=row["standing"],
            criterion_standing=row["criterion_standing"],
        )
        for row in _rows("leaching_limits.csv")
    )


@cache
def all_cautions() -> tuple[Caution, ...]:
    """Read every caution, in the order of the file."""
    return tuple(
        Caution(
            name=row["caution"],
            of=frozenset(row["of"].split("|")),
            heading=row["heading"],
            text=row["text"],
            source=row["source"],
            standing=row["standing"],
            limits=limits() if row["limits"] == "yes" else (),
        )
        for row in _rows("cautions.csv")
    )


def cautions_for(kinds: Iterable[str]) -> tuple[Caution, ...]:
    """Find the cautions that belong with a thing.

    Parameters
    ----------
    kinds
        Local names of its classes: ``Piece``, ``Kiln``, ``TunnelKiln``.

    Returns
    -------
    tuple of Caution
        In the order of the file; empty if none belongs with such things.
    """
    wanted = frozenset(kinds)
    return tuple(caution for caution in all_cautions() if caution.of & wanted)


def _rows(name: str) -> list[dict[str, str]]:
    text = _HERE.joinpath(name).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))
