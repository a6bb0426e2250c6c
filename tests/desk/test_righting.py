"""Something is wrong: corrected and withdrawn with what follows seen first, undone, never lost."""

import csv
from pathlib import Path

import shelf
from desks import Desk, words
from glost.record.entering import enter
from glost.record.record import read


def tables(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in sorted((folder / "tables").iterdir())}


def claim_of(folder: Path, table: str, row: int) -> str:
    record = read(folder)
    return next(c.id for c in record.claims if c.origin.table == table and c.origin.row == row)


def test_what_would_follow_is_shown_before_anything_is_written(small: Desk) -> None:
    claim, before = claim_of(small.folder, "shapes", 2), tables(small.folder)
    form = small.form(f"/claim/{claim}/correct")
    assert form["cell-begin"] == "1908"
    form |= {"cell-begin": "1909", "reason": "the list is later", "source": "Catalogue No. 5"}
    seen = small.post(f"/claim/{claim}/correct", {**form, "do": "look", "answers": "1"})
    said = words(seen.text)
    assert seen.status_code == 200
    assert "What would follow" in said and "1909" in said and "No longer held" in said
    assert "Answers that would change" in said
    assert tables(small.folder) == before


def test_a_correction_is_saved_shown_in_the_history_and_undone_in_one_step(small: Desk) -> None:
    claim = claim_of(small.folder, "shapes", 2)
    form = small.form(f"/claim/{claim}/correct")
    form |= {
        "cell-begin": "1909",
        "reason": "the list is later",
        "source": "cat1911",
        "locator": "p. 2",
    }
    saved = small.post(f"/claim/{claim}/correct", {**form, "do": "save"})
    assert saved.status_code == 303
    assert "1909" in words(small.get("/thing/shape/alder").text)
    record = read(small.folder)
    assert len(record.believed().parts) == 1
    text = (small.folder / "tables/corrections.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(text.splitlines()))
    assert [(r["withdraws"], r["columns"], r["source"], r["reason"]) for r in rows] == [
        (claim, "begin", "cat1911", "the list is later")
    ]
    again = small.get(f"/claim/{claim}/correct").text
    assert 'name="cell-begin"' not in again and 'name="cell-end"' in again
    assert "begin, of which another row says what stands now" in words(again)
    assert "Corrected" in words(small.get("/history").text)
    assert small.post("/undo/0").status_code == 303
    assert not read(small.folder).believed().parts
    assert "At this sitting Nothing yet" in words(small.get("/history").text)


def test_a_row_is_withdrawn_whole_and_that_undone_for_a_reason(small: Desk) -> None:
    claim = claim_of(small.folder, "flatware", 2)
    form = small.form(f"/claim/{claim}/correct?whole=1")
    form |= {"reason": "of another pottery", "kind": "transcription"}
    assert small.post(f"/claim/{claim}/correct", {**form, "do": "save"}).status_code == 303
    record = read(small.folder)
    assert [str(iri).rpartition("/")[2] for iri in record.believed().withdrawn] == [claim]
    correction = next(iter(record.believed().withdrawn.values())).id
    refused = small.post(f"/claim/{correction}/undo", {"reason": ""})
    assert refused.status_code == 409 and "reason" in words(refused.text)
    assert small.post(f"/claim/{correction}/undo", {"reason": "it was right"}).status_code == 303
    assert claim not in {str(i).rpartition("/")[2] for i in read(small.folder).believed().withdrawn}


def test_what_is_wrong_with_a_correction_is_told_and_nothing_written_is_lost(small: Desk) -> None:
    claim, before = claim_of(small.folder, "shapes", 2), tables(small.folder)
    form = small.form(f"/claim/{claim}/correct") | {
        "cell-begin": "about 1909",
        "reason": "",
        "do": "save",
    }
    bad = small.post(f"/claim/{claim}/correct", form)
    assert bad.status_code == 400
    assert "It cannot be saved so" in words(bad.text) and 'value="about 1909"' in bad.text
    assert tables(small.folder) == before


def test_of_two_tabs_on_one_row_the_second_is_refused_with_both_versions(small: Desk) -> None:
    claim = claim_of(small.folder, "shapes", 2)
    first, second = (small.form(f"/claim/{claim}/correct") for _ in range(2))
    grounds = {"reason": "misread", "kind": "transcription", "do": "save"}
    assert (
        small.post(f"/claim/{claim}/correct", first | grounds | {"cell-begin": "1909"}).status_code
        == 303
    )
    after = tables(small.folder)
    refused = small.post(
        f"/claim/{claim}/correct",
        second | grounds | {"cell-begin": "1910", "cell-name": "Alder Old"},
    )
    said = words(refused.text)
    assert refused.status_code == 409
    assert "What you wrote" in said and "1910" in said and "Alder Old" in said
    assert "What stands now" in said
    assert tables(small.folder) == after
    assert 'name="cell-begin" value="1910"' in refused.text, "nothing that was written is lost"


def test_a_tab_and_a_spreadsheet_on_one_row(small: Desk) -> None:
    claim = claim_of(small.folder, "shapes", 2)
    form = small.form(f"/claim/{claim}/correct")
    path = small.folder / "tables/shapes.csv"
    path.write_text(
        path.read_text(encoding="utf-8").replace("Alder,1908", "Alder,1907"), encoding="utf-8"
    )
    refused = small.post(
        f"/claim/{claim}/correct",
        form | {"cell-begin": "1909", "reason": "misread", "kind": "transcription", "do": "save"},
    )
    said = words(refused.text)
    assert refused.status_code == 409 and "1907" in said and "1909" in said
    assert "1907" in words(small.get("/thing/shape/alder").text), "the spreadsheet's version stands"
    assert 'name="cell-begin" value="1909"' in refused.text


def test_another_row_changed_meanwhile_is_in_nobodys_way(small: Desk) -> None:
    claim = claim_of(small.folder, "shapes", 2)
    form = small.form(f"/claim/{claim}/correct")
    enter(
        read(small.folder),
        {"shapes": [{"shape": "cedar", "pottery": "harrow", "name": "Cedar", "source": "cat1911"}]},
    )
    form |= {"cell-begin": "1909", "reason": "misread", "kind": "transcription", "do": "save"}
    assert small.post(f"/claim/{claim}/correct", form).status_code == 303
    assert "Cedar" in words(small.get("/things/shape").text)


def test_a_table_that_a_spreadsheet_broke_is_told_by_row_and_column_until_it_is_mended(
    small: Desk,
) -> None:
    assert small.get("/").status_code == 200
    path = small.folder / "tables/shapes.csv"
    was = path.read_text(encoding="utf-8")
    path.write_text(was.replace("1911,1920?", "1911,nineteen"), encoding="utf-8")
    broken = small.get("/")
    assert broken.status_code == 409
    assert "tables/shapes.csv, row 3, column end" in words(broken.text)
    path.write_text(was, encoding="utf-8")
    assert small.get("/").status_code == 200


def test_an_empty_folder_is_told_what_to_do(tmp_path: Path) -> None:
    from desks import desk

    (tmp_path / "tables").mkdir()
    (tmp_path / "collection.toml").write_text(shelf.SETTINGS, encoding="utf-8")
    with desk(tmp_path) as opened:
        assert "the collection holds no table" in words(opened.get("/").text)
