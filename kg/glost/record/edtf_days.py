"""Day numbers in the proleptic Gregorian calendar, for years of any size.

Day 1 is 0001-01-01, as in `datetime.date.toordinal`; year 0 is the year before year 1
(astronomical counting, as ISO 8601 has it), so day 0 is 0000-12-31 and earlier days are negative.
"""

import re

LARGEST_YEAR = 10**12
"""Years beyond this, either way, are refused: their day numbers would not fit the arithmetic."""

_ISO = re.compile(r"(-?[0-9]{4,})-([0-9]{2})-([0-9]{2})")
_BEFORE = (0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334)
_LENGTH = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
_ERA = 146_097  # days in 400 years


def is_leap(year: int) -> bool:
    """Say whether `year` has a 29 February."""
    return year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)


def month_length(year: int, month: int) -> int:
    """Return the number of days in a month."""
    return 29 if month == 2 and is_leap(year) else _LENGTH[month - 1]


def day_number(year: int, month: int, day: int) -> int:
    """Return the day number of a calendar day.

    Parameters
    ----------
    year, month, day
        A day that exists in the proleptic Gregorian calendar; `year` may be zero or negative.

    Returns
    -------
    int
        Days counted so that 0001-01-01 is 1.
    """
    before = year - 1
    leaps = before // 4 - before // 100 + before // 400
    past_february = month > 2 and is_leap(year)
    return 365 * before + leaps + _BEFORE[month - 1] + past_february + day


def calendar_day(number: int) -> tuple[int, int, int]:
    """Return year, month and day of a day number; the inverse of `day_number`."""
    era, rest = divmod(number - 1, _ERA)
    centuries = min(rest // 36_524, 3)
    rest -= centuries * 36_524
    fours, rest = divmod(rest, 1_461)
    ones = min(rest // 365, 3)
    year = era * 400 + centuries * 100 + fours * 4 + ones + 1
    rest -= ones * 365
    month = 1
    while rest >= month_length(year, month):
        rest -= month_length(year, month)
        month += 1
    return year, month, rest + 1


def to_iso(number: int) -> str:
    """Write a day number as `YYYY-MM-DD`.

    Years before 0 have a minus sign; years above 9999 simply have more digits.
    """
    year, month, day = calendar_day(number)
    sign = "-" if year < 0 else ""
    return f"{sign}{abs(year):04d}-{month:02d}-{day:02d}"


def from_iso(text: str) -> int:
    """Read `YYYY-MM-DD`, with a year of four or more digits and perhaps a minus sign.

    Raises
    ------
    ValueError
        If the text is not of that form or the day does not exist.
    """
    match = _ISO.fullmatch(text)
    if match is None:
        raise ValueError(f"{text!r} is not a day written YYYY-MM-DD")
    year, month, day = (int(part) for part in match.groups())
    if not 1 <= month <= 12 or not 1 <= day <= month_length(year, month):
        raise ValueError(f"{text!r} is not a day of the calendar")
    return day_number(year, month, day)
