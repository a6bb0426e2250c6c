"""Spans of days in words: the one place where days that bound something are told.

Days are numbers as in `glost.record.dates` (0001-01-01 is day 1, proleptic Gregorian calendar), the
first and the last of a span both inclusive; None is an end that nothing bounds.
"""

from typing import TypeAlias

from glost.record.edtf_days import calendar_day, month_length, to_iso
from glost.record.edtf_words import MONTHS
from glost.words.english import count

Span: TypeAlias = tuple[int | None, int | None]
"""The first and the last day; None where nothing bounds it."""

_YEAR = 365.2425
"""Days of a year of the Gregorian calendar, on average."""


def ends(span: Span) -> tuple[str | None, str | None]:
    """Return both days as ``YYYY-MM-DD``, None where it is open."""
    first, last = (None if day is None else to_iso(day) for day in span)
    return first, last


def between(span: Span) -> str:
    """Say when something happened: ``in April 1933``, ``between 1912 and 1914``, ``by 1924``.

    A day is told as finely as the span is bounded: one that begins with a year or a month, or ends
    with one, is told by that.
    """
    early, late = span
    if early is None and late is None:
        return "at a time that nothing bounds"
    if late is None:
        return f"{_at(*_fine(early, first=True))} or later"
    if early is None:
        return f"by {_said(*_fine(late, first=False))}"
    if early == late:
        return f"on {_said(*calendar_day(early))}"
    one, two = _fine(early, first=True), _fine(late, first=False)
    if one == two:
        return _at(*one)
    return f"between {_said(*one)} and {_said(*two)}"


def moment(span: Span) -> str:
    """Name the day, month, year or years of a span: ``April 1933``; empty if an end is open."""
    if None in span:
        return ""
    return between(span).removeprefix("in ").removeprefix("on ")


def no_earlier(day: int) -> str:
    """Name the first day possible, by its year or month if it begins one: ``April 1938``."""
    return _said(*_fine(day, first=True))


def no_later(day: int) -> str:
    """Name the last day possible, by its year or month if it ends one: ``1924``."""
    return _said(*_fine(day, first=False))


def _fine(day: int | None, *, first: bool) -> tuple[int, int, int]:
    """Return year, month and day, 0 for what need not be said of a first or last day."""
    assert day is not None
    year, month, day = calendar_day(day)
    if day != (1 if first else month_length(year, month)):
        return year, month, day
    return (year, 0, 0) if month == (1 if first else 12) else (year, month, 0)


def _said(year: int, month: int, day: int) -> str:
    return " ".join(
        [*([str(day)] if day else []), *([MONTHS[month - 1]] if month else []), str(year)]
    )


def _at(year: int, month: int, day: int) -> str:
    return f"{'on' if day else 'in'} {_said(year, month, day)}"


def years(span: Span) -> str:
    """Name the years in which something happened: ``1898–1908``, ``by 1924``, ``1908 or later``.

    Empty if nothing bounds it.
    """
    early, late = (None if day is None else calendar_day(day)[0] for day in span)
    if early is None or late is None:
        return (
            f"by {late}" if late is not None else f"{early} or later" if early is not None else ""
        )
    return str(early) if early == late else f"{early}–{late}"


def life(begin: Span, end: Span) -> str:
    """Name the years through which something ran: ``about 1914–1938``, ``1898–1908 or later``.

    Parameters
    ----------
    begin, end
        The days between which it began, and between which it ended.

    Returns
    -------
    str
        Empty if either end is bounded so loosely that it needs words of its own; one that lies
        within five years is told as about the year in their middle.
    """
    if end[1] is None and end[0] is not None and begin[1] is not None and end[0] <= begin[1]:
        end = None, None
    one, two = _about(begin), years(end) if end[1] is None else _about(end)
    if not one or (not two and end != (None, None)):
        return ""
    if not two or two == f"{one} or later":
        return f"from {one}"
    return one if one == two else f"{one}–{two}"


def loosely(begin: Span, end: Span, begun: str = "begun", ended: str = "ended") -> str:
    """Name the years of a run whose ends need a word each: ``begun by 1899, ended 1905–1908``.

    Parameters
    ----------
    begin, end
        The days between which it began, and between which it ended.
    begun, ended
        The words for the two ends.

    Returns
    -------
    str
        Only of the end of which something is known that the beginning does not say already. Empty
        if nothing bounds it.
    """
    if begin == end:
        return years(begin)
    said = begin[0] if end[1] is not None or begin[1] is None else begin[1]
    known = end[0] is not None and said is not None and end[0] <= said
    both = ((begun, years(begin)), (ended, years((None, end[1]) if known else end)))
    return ", ".join(f"{word} {text}" for word, text in both if text)


_NEAR = 4
"""Years from the first to the last in which a date may lie to be told as about the middle one."""


def _about(span: Span) -> str:
    """Name one year, exact or about; empty if there is none."""
    early, late = (None if day is None else calendar_day(day)[0] for day in span)
    if early is None or late is None:
        return ""
    if early == late:
        return str(early)
    return f"about {(early + late) // 2}" if late - early <= _NEAR else ""


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
    """Say a length of time: ``12 days``, ``7 months``, ``5 years and 3 months``, ``12 years``.

    Days are rounded to months from two months on, and to years from ten years on.
    """
    if days < _MANY_DAYS:
        return count(days, "day")
    months = round(days * 12 / _YEAR)
    if months < _MANY_MONTHS and months % 12:
        return count(months, "month")
    if days >= _MANY_YEARS * _YEAR:
        return count(round(days / _YEAR), "year")
    whole, rest = divmod(months, 12)
    return count(whole, "year") + (f" and {count(rest, 'month')}" if rest else "")


_MANY_DAYS, _MANY_MONTHS, _MANY_YEARS = 60, 24, 10
