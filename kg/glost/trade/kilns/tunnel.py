"""What is reckoned of a tunnel kiln: cars, speed, time in the kiln and its zones, output.

*Common practice*: cars stand end to end on the track, and each push moves all of them on by one.
"""

from collections.abc import Iterator
from fractions import Fraction
from math import ceil, floor

from rdflib import URIRef

from glost.names import GLOST
from glost.record.claims import in_order
from glost.trade.kilns.figures import Figures
from glost.trade.kilns.reckoned import Input, Reckoned, ranged, reckon


class Tunnel:
    """The inputs of one tunnel kiln.

    Attributes
    ----------
    length, pitch, cars, push, ware
        Overall length, car pitch, cars in the kiln, push interval in minutes, ware per car; None
        where neither a source gives it nor others of them yield it.
    unit
        ``foot`` or ``meter``, in which lengths are reckoned.
    """

    def __init__(self, figures: Figures, kiln: URIRef) -> None:
        self.figures = figures
        self.kiln = kiln
        lengths = [
            figure
            for property_ in (GLOST.overallLength, GLOST.carPitch)
            for figure in figures.all(kiln, property_)
        ]
        self.unit = "foot" if any(f.amount.unit == "foot" for f in lengths) else "meter"
        self.length = figures.input(kiln, GLOST.overallLength, self.unit)
        self.push = figures.input(kiln, GLOST.pushInterval, "minute")
        self.ware = figures.input(kiln, GLOST.warePerCar)
        pitch = _positive(figures.input(kiln, GLOST.carPitch, self.unit))
        cars = _positive(figures.input(kiln, GLOST.carCount, "cars"))
        self.pitch = pitch or self._pitch(cars)
        self.cars = cars or self._cars(pitch)

    def _pitch(self, cars: Input | None) -> Input | None:
        if cars is None or self.length is None:
            return None
        return Input(
            "car pitch", self.length.low / cars.high, self.length.high / cars.low, self.unit,
            claims=in_order((*self.length.claims, *cars.claims)),
            assumed=f"{_of(cars)} take up the whole of {_of(self.length)}",
        )  # fmt: skip

    def _cars(self, pitch: Input | None) -> Input | None:
        if pitch is None or self.length is None:
            return None
        low, high = self.length.low / pitch.high, self.length.high / pitch.low
        return Input(
            "cars in the kiln", Fraction(floor(low)), Fraction(ceil(high)), "cars",
            claims=in_order((*self.length.claims, *pitch.claims)),
            assumed=f"cars of {_of(pitch)} stand over the whole of {_of(self.length)}",
        )  # fmt: skip

    def reckonings(self) -> Iterator[Reckoned]:
        """Reckon all that the figures allow."""
        yield from self._moving()
        yield from self._output()

    def _moving(self) -> Iterator[Reckoned]:
        cars, pitch, push = self.cars, self.pitch, self.push
        if push and pitch:
            yield reckon(
                "speed", "ft/h" if self.unit == "foot" else "m/h",
                "car pitch / push interval", lambda p, t: p * 60 / t, pitch, push,
            )  # fmt: skip
        if push:
            yield reckon(
                "cars a day", "cars a day", "24 h / push interval", lambda t: 1440 / t, push
            )
        residence = self.residence()
        if residence:
            yield residence
        if cars and pitch and self.length and cars.given and pitch.given:
            yield reckon(
                "length taken up by cars", "per cent",
                "cars x car pitch / overall length", lambda c, p, o: c * p * 100 / o,
                cars, pitch, self.length,
            )  # fmt: skip

    def residence(self) -> Reckoned | None:
        """Reckon how long ware was in the kiln, in hours."""
        if self.cars is None or self.push is None:
            return None
        return reckon(
            "time in the kiln", "hour", "cars in the kiln x push interval",
            lambda c, t: c * t / 60, self.cars, self.push,
        )  # fmt: skip

    def hours(self, name: str, length: Input) -> Reckoned | None:
        """Reckon how long a car took to pass a length, in hours."""
        if self.push is None or self.pitch is None:
            return None
        return reckon(
            name, "hour", "length x push interval / car pitch",
            lambda z, t, p: z * t / p / 60, length, self.push, self.pitch,
        )  # fmt: skip

    def rate(
        self, name: str, length: Input, start: Input, end: Input, remark: str = "", limit: str = ""
    ) -> Reckoned | None:
        """Reckon how fast the ware grew hotter, or cooler if below nought, on the average."""
        if self.push is None or self.pitch is None:
            return None
        return reckon(
            name, "C/h",
            f"(temperature at the end - at the start) / time in the zone{remark}",
            lambda a, b, z, t, p: (b - a) * p * 60 / (z * t),
            start, end, length, self.push, self.pitch, limit=limit,
        )  # fmt: skip

    def output(self) -> Reckoned | None:
        """Reckon the output of a day, in the unit ware was counted in."""
        if self.push is None or self.ware is None:
            return None
        return reckon(
            "output", f"{self.ware.unit} a day", "24 h / push interval x ware per car",
            lambda t, w: 1440 / t * w, self.push, self.ware,
        )  # fmt: skip

    def _output(self) -> Iterator[Reckoned]:
        output = self.output()
        if output:
            yield output
        if self.cars and self.ware:
            yield reckon(
                "ware in the kiln", self.ware.unit, "cars in the kiln x ware per car",
                lambda c, w: c * w, self.cars, self.ware,
            )  # fmt: skip
        if output and self.push and self.ware:
            yield reckon(
                "output of a year", f"{self.ware.unit} a year",
                "output of a day x days a year in use", lambda t, w, d: 1440 / t * w * d,
                self.push, self.ware, self.figures.assumed["days-in-use"].input(),
            )  # fmt: skip


def _positive(given: Input | None) -> Input | None:
    return given if given and given.low > 0 else None


def _of(given: Input) -> str:
    return (
        " or ".join(given.given) if given.unit != "cars" else ranged(given.low, given.high, "cars")
    )
