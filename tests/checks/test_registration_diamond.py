"""The British design registration diamond, a published date code, as one scheme with exceptions.

Source: The National Archives (UK), guide to registered designs 1839-1991; the corner layout and the
worked decodings as in ``registration_diamond.csv``. 1842-67: year at the top, month left, day right,
parcel at the bottom. 1868-83: day at the top, parcel left, year right, month at the bottom.
"""

import csv
from collections.abc import Iterator
from pathlib import Path

import pytest

from glost.record.dates import day_number, to_iso
from glost.record.record import read
from glost.trade.codes import CodeError, CodeScheme, decode, encode
from glost.trade.codes.findings import code_findings
from glost.trade.codes.schemes import schemes
from shelf import write

HERE = Path(__file__).parent
FIRST, SECOND = "1842-1867", "1868-1883"
SCHEMES = (
    "scheme,codes,pattern,begin,end,source\n"
    "first,date,{year}/{month}/{day}/{parcel},1842,1867,letter\n"
    "second,date,{day}/{parcel}/{year}/{month},1868,1883,letter\n"
)
NAMES = {FIRST: ("first",), SECOND: ("second",), "both": ("first", "second")}


def table(name: str) -> list[dict[str, str]]:
    lines = (HERE / name).read_text(encoding="utf-8").splitlines()
    rows = list(csv.DictReader(line for line in lines if not line.startswith("#")))
    assert rows
    return rows


def rows(more: tuple[str, ...] = ()) -> Iterator[str]:
    yield "scheme,part,value,means,year,month,digits,only_in,also,source"
    given = table("registration_diamond.csv") + table("registration_diamond_exceptions.csv")
    for row in given:
        year, month = (row["value"], "") if row["kind"] == "year" else ("", row["value"])
        for name in NAMES[row["series"]]:
            condition = f"{row.get('only_in') or ''},{row.get('also') or ''}"
            yield f"{name},{row['kind']},{row['letter']},{row['kind']},{year},{month},,{condition},letter"
    for name in NAMES["both"]:
        yield f"{name},day,,day,,,digits,,,letter"
        yield f"{name},parcel,,running-number,,,digits,,,letter"
    yield from more


def known(folder: Path, *more: str) -> tuple[CodeScheme, CodeScheme]:
    text = "\n".join(rows(more)) + "\n"
    belief = read(write(folder / "c", code_schemes=SCHEMES, code_parts=text)).believed()
    first, second = schemes(belief)
    return first, second


@pytest.fixture(scope="module")
def diamond(tmp_path_factory: pytest.TempPathFactory) -> tuple[CodeScheme, CodeScheme]:
    return known(tmp_path_factory.mktemp("diamond"))


def written(series: str, year: str, month: str, day: int, parcel: int = 5) -> str:
    if series == FIRST:
        return f"{year}/{month}/{day}/{parcel}"
    return f"{day}/{parcel}/{year}/{month}"


def days(diamond: tuple[CodeScheme, CodeScheme], code: str) -> list[str]:
    found = decode(code, diamond).possible
    assert all(reading.earliest == reading.latest for reading in found)
    return sorted(to_iso(reading.earliest or 0) for reading in found)


@pytest.mark.parametrize(
    ("series", "year", "month", "day", "expected"),
    [
        (FIRST, "N", "A", 2, "1864-12-02"),
        (SECOND, "K", "R", 1, "1883-08-01"),
        (SECOND, "A", "I", 6, "1871-07-06"),
        (FIRST, "K", "H", 7, "1857-04-07"),
        (FIRST, "E", "K", 9, "1855-11-09"),
    ],
)
def test_worked_decodings(
    diamond, series: str, year: str, month: str, day: int, expected: str
) -> None:  # type: ignore[no-untyped-def]
    assert days(diamond, written(series, year, month, day)) == [expected]


