"""Lengths as written, exactly.

The foot of 0.3048 m and the inch of 25.4 mm: International Yard and Pound Agreement, 1959 (Federal
Register, 1 July 1959, doc. 59-5442; the values are from memory, and NIST SP 811 repeats them).
"""

import csv
from fractions import Fraction
from functools import cache
from itertools import product
from pathlib import Path

import pint
import pytest

from glost.record import quantities
from glost.record.quantities import LengthError, convert, decimal, read_length, words


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("355 ft", Fraction(355 * 3048, 10000)),
        ("12 ft 6 in", Fraction(381, 100)),
        ("12' 6\"", Fraction(381, 100)),
        ("12′ 6″", Fraction(381, 100)),
        ("12 feet, 6 inches", Fraction(381, 100)),
        ("3.81 m", Fraction(381, 100)),
        ("381 cm", Fraction(381, 100)),
        ("9 7/8 in", Fraction(79 * 254, 80000)),
        ("9-7/8 in.", Fraction(79 * 254, 80000)),
        ("7½ in", Fraction(15 * 254, 20000)),
        ("1/2 in", Fraction(127, 10000)),
        ("10 yd", Fraction(9144, 1000)),
    ],
)
def test_lengths_are_read_exactly_and_kept_as_written(text: str, metres: Fraction) -> None:
    length = read_length(text)
    assert length.metres == metres
    assert length.written == text
    assert not length.approximate


def test_about_is_kept() -> None:
    assert read_length("about 350 ft").approximate
    assert read_length("c. 350 ft").metres == read_length("350 ft").metres


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("355", "it has no unit"),
        ("12 1/2", "it has no unit"),
        ("355 furlongs", "no unit of length"),
        ("long", "unclear"),
        ("", "there is no figure"),
        ("8 in diam.", "unclear"),
        ("1/0 in", "unclear"),
    ],
)
def test_what_is_no_length_is_refused_with_a_remedy(text: str, reason: str) -> None:
    with pytest.raises(LengthError, match=reason) as caught:
        read_length(text)
    assert "355 ft" in caught.value.remedy


@pytest.mark.parametrize("text", ["40 ft", "12 ft 6 in", "7 1/2 in", "1/2 in", "3.81 m"])
def test_lengths_are_written_in_the_units_they_came_in(text: str) -> None:
    length = read_length(text)
    assert words(length.metres, length.unit) == text


def test_metres_are_written_as_plain_decimals() -> None:
    assert decimal(Fraction(381, 100)) == "3.81"
    assert decimal(Fraction(12)) == "12.0"
    assert decimal(Fraction(1, 3)) == "0.333333333"


# -- the table of units against pint, which has one of its own ------------------------------------


@cache
def of_pint() -> pint.UnitRegistry:
    return pint.UnitRegistry(non_int_type=Fraction)


UNITS = Path(quantities.__file__).with_name("units.csv")


def units() -> list[dict[str, str]]:
    lines = UNITS.read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (one["unit"], other["unit"])
        for one, other in product(units(), repeat=2)
        if one["kind"] == other["kind"]
    ],
)
@pytest.mark.parametrize("value", [Fraction(1), Fraction(-40), Fraction(79, 8), Fraction(0)])
def test_units_turn_into_one_another_as_pint_has_it(one: str, other: str, value: Fraction) -> None:
    assert convert(value, one, other) == of_pint().Quantity(value, one).to(other).magnitude


def test_units_of_different_kinds_do_not_turn_into_one_another() -> None:
    for one, other in (("foot", "day"), ("degF", "foot"), ("dozen", "day"), ("day", "dozen")):
        with pytest.raises(ValueError, match=f"{one} cannot be turned into {other}"):
            convert(Fraction(1), one, other)
    assert convert(Fraction(3), "dozen", "dozen") == 3


def test_every_unit_of_a_length_that_is_read_is_in_the_table() -> None:
    assert {each["unit"] for each in units()} >= set(quantities._WORDS.values())
