"""What reads well and may not be what was meant; and cells that no spreadsheet program may run."""

import csv
import io
import re
import unicodedata
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from glost.findings import Finding, Severity
from glost.publish.exports import write_tables
from glost.record.characters import oddities, skeleton
from glost.record.correcting import correct
from glost.record.record import read
from glost.record.spreadsheets import guarded
from glost.record.tables import tables
from glost.record.writing import csv_text
from shelf import TABLES, write


def findings(folder: Path, **changed: str) -> dict[str, Finding]:
    found = read(write(folder, **changed)).findings
    assert len({each.kind for each in found}) == len(found)
    return {each.kind: each for each in found}


@pytest.mark.parametrize(
    ("name", "kind", "told"),
    [
        ("Al\u202eder", "turns-direction", "U+202E (right-to-left override)"),
        ("Al\u200bder", "has-no-width", "U+200B (zero width space)"),
        ("Al\u00adder", "has-no-width", "U+00AD (soft hyphen)"),
        ("Alde\u0301r", "not-composed", "letters and accents as separate signs"),
        ("Alder ٣", "other-figures", "U+0663 (arabic-indic digit three)"),
        ("Ａlder", "full-width", "U+FF21 (fullwidth latin capital letter a)"),
        ("Аlder", "mixed-scripts", 'Cyrillic and Latin letters in "Аlder"'),
    ],
)  # fmt: skip
def test_what_misleads_is_told_with_its_row_and_left_as_it_is(
    tmp_path: Path, name: str, kind: str, told: str
) -> None:
    shapes = TABLES["shapes"].replace("harrow,Alder", f"harrow,{name}")
    folder = write(tmp_path / "c", shapes=shapes)
    (finding,) = read(folder).findings
    assert (finding.kind, finding.severity) == (kind, Severity.WARNING)
    assert finding.message.startswith("tables/shapes.csv, column name: ")
    assert finding.remedy
    (side,) = finding.sides
    assert told in side.says
    assert side.read_from == "tables/shapes.csv row 2"
    assert side.claim in {str(claim.iri) for claim in read(folder).claims}
    kept = {str(o) for claim in read(folder).claims for _, _, o in claim.statements}
    assert name in kept


@pytest.mark.parametrize(
    "name", ["Faïencerie", "Töpferei Lübeck", "Ålder", "Завод", "½ dozen", "7″", "№ 5", "Alder"]
)
def test_letters_of_one_script_in_composed_form_are_not_odd(tmp_path: Path, name: str) -> None:
    assert oddities(unicodedata.normalize("NFC", name)) == ()
    assert (
        findings(tmp_path / "c", shapes=TABLES["shapes"].replace("harrow,Alder", f"harrow,{name}"))
        == {}
    )


def test_signs_that_mislead_in_trig_are_told_with_their_claim(tmp_path: Path) -> None:
    folder = write(tmp_path / "c")
    (folder / "more.trig").write_text(
        "PREFIX glost: <https://w3id.org/glost/ontology#> PREFIX prov: <http://www.w3.org/ns/prov#>\n"
        "<claim/x> prov:hadPrimarySource <source/cat1908> .\n"
        '<claim/x> { <piece/p1> a glost:Piece ; glost:feature "chip\u202e", "wear" }\n'
    )
    (finding,) = read(folder).findings
    assert (finding.kind, finding.severity) == ("turns-direction", Severity.WARNING)
    assert finding.message == "more.trig: signs that turn the direction of writing."
    assert finding.about == ("https://example.org/shelf/claim/x",)
    assert "U+202E" in finding.sides[0].says and len(finding.sides) == 1


@pytest.mark.parametrize("other", ["LINDEN", "Linden", "1inden"])
def test_ids_that_look_alike_are_told(tmp_path: Path, other: str) -> None:
    rows = f"linden,harrow,Linden,,,cat1908,p. 3,\n{other},harrow,Another,,,cat1908,p. 3,\n"
    finding = findings(tmp_path / "c", shapes=TABLES["shapes"] + rows)["ids-alike"]
    assert {place.rpartition("/")[2] for place in finding.about} == {"linden", other}
    assert {side.read_from for side in finding.sides} == {
        "tables/shapes.csv row 4",
        "tables/shapes.csv row 5",
    }


def test_one_id_said_twice_and_ids_of_two_kinds_are_not_alike(tmp_path: Path) -> None:
    again = TABLES["shapes"] + "alder,harrow,Alder,1909,,letter,p. 1,\n"
    pottery = TABLES["potteries"] + "ALDER,Alder Pottery,,cat1908,p. 1\n"
    assert "ids-alike" not in findings(tmp_path / "c", shapes=again, potteries=pottery)


def test_names_of_another_script_that_look_the_same_are_told(tmp_path: Path) -> None:
    rows = "rose,harrow,Роза,,,cat1908,p. 3,\npoca,harrow,Poca,,,cat1908,p. 3,\npoca2,harrow,Роса,,,cat1908,p. 4,\n"
    finding = findings(tmp_path / "c", shapes=TABLES["shapes"] + rows)["names-alike"]
    assert 'Poca" and "Роса" look the same and differ' in finding.message
    assert [side.read_from for side in finding.sides] == [
        "tables/shapes.csv row 5",
        "tables/shapes.csv row 6",
    ]