@pytest.mark.parametrize(
    ("series", "letter", "wrong", "right"),
    [(FIRST, "G", 1853, "Y"), (SECOND, "H", 1868, "X")],
)
def test_known_misprints_are_refused(
    diamond: tuple[CodeScheme, CodeScheme],
    tmp_path: Path,
    series: str,
    letter: str,
    wrong: int,
    right: str,
) -> None:
    scheme = diamond[series == SECOND]
    code = written(series, letter, "C", 4)
    assert all(not day.startswith(str(wrong)) for day in days(diamond, code))
    made = encode(scheme, {"year": wrong, "month": 1, "day": 4, "parcel": 5})
    assert [each.code for each in made] == [written(series, right, "C", 4)]
    name = NAMES[series][0]
    spoilt = known(tmp_path, f"{name},year,{letter},year,{wrong},,,,,cat1908")
    both = decode(code, spoilt)
    assert both.differs
    assert {day[:4] for day in days(spoilt, code)} > {str(wrong)}
    assert all(r.claims for r in both.readings)


def test_september_1857_may_bear_the_letter_of_august(
    diamond: tuple[CodeScheme, CodeScheme],
) -> None:
    assert days(diamond, written(FIRST, "K", "R", 19)) == ["1857-08-19", "1857-09-19"]
    assert days(diamond, written(FIRST, "K", "R", 20)) == ["1857-08-20"]
    assert days(diamond, written(FIRST, "L", "R", 19)) == ["1856-08-19"]
    made = encode(diamond[0], {"year": 1857, "month": 9, "day": 3, "parcel": 1})
    assert [each.code for each in made] == ["K/D/3/1", "K/R/3/1"]
    made = encode(diamond[0], {"year": 1857, "month": 9, "day": 21, "parcel": 1})
    assert [each.code for each in made] == ["K/D/21/1"]


def test_december_1860_may_bear_the_letter_of_november(
    diamond: tuple[CodeScheme, CodeScheme],
) -> None:
    assert days(diamond, written(FIRST, "Z", "K", 8)) == ["1860-11-08", "1860-12-08"]
    assert days(diamond, written(FIRST, "Z", "K", 31)) == ["1860-12-31"]
    assert days(diamond, written(FIRST, "R", "K", 8)) == ["1861-11-08"]


def test_first_week_of_march_1878(diamond: tuple[CodeScheme, CodeScheme]) -> None:
    """From memory only: W for the year and G for the month, 1 to 6 March 1878."""
    assert days(diamond, written(SECOND, "W", "G", 6)) == ["1878-03-06"]
    assert days(diamond, written(SECOND, "W", "G", 7)) == []
    assert days(diamond, written(SECOND, "W", "C", 3)) == []
    assert days(diamond, written(SECOND, "D", "G", 6)) == ["1878-02-06"]


def test_letters_are_used_once_and_every_year_has_one(
    diamond: tuple[CodeScheme, CodeScheme],
) -> None:
    for series, scheme, count in ((FIRST, diamond[0], 26), (SECOND, diamond[1], 16)):
        letters = [r["letter"] for r in table("registration_diamond.csv") if r["series"] == series]
        assert len(letters) == len(set(letters)) == count
        first = int(series[:4])
        for year in range(first, first + count):
            made = encode(scheme, {"year": year, "month": 1, "day": 31, "parcel": 12})
            (reading,) = decode(made[0].code, [scheme]).readings
            assert len(made) == 1
            assert reading.earliest == day_number(year, 1, 31)
            inner = first < year < first + count - 1
            assert reading.in_force == ("certainly" if inner else "possibly")
        with pytest.raises(CodeError, match="means"):
            encode(scheme, {"year": first + count, "month": 1, "day": 1, "parcel": 1})


def test_no_such_day_is_no_reading(diamond: tuple[CodeScheme, CodeScheme]) -> None:
    assert days(diamond, written(FIRST, "X", "G", 30)) == []
    assert days(diamond, written(FIRST, "X", "G", 0)) == []
    assert days(diamond, written(FIRST, "X", "G", 28)) == ["1842-02-28"]


def test_a_worn_letter_leaves_every_year_it_may_be(diamond: tuple[CodeScheme, CodeScheme]) -> None:
    found = decode("?/C/4/5", diamond)
    assert found.unreadable == ("year",)
    assert len(found.possible) == 26
    assert found.span == (day_number(1842, 1, 4), day_number(1867, 1, 4))


def test_the_scheme_brings_nothing_to_light(tmp_path: Path) -> None:
    text = "\n".join(rows()) + "\n"
    belief = read(write(tmp_path / "c", code_schemes=SCHEMES, code_parts=text)).believed()
    assert list(code_findings(belief, belief.graph)) == []
