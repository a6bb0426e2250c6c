"""The grammar of single dates: years, months, days, seasons, unspecified digits, qualifiers.

Extended Date/Time Format levels 0 to 2, ISO 8601-2:2019 as profiled by the Library of Congress
(Extended Date/Time Format Specification, 2019). Intervals and sets are put together from these
in `glost.record.dates`.
"""

import csv
import re
from collections.abc import Iterator
from itertools import product
from pathlib import Path

from glost.record.edtf_days import LARGEST_YEAR, day_number, is_leap, month_length
from glost.record.edtf_types import DateError, Edtf, Margin

Q = "([?~%])?"
DATE = re.compile(rf"{Q}(-?[0-9X]{{4}}){Q}(?:-{Q}([0-9X]{{2}}){Q}(?:-{Q}([0-9X]{{2}}){Q})?)?")
YEAR = re.compile(
    rf"{Q}(?:Y(-?[1-9][0-9]*)(?:E([1-9][0-9]?))?|(-?[0-9]{{4}}))(?:S([1-9][0-9]?))?{Q}"
)
TIME = re.compile(
    r"([0-9]{4}-[0-9]{2}-[0-9]{2})T(?:(?:[01][0-9]|2[0-3]):[0-5][0-9]:[0-5][0-9]|24:00:00)"
    r"(?:Z|[+-](?:[01][0-9]|2[0-3])(?::[0-5][0-9])?)?"
)


