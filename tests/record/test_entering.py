"""Rows that are to be added: checked, made claims of, written, taken out again."""

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import shelf
from glost.record.amending import StaleRecordError
from glost.record.cells import CellError
from glost.record.entering import (
    check_cell,
    counted_on,
    draft,
    enter,
    same_again,
    take_out,
)
from glost.record.errors import RecordErrors
from glost.record.record import read
from glost.record.tables import tables

CEDAR = {
    "shape": "cedar",
    "pottery": "harrow",
    "name": "Cedar",
    "source": "cat1911",
    "locator": "p. 4",
}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return shelf.write(tmp_path / "shelf")


def rows(folder: Path, table: str) -> list[dict[str, str]]:
    with (folder / "tables" / f"{table}.csv").open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def test_a_draft_is_the_claim_that_reading_gives_once_it_is_written(folder: Path) -> None:
    before = read(folder)
    made = draft(before, {"shapes": [CEDAR]})
    assert made.errors == ()
    entered = enter(before, {"shapes": [CEDAR]})
    (foreseen,) = made.claims
    there = read(folder).claim(entered.ids[0])
    assert there is not None
    assert there.iri == foreseen.iri and set(there.statements) == set(foreseen.statements)
    assert there.passage == foreseen.passage
    assert there.origin.row == 4


def test_rows_are_added_at_the_end_and_all_else_stays_to_the_letter(folder: Path) -> None:
    was = (folder / "tables/shapes.csv").read_text(encoding="utf-8")
    entered = enter(read(folder), {"shapes": [CEDAR]})
    assert entered.files == ("tables/shapes.csv",)
    now = (folder / "tables/shapes.csv").read_text(encoding="utf-8")
    assert now == was + "cedar,harrow,Cedar,,,cat1911,p. 4,\n"


def test_rows_may_name_each_other(folder: Path) -> None:
    like = {"shape": "cedar", "with": "alder", "source": "letter", "locator": "third page"}
    enter(read(folder), {"flatware": [like], "shapes": [CEDAR]})
    assert rows(folder, "flatware")[-1]["shape"] == "cedar"


def test_everything_wrong_is_told_with_its_row_and_column_and_nothing_is_written(
    folder: Path,
) -> None:
    was = {path.name: path.read_bytes() for path in (folder / "tables").iterdir()}
    bad = [
        {**CEDAR, "begin": "about 1911"},
        {"shape": "oak", "pottery": "harow", "name": "", "source": ""},
        {**CEDAR, "shape": "elm", "colour": "red"},
    ]
    with pytest.raises(RecordErrors) as told:
        enter(read(folder), {"shapes": bad})
    found = {(error.row, error.column) for error in told.value.errors}
    assert found == {(1, "begin"), (2, "pottery"), (2, "source"), (3, "colour")}
    remedies = {error.column: error.remedy for error in told.value.errors}
    assert 'did you mean "harrow"' in remedies["pottery"]
    assert was == {path.name: path.read_bytes() for path in (folder / "tables").iterdir()}


def test_a_row_that_is_there_already_is_not_written_twice(folder: Path) -> None:
    record = enter(read(folder), {"shapes": [CEDAR]}).record
    with pytest.raises(
        RecordErrors, match=r"the very same row is there already: tables/shapes.csv"
    ):
        enter(record, {"shapes": [CEDAR]})
    elm = {**CEDAR, "shape": "elm"}
    with pytest.raises(RecordErrors, match="a row before it"):
        enter(record, {"shapes": [elm, dict(elm)]})
    assert [row["shape"] for row in rows(folder, "shapes")] == ["alder", "birch", "cedar"]


def test_what_was_read_before_somebody_else_wrote_is_refused(folder: Path) -> None:
    before = read(folder)
    enter(before, {"shapes": [CEDAR]})
    with pytest.raises(StaleRecordError):
        enter(before, {"shapes": [{**CEDAR, "shape": "elm"}]})
    assert [row["shape"] for row in rows(folder, "shapes")] == ["alder", "birch", "cedar"]


def test_rows_just_entered_can_be_taken_out_and_the_file_is_as_before(folder: Path) -> None:
    was = (folder / "tables/shapes.csv").read_bytes()
    entered = enter(read(folder), {"shapes": [CEDAR, {**CEDAR, "shape": "elm", "name": "Elm"}]})
    take_out(entered.record, entered.ids)
    assert (folder / "tables/shapes.csv").read_bytes() == was


