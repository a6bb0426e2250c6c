"""What sources say of a kiln in figures, ready to reckon with; every source's figure is kept."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import partial

from rdflib import URIRef
from rdflib.namespace import SKOS
from rdflib.term import Node

from glost.data import concepts
from glost.names import GLOST, SCHEMES
from glost.record.belief import Belief
from glost.record.claims import Claim, Triple, in_order
from glost.record.quantities import LengthError, convert, read_length
from glost.trade.kilns.amounts import (
    Amount,
    AmountError,
    read_rate,
    read_temperature,
    read_time,
    read_ware,
)
from glost.trade.kilns.assumptions import Assumptions
from glost.trade.kilns.reckoned import Input
from glost.trade.kilns.settings import SettingError, read_setting

TUNNEL = URIRef(f"{SCHEMES}kiln-kind/tunnel")
PERIODIC = URIRef(f"{SCHEMES}kiln-kind/periodic")


def _length(text: str) -> Amount:
    length = read_length(text)
    unit = "foot" if length.unit in ("foot", "inch", "yard") else "meter"
    value = convert(length.metres, "meter", unit)
    return Amount(text, value, value, unit, length.approximate)


def _setting(text: str) -> Amount:
    try:
        count = Fraction(sum(part.count for part in read_setting(text)))
    except SettingError:
        return read_ware(text)
    return Amount(text, count, count, "saggar")


def _count(text: str) -> Amount:
    return Amount(text, Fraction(text), Fraction(text), "cars")


READERS: dict[URIRef, tuple[str, Callable[[str], Amount]]] = {
    GLOST.overallLength: ("overall length", _length),
    GLOST.innerDiameter: ("diameter", _length),
    GLOST.innerHeight: ("height", _length),
    GLOST.innerWidth: ("width", _length),
    GLOST.carCount: ("cars in the kiln", _count),
    GLOST.carPitch: ("car pitch", _length),
    GLOST.pushInterval: ("push interval", read_time),
    GLOST.warePerCar: ("ware per car", read_ware),
    GLOST.cycle: ("cycle", read_time),
    GLOST.setting: ("setting", _setting),
    GLOST.statedOutput: ("output stated", read_rate),
    GLOST.zoneLength: ("length", _length),
    GLOST.peakTemperature: ("highest temperature", read_temperature),
}
"""Properties whose values are figures: what each is called, and how its text is read."""


SEVERAL = "several, number not stated"
"""What is told in place of a number where a source does not count kilns."""


@dataclass(frozen=True, slots=True)
class KilnCount:
    """For how many kilns an entry stands.

    Attributes
    ----------
    low, high
        The least and the most; `high` is None where a source says several and does not count.
    stated
        Whether any source says that it stands for more than one.
    claims
        The claims that say so.
    """

    low: int = 1
    high: int | None = 1
    stated: bool = False
    claims: tuple[Claim, ...] = ()

    @property
    def words(self) -> str:
        """The number in words for a cell of a table."""
        if self.high is None:
            return SEVERAL if self.low <= 2 else f"{self.low} or more"
        return str(self.low) if self.low == self.high else f"{self.low} to {self.high}"


def count_of(belief: Belief, kiln: Node) -> KilnCount:
    """Return for how many kilns an entry stands; one if no source says otherwise.

    Where sources differ, the least and the most that any of them allows.
    """
    said = belief.texts(kiln, GLOST.kilnCount)
    if not said:
        return KilnCount()
    numbers = [int(text) for text in said if text.isdigit()]
    low = min([2] if len(numbers) < len(said) else numbers)
    return KilnCount(
        low,
        max(numbers) if len(numbers) == len(said) else None,
        True,
        in_order(belief.saying(kiln, GLOST.kilnCount)),
    )


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure of a kiln or zone as one text gives it.

    Attributes
    ----------
    statement
        The statement that gives it.
    amount
        What its text comes to.
    claims
        The claims that make the statement.
    """

    statement: Triple
    amount: Amount
    claims: tuple[Claim, ...]


