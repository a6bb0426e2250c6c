"""Candidates as a spreadsheet: made, filled in by hand or in a spreadsheet program, and read back."""

import csv
import io
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest

from glost.answer.alike import alike_things
from glost.answer.review import PairAnswer, Reviewed, ReviewPair, Sitting, candidates, entered
from glost.answer.review_sheet import FILLED, GIVEN, read_back, sheet
from glost.answer.snapshot import Snapshot
from glost.record.errors import RecordError, RecordErrors
from glost.record.record import read
from glost.trade.linking.links import Standing, links_in
from keepers import keeper

SITTING = Sitting("E. Marsh", "2025-03-04")
SHAPES = "shape,pottery,name,begin,description,source\n" + "".join(
    f's{n},harrow,{chr(65 + n)}orn,{1880 + n},"=1+{n}, plain",letter\n' for n in range(20)
)
Rows = list[dict[str, str]]
Fill = Callable[[Callable[[Rows], None]], Path]


@pytest.fixture(scope="module")
def pairs(tmp_path_factory: pytest.TempPathFactory) -> tuple[Snapshot, tuple[ReviewPair, ...]]:
    top = tmp_path_factory.mktemp("keepers")
    one, other = (Snapshot(keeper(top, name, shapes=SHAPES)) for name in ("ash", "elm"))
    return one, candidates(alike_things(one, "shapes", other), one, other)