def test_rows_on_which_something_rests_are_not_taken_out(folder: Path) -> None:
    shapes = enter(read(folder), {"shapes": [CEDAR]})
    like = {"shape": "cedar", "with": "alder", "source": "letter"}
    record = enter(shapes.record, {"flatware": [like]}).record
    with pytest.raises(RecordErrors, match='nothing describes "cedar"'):
        take_out(record, shapes.ids)
    assert rows(folder, "shapes")[-1]["shape"] == "cedar"
    with pytest.raises(RecordErrors, match='there is no claim "nowhere"'):
        take_out(record, ["nowhere"])


def test_a_cell_is_checked_as_the_reader_checks_it(folder: Path) -> None:
    record = read(folder)
    column = tables()["assortments"].column("form")
    assert check_cell(record, column, " Dinner Plate ") == "dinner-plate"
    assert check_cell(record, column, "") == ""
    with pytest.raises(CellError) as told:
        check_cell(record, column, "dinner plaet")
    assert "dinner" in told.value.remedy
    with pytest.raises(CellError, match="U\\+0007"):
        check_cell(record, column, "plate\x07")
    corrections = tables()["corrections"].column("withdraws")
    assert check_cell(record, corrections, "b7-as-printed") == "b7-as-printed"
    with pytest.raises(CellError, match="there is no claim"):
        check_cell(record, corrections, "b8")


# -- the same again --------------------------------------------------------------------------------

LINE = {"catalogue": "cat1908", "shape": "alder", "form": "plate", "trade_size": "8", "item": "101",
        "price": "1.20", "per": "dozen", "locator": "p. 3, item 101", "region": "xywh=1,2,3,4"}  # fmt: skip


def test_after_one_row_item_and_place_are_counted_on_and_the_region_is_drawn_anew() -> None:
    assert same_again("assortments", [LINE]) == {
        "catalogue": "cat1908", "shape": "alder", "form": "plate", "trade_size": "8",
        "item": "102", "price": "1.20", "per": "dozen", "locator": "p. 3, item 102",
    }  # fmt: skip


def test_after_two_rows_what_differed_is_empty_and_what_was_counted_is_counted_on() -> None:
    second = {**LINE, "form": "saucer", "item": "102", "price": "0.90", "locator": "p. 3, item 102"}
    assert same_again("assortments", [LINE, second]) == {
        "catalogue": "cat1908", "shape": "alder", "trade_size": "8", "item": "103", "per": "dozen",
        "locator": "p. 3, item 103",
    }  # fmt: skip


def test_a_page_alone_stays_and_an_id_of_its_own_is_counted_on_or_left_out() -> None:
    row = {
        "treatment": "a-099",
        "pottery": "harrow",
        "number": "A-99",
        "source": "cat1908",
        "locator": "p. 9",
    }
    assert same_again("treatments", [row]) == {
        "treatment": "a-100", "pottery": "harrow", "number": "A-100", "source": "cat1908", "locator": "p. 9"
    }  # fmt: skip
    assert "shape" not in same_again("shapes", [CEDAR])
    assert same_again("shapes", []) == {}


@given(
    st.text(alphabet="ab-. ", max_size=5),
    st.integers(0, 10**6),
    st.integers(1, 7),
    st.text(alphabet="ab- ", max_size=4),
)
def test_only_the_last_number_is_counted_on(head: str, number: int, width: int, tail: str) -> None:
    text = f"{head}{number:0{width}}{tail}"
    on = counted_on(text)
    assert on.startswith(head) and on.endswith(tail)
    figures = on[len(head) : len(on) - len(tail)]
    assert int(figures) == number + 1 and len(figures) >= min(width, len(str(number + 1)))
    assert counted_on(head.replace("1", "")) == ""


@given(st.lists(st.sampled_from(["plate", "saucer", "cup"]), min_size=1, max_size=4))
def test_a_kept_cell_is_one_the_last_rows_share(forms: list[str]) -> None:
    saved = [{**LINE, "form": form} for form in forms]
    found = same_again("assortments", saved)
    shared = len(forms) == 1 or forms[-1] == forms[-2]
    assert found.get("form", "") == (forms[-1] if shared else "")
