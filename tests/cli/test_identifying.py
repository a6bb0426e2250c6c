"""The commands that name, date and describe, and how they end."""

import csv
import io
import json
import re
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

import shelf as shelves
import shelf_of_four
from glost.record.errors import RecordErrors
from glost_cli.main import glost
from printed import tables

DATED = {
    **shelf_of_four.TABLES,
    "shapes": shelf_of_four.TABLES["shapes"]
    .replace("rim,", "begin,end,rim,", 1)
    .replace("Ash,", "Ash,1903,1908,")
    .replace("Beech,", "Beech,,,")
    .replace("Cane,", "Cane,1943,,")
    .replace("Dock,", "Dock,,,"),
    "treatments": "treatment,pottery,number,shape,begin,end,source\n"
    "a11,loam,A-11,ash,1904,1906,cat\nb11,loam,B-11,beech,,,cat\n"
    "c9,loam,C-9,cane,1920,1931,cat\n",
}


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Path:
    empty = dict.fromkeys(shelves.TABLES, "")
    return shelves.write(tmp_path_factory.mktemp("identify") / "shelf", **{**empty, **DATED})


def run(shelf: Path, *words: str) -> Result:
    return CliRunner().invoke(glost, [*words, "-c", str(shelf)])


def test_candidates_print_what_speaks_for_and_against_and_where(shelf: Path) -> None:
    ran = run(shelf, "candidates", "--form", "plate", "--rim", "fluted", "--mark", "L?AM / A...")
    assert ran.exit_code == 0
    text = " ".join(ran.output.split())
    assert "- Ash score 11 - agrees (+2) It is given a plate." in text
    assert "Mark “LOAM / ASH” names it." in text
    assert "Notes of a visitor, 1910 [tables/marks.csv row 2; claim" in text


def test_candidates_say_what_is_equal_ruled_out_and_what_to_look_at(shelf: Path) -> None:
    text = " ".join(run(shelf, "candidates", "--form", "plate", "--rim", "fluted").output.split())
    assert "Look next at the number" in text or "Look next at the mark" in text
    text = " ".join(run(shelf, "candidates", "--form", "teapot").output.split())
    assert "Ruled out - Beech: No teapot is in “Loam ware”, all stated to be complete." in text


def test_candidates_as_json_name_every_claim_and_why_it_weighs(shelf: Path) -> None:
    ran = run(shelf, "candidates", "--rim", "fluted", "--as", "json")
    (points,) = tables(ran.output, "candidates")
    (point,) = [each for each in points if each["candidate"] == points[0]["candidate"]]
    assert point["verdict"] == "agrees" and point["why"].endswith(".") and point["claims"]


def test_a_piece_on_record_is_named_as_if_it_were_not(shelf: Path) -> None:
    (points,) = tables(
        run(shelf, "candidates", "--piece", "p2", "--as", "json").output, "candidates"
    )
    assert points[0]["candidate"] == "Ash"  # its mark names Ash; it is recorded as Beech


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("candidates",), "say something that is seen"),
        (("candidates", "--piece", "p1", "--rim", "x"), "not both"),
        (("date",), "give a PIECE, or what is seen, or --table"),
        (("date", "p1", "--shape", "ash"), "give a PIECE, or what is seen, or --table"),
        (("date", "p1", "-o", "x.csv"), "--output goes with --table"),
    ],
)
def test_what_is_not_understood_ends_with_2(shelf: Path, words: tuple[str, ...], says: str) -> None:
    ran = run(shelf, *words)
    assert ran.exit_code == 2 and says in ran.output


@pytest.mark.parametrize("words", [("candidates", "--piece", "shape/ash"), ("date", "Ash")])
def test_another_thing_than_a_piece_is_refused(shelf: Path, words: tuple[str, ...]) -> None:
    ran = run(shelf, *words)
    assert ran.exit_code == 1
    assert f'"{words[-1]}" is Ash (shape/ash); name a piece' in str(ran.exception)


