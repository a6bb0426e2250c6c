"""Dates in plain English."""

from glost.record.edtf_days import calendar_day
from glost.record.edtf_grammar import DATE, SEASONS, TIME, YEAR
from glost.record.edtf_types import Edtf

MONTHS = (
    *("January", "February", "March", "April", "May", "June", "July"),
    *("August", "September", "October", "November", "December"),
)
_PARTS = {"y": "year", "m": "month", "d": "day"}
_STATES = {"~": "approximate", "?": "uncertain", "%": "uncertain and approximate"}
_WHOLE = {"~": "about ", "?": "perhaps ", "%": "perhaps about "}


def describe(date: Edtf) -> str:
    """Put a date into words.

    Parameters
    ----------
    date
        A date as read.

    Returns
    -------
    str
        A phrase such as "about 1911", "some year 1920 to 1929" or "from 1908, end open".
    """
    if date.kind == "interval":
        return _interval(*date.members)
    if date.kind == "range":
        return _range(*date.members)
    if date.kind in ("one of", "all of"):
        phrases = [describe(member) for member in date.members]
        if len(phrases) == 1:
            return phrases[0] if date.kind == "one of" else f"all of {phrases[0]}"
        joint = " or " if date.kind == "one of" else " and "
        return f"{date.kind} " + ", ".join(phrases[:-1]) + joint + phrases[-1]
    return _single(date)


def _interval(start: Edtf, end: Edtf) -> str:
    states = [
        f"{name} {'open' if part.open_start else 'unknown'}"
        for name, part in (("start", start), ("end", end))
        if part.earliest is None
    ]
    if start.earliest is None and end.earliest is None:
        return ", ".join(states)
    if start.earliest is None:
        return f"until {_single(end)}, {states[0]}"
    if end.earliest is None:
        return f"from {_single(start)}, {states[0]}"
    return f"from {_single(start)} to {_single(end)}"


def _range(start: Edtf, end: Edtf) -> str:
    if start.earliest is None:
        return f"{_single(end)} or earlier"
    if end.earliest is None:
        return f"{_single(start)} or later"
    return f"{_single(start)} to {_single(end)}"


def _single(date: Edtf) -> str:
    text = date.text
    time = TIME.fullmatch(text)
    if time is not None:
        return f"{_plain(*_split(time[1]))}, {text.split('T')[1]}"
    match = DATE.fullmatch(text)
    if match is None:
        return _qualified(_year_phrase(date), date.qualifiers, 1)
    year, month, day = match[2], match[5], match[8]
    if "X" in text:
        return _qualified(_loose(date, year, month, day), date.qualifiers, text.count("-") + 1)
    parts = 1 + (month is not None) + (day is not None)
    return _qualified(_plain(year, month, day), date.qualifiers, 1 if date.season else parts)


def _split(day: str) -> tuple[str, str, str]:
    year, month, day = day.rsplit("-", 2)
    return year, month, day


def _qualified(phrase: str, qualifiers: str, parts: int) -> str:
    """Add the qualifiers: before the phrase if they cover it all alike, else in brackets."""
    if not qualifiers:
        return phrase
    marks = set(qualifiers[1::2])
    if len(marks) == 1 and len(qualifiers) // 2 >= parts:
        return _WHOLE[marks.pop()] + phrase
    named: dict[str, list[str]] = {}
    for part, mark in zip(qualifiers[::2], qualifiers[1::2], strict=True):
        named.setdefault(_STATES[mark], []).append(_PARTS[part])
    notes = "; ".join(f"{' and '.join(names)} {state}" for state, names in named.items())
    return f"{phrase} ({notes})"


def _plain(year: str, month: str | None, day: str | None) -> str:
    if month is None:
        return _year(year)
    if month > "12":
        return f"{SEASONS[int(month)][0]} {_year(year)}"
    name = f"{MONTHS[int(month) - 1]} {_year(year)}"
    return name if day is None else f"{int(day)} {name}"


def _year(year: str) -> str:
    return f"year {year}" if year.startswith("-") else year


def _loose(date: Edtf, year: str, month: str | None, day: str | None) -> str:
    years = year
    if "X" in year:
        first, last = (calendar_day(number)[0] for number in _written(date))
        years = f"some year {first:04d} to {last:04d}"
    if month is None:
        return years
    if month == "XX" and day in (None, "XX"):
        return f"some {'month' if day is None else 'day'} of {years}"
    if "X" not in month:
        name = MONTHS[int(month) - 1]
        joint = " of " if "X" in year else " "
        if day is None:
            return f"{name}{joint}{years}"
        if "X" not in day:
            return f"{int(day)} {name}{joint}{years}"
        if day == "XX":
            return f"some day of {name}{joint}{years}"
    return _span(date)


def _written(date: Edtf) -> tuple[int, int]:
    """Return the bounds without the widening of an approximate date."""
    assert date.earliest is not None
    assert date.latest is not None
    return date.earliest + date.margin, date.latest - date.margin


def _span(date: Edtf) -> str:
    """Fall back to the bounds, for digits left unspecified in the middle."""
    ends = []
    for number in _written(date):
        year, month, day = calendar_day(number)
        ends.append(f"{day} {MONTHS[month - 1]} {year:04d}")
    return f"some day from {ends[0]} to {ends[1]} that reads {date.text}"


def _year_phrase(date: Edtf) -> str:
    match = YEAR.fullmatch(date.text)
    assert match is not None
    _, long, exponent, short, significant, _ = match.groups()
    year = int(long or short) * 10 ** int(exponent or 0)
    if significant is None:
        return f"year {year}"
    first, last = (calendar_day(number)[0] for number in _written(date))
    return f"some year {first} to {last}, estimated {year}"