def test_names_of_another_script_that_differ_by_case_alone_are_not_told(tmp_path: Path) -> None:
    rows = "a,harrow,Роса,,,cat1908,p. 3,\nb,harrow,РОСА,,,cat1908,p. 4,\n"
    assert "names-alike" not in findings(tmp_path / "c", shapes=TABLES["shapes"] + rows)


def test_the_first_rows_are_named_and_the_rest_counted(tmp_path: Path) -> None:
    rows = "".join(f"s{n}x,harrow,S\u200b{n},,,cat1908,p. 3,\n" for n in range(25))
    finding = findings(tmp_path / "c", shapes=TABLES["shapes"] + rows)["has-no-width"]
    assert len(finding.sides) == 20
    assert finding.message.endswith(", and 5 more rows.")


def test_skeletons_agree_where_signs_look_alike() -> None:
    assert skeleton("LINDEN") == skeleton("linden") == skeleton("1inden")
    assert skeleton("Роса") == skeleton("Poca") != skeleton("Póca")
    assert skeleton("modern") == skeleton("rnodern")
    assert skeleton("B10") == skeleton("Blo") != skeleton("B11")


# -- spreadsheets --------------------------------------------------------------------------------

RUNS = [
    "=1+1",
    "+1",
    "-cmd|' /C calc'!A0",
    "@SUM(A1)",
    "-0050",
    "'=x",
    "''+y",
    "＝1",
    "-1-1",
    "=",
    "- dash",
]


def runs(cell: str) -> bool:
    """Say whether a spreadsheet program takes a cell of a text file for more than text or a number."""
    return re.match("[=+@＝＋－＠\t\r\n-]", cell) is not None and not re.fullmatch(
        r"-(0|[1-9]\d*)(\.\d+)?", cell
    )


@pytest.mark.parametrize("cell", RUNS)
def test_cells_that_would_be_run_are_not_and_come_back_the_same(tmp_path: Path, cell: str) -> None:
    text = csv_text(
        tables()["potteries"],
        [{"pottery": "harrow", "name": cell, "source": "cat1908", "locator": "p. 1", "note": cell}],
    )
    assert not any(runs(each) for row in csv.reader(io.StringIO(text)) for each in row)
    record = read(write(tmp_path / "c", potteries=text))
    assert cell in {claim.note for claim in record.claims}
    written = tmp_path / "out"
    write_tables(record, written)
    again = read(written)
    assert {c.id: c.statements for c in again.claims} == {c.id: c.statements for c in record.claims}
    for path in (written / "tables").glob("*.csv"):
        with path.open(newline="") as file:
            assert not any(runs(each) for row in csv.reader(file) for each in row)


def test_a_correction_writes_no_cell_that_is_run(tmp_path: Path) -> None:
    folder = write(tmp_path / "c")
    record = read(folder)
    claim = record.claim("b7-as-printed")
    assert claim is not None
    grounds = {
        "reason": "=HYPERLINK(1)",
        "source": "letter",
        "note": "+note",
        "recorded_on": "2020-01-01",
    }
    correct(record, claim, {"number": "-B7"}, grounds)
    for path in (folder / "tables").glob("*.csv"):
        with path.open(newline="") as file:
            assert not any(runs(each) for row in csv.reader(file) for each in row)
    said = {str(o) for c in read(folder).claims for _, _, o in c.statements}
    assert {"-B7", "=HYPERLINK(1)"} <= said


@given(st.text("'=+-@\t\n 01a.,\"", max_size=12))
def test_guarding_is_undone_by_taking_one_apostrophe_away(cell: str) -> None:
    written = guarded(cell)
    assert not runs(written)
    assert written in (cell, f"'{cell}")
    if written == cell:
        assert not re.match("'+[=+@＝＋－＠\t\r\n-]", cell)


def test_plain_numbers_below_nought_are_left_alone() -> None:
    assert [guarded(cell) for cell in ("-5", "-0.5", "-10.25", "-05", "-5-")] == [
        "-5",
        "-0.5",
        "-10.25",
        "'-05",
        "'-5-",
    ]


def test_a_text_with_space_at_its_ends_is_not_written_to_a_table(tmp_path: Path) -> None:
    folder = write(tmp_path / "c")
    (folder / "more.trig").write_text(
        "PREFIX glost: <https://w3id.org/glost/ontology#> PREFIX prov: <http://www.w3.org/ns/prov#>\n"
        "<claim/x> prov:hadPrimarySource <source/cat1908> .\n"
        '<claim/x> { <piece/p1> a glost:Piece ; glost:feature " spaced " }\n'
    )
    record = read(folder)
    write_tables(record, tmp_path / "out")
    claims = {c.id: frozenset(c.statements) for c in read(tmp_path / "out").claims}
    assert claims["x"] == frozenset(next(c for c in record.claims if c.id == "x").statements)
