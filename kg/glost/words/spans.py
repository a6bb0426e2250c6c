"""Spans of days in words: the one place where days that bound something are told.

Days are numbers as in `glost.record.dates` (0001-01-01 is day 1, proleptic Gregorian calendar), the
first and the last of a span both inclusive; None is an end that nothing bounds.
"""

from typing import TypeAlias

from glost.record.edtf_days import calendar_day, month_length, to_iso

Span: TypeAlias = tuple[int | None, int | None]
"""The first and the last day; None where nothing bounds it."""

_YEAR = 365.2425
"""Days of a year of the Gregorian calendar, on average."""


def ends(span: Span) -> tuple[str | None, str | None]:
    """Return both days as ``YYYY-MM-DD``, None where it is open."""
    first, last = (None if day is None else to_iso(day) for day in span)
    return first, last


def between(span: Span) -> str:
    """Say between which days something lies: ``from 1912-01-01 to 1914-12-31``."""
    early, late = ends(span)
    if early and late:
        return f"on {early}" if early == late else f"from {early} to {late}"
    if early or late:
        return f"not before {early}" if early else f"not after {late}"
    return "at a time that nothing bounds"


def interval(span: Span) -> str:
    """Write a span as an interval (ISO 8601-1 and -2): ``1908-01-01/1908-12-31``.

    An end that is open is ``..``, one day stands alone, and a span of which nothing is known is
    empty.
    """
    early, late = ends(span)
    if early is None and late is None:
        return ""
    return early if early is not None and early == late else f"{early or '..'}/{late or '..'}"


def period(span: Span) -> str:
    """Write a span as a year, a month, a day or two of these, parted by ``/``.

    Years and months are written as in EDTF (``1917``, ``1917-03``) where the span is of whole ones;
    one that is open at an end is empty.
    """
    earliest, latest = span
    if earliest is None or latest is None:
        return ""
    first, last = calendar_day(earliest), calendar_day(latest)
    whole_months = first[2] == 1 and last[2] == month_length(last[0], last[1])
    length = 10
    if whole_months:
        length = 4 if first[1] == 1 and last[1] == 12 else 7
    texts = [text[: len(text) - 10 + length] for text in (to_iso(earliest), to_iso(latest))]
    return texts[0] if texts[0] == texts[1] else "/".join(texts)


def length(days: int) -> str:
    """Say a number of days, in years as well where it is many."""
    if days < 730:
        return f"{days} day{'' if days == 1 else 's'}"
    return f"{days} days (about {days / _YEAR:.1f} years)"
