"""Spans of days in words, each written out by hand."""

import pytest

from glost.record.dates import day_number
from glost.words.spans import Span, between, ends, interval, length, period

NEW_YEAR, LAST_DAY = day_number(1908, 1, 1), day_number(1908, 12, 31)
SPANS: dict[str, tuple[Span, str, str, str]] = {
    "a year": ((NEW_YEAR, LAST_DAY), "from 1908-01-01 to 1908-12-31", "1908-01-01/1908-12-31", "1908"),
    "a day": ((NEW_YEAR, NEW_YEAR), "on 1908-01-01", "1908-01-01", "1908-01-01"),
    "a leap month": (
        (day_number(1908, 2, 1), day_number(1908, 2, 29)),
        "from 1908-02-01 to 1908-02-29", "1908-02-01/1908-02-29", "1908-02",
    ),
    "short of a month": (
        (day_number(1908, 2, 1), day_number(1908, 2, 28)),
        "from 1908-02-01 to 1908-02-28", "1908-02-01/1908-02-28", "1908-02-01/1908-02-28",
    ),
    "two years": (
        (NEW_YEAR, day_number(1909, 12, 31)),
        "from 1908-01-01 to 1909-12-31", "1908-01-01/1909-12-31", "1908/1909",
    ),
    "months of two years": (
        (NEW_YEAR, day_number(1909, 1, 31)),
        "from 1908-01-01 to 1909-01-31", "1908-01-01/1909-01-31", "1908-01/1909-01",
    ),
    "open late": ((NEW_YEAR, None), "not before 1908-01-01", "1908-01-01/..", ""),
    "open early": ((None, LAST_DAY), "not after 1908-12-31", "../1908-12-31", ""),
    "nothing": ((None, None), "at a time that nothing bounds", "", ""),
}  # fmt: skip


@pytest.mark.parametrize("name", SPANS)
def test_a_span_in_words(name: str) -> None:
    span, told, written, whole = SPANS[name]
    assert (between(span), interval(span), period(span)) == (told, written, whole)


def test_both_days() -> None:
    assert ends((NEW_YEAR, None)) == ("1908-01-01", None)


def test_many_days_are_told_in_years_as_well() -> None:
    """730 days are two years of 365.2425 less half a day, 1,918 are 5.25 of them."""
    assert [length(days) for days in (1, 2, 729, 730, 1918)] == [
        "1 day", "2 days", "729 days", "730 days (about 2.0 years)", "1918 days (about 5.3 years)",
    ]  # fmt: skip