class Figures:
    """Every figure believed of kilns and their zones.

    Parameters
    ----------
    belief
        What is believed.
    assumed
        What is assumed for want of a source.
    """

    def __init__(self, belief: Belief, assumed: Assumptions) -> None:
        self.belief = belief
        self.assumed = assumed

    def all(self, thing: Node, property_: URIRef) -> tuple[Figure, ...]:
        """Return the figures of a thing that can be read, the least first."""
        found = []
        for value, claims in self.belief.said(thing, property_):
            try:
                amount = READERS[property_][1](str(value))
            except (AmountError, LengthError):
                continue
            found.append(Figure((thing, property_, value), amount, claims))
        return tuple(sorted(found, key=lambda f: (f.amount.unit, f.amount.low, f.amount.written)))

    def input(self, thing: Node, property_: URIRef, unit: str = "", name: str = "") -> Input | None:
        """Return what sources say as one input that spans them all, or None if none says it.

        Parameters
        ----------
        thing, property_
            What it is said of, and what is said.
        unit
            The unit to reckon in; that of the first figure if empty. Figures that cannot be
            turned into it are left out: ware counted otherwise.
        name
            What to call it; as `READERS` has it if empty.
        """
        figures = self.all(thing, property_)
        if not figures:
            return None
        unit = unit or figures[0].amount.unit
        same = [f for f in figures if f.amount.unit == unit or _convertible(f.amount.unit, unit)]
        return self.join(name or READERS[property_][0], unit, same) if same else None

    def join(self, name: str, unit: str, figures: Iterable[Figure]) -> Input:
        """Make one input of several figures, in `unit`."""
        figures = sorted(
            figures, key=lambda f: (convert(f.amount.low, f.amount.unit, unit), f.amount.written)
        )
        about = self.assumed["about"]
        ends = []
        for figure in figures:
            amount = figure.amount
            for end, share in ((amount.low, about.low), (amount.high, about.high)):
                value = convert(end, amount.unit, unit)
                ends.append(value * share / 100 if amount.about else value)
        return Input(
            name,
            min(ends),
            max(ends),
            unit,
            tuple(dict.fromkeys(figure.amount.written for figure in figures)),
            in_order(claim for figure in figures for claim in figure.claims),
            about.what if any(figure.amount.about for figure in figures) else "",
        )

    def said(self, thing: Node) -> Iterator[Figure]:
        """Give every figure that can be read of a thing, in the order of `READERS`."""
        for property_ in READERS:
            yield from self.all(thing, property_)

    def kinds(self, kiln: Node) -> frozenset[URIRef]:
        """Return the kinds of a kiln and every wider kind."""
        found = self.belief.values(kiln, GLOST.kilnKind)
        return frozenset(wide for kind in found for wide in wider(kind))

    def zones(self, kiln: Node) -> tuple[URIRef, ...]:
        """Return the zones of a kiln, from the entrance on as far as their order is given."""
        zones = self.belief.having(GLOST.zoneOf, kiln)
        return tuple(sorted(zones, key=partial(_place, self.belief)))


def _place(belief: Belief, zone: URIRef) -> tuple[int, str]:
    return min(map(int, belief.texts(zone, GLOST.zoneOrder)), default=10**6), str(zone)


def wider(concept: Node) -> tuple[URIRef, ...]:
    """Return a concept and every wider one, of the published schemes."""
    found = concepts().transitive_objects(concept, SKOS.broader)
    return tuple(wide for wide in found if isinstance(wide, URIRef))


def _convertible(unit: str, to: str) -> bool:
    kinds = ({"minute", "hour", "day", "week", "fortnight", "year"}, {"foot", "meter"},
             {"degC", "degF"})  # fmt: skip
    return any(unit in kind and to in kind for kind in kinds)
