"""Reading dates: day numbers, margins, errors, words."""

import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from glost.record.dates import (
    DateError,
    Margin,
    calendar_day,
    day_number,
    describe,
    from_iso,
    overlaps,
    read,
    to_iso,
)


def span(text: str, margin: int | Margin = 0) -> tuple[str | None, str | None]:
    date = read(text, margin)
    return tuple(None if d is None else to_iso(d) for d in (date.earliest, date.latest))  # type: ignore[return-value]


@given(st.dates())
def test_day_numbers_are_those_of_datetime(day: datetime.date) -> None:
    assert day_number(day.year, day.month, day.day) == day.toordinal()
    assert to_iso(day.toordinal()) == day.isoformat()
    assert from_iso(day.isoformat()) == day.toordinal()


@given(st.integers(-(10**14), 10**14))
def test_day_numbers_go_there_and_back(number: int) -> None:
    assert day_number(*calendar_day(number)) == number
    assert from_iso(to_iso(number)) == number


@given(st.integers(-(10**14), 10**14))
def test_the_next_day_is_the_next_number(number: int) -> None:
    assert calendar_day(number) < calendar_day(number + 1)


def test_year_zero_comes_before_year_one() -> None:
    assert to_iso(0) == "0000-12-31"
    assert to_iso(-366) == "-0001-12-31"


@pytest.mark.parametrize("text", ["1908-2-03", "1908-02-30", "1908-13-01", "08-01-01", "1908"])
def test_from_iso_refuses(text: str) -> None:
    with pytest.raises(ValueError, match="day"):
        from_iso(text)


@given(st.dates(min_value=datetime.date(1, 1, 1)))
def test_whole_dates_are_one_day(day: datetime.date) -> None:
    date = read(day.isoformat())
    assert date.earliest == date.latest == day.toordinal()


@pytest.mark.parametrize(
    ("text", "margin", "bounds"),
    [
        ("1911~", 365, ("1910-01-01", "1912-12-30")),
        ("1911%", 1, ("1910-12-31", "1912-01-01")),
        ("1911?", 365, ("1911-01-01", "1911-12-31")),
        ("1911~", Margin(year=1, month=2, day=3), ("1910-12-31", "1912-01-01")),
        ("1911-06~", Margin(year=1, month=2, day=3), ("1911-05-30", "1911-07-02")),
        ("1911-06-10~", Margin(year=1, month=2, day=3), ("1911-06-07", "1911-06-13")),
        ("1911~-06-10", Margin(year=1, month=2, day=3), ("1911-06-09", "1911-06-11")),
        ("1911~/1915", 1, ("1910-12-31", "1915-12-31")),
        ("1911/1915~", 1, ("1911-01-01", "1916-01-01")),
        ("[1911~,1913]", 1, ("1910-12-31", "1913-12-31")),
        ("191X~", 1, ("1909-12-31", "1920-01-01")),
    ],
)
def test_only_approximate_dates_widen(
    text: str, margin: int | Margin, bounds: tuple[str, str]
) -> None:
    assert span(text, margin) == bounds


def test_the_default_margin_is_stated() -> None:
    assert (Margin().year, Margin().month, Margin().day) == (730, 61, 7)
    assert read("1911~").margin == 730
    assert read("1911~/1912-03-04~").margin == 730
    assert read("1911").margin == 0
    assert span("1911~", Margin()) == ("1909-01-01", "1913-12-30")


def test_a_margin_cannot_narrow() -> None:
    with pytest.raises(ValueError, match="0 or more"):
        read("1911~", -1)


@pytest.mark.parametrize(
    ("text", "qualifiers"),
    [
        ("1911?", "y?"),
        ("1911-04~", "y~m~"),
        ("2004-06~-11", "y~m~"),
        ("?2004-06-~11", "y?d~"),
        ("2004-%06-11", "m%"),
        ("2004?-06~-11", "y%m~"),
        ("1911?/1912~", "y?/y~"),
        ("1911/1912~", "/y~"),
        ("1911", ""),
    ],
)
def test_qualifiers_are_kept_part_by_part(text: str, qualifiers: str) -> None:
    assert read(text).qualifiers == qualifiers


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("1911~", "about 1911"),
        ("1911?", "perhaps 1911"),
        ("1911-04%", "perhaps about April 1911"),
        ("1911-04-02", "2 April 1911"),
        ("192X", "some year 1920 to 1929"),
        ("192X~", "about some year 1920 to 1929"),
        ("-192X", "some year -1929 to -1920"),
        ("-000X", "some year -009 to -001"),
        ("1911-XX", "some month of 1911"),
        ("19XX-XX-XX", "some day of some year 1900 to 1999"),
        ("1911-04-XX", "some day of April 1911"),
        ("156X-12-25", "25 December of some year 1560 to 1569"),
        ("1984-1X", "some day from 1 October 1984 to 31 December 1984 that reads 1984-1X"),
        ("1908/..", "from 1908, end open"),
        ("1908/", "from 1908, end unknown"),
        ("../1908", "until 1908, start open"),
        ("/1908", "until 1908, start unknown"),
        ("../..", "start open, end open"),
        ("/..", "start unknown, end open"),
        ("1908~/1911?", "from about 1908 to perhaps 1911"),
        ("2004-06~-11", "11 June 2004 (year and month approximate)"),
        ("?2004-06-~11", "11 June 2004 (year uncertain; day approximate)"),
        ("1911-21", "spring 1911"),
        ("1911-24?", "perhaps winter 1911"),
        ("1911-40", "first half of 1911"),
        ("[1908,1911..1913]", "one of 1908 or 1911 to 1913"),
        ("[..1908]", "1908 or earlier"),
        ("[1908..]", "1908 or later"),
        ("{1908,1911-04}", "all of 1908 and April 1911"),
        ("1950S2", "some year 1900 to 1999, estimated 1950"),
        ("Y17E7", "year 170000000"),
        ("-0044", "year -0044"),
        ("1911-04-02T10:00:00Z", "2 April 1911, 10:00:00Z"),
    ],
)
def test_words(text: str, words: str) -> None:
    assert describe(read(text)) == words