@pytest.fixture
def fill(pairs: tuple[Snapshot, tuple[ReviewPair, ...]], tmp_path: Path) -> Fill:
    """Write the sheet as somebody filled it in."""

    def filled(by: Callable[[Rows], None]) -> Path:
        rows = list(csv.DictReader(io.StringIO(sheet(pairs[1]))))
        by(rows)
        with (tmp_path / "filled.csv").open("w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, [*FILLED, *GIVEN])
            writer.writeheader()
            writer.writerows(rows)
        return tmp_path / "filled.csv"

    return filled


def wrong(pairs: tuple[Snapshot, tuple[ReviewPair, ...]], path: Path) -> set[tuple[int, str]]:
    with pytest.raises(RecordErrors) as told:
        read_back(pairs[0].record, path, SITTING)
    assert all(isinstance(error, RecordError) and error.remedy for error in told.value.errors)
    assert {error.file for error in told.value.errors} == {path.name}
    return {(error.row, error.column) for error in told.value.errors}


def answer(**rows: str) -> Callable[[Rows], None]:
    """Answer rows by their number as a spreadsheet counts: ``row2="yes"``."""

    def by(found: Rows) -> None:
        for name, given in rows.items():
            found[int(name.removeprefix("row")) - 2]["answer"] = given

    return by


def test_a_sheet_has_a_row_for_each_with_nothing_filled_in(pairs) -> None:  # type: ignore[no-untyped-def]
    rows = list(csv.DictReader(io.StringIO(sheet(pairs[1]))))
    assert list(rows[0]) == [*FILLED, *GIVEN]
    assert len(rows) == len(pairs[1]) == 20
    assert not any(row[name] for row in rows for name in FILLED)
    for row, pair in zip(rows, pairs[1], strict=True):
        assert (row["one_iri"], row["other_iri"]) == (str(pair.match.one), str(pair.match.other))
        assert row["why"].lstrip("'") == pair.why
        assert "tables/shapes.csv row" in row["one_says"]
        assert not row["one_says"].startswith(("=", "+", "-", "@"))


def test_what_is_filled_in_is_read_back_and_entered(pairs, fill: Fill, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    def by(rows: Rows) -> None:
        rows[0] |= {
            "answer": "Yes",
            "certainty": "probable",
            "evidence": "One rim.",
            "note": "In the hand.",
        }
        rows[1]["answer"] = "no"
        rows[2]["answer"] = "LATER"

    found = read_back(pairs[0].record, fill(by), SITTING)
    assert [each.answer for each in found.said] == [PairAnswer.YES, PairAnswer.NO, PairAnswer.LATER]
    assert (found.known, found.empty) == (0, 17)
    first, second = found.said[:2]
    assert (first.evidence, first.certainty, first.note) == ("One rim.", "probable", "In the hand.")
    assert second.evidence == pairs[1][1].why  # what the program compared, if nothing else is said
    top = keeper(tmp_path, "own", shapes=SHAPES)
    (top / "collection.toml").write_text((pairs[0].path / "collection.toml").read_text())
    entered(read(top), found.said, SITTING)
    links = links_in(read(top).believed())
    standings = [links.standing(each.one, each.other) for each in found.said]
    assert standings == [Standing.ACCEPTED, Standing.REJECTED, Standing.UNDECIDED]
    again = read_back(read(top), fill(by), SITTING)
    assert (again.said, again.known) == ((), 3)
    with pytest.raises(RecordErrors, match="accepted already, by") as told:
        read_back(read(top), fill(answer(row2="no")), SITTING)
    assert [(e.row, e.column) for e in told.value.errors] == [(2, "answer")]


def test_a_pair_in_dispute_is_not_answered_by_sheet(pairs, fill: Fill, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    top = keeper(tmp_path, "own", shapes=SHAPES)
    (top / "collection.toml").write_text((pairs[0].path / "collection.toml").read_text())
    match = pairs[1][0].match
    both = [Reviewed(match.one, match.other, answer) for answer in (PairAnswer.YES, PairAnswer.NO)]
    record = entered(read(top), both, SITTING).record
    with pytest.raises(RecordErrors, match="disputed already") as told:
        read_back(record, fill(answer(row2="yes")), SITTING)
    assert [(e.row, e.column) for e in told.value.errors] == [(2, "answer")]


@pytest.mark.parametrize("delimiter", [";", "\t"])
def test_sheets_parted_otherwise_and_with_marks_are_read(pairs, fill: Fill, delimiter: str) -> None:  # type: ignore[no-untyped-def]
    path = fill(answer(row5="yes"))
    rows = list(csv.reader(io.StringIO(path.read_text(encoding="utf-8"), newline="")))
    with path.open("w", encoding="utf-8-sig", newline="") as file:
        csv.writer(file, delimiter=delimiter).writerows(rows)
    (one,) = read_back(pairs[0].record, path, SITTING).said
    assert one.one == pairs[1][3].match.one


def test_a_workbook_is_read_back(pairs, fill: Fill, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    rows = csv.reader(io.StringIO(fill(answer(row3="no")).read_text(encoding="utf-8"), newline=""))
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    book.save(tmp_path / "filled.xlsx")
    (one,) = read_back(pairs[0].record, tmp_path / "filled.xlsx", SITTING).said
    assert (one.answer, one.one) == (PairAnswer.NO, pairs[1][1].match.one)


def test_every_wrong_cell_is_named_at_once(pairs, fill: Fill) -> None:  # type: ignore[no-untyped-def]
    def by(rows: Rows) -> None:
        rows[0]["answer"] = "yess"
        rows[1] |= {"answer": "yes", "certainty": "fairly"}
        rows[2] |= {"answer": "no", "one_iri": "https://ash.example/shape/nowhere"}
        rows[3] |= {"answer": "no", "other_iri": "s4"}
        rows[4]["note"] = "What of this one?"
        rows[5] |= {"answer": "later"}
        rows[6] |= {"answer": "no"} | {n: rows[5][n] for n in ("one_iri", "other_iri")}

    assert wrong(pairs, fill(by)) == {
        (2, "answer"), (3, "certainty"), (4, "one_iri"), (5, "other_iri"), (6, "note"),
        (8, "answer"),
    }  # fmt: skip


@pytest.mark.parametrize(
    ("header", "places"),
    [
        ("", {(1, "")}),
        ("answer,one_iri\n", {(1, "other_iri")}),
        ("answer,one_iri,other_iri,anser\n", {(1, "anser")}),
        ("answer,answer,one_iri,other_iri\n", {(1, "answer")}),
    ],
)
def test_a_header_that_was_changed(  # type: ignore[no-untyped-def]
    pairs, tmp_path: Path, header: str, places: set[tuple[int, str]]
) -> None:
    (tmp_path / "h.csv").write_text(header, encoding="utf-8")
    assert wrong(pairs, tmp_path / "h.csv") == places
