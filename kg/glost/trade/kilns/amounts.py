"""Times, temperatures and amounts of ware as sources write them, read exactly."""

import csv
import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from importlib.resources import files

from glost.record.quantities import convert, spelt_out

_ABOUT = re.compile(r"(?:about|abt\.?|approx\.?|c\.|ca\.?|circa|some|~)\s*", re.I)
_BOUND = re.compile(
    r"(?P<least>over|more than|at least|upwards of)\s+"
    r"|(?P<most>under|less than|at most|up to|nearly)\s+",
    re.I,
)
_FIGURE = r"(?:[0-9]{1,3}(?:,[0-9]{3})+|[0-9]+)(?:\.[0-9]+)?"
_NUMBER = rf"(?:[0-9]+/[1-9][0-9]*|{_FIGURE}(?:[\s-]+[0-9]+/[1-9][0-9]*)?|[A-Za-z]+)"
_RANGE = re.compile(rf"({_NUMBER})(?:\s*(?:-|–|to|or)\s*({_NUMBER}))?\s*", re.I)
_DEGREES = re.compile(r"(?:degrees?|deg\.?)\s*|°\s*(?![cf]\b)", re.I)
_UNIT = re.compile(r"[^\s0-9,]+")
_NEXT = re.compile(r"[\s,]*(?:and\s+)?")
_PER = re.compile(r"\s*(?:\ba\b|\ban\b|\bper\b|\beach\b|\bevery\b|/)\s*", re.I)
_REMEDIES = {
    "time": "write it like 55 min, 2 h or 14 days",
    "temperature": "write it like 1190 C or 2200 F",
    "ware": "write it like 278 dozen or 1,900 saggars",
    "rate": "write it like 7200 dozen a day",
}


class AmountError(ValueError):
    """An amount that cannot be read.

    Attributes
    ----------
    text, reason, remedy
        The amount as written, why it cannot be read, and what to do.
    """

    def __init__(self, text: str, reason: str, kind: str) -> None:
        self.text = text
        self.reason = reason
        self.remedy = _REMEDIES[kind]
        super().__init__(f'"{text}": {reason}; {self.remedy}')


@dataclass(frozen=True, slots=True)
class Amount:
    """An amount as a source writes it.

    Attributes
    ----------
    written
        As the source writes it.
    low, high
        The figure, or the two ends of a range, in `unit`.
    unit
        ``minute``, ``degC``, ``dozen`` and so on; for a rate of ware, what is counted.
    about
        Whether the source says that it is about so much.
    bound
        ``least`` or ``most`` if the source says more or less than so much; else empty.
    """

    written: str
    low: Fraction
    high: Fraction
    unit: str
    about: bool = False
    bound: str = ""


def read_time(text: str) -> Amount:
    """Read a length of time: ``55 min``, ``1 h 30 min``, ``14 to 15 days``, ``two weeks``.

    Returns
    -------
    Amount
        In the first unit written. A week has seven days, a year 365 1/4.

    Raises
    ------
    AmountError
        If there is no figure or unit, anything besides, or nothing of it.
    """
    return _positive(_added(_spans(text, "time"), text, "time"), "time")


def read_temperature(text: str) -> Amount:
    """Read a temperature: ``1190 C``, ``2200 F``, ``1180 to 1200 °C``; kept in its own degrees.

    Raises
    ------
    AmountError
        If there is no figure or unit, or anything besides.
    """
    return _added(_spans(text, "temperature"), text, "temperature")


def read_ware(text: str) -> Amount:
    """Read an amount of ware: ``278 dozen``, ``1,900 saggars``. Units are never turned into others.

    Raises
    ------
    AmountError
        If there is no figure or unit, anything besides, or nothing of it.
    """
    return _positive(_added(_spans(text, "ware"), text, "ware"), "ware")


def read_rate(text: str) -> Amount:
    """Read an output, ``over 7200 dozen per 24 hours``, as ware a day.

    Raises
    ------
    AmountError
        If ware or time is missing, or there is anything besides.
    """
    for parted in _PER.finditer(text):
        ware, time = text[: parted.start()], text[parted.end() :]
        try:
            made, within = read_ware(ware), read_time(time if time[:1].isdigit() else f"1 {time}")
        except AmountError:
            continue
        days = convert(within.low, within.unit, "day")
        return Amount(text, made.low / days, made.high / days, made.unit, made.about, made.bound)
    raise AmountError(text, "it is not so much ware in so much time", "rate")


def _spans(text: str, kind: str) -> Iterator[tuple[Fraction, Fraction, str]]:
    plain = spelt_out(_bare(text)[0])
    at = 0
    while at < len(plain):
        found = _RANGE.match(plain, at)
        if found is None:
            raise AmountError(text, f'"{plain[at:].strip()}" is unclear', kind)
        low = _number(found[1], text, kind)
        high = low if found[2] is None else _number(found[2], text, kind)
        if high < low:
            raise AmountError(text, "the range ends below its start", kind)
        at = found.end()
        degrees = _DEGREES.match(plain, at) if kind == "temperature" else None
        at = degrees.end() if degrees else at
        word = _UNIT.match(plain, at)
        if word is None:
            raise AmountError(text, "it has no unit", kind)
        unit = _units().get((kind, word[0].casefold().rstrip(".")))
        if unit is None:
            raise AmountError(text, f'"{word[0]}" is no unit of {kind}', kind)
        yield low, high, unit
        further = _NEXT.match(plain, word.end())
        at = further.end() if further else word.end()


def _bare(text: str) -> tuple[str, bool, str]:
    """Take "about" and "over" from the front of a text."""
    rest, about, bound = text.strip(), False, ""
    while True:
        if found := _BOUND.match(rest):
            bound = "least" if found["least"] else "most"
        elif found := _ABOUT.match(rest):
            about = True
        else:
            return rest, about, bound
        rest = rest[found.end() :]


def _added(spans: Iterator[tuple[Fraction, Fraction, str]], text: str, kind: str) -> Amount:
    found = list(spans)
    if not found:
        raise AmountError(text, "there is no figure", kind)
    if len(found) > 1 and kind != "time":
        raise AmountError(text, "there are two figures", kind)
    unit = found[0][2]
    low = sum((convert(a, u, unit) for a, _, u in found), Fraction(0))
    high = sum((convert(b, u, unit) for _, b, u in found), Fraction(0))
    _, about, bound = _bare(text)
    return Amount(text, low, high, unit, about, bound)


def _positive(amount: Amount, kind: str) -> Amount:
    if amount.low <= 0:
        raise AmountError(amount.written, "it is nothing", kind)
    return amount


def _number(word: str, text: str, kind: str) -> Fraction:
    if word[0] in "0123456789":
        return sum(map(Fraction, re.split(r"[\s-]+", word.replace(",", ""))), Fraction(0))
    number = _words().get(word.casefold())
    if number is None:
        raise AmountError(text, f'"{word}" is no figure', kind)
    return number


def rows(name: str) -> Iterator[dict[str, str]]:
    """Read a data file that lies beside this module; lines that begin with ``#`` are remarks."""
    lines = files(__package__).joinpath(name).read_text(encoding="utf-8").splitlines()
    yield from csv.DictReader(line for line in lines if not line.startswith("#"))


@cache
def _units() -> dict[tuple[str, str], str]:
    return {
        (row["kind"], word): row["unit"]
        for row in rows("units.csv")
        for word in row["words"].split()
    }


@cache
def _words() -> dict[str, Fraction]:
    return {row["word"]: Fraction(row["number"]) for row in rows("numbers.csv")}