@pytest.mark.parametrize(
    ("a", "b", "shared"),
    [
        ("1908", "1908-12-31", True),
        ("1908", "1909", False),
        ("1908/..", "2004", True),
        ("1908/..", "1907", False),
        ("1908/", "2004", True),
        ("../1908", "1909", False),
        ("[1667,1760]", "1700", False),
        ("[1667,1760]", "1760-05", True),
        ("1700", "{1667,1700..1702}", True),
        ("[1667,1760]", "[1668,1759]", False),
        ("../..", "1908", True),
    ],
)
def test_overlaps(a: str, b: str, shared: bool) -> None:
    assert overlaps(read(a), read(b)) is shared
    assert overlaps(read(b), read(a)) is shared


def test_unknown_ends_are_not_open() -> None:
    unknown, opened = read("1908/"), read("1908/..")
    assert (unknown.unknown_end, unknown.open_end, unknown.latest) == (True, False, None)
    assert (opened.unknown_end, opened.open_end, opened.latest) == (False, True, None)


def test_members_are_dates_themselves() -> None:
    date = read("[1667,1668,1670..1672]")
    assert [m.text for m in date.members] == ["1667", "1668", "1670..1672"]
    assert [m.kind for m in date.members] == ["date", "date", "range"]
    start, end = read("1908/..").members
    assert (start.text, end.text, end.open_end) == ("1908", "..", True)


@pytest.mark.parametrize(
    ("text", "remedy"),
    [
        ("1908-1911", "slash"),
        ("c. 1911", "tilde"),
        ("1910s", "192X"),
        ("12/04/1911", "year, month, day"),
        ("1908 ", "blanks"),
        ("", "leave the whole cell out"),
        ("1911/unknown", "nothing at all"),
        ("Y1E13", "within that many"),
        ("Y" + "9" * 400, "within that many"),
        ("١٩١١", "Extended Date/Time Format"),
    ],
)
def test_errors_say_what_to_write(text: str, remedy: str) -> None:
    with pytest.raises(DateError, match=remedy) as caught:
        read(text)
    assert caught.value.text == text
    assert remedy in caught.value.remedy


@pytest.mark.parametrize(
    ("text", "bounds"),
    [
        ("1911-24", ("1910-12-01", "1912-03-31")),
        ("1911-25", ("1911-03-01", "1911-06-30")),
        ("1911-33", ("1911-01-01", "1911-03-31")),
        ("1911-38", ("1911-05-01", "1911-08-31")),
        ("1911-41", ("1911-07-01", "1911-12-31")),
        ("XXXX-02-29", ("0000-02-29", "9996-02-29")),
        ("19XX-02-29", ("1904-02-29", "1996-02-29")),
        ("1911-02-2X", ("1911-02-20", "1911-02-28")),
        ("1911-X2-3X", ("1911-12-30", "1911-12-31")),
        ("-1XXX", ("-1999-01-01", "-1000-12-31")),
        ("-1950S2", ("-1999-01-01", "-1900-12-31")),
        ("1950S4", ("1950-01-01", "1950-12-31")),
        ("0000", ("0000-01-01", "0000-12-31")),
    ],
)
def test_bounds(text: str, bounds: tuple[str, str]) -> None:
    assert span(text) == bounds


@given(st.text(alphabet="0123456789XY-~?%/[]{},.TESZ:+", max_size=24))
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        date = read(text)
    except DateError as error:
        refused = error.text
    else:
        refused = None
        assert date.text == text
        assert describe(date)
        if date.earliest is not None and date.latest is not None:
            assert date.earliest <= date.latest
    assert refused in (None, text)


@pytest.mark.parametrize("text", ["1911~/1912", "1912/1913~"])
def test_an_interval_is_as_wide_as_its_wider_end(text: str) -> None:
    assert read(text).margin == 730


@pytest.mark.parametrize("text", ["[1908..,1910]", "[1908,..1910]", "{1908,1909..,1911}"])
def test_a_set_is_open_at_its_outside_only(text: str) -> None:
    with pytest.raises(DateError, match="only the first member may be open at its start"):
        read(text)
