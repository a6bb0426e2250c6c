"""Lengths as sources write them, reckoned exactly and kept as written."""

import csv
import re
import unicodedata
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from pathlib import Path

_WORDS = {
    "ft": "foot", "foot": "foot", "feet": "foot", "'": "foot",
    "in": "inch", "ins": "inch", "inch": "inch", "inches": "inch", '"': "inch",
    "yd": "yard", "yds": "yard", "yard": "yard", "yards": "yard",
    "m": "meter", "metre": "meter", "metres": "meter", "meter": "meter", "meters": "meter",
    "cm": "centimeter", "mm": "millimeter",
}  # fmt: skip
_ABOUT = re.compile(r"(?:about|abt\.?|approx\.?|c\.|ca\.?|circa|some|nearly|over|~)\s*", re.I)
_PART = re.compile(
    r"""\s*,?\s*(?:(?P<whole>[0-9]+(?:\.[0-9]+)?)(?:[\s-]+(?P<top>[0-9]+)\s*/\s*(?P<bottom>[1-9][0-9]*))?
    |(?P<alone>[0-9]+)\s*/\s*(?P<under>[1-9][0-9]*))\s*(?P<unit>[A-Za-z]+|'|")\.?""",
    re.VERBOSE,
)
_FRACTIONS = "½¼¾⅛⅜⅝⅞⅓⅔"
_FRACTION = re.compile(f"([0-9])([{_FRACTIONS}])")
_SIGNS = str.maketrans({"′": "'", "’": "'", "″": '"', "”": '"'})


class LengthError(ValueError):
    """A length that cannot be read.

    Attributes
    ----------
    text, reason, remedy
        The length as written, why it cannot be read, and what to do.
    """

    def __init__(self, text: str, reason: str) -> None:
        self.text = text
        self.reason = reason
        self.remedy = "write it like 355 ft, 12 ft 6 in, 9 7/8 in or 3.81 m"
        super().__init__(f'"{text}": {reason}')


@dataclass(frozen=True, slots=True)
class Length:
    """A length.

    Attributes
    ----------
    written
        As the source writes it.
    metres
        Exactly, in metres: the foot is 0.3048 m by the international yard and pound agreement of
        1959. What a foot was in an older source may differ by parts in a million.
    approximate
        Whether the source says that it is about so much.
    unit
        The largest unit written: ``foot``, ``inch``, ``yard``, ``meter`` and so on.
    """

    written: str
    metres: Fraction
    approximate: bool
    unit: str


@cache
def read_length(text: str) -> Length:
    """Read a length: ``355 ft``, ``12 ft 6 in``, ``12' 6"``, ``7½ in``, ``3.81 m``.

    Raises
    ------
    LengthError
        If there is no unit, an unknown one, or anything besides the length.
    """
    plain = spelt_out(text.strip().translate(_SIGNS))
    about = _ABOUT.match(plain)
    at = about.end() if about else 0
    total, units = Fraction(0), []
    while at < len(plain):
        part = _PART.match(plain, at)
        if part is None:
            rest = plain[at:].strip()
            reason = (
                "it has no unit" if re.fullmatch(r"[0-9./ ]+", rest) else f'"{rest}" is unclear'
            )
            raise LengthError(text, reason)
        unit = _WORDS.get(part["unit"].lower())
        if unit is None:
            raise LengthError(text, f'"{part["unit"]}" is no unit of length')
        total += _number(part) * _metres(unit)
        units.append(unit)
        at = part.end()
    if not units:
        raise LengthError(text, "there is no figure")
    return Length(text, total, about is not None, units[0])


def spelt_out(text: str) -> str:
    """Write ``7½`` as ``7 1/2``, and signs of compatibility as plain ones.

    Figures that are not 0 to 9 stay what they are, so that ``12² in`` is not read as 122 inches.
    """
    if text.isascii():
        return text
    return "".join(map(_plain, _FRACTION.sub(r"\1 \2", text)))


def _plain(sign: str) -> str:
    plain = unicodedata.normalize("NFKC", sign).replace("\u2044", "/")
    return plain if sign in _FRACTIONS or not any(map(str.isdigit, plain)) else sign


def _number(part: re.Match[str]) -> Fraction:
    if part["alone"]:
        return Fraction(int(part["alone"]), int(part["under"]))
    fraction = Fraction(int(part["top"]), int(part["bottom"])) if part["top"] else Fraction(0)
    return Fraction(part["whole"]) + fraction


@dataclass(frozen=True, slots=True)
class _Unit:
    kind: str
    factor: Fraction
    zero: Fraction


@cache
def _units() -> dict[str, _Unit]:
    """Read the table of units, `units.csv`."""
    lines = Path(__file__).with_name("units.csv").read_text(encoding="utf-8").splitlines()
    rows = csv.DictReader(line for line in lines if not line.startswith("#"))
    return {
        row["unit"]: _Unit(row["kind"], Fraction(row["factor"]), Fraction(row["zero"]))
        for row in rows
    }


def convert(value: Fraction, unit: str, to: str) -> Fraction:
    """Turn a value into another unit of its kind, exactly.

    Parameters
    ----------
    value
        The value.
    unit, to
        Names of units, as in `units.csv`: ``minute``, ``degF``, ``foot``.

    Raises
    ------
    ValueError
        If they are not of one kind.
    """
    if unit == to:
        return value
    units = _units()
    if unit not in units or to not in units or units[unit].kind != units[to].kind:
        raise ValueError(f"{unit} cannot be turned into {to}")
    one, other = units[unit], units[to]
    return (value - one.zero) * one.factor / other.factor + other.zero


def _metres(unit: str) -> Fraction:
    return convert(Fraction(1), unit, "meter")


def words(metres: Fraction, unit: str) -> str:
    """Write a length in feet and inches if `unit` is of that kind, else in metres.

    Inches are rounded to the nearest sixteenth, metres to the millimetre.
    """
    if unit not in ("foot", "inch", "yard"):
        return f"{float(metres):.3f}".rstrip("0").rstrip(".") + " m"
    sixteenths = round(metres / _metres("inch") * 16)
    feet, rest = divmod(sixteenths, 12 * 16)
    inches, part = divmod(rest, 16)
    parts = [f"{feet} ft"] if feet else []
    if inches or part or not feet:
        fraction = f" {Fraction(part, 16)}" if part else ""
        parts.append(f"{inches}{fraction} in" if inches or not part else f"{fraction.strip()} in")
    return " ".join(parts)


def decimal(metres: Fraction) -> str:
    """Write metres as a plain decimal, exact where it ends within nine places."""
    whole, rest = divmod(round(metres * 10**9), 10**9)
    text = f"{whole}.{rest:09d}".rstrip("0")
    return text + "0" if text.endswith(".") else text
