"""Spans of days and lengths of time in words, each written out by hand."""

import pytest

from glost.record.dates import day_number
from glost.words.spans import (
    Span,
    between,
    ends,
    interval,
    length,
    life,
    loosely,
    no_earlier,
    no_later,
    period,
    years,
)

NEW_YEAR, LAST_DAY = day_number(1908, 1, 1), day_number(1908, 12, 31)
SPANS: dict[str, tuple[Span, str, str, str, str]] = {
    "a year": ((NEW_YEAR, LAST_DAY), "in 1908", "1908", "1908-01-01/1908-12-31", "1908"),
    "a day": ((NEW_YEAR, NEW_YEAR), "on 1 January 1908", "1908", "1908-01-01", "1908-01-01"),
    "a leap month": (
        (day_number(1908, 2, 1), day_number(1908, 2, 29)),
        "in February 1908", "1908", "1908-02-01/1908-02-29", "1908-02",
    ),
    "short of a month": (
        (day_number(1908, 2, 1), day_number(1908, 2, 28)),
        "between February 1908 and 28 February 1908", "1908",
        "1908-02-01/1908-02-28", "1908-02-01/1908-02-28",
    ),
    "two years": (
        (NEW_YEAR, day_number(1909, 12, 31)),
        "between 1908 and 1909", "1908–1909", "1908-01-01/1909-12-31", "1908/1909",
    ),
    "months of two years": (
        (NEW_YEAR, day_number(1909, 1, 31)),
        "between 1908 and January 1909", "1908–1909", "1908-01-01/1909-01-31", "1908-01/1909-01",
    ),
    "open late": ((NEW_YEAR, None), "in 1908 or later", "1908 or later", "1908-01-01/..", ""),
    "open late, from a day on": (
        (NEW_YEAR + 1, None), "on 2 January 1908 or later", "1908 or later", "1908-01-02/..", "",
    ),
    "open early": ((None, LAST_DAY), "by 1908", "by 1908", "../1908-12-31", ""),
    "open early, up to a month": (
        (None, day_number(1908, 11, 30)), "by November 1908", "by 1908", "../1908-11-30", "",
    ),
    "nothing": ((None, None), "at a time that nothing bounds", "", "", ""),
}  # fmt: skip


@pytest.mark.parametrize("name", SPANS)
def test_a_span_in_words(name: str) -> None:
    span, told, in_years, written, whole = SPANS[name]
    assert (between(span), years(span)) == (told, in_years)
    assert (interval(span), period(span)) == (written, whole)


def test_both_days() -> None:
    assert ends((NEW_YEAR, None)) == ("1908-01-01", None)


def test_a_limit_is_told_as_coarsely_as_it_is_known() -> None:
    assert (no_earlier(NEW_YEAR), no_later(NEW_YEAR)) == ("1908", "1 January 1908")
    assert (no_earlier(LAST_DAY), no_later(LAST_DAY)) == ("31 December 1908", "1908")
    first = day_number(1938, 4, 1)
    assert (no_earlier(first), no_later(first - 1)) == ("April 1938", "March 1938")


def test_lengths_of_time_are_rounded() -> None:
    """366 days are 12.02 months, 1,918 are 63.02 of them: 5 years and 3 months."""
    assert {days: length(days) for days in (1, 2, 59, 60, 366, 549, 761, 1918, 3652, 3653, 4383)} == {
        1: "1 day", 2: "2 days", 59: "59 days", 60: "2 months", 366: "1 year", 549: "18 months",
        761: "2 years and 1 month", 1918: "5 years and 3 months", 3652: "10 years",
        3653: "10 years", 4383: "12 years",
    }  # fmt: skip


def year(first: int | None, last: int | None) -> Span:
    """Return the span of whole years."""
    early = None if first is None else day_number(first, 1, 1)
    return early, None if last is None else day_number(last, 12, 31)


UNKNOWN: Span = (None, None)
LIVES: dict[str, tuple[Span, Span, str, str]] = {
    "both known": (year(1898, 1898), year(1908, 1908), "1898–1908", "begun 1898, ended 1908"),
    "about its beginning": (
        year(1912, 1916), year(1938, 1938), "about 1914–1938", "begun 1912–1916, ended 1938",
    ),
    "about its end": (year(1909, 1909), year(1924, 1928), "1909–about 1926",
                      "begun 1909, ended 1924–1928"),
    "six years are too many": (year(1895, 1900), year(1908, 1908), "",
                               "begun 1895–1900, ended 1908"),
    "one year": (year(1926, 1926), year(1926, 1926), "1926", "1926"),
    "no end": (year(1928, 1928), UNKNOWN, "from 1928", "begun 1928"),
    "an end that says no more": (year(1928, 1928), year(1928, None), "from 1928", "begun 1928"),
    "an end to come": (year(1898, 1898), year(1908, None), "1898–1908 or later",
                       "begun 1898, ended 1908 or later"),
    "an end before its beginning": (year(1926, 1930), year(1926, None), "from about 1928",
                                    "begun 1926–1930"),
    "by then": (year(None, 1933), UNKNOWN, "", "begun by 1933"),
    "by then, and still then": (year(None, 1923), year(1923, None), "", "begun by 1923"),
    "an end that only follows": (year(1895, 1899), year(1895, 1920), "",
                                 "begun 1895–1899, ended by 1920"),
    "some time within": (year(1896, 1942), year(1896, 1942), "", "1896–1942"),
    "only its end": (UNKNOWN, year(None, 1924), "", "ended by 1924"),
    "nothing": (UNKNOWN, UNKNOWN, "", ""),
}  # fmt: skip


@pytest.mark.parametrize("name", LIVES)
def test_a_run_in_words(name: str) -> None:
    begin, end, told, loose = LIVES[name]
    assert life(begin, end) == told
    assert loosely(begin, end) == loose


def test_the_words_for_the_two_ends_are_given() -> None:
    assert loosely(year(None, 1911), year(1950, 1960), "born", "died") == (
        "born by 1911, died 1950–1960"
    )
