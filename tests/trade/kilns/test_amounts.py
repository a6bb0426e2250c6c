"""Times, temperatures, ware and settings as written, read exactly; what is unclear is refused."""

from collections.abc import Callable
from fractions import Fraction

import pytest

from glost.trade.kilns.amounts import (
    Amount,
    AmountError,
    convert,
    read_rate,
    read_temperature,
    read_time,
    read_ware,
)
from glost.trade.kilns.settings import SettingError, read_setting

Reader = Callable[[str], Amount]


@pytest.mark.parametrize(
    ("reader", "text", "low", "high", "unit"),
    [
        (read_time, "55 min", 55, 55, "minute"),
        (read_time, "55 mins.", 55, 55, "minute"),
        (read_time, "1 h 30 min", Fraction(3, 2), Fraction(3, 2), "hour"),
        (read_time, "1½ hours", Fraction(3, 2), Fraction(3, 2), "hour"),
        (read_time, "2-1/2 h", Fraction(5, 2), Fraction(5, 2), "hour"),
        (read_time, "14 to 15 days", 14, 15, "day"),
        (read_time, "55–60 min", 55, 60, "minute"),
        (read_time, "two weeks", 2, 2, "week"),
        (read_time, "a fortnight", 1, 1, "fortnight"),
        (read_temperature, "1215 C", 1215, 1215, "degC"),
        (read_temperature, "2200° Fahr.", 2200, 2200, "degF"),
        (read_temperature, "1180-1200 °C", 1180, 1200, "degC"),
        (read_temperature, "1200 deg C", 1200, 1200, "degC"),
        (read_ware, "1,900 saggars", 1900, 1900, "saggar"),
        (read_ware, "278 doz.", 278, 278, "dozen"),
        (read_rate, "7200 dozen per 24 hours", 7200, 7200, "dozen"),
        (read_rate, "7,000 dozen a week", 1000, 1000, "dozen"),
    ],
)
def test_what_is_written_is_read_exactly_and_kept(
    reader: Reader, text: str, low: Fraction, high: Fraction, unit: str
) -> None:
    amount = reader(text)
    assert (amount.low, amount.high, amount.unit) == (low, high, unit)
    assert amount.written == text


def test_about_and_over_are_kept() -> None:
    assert read_time("about 55 min").about
    assert read_rate("over 7200 dozen per 24 hours").bound == "least"
    assert read_rate("up to 7200 dozen a day").bound == "most"
    assert not read_time("55 min").about


@pytest.mark.parametrize(
    ("reader", "text", "reason"),
    [
        (read_time, "55", "no unit"),
        (read_time, "", "no figure"),
        (read_time, "0 min", "nothing"),
        (read_time, "1,5 h", "no unit"),
        (read_time, "60 to 55 min", "below its start"),
        (read_time, "55 minims", "no unit of time"),
        (read_temperature, "cherry red", "no figure"),
        (read_temperature, "1200", "no unit"),
        (read_temperature, "1200 C 1300 C", "two figures"),
        (read_ware, "240 dozen plates", "no figure"),
        (read_ware, "5 min", "no unit of ware"),
        (read_rate, "7200 dozen", "so much ware in so much time"),
    ],
)
def test_what_is_unclear_is_refused_with_a_remedy(reader: Reader, text: str, reason: str) -> None:
    with pytest.raises(AmountError, match=reason) as caught:
        reader(text)
    assert "write it like" in str(caught.value)


def test_degrees_are_turned_exactly() -> None:
    """The freezing and boiling of water in both scales; common knowledge."""
    assert convert(Fraction(32), "degF", "degC") == 0
    assert convert(Fraction(212), "degF", "degC") == 100
    assert convert(Fraction(2200), "degF", "degC") == Fraction(10840, 9)
    assert convert(Fraction(6), "foot", "meter") == Fraction(18288, 10000)


def test_saggars_by_form_and_size() -> None:
    round_, square = read_setting("200 round 14 in x 6 in; 40 square saggars 12 x 10 x 6 in")
    inch = Fraction(254, 10000)
    assert (round_.count, round_.form, round_.sizes) == (200, "round", (14 * inch, 6 * inch))
    assert (square.count, square.volume) == (40, 40 * 12 * 10 * 6 * inch**3)


@pytest.mark.parametrize(
    "text",
    ["1,900 saggars", "10 oval saggars 9 x 18 in", "10 saggars 9 x 18 x 12 in", "3 round 11 x 12", "",
     "10 leaning round saggars 11 in x 12 in"],
)  # fmt: skip
def test_settings_without_form_or_size_are_refused(text: str) -> None:
    with pytest.raises(SettingError, match="write it like"):
        read_setting(text)
