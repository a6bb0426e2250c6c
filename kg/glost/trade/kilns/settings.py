"""What a periodic kiln was set with: saggars by number, form and size, and the room they take."""

import math
import re
from dataclasses import dataclass
from fractions import Fraction

from glost.record.quantities import LengthError, read_length
from glost.trade.kilns.amounts import rows

PI = Fraction(math.pi)
"""The number pi to sixteen figures."""

_PART = re.compile(r"(?P<count>[0-9][0-9,]*)\s+(?P<rest>[^0-9]*)(?P<sizes>.*)")
_BETWEEN = re.compile(r"\s*(?:;|\band\b|\+)\s*(?=[0-9][0-9,]*\s+[A-Za-z])")
_TIMES = re.compile(r"\s*(?:x|×|by)\s*", re.I)
_SIZES = {
    "round": "across and high",
    "oval": "length, breadth and height",
    "square": "length, breadth and height",
}
_REMEDY = 'write it like "694 oval saggars 9 x 18 x 12 in and 480 round, 11 in across x 12 in"'


class SettingError(ValueError):
    """A setting whose saggars cannot be read by form and size; the message says why."""


@dataclass(frozen=True, slots=True)
class Saggars:
    """Saggars of one form and size.

    Attributes
    ----------
    count
        How many.
    form
        ``round``, ``oval`` or ``square``.
    sizes
        In exact metres: across and high for a round one, length, breadth and height for others.
    """

    count: int
    form: str
    sizes: tuple[Fraction, ...]

    @property
    def volume(self) -> Fraction:
        """The room they take in cubic metres, ovals taken as ellipses."""
        if self.form == "square":
            return self.count * math.prod(self.sizes, start=Fraction(1))
        across = self.sizes[0] ** 2 if self.form == "round" else self.sizes[0] * self.sizes[1]
        return self.count * PI / 4 * across * self.sizes[-1]


def read_setting(text: str) -> tuple[Saggars, ...]:
    """Read a setting of saggars whose forms and sizes are given.

    Parameters
    ----------
    text
        ``694 oval saggars 9 x 18 x 12 in and 480 round, 11 in across x 12 in``.

    Raises
    ------
    SettingError
        If number, form or size of any of them is wanting or unclear.
    """
    parts = _BETWEEN.split(text.strip())
    return tuple(_saggars(part, text) for part in parts)


def _saggars(part: str, text: str) -> Saggars:
    found = _PART.fullmatch(part.strip())
    words = found["rest"].casefold().replace(",", " ").split() if found else []
    forms = {_forms()[word] for word in words if word in _forms()}
    strange = [word for word in words if word not in _forms() and not word.startswith("sagg")]
    if found is None or len(forms) != 1 or strange:
        raise SettingError(f'"{text}": "{part}" does not say how many of what form; {_REMEDY}')
    form = forms.pop()
    sizes = _sizes(found["sizes"], text)
    if len(sizes) != (2 if form == "round" else 3):
        raise SettingError(f'"{text}": sizes of {form} saggars are {_SIZES[form]}; {_REMEDY}')
    return Saggars(int(found["count"].replace(",", "")), form, sizes)


def _sizes(text: str, whole: str) -> tuple[Fraction, ...]:
    """Read sizes parted by x; one without a unit has that of the next that has one."""
    bare = re.sub(r"\b(?:across|diameter|diam|long|wide|high|deep)\b\.?", "", text, flags=re.I)
    sizes: list[Fraction] = []
    unit = ""
    for size in reversed(_TIMES.split(bare.strip().rstrip(","))):
        size = size.strip()
        ends = re.search(r"[A-Za-z'\"]+\.?$", size)
        unit = ends[0] if ends else unit
        try:
            sizes.append(read_length(size if ends else f"{size} {unit}").metres)
        except LengthError as bad:
            raise SettingError(f'"{whole}": {bad.reason}; {_REMEDY}') from None
    return tuple(reversed(sizes))


def _forms() -> dict[str, str]:
    return {word: row["form"] for row in rows("saggars.csv") for word in row["words"].split()}
