"""The commands that read and make codes, and how they end."""

import csv
import io
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from glost.record.errors import RecordErrors
from glost_cli.main import glost
from printed import tables
from shelf_of_codes import believed

BASE = "https://example.org/shelf/"


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("shelf") / "codes"
    believed(folder)
    return folder


def run(shelf: Path, *words: str) -> Result:
    return CliRunner().invoke(glost, [*words, "-c", str(shelf)])


def test_decode_prints_every_reading_and_what_it_rests_on(shelf: Path) -> None:
    ran = run(shelf, "decode", "?12X", "A12", "--evidence")
    assert ran.exit_code == 0
    assert "March 1912, plant 1" not in ran.output
    assert "March 1912, plant Plant no. 1" in " ".join(ran.output.split())
    assert "[Letter of a traveller], 1912, third page  [tables/" in ran.output
    assert "A12 (Blue Rim)" in ran.output


def test_decode_as_csv_and_json_names_claims(shelf: Path) -> None:
    rows = list(csv.DictReader(io.StringIO(run(shelf, "decode", "?12X", "--as", "csv").output)))
    assert [row["taken for"] for row in rows] == ["K12X", "L12X"]
    assert f"{BASE}claim/month-k" in rows[0]["claims"].split()
    readings, parts = tables(run(shelf, "decode", "?12X", "--as", "json").output, "readings")
    assert [(row["earliest"], row["latest"], row["worn"]) for row in readings] == [
        ("1912-03-01", "1912-03-31", "month"),
        ("1912-04-01", "1912-04-30", "month"),
    ]
    assert parts[0]["claims"] == [f"{BASE}claim/month-k"]


def test_what_fits_no_scheme_ends_with_1(shelf: Path) -> None:
    ran = run(shelf, "decode", "A12", "Z9")
    assert ran.exit_code == 1
    assert '"Z9" fits no scheme.' in ran.output


def test_decode_by_one_scheme_and_on_a_day(shelf: Path) -> None:
    assert run(shelf, "decode", "A12", "--scheme", "dates").exit_code == 1
    assert " no " in run(shelf, "decode", "K30X", "--pottery", "harrow").output
    assert run(shelf, "decode", "A12", "--on", "soon").exit_code == 2
    with pytest.raises(RecordErrors, match='no scheme is called "n"'):
        CliRunner().invoke(
            glost, ["decode", "A1", "--scheme", "n", "-c", str(shelf)], catch_exceptions=False
        )


def test_encode_makes_what_decode_reads(shelf: Path) -> None:
    ran = run(shelf, "encode", "dates", "month=4", "year=1912", "works=old", "--as", "csv")
    (row,) = csv.DictReader(io.StringIO(ran.output))
    assert row["code"] == "L12X"
    assert f"{BASE}claim/works-x" in row["claims"].split()
    assert "B77" in run(shelf, "encode", "numbers", "line=Birch", "run=77").output
    assert "B77" in run(shelf, "encode", "numbers", "line=B", "run=77", "--evidence").output


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("dates", "month=4", "year=1912"), 'the part "works" is missing'),
        (("dates", "month=4", "year=1912", "works=old", "day=3"), 'has no part "day"'),
        (("dates", "month=7", "year=1912", "works=old"), "it may be K, L"),
        (("dates", "month"), "is not PART=VALUE"),
    ],
)
def test_encode_says_what_is_wrong(shelf: Path, words: tuple[str, ...], said: str) -> None:
    ran = run(shelf, "encode", *words)
    assert ran.exit_code == 2
    assert said in ran.output


def test_encode_names_what_a_part_can_stand_for(shelf: Path) -> None:
    with pytest.raises(RecordErrors, match=r"it may be .*plant/new.* or .*plant/old"):
        CliRunner().invoke(
            glost,
            ["encode", "dates", "month=4", "year=1912", "works=none", "-c", str(shelf)],
            catch_exceptions=False,
        )


def test_encode_alone_lists_the_schemes(shelf: Path) -> None:
    (rows,) = tables(run(shelf, "encode", "--as", "json").output)
    assert [row["scheme"] for row in rows] == ["dates", "numbers"]
    assert rows[0]["parts"] == "month: K, L; year: counted; works: X, Y"
