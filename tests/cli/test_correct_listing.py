"""Correcting a claim lists every answer that rested on it, and what became of each."""

import csv
import io
import json
from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner

from glost.answer.affected import Affected, compare, put
from glost.answer.snapshot import Snapshot
from glost.record.correcting import correct
from glost.record.errors import RecordErrors
from glost_cli.main import glost
from shelf import TABLES, write

BASE = "https://example.org/shelf/"
GROUNDS = {"reason": "the 7 is a 9", "source": "p2", "locator": "foot", "recorded_on": "2024-01-01"}


def affected(folder: Path, **changes: str) -> list[Affected]:
    before = Snapshot(folder)
    old = before.record.claim("b7-as-printed")
    assert old is not None
    asked = put(before.answers, [old])
    correct(before.record, old, changes, GROUNDS)
    return list(compare(asked, Snapshot(folder).answers))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    pieces = "piece,shape,form,treatment,number_read\np1,alder,plate,b7,B7\np2,birch,saucer,b7,B9\n"
    return write(tmp_path / "shelf", pieces=pieces)


def of(found: list[Affected], question: str, fate: str) -> list[list[str]]:
    return [
        [str(value or "").removeprefix(BASE) for value in each.values]
        for each in found
        if (each.question, each.fate) == (question, fate)
    ]


def test_a_corrected_number_changes_the_rows_that_gave_it(folder: Path) -> None:
    found = affected(folder, number="B9")
    (gone,) = of(found, "crossings", "no longer")
    (new,) = of(found, "crossings", "new")
    assert gone[:4] == ["treatment/b7", "B7", "shape/birch", "shape/alder"]
    assert new[:2] == ["treatment/b7", "B9"] and new[2:] == gone[2:]
    (said,) = of(found, "source-supports", "new")
    assert said == [
        "treatment/b7",
        "https://w3id.org/glost/ontology#treatmentNumber",
        "B7",
        "p. 8",
        "withdrawn",
    ]


def test_a_withdrawn_claim_takes_its_rows_with_it(folder: Path) -> None:
    found = affected(folder)
    assert of(found, "crossings", "no longer")
    assert {each.question for each in found if each.fate != "no longer"} == {
        "corrections",
        "source-supports",
    }


def test_what_another_source_says_too_still_stands(tmp_path: Path) -> None:
    rows = TABLES["treatments"] + "b7,harrow,B7,Gold Line,birch,letter,,b7-in-letter\n"
    pieces = "piece,shape,form,treatment,number_read\np1,alder,plate,b7,B7\np2,birch,plate,,\n"
    found = affected(write(tmp_path / "shelf", pieces=pieces, treatments=rows))
    ((treatment, number, *_),) = of(found, "crossings", "still")
    assert (treatment, number) == ("treatment/b7", "B7")
    (still,) = (e for e in found if (e.question, e.fate) == ("crossings", "still"))
    assert f"{BASE}claim/b7-in-letter" in still.claims
    assert of(found, "crossings", "no longer") == []


def test_answers_that_do_not_rest_on_it_are_not_listed(folder: Path) -> None:
    found = affected(folder, number="B9")
    assert of(found, "in-production", "no longer") == []
    assert not {each.question for each in found} & {"kilns", "shared-flatware", "made-for"}


def test_the_command_prints_them_and_may_be_told_not_to(folder: Path) -> None:
    words = ["correct", "b7-as-printed", "number=B9", "--reason", "a 9", "--source", "p2"]
    ran = CliRunner().invoke(glost, [*words, "--on", "2024-01-01", "-c", str(folder), "--evidence"])
    assert ran.exit_code == 0
    assert "no longer so: B7 (Gold Line) · B7 · Birch · Alder" in ran.output
    assert "new: B9 (Gold Line) · B9 · Birch · Alder" in ran.output
    assert "source-supports source=source/cat1911" in ran.output
    assert "\nNow held\n" in ran.output and "\nNo longer held\n" in ran.output
    assert (
        "Catalogue No. 5, 1911, p. 8  [tables/treatments.csv row 3; claim b7-as-printed]"
        in ran.output
    )
    (new,) = Snapshot(folder).record.believed().replaced
    again = ["correct", str(new).rsplit("/", 1)[-1], "number=B8", "--reason", "an 8"]
    day = date(2024, 2, 1).isoformat()
    quiet = CliRunner().invoke(
        glost, [*again, "--source", "p1", "--on", day, "--quiet", "-c", str(folder)]
    )
    assert quiet.exit_code == 0
    assert "no longer so" not in quiet.output and "Wrote" in quiet.output


