"""What is reckoned of a periodic kiln: firings, output, the room its setting and chamber take."""

from collections.abc import Iterator
from fractions import Fraction

from rdflib import URIRef

from glost.names import GLOST, SCHEMES
from glost.record.quantities import convert
from glost.trade.kilns.figures import Figure, Figures
from glost.trade.kilns.reckoned import Input, Reckoned, reckon
from glost.trade.kilns.settings import PI, SettingError, read_setting

_ROUND = URIRef(f"{SCHEMES}kiln-kind/bottle")


class Periodic:
    """The inputs of one periodic kiln.

    Attributes
    ----------
    cycle
        Time from one filling to the next, in days: what sources give, or for a bottle kiln what
        is assumed; None for others.
    setting
        Ware in one setting; None if no source gives it.
    """

    def __init__(self, figures: Figures, kiln: URIRef) -> None:
        self.figures = figures
        self.kiln = kiln
        self.bottle = _ROUND in figures.kinds(kiln)
        self.cycle = figures.input(kiln, GLOST.cycle, "day")
        if self.cycle is None and self.bottle:
            self.cycle = figures.assumed["cycle"].input()
        self.setting = figures.input(kiln, GLOST.setting)

    def reckonings(self) -> Iterator[Reckoned]:
        """Reckon all that the figures allow."""
        days = self.figures.assumed["days-in-use"].input()
        if self.cycle:
            yield reckon(
                "firings a year", "firings a year", "days a year in use / cycle",
                lambda d, c: d / c, days, self.cycle,
            )  # fmt: skip
        output = self.output()
        if output and self.cycle and self.setting:
            yield output
            yield reckon(
                "output of a year", f"{self.setting.unit} a year",
                "setting x days a year in use / cycle", lambda s, d, c: s * d / c,
                self.setting, days, self.cycle,
            )  # fmt: skip
        yield from self._room()

    def output(self) -> Reckoned | None:
        """Reckon the output of a day, taken over whole cycles, in the unit of the setting."""
        if self.setting is None or self.cycle is None:
            return None
        return reckon(
            "output", f"{self.setting.unit} a day", "setting / cycle", lambda s, c: s / c,
            self.setting, self.cycle,
        )  # fmt: skip

    def _room(self) -> Iterator[Reckoned]:
        chamber, setting = self.chamber(), self.saggars()
        if chamber:
            yield reckon(
                "room in the chamber", "cubic ft", "an upright cylinder, the crown left out",
                cylinder, *chamber,
            )  # fmt: skip
        if setting:
            yield reckon(
                "room the setting takes", "cubic ft",
                "saggars x their size, ovals taken as ellipses", lambda s: s, setting,
            )  # fmt: skip
        if chamber and setting:
            yield reckon(
                "share of the chamber that the setting takes", "per cent",
                "room the setting takes / room in the chamber",
                lambda s, d, h: s * 100 / cylinder(d, h), setting, *chamber,
            )  # fmt: skip

    def saggars(self) -> Input | None:
        """Return the room that the saggars of a setting take, in cubic feet."""
        figures: list[Figure] = []
        volumes: list[Fraction] = []
        for figure in self.figures.all(self.kiln, GLOST.setting):
            try:
                parts = read_setting(figure.amount.written)
            except SettingError:
                continue
            metres = sum((part.volume for part in parts), Fraction(0))
            figures.append(figure)
            volumes.append(convert(metres, "meter**3", "foot**3"))
        if not figures:
            return None
        joined = self.figures.join("setting", "saggar", figures)
        return Input("setting", min(volumes), max(volumes), "cubic ft", joined.given, joined.claims)

    def chamber(self) -> tuple[Input, Input] | None:
        """Return diameter and height of a round chamber in feet, the height perhaps assumed."""
        diameter = self.figures.input(self.kiln, GLOST.innerDiameter, "foot")
        if diameter is None:
            return None
        height = self.figures.input(self.kiln, GLOST.innerHeight, "foot")
        if height is None and self.bottle:
            share = self.figures.assumed["height"]
            height = Input(
                share.what, diameter.low * share.low / 100, diameter.high * share.high / 100,
                "foot", assumed=share.ground,
            )  # fmt: skip
        return None if height is None else (diameter, height)


def cylinder(diameter: Fraction, height: Fraction) -> Fraction:
    """Return the room in an upright cylinder, in the cube of the unit given."""
    return PI / 4 * diameter * diameter * height