def test_what_names_nothing_on_record_is_told_all_at_once(shelf: Path) -> None:
    for command in ("candidates", "date"):
        ran = run(shelf, command, "--form", "plat", "--glaze", "mosss")
        assert isinstance(ran.exception, RecordErrors) and len(ran.exception.errors) == 2


def test_a_sheet_is_printed_or_written_whole(shelf: Path, tmp_path: Path) -> None:
    ran = run(shelf, "sheet", "shape/ash")
    assert ran.exit_code == 0 and ran.output.startswith("# Ash, made 1903–1908 (disputed)\n")
    assert re.search(r"^\[\^\d+\]: Loam ware, 1905, p\. 1\.", ran.output, re.MULTILINE)
    target = tmp_path / "ash.html"
    ran = run(shelf, "sheet", "Ash", "--as", "html", "-o", str(target))
    assert ran.exit_code == 0 and "statements" in ran.output
    assert target.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
    assert [path.name for path in tmp_path.iterdir()] == ["ash.html"]


def test_a_date_prints_both_limits_and_what_they_rest_on(shelf: Path) -> None:
    ran = run(shelf, "date", "--shape", "ash", "--number", "A-11")
    assert ran.exit_code == 0
    text = " ".join(ran.output.split())
    assert "Made: between 1903 and 1906" in text
    assert "decorated no later than 1906: the end of A-11" in text
    assert "Ash began in 1903: so the start of Ash is no earlier than 1903" in text
    assert "only a laboratory's test of the piece itself tells" in text


def test_a_contradiction_is_worded_as_hypotheses_and_ends_with_1(shelf: Path) -> None:
    ran = run(shelf, "date", "--shape", "cane", "--form", "plate", "--number", "C-9")
    assert ran.exit_code == 1
    text = " ".join(ran.output.split())
    assert "no day fits: no earlier than 1943, and no later than 1931" in text
    assert "- It may be: Shared flatware" in text


def test_a_table_gives_a_row_for_each_row(shelf: Path, tmp_path: Path) -> None:
    table = tmp_path / "tray.csv"
    table.write_text("id,shape,number\nx,ash,A-11\ny,cane,C-9\n", encoding="utf-8")
    ran = run(shelf, "date", "--table", str(table))
    rows = list(csv.DictReader(io.StringIO(ran.output)))
    assert ran.exit_code == 1  # the second contradicts itself
    assert [row["id"] for row in rows] == ["x", "y"]
    assert rows[0]["made_not_after"] == "1906-12-31" and rows[0]["contradiction"] == ""
    assert "against" in rows[1]["contradiction"]
    target = tmp_path / "out.csv"
    assert (
        run(shelf, "date", "--table", str(table), "-o", str(target)).output
        == f"{target}: 2 rows.\n"
    )
    table.write_bytes(b"id,shape\n\xff,ash\n")
    assert isinstance(run(shelf, "date", "--table", str(table)).exception, RecordErrors)


def test_dates_as_json_name_claims_and_cautions(shelf: Path) -> None:
    printed = run(shelf, "date", "--shape", "ash", "--as", "json").output
    (made, _), limits = tables(printed, "dated")
    assert (made["point"], made["not_before"], made["not_after"]) == (
        "made", "1903-01-01", "1908-12-31",
    )  # fmt: skip
    assert made["fits"] == "yes"
    assert limits[0]["claims"] and json.loads(printed)["cautions"]


def test_no_command_calls_ware_or_kiln_free_of_danger(shelf: Path) -> None:
    danger = re.compile(r"\b(un)?safe(ly|r|st|ty)?\b|\bharmless\b", re.IGNORECASE)
    for words in (
        ("candidates", "--rim", "fluted", "--all"),
        ("date", "--shape", "cane", "--number", "C-9", "--country", "Made in Zeeland"),
        ("sheet", "shape/ash"),
        ("sheet", "shape/ash", "--as", "html"),
        *((name, "--help") for name in ("candidates", "date", "sheet")),
    ):
        ran = run(shelf, *words)
        assert ran.output and not danger.search(ran.output), words