def test_what_a_correction_brings_about_is_data_as_well(folder: Path) -> None:
    """The command as JSON gives all that asking before and after does, and of new sources more."""
    words = ["correct", "b7-as-printed", "number=B9", "--reason", "a 9", "--source", "p2"]
    before = Snapshot(folder)
    old = before.record.claim("b7-as-printed")
    assert old is not None
    asked = put(before.answers, [old])
    ran = CliRunner().invoke(
        glost, [*words, "--on", "2024-01-01", "-c", str(folder), "--as", "json"]
    )
    told = json.loads(ran.output)
    parts = [part for section in told["sections"] for part in section["parts"]]
    by = {"".join(part["heading"]): part for part in parts if part["type"] == "group"}
    (withdrawn,) = by["No longer held"]["statements"]
    (passage,) = withdrawn["grounds"]
    assert passage["claims"][0]["iri"] == f"{BASE}claim/b7-as-printed"
    expected = {
        (each.question, each.fate, name, None if value is None else str(value))
        for each in compare(asked, Snapshot(folder).answers)
        for name, value in zip(each.columns, each.values, strict=True)
    }
    rows = [row["cells"] for part in parts if part["type"] == "table" for row in part["rows"]]
    found = {(question, *of) for question, _, *of in rows}
    assert expected <= found
    assert {question for question, *_ in found - expected} <= {"source-supports"}


def test_what_was_written_is_told_in_every_form(folder: Path) -> None:
    run = CliRunner().invoke
    words = ["b7-as-printed", "number=B9", "--reason", "a 9", "--source", "p2", "--quiet"]
    more = ["--on", "2024-01-01", "-c", str(folder)]
    done = run(glost, ["correct", *words, *more, "--as", "markdown"]).output
    assert done.startswith("# Change\n") and "Withdrew number of b7-as-printed." in done
    name = done.partition("The correction is ")[2].partition(".")[0]
    back = run(glost, ["undo", name, "--reason", "no", "--quiet", *more, "--as", "csv"]).output
    header, *rows = csv.reader(io.StringIO(back))
    assert header[-1] == "claims" and any(f"Withdrew {name}." in row for row in rows)


def test_undoing_by_the_command_lists_what_comes_back(folder: Path) -> None:
    run = CliRunner().invoke
    words = ["b7-as-printed", "number=B9", "--reason", "a 9", "--source", "p2", "--quiet"]
    done = run(glost, ["correct", *words, "--on", "2024-01-01", "-c", str(folder)]).output
    assert "Withdrew number of b7-as-printed." in done
    name = done.partition("The correction is ")[2].partition(".")[0]
    back = run(glost, ["undo", name, "--reason", "not", "--on", "2024-02-01", "-c", str(folder)])
    assert back.exit_code == 0
    assert "no longer so: B9 (Gold Line) · B9 · Birch · Alder" in back.output
    assert "new: B7 (Gold Line) · B7 · Birch · Alder" in back.output


def test_a_correction_without_source_or_kind_says_what_is_wanted(folder: Path) -> None:
    words = ["correct", "b7-as-printed", "number=B9", "--reason", "a 9", "-c", str(folder)]
    with pytest.raises(RecordErrors, match="give the source's id, or the kind transcription"):
        CliRunner().invoke(glost, words, catch_exceptions=False)
    done = CliRunner().invoke(glost, [*words, "--kind", "transcription", "--quiet"])
    assert done.exit_code == 0
    (claim,) = [c for c in Snapshot(folder).record.claims if c.origin.table == "corrections"]
    assert str(claim.passage.source) == f"{BASE}source/cat1911"
