"""The parts of a code: what their values mean, ordinarily and by exception.

A part has values that a table explains, or it is counted, or it merely runs on. An exception is a
value that means something else in some codes.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from rdflib import URIRef

from glost.names import SCHEMES
from glost.record.claims import Claim

WORN = "?"
"""Stands for one character that cannot be read."""

MEANING = SCHEMES + "code-meaning/"
YEAR, QUARTER, MONTH, DAY = (
    URIRef(MEANING + name) for name in ("year", "quarter", "month", "day")
)  # fmt: skip

LIMIT = 20_000
"""A code that could be read in more ways than this is too worn to be read."""


class CodeError(ValueError):
    """A code, or what a code is to be made of, that cannot be understood.

    Parameters
    ----------
    message
        What is wrong.
    remedy
        What to do about it.
    """

    def __init__(self, message: str, remedy: str) -> None:
        super().__init__(f"{message}; {remedy}")
        self.message = message
        self.remedy = remedy


@dataclass(frozen=True, slots=True)
class Digits:
    """What a counted or running part is written in.

    Attributes
    ----------
    letters
        Whether in letters, not figures. Letters count A as 1, Z as 26, AA as 27.
    least, most
        Of how many characters; `most` is None where there may be any number.
    """

    letters: bool
    least: int = 1
    most: int | None = None


@dataclass(frozen=True, slots=True)
class PartTest:
    """What another part must be for an exception to hold: one of some values, or in a range."""

    part: str
    values: frozenset[str]
    ranges: tuple[tuple[int, int], ...] = ()

    def holds(self, value: str) -> bool | None:
        """Say whether a part's value meets the condition; None if it is too worn to say."""
        if WORN in value:
            return None
        inside = value.isascii() and value.isdigit()
        number = int(value) if inside else 0
        return value in self.values or (
            inside and any(low <= number <= high for low, high in self.ranges)
        )


@dataclass(frozen=True, slots=True)
class Condition:
    """The codes in which an exception holds: a whole code, or tests of other parts."""

    code: str = ""
    tests: tuple[PartTest, ...] = ()

    def holds(self, code: str, values: Mapping[str, str]) -> bool | None:
        """Say whether a code meets the condition; None if it is too worn to say."""
        if self.code:
            if WORN not in code:
                return code == self.code
            return None if fits(code, self.code) else False
        said = [test.holds(values.get(test.part, "")) for test in self.tests]
        if False in said:
            return False
        return None if None in said else True


def fits(text: str, written: str) -> bool:
    """Say whether a text with worn characters may be another, written in full."""
    return len(text) == len(written) and all(
        a in (b, WORN) for a, b in zip(text, written, strict=True)
    )


@dataclass(frozen=True, slots=True)
class Meaning:
    """What claims say that one value of a part, or a counted part, means.

    Attributes
    ----------
    iri
        The code part.
    part
        The name of the part in the pattern.
    value
        The value as written; empty for a part that is counted or runs on.
    tells
        The concept that says what kind of thing it tells.
    thing, year, month
        What the value stands for; None where it does not say. For a counted part `year` is the
        year it counts from.
    digits
        For a part that is counted or runs on, what it is written in; None for a value.
    only_in
        The codes in which this holds; empty if it is the ordinary meaning.
    also
        For an exception: whether the ordinary meaning is possible too.
    claims
        The claims that say so.
    """

    iri: URIRef
    part: str
    value: str
    tells: URIRef
    thing: URIRef | None
    year: int | None
    month: int | None
    digits: Digits | None
    only_in: tuple[Condition, ...]
    also: bool
    claims: tuple[Claim, ...]

    def holds(self, code: str, values: Mapping[str, str]) -> bool | None:
        """Say whether it holds in a code; None if the code is too worn to say."""
        if not self.only_in:
            return True
        said = {condition.holds(code, values) for condition in self.only_in}
        return True if True in said else None if None in said else False


@dataclass(frozen=True, slots=True)
class PartReading:
    """One part of a code as read.

    Attributes
    ----------
    name
        The name of the part in the pattern.
    text
        The characters as they stand, worn ones written ``?``.
    value
        The value they are taken for; with ``?`` left in it where no more is known than that it
        runs on.
    meaning
        What that value means, with the claims for it.
    number
        What a counted part counts; None for others.
    """

    name: str
    text: str
    value: str
    meaning: Meaning
    number: int | None = None

    @property
    def readable(self) -> bool:
        """Whether no character of it is worn."""
        return WORN not in self.text

    @property
    def tells(self) -> str:
        """What kind of thing it tells, as the id of the concept: ``shape``, ``year``."""
        return str(self.meaning.tells).rsplit("/", 1)[-1]

    @property
    def year(self) -> int | None:
        """The year it tells; None if it tells something else."""
        if self.meaning.tells != YEAR:
            return None
        if self.number is None:
            return self.meaning.year
        return (self.meaning.year or 0) + self.number

    @property
    def month(self) -> int | None:
        """The month it tells, or the first month of the quarter; None if something else."""
        if self.meaning.tells == QUARTER and self.number is not None:
            return 3 * self.number - 2
        if self.meaning.tells in (MONTH, QUARTER):
            return self.meaning.month if self.number is None else self.number
        return None

    @property
    def day(self) -> int | None:
        """The day of the month it tells; None if it tells something else."""
        if self.meaning.tells != DAY:
            return None
        figures = self.value.isascii() and self.value.isdigit()
        return int(self.value) if self.number is None and figures else self.number


@dataclass(frozen=True)
class CodePart:
    """A part of a scheme: every meaning claimed for any of its values.

    Attributes
    ----------
    name
        Its name in the pattern.
    meanings
        Sorted by value.
    """

    name: str
    meanings: tuple[Meaning, ...]

    @cached_property
    def known(self) -> dict[str, tuple[tuple[str, tuple[tuple[Meaning, int | None], ...]], ...]]:
        """What characters were once taken for; `glost.trade.codes.splitting` fills it."""
        return {}

    @cached_property
    def counted(self) -> tuple[Meaning, ...]:
        """The meanings that are counted or run on."""
        return tuple(meaning for meaning in self.meanings if meaning.digits is not None)

    @cached_property
    def table(self) -> dict[str, tuple[Meaning, ...]]:
        """The meanings of each value, exceptions with them."""
        found: dict[str, tuple[Meaning, ...]] = {}
        for meaning in self.meanings:
            if meaning.digits is None:
                found[meaning.value] = (*found.get(meaning.value, ()), meaning)
        return found

    @cached_property
    def _by_length(self) -> dict[int, tuple[str, ...]]:
        found: dict[int, tuple[str, ...]] = {}
        for value in sorted(self.table):
            found[len(value)] = (*found.get(len(value), ()), value)
        return found

    def values(self, text: str) -> tuple[str, ...]:
        """Return the table's values that a text may be."""
        if WORN not in text:
            return (text,) if text in self.table else ()
        return tuple(value for value in self._by_length.get(len(text), ()) if fits(text, value))

    def widths(self, most: int) -> Iterator[int]:
        """Yield every number of characters the part may have, up to `most`, in order."""
        for width in range(1, most + 1):
            if width in self._by_length or any(
                meaning.digits is not None
                and meaning.digits.least <= width
                and (meaning.digits.most is None or width <= meaning.digits.most)
                for meaning in self.counted
            ):
                yield width