def _rows(name: str) -> list[dict[str, str]]:
    with Path(__file__).with_name(name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


SEASONS = {
    int(row["code"]): (row["name"], int(row["first_month"]), int(row["last_month"]))
    for row in _rows("edtf_groupings.csv")
}
_REMEDIES = [(re.compile(row["pattern"]), row["remedy"]) for row in _rows("edtf_remedies.csv")]
_GENERAL = "write it in the Extended Date/Time Format, as 1908, 1908-04, 1908-04-12, 192X or 1911~"
_EXISTS = "write a day of the Gregorian calendar"


def malformed(text: str, within: str) -> DateError:
    """Make the error for a text of no known form, with the remedy that its look suggests."""
    for candidate in (within, text):
        for pattern, remedy in _REMEDIES:
            if pattern.fullmatch(candidate):
                return DateError(within, "it has no form the format knows", remedy)
    return DateError(within, "it has no form the format knows", _GENERAL)


def read_single(text: str, within: str, margin: Margin) -> Edtf:
    """Read one date, without `/`, `..` or brackets.

    Parameters
    ----------
    text
        The date.
    within
        The whole text it is part of, for errors.
    margin
        Days of widening for approximate dates.

    Raises
    ------
    DateError
        If it is not a date of the format, or no such day exists.
    """
    match = DATE.fullmatch(text)
    if match is not None:
        return _read_parts(text, within, match, margin)
    match = YEAR.fullmatch(text)
    if match is not None:
        return _read_year(text, within, match, margin)
    raise malformed(text, within)


def read_time(text: str, margin: Margin) -> Edtf:
    """Read a date with a time of day; the bounds are the day as written, wherever its zone."""
    match = TIME.fullmatch(text)
    if match is None:
        raise malformed(text, text)
    day = read_single(match[1], text, margin)
    if day.season:
        raise malformed(text, text)
    return Edtf(text, day.earliest, day.latest)


def _qualify(marks: tuple[str | None, ...]) -> tuple[str, bool, bool, str]:
    """Resolve marks left (one part) and right (that part and those before) of the parts.

    `marks` holds left and right marks of year, month, day in turn. Returns the letters, whether
    anything is approximate or uncertain, and the finest approximate part.
    """
    letters, finest = "", ""
    approximate = uncertain = False
    for place, part in enumerate("ymd"):
        carried = "".join(mark or "" for mark in (marks[2 * place], *marks[2 * place + 1 :: 2]))
        about = "~" in carried or "%" in carried
        doubt = "?" in carried or "%" in carried
        if about:
            finest = part
        if about or doubt:
            letters += part + ("%" if about and doubt else "~" if about else "?")
        approximate, uncertain = approximate or about, uncertain or doubt
    return letters, approximate, uncertain, finest


def _finish(
    text: str, span: tuple[int, int], marks: tuple[str | None, ...], margin: Margin, season: int = 0
) -> Edtf:
    if marks == (None,) * 6:
        return Edtf(text, *span, unspecified="X" in text, season=season)
    letters, approximate, uncertain, finest = _qualify(marks)
    wide = {"y": margin.year, "m": margin.month, "d": margin.day, "": 0}[finest]
    return Edtf(
        text,
        span[0] - wide,
        span[1] + wide,
        approximate=approximate,
        uncertain=uncertain,
        unspecified="X" in text,
        qualifiers=letters,
        season=season,
        margin=wide,
    )


def _read_parts(text: str, within: str, match: re.Match[str], margin: Margin) -> Edtf:
    left_y, year, right_y, left_m, month, right_m, left_d, day, right_d = match.groups()
    marks = (left_y, right_y, left_m, right_m, left_d, right_d)
    if year == "-0000":
        raise malformed("-0000", within)
    if month is not None and day is None and month.isdecimal() and int(month) in SEASONS:
        return _finish(text, _season_span(year, int(month), within), marks, margin, int(month))
    if "X" in text:
        return _finish(text, _loose_span(year, month, day, within), marks, margin)
    return _finish(text, _plain_span(int(year), month, day, within), marks, margin)


def _season_span(year: str, code: int, within: str) -> tuple[int, int]:
    if "X" in year:
        raise DateError(within, "a season needs a full year", "write the year with four digits")
    _, first, last = SEASONS[code]
    start, end = (int(year) + (month - 1) // 12 for month in (first, last))
    first, last = (first - 1) % 12 + 1, (last - 1) % 12 + 1
    return day_number(start, first, 1), day_number(end, last, month_length(end, last))


def _plain_span(y: int, month: str | None, day: str | None, within: str) -> tuple[int, int]:
    if month is None:
        start = day_number(y, 1, 1)
        return start, start + 364 + is_leap(y)
    m = int(month)
    if not 1 <= m <= 12:
        raise DateError(within, f"there is no month {month}", _EXISTS)
    start = day_number(y, m, 1)
    length = month_length(y, m)
    if day is None:
        return start, start + length - 1
    d = int(day)
    if not 1 <= d <= length:
        raise DateError(within, f"there is no day {day} in that month", _EXISTS)
    return start + d - 1, start + d - 1


def _loose_span(year: str, month: str | None, day: str | None, within: str) -> tuple[int, int]:
    """Find the first and last day that digits left unspecified allow."""
    months = [m for m in range(1, 13) if _fits(m, month)]
    days = [d for d in range(1, 32) if _fits(d, day)]
    first = next(_days(year, months, days, forward=True), None)
    if first is None:
        raise DateError(within, "no day of the calendar fits it", _EXISTS)
    return first, next(_days(year, months, days, forward=False))


def _fits(number: int, pattern: str | None) -> bool:
    return pattern is None or all(
        p in ("X", n) for p, n in zip(pattern, f"{number:02d}", strict=True)
    )


def _days(year: str, months: list[int], days: list[int], *, forward: bool) -> Iterator[int]:
    """Yield the days that fit, in or against the order of time."""
    step = 1 if forward else -1
    for y in _years(year, forward=forward):
        for m in months[::step]:
            for d in days[::step]:
                if d <= month_length(y, m):
                    yield day_number(y, m, d)


def _years(pattern: str, *, forward: bool) -> Iterator[int]:
    sign = -1 if pattern[0] == "-" else 1
    upward = forward == (sign > 0)
    digits = "0123456789" if upward else "9876543210"
    for chosen in product(*(digits if c == "X" else c for c in pattern.lstrip("-"))):
        value = int("".join(chosen))
        if sign > 0 or value > 0:
            yield sign * value


def _read_year(text: str, within: str, match: re.Match[str], margin: Margin) -> Edtf:
    left, long, exponent, short, significant, right = match.groups()
    if long is not None and exponent is None and len(long.lstrip("-")) < 5:
        raise malformed(f"Y{long}", within)
    if len(long or "") > 20 or int(exponent or 0) > 12:
        raise _too_far(within)
    year = int(long or short) * 10 ** int(exponent or 0)
    if abs(year) > LARGEST_YEAR:
        raise _too_far(within)
    first, last = _significant(year, significant, short, within)
    span = day_number(first, 1, 1), day_number(last, 12, 31)
    return _finish(text, span, (left, right, None, None, None, None), margin)


def _too_far(within: str) -> DateError:
    return DateError(
        within,
        f"the year lies more than {LARGEST_YEAR} years away",
        "write a year within that many of the year 0",
    )


def _significant(year: int, digits: str | None, short: str | None, within: str) -> tuple[int, int]:
    """Return the first and last year that share the significant digits, all without any."""
    if digits is None:
        return year, year
    length = 4 if short is not None else len(str(abs(year)))
    if int(digits) > length:
        raise DateError(
            within,
            f"the year has only {length} digits, of which {digits} cannot be significant",
            "give S no more digits than the year has",
        )
    size = 10 ** (length - int(digits))
    low = abs(year) // size * size
    ends = (low, low + size - 1)
    return ends if year >= 0 else (-ends[1], -ends[0])
