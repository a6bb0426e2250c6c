"""The named questions on the example archive, worked out a second time from the tables alone.

Nothing but Python's csv module stands between the tables and what is expected here.
"""

import csv
from pathlib import Path

import pytest

from believed_rows import believed
from glost.answer.desk import Desk

TOP = Path(__file__).resolve().parents[2]
WEND = TOP / "examples" / "wend-valley"


@pytest.fixture(scope="module")
def desk(valley: Desk) -> Desk:
    return valley


def asked(desk: Desk, name: str, **given: str) -> list[dict[str, str]]:
    answer = desk.answers.ask(name, **given)
    base = desk.record.base
    short = [
        [str("" if v is None else v).removeprefix(base) for v in row.values] for row in answer.rows
    ]
    return [dict(zip(answer.columns, row, strict=True)) for row in short]


def table(name: str) -> list[dict[str, str]]:
    with (WEND / "tables" / f"{name}.csv").open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


def current(name: str) -> list[dict[str, str]]:
    """Rows of a table that no correction withdraws, less the cells that one does."""
    columns = table(name)[0]
    return [dict.fromkeys(columns, "") | row for each, row in believed(WEND) if each == name]


def test_sharing_explains_only_shapes_that_share(desk: Desk) -> None:
    said = {frozenset((row["shape"], row["with"])) for row in current("flatware")}
    rows = [r for r in asked(desk, "crossings") if "shared flatware" in r["explanation"]]
    assert rows
    for row in rows:
        home, seen = row["home"].removeprefix("shape/"), row["seen_on"].removeprefix("shape/")
        assert frozenset((home, seen)) in said


def test_pieces_showing_a_form_from_the_tables(desk: Desk) -> None:
    expected = {f"piece/{row['piece']}" for row in current("pieces") if row["form"] == "teapot"}
    assert {r["piece"] for r in asked(desk, "pieces-showing", what="teapot")} == expected


def test_marks_that_name_a_shape_from_the_tables(desk: Desk) -> None:
    expected = {
        (f"mark/{r['mark']}", f"shape/{r['names_shape']}")
        for r in current("marks")
        if r["names_shape"]
    }
    assert {(r["mark"], r["shape"]) for r in asked(desk, "marks-naming-shapes")} == expected


def test_kilns_from_the_tables(desk: Desk) -> None:
    expected = {f"kiln/{row['kiln']}" for row in current("kilns")}
    assert {r["kiln"] for r in asked(desk, "kilns")} == expected


def test_corrections_are_those_of_the_tables_and_trig(desk: Desk) -> None:
    trig = (WEND / "garrow-index-cards.trig").read_text(encoding="utf-8")
    expected = {
        ".".join(filter(None, (f"correction/{row['withdraws']}", row["columns"])))
        for row in table("corrections")
    }
    assert expected <= {r["correction"] for r in asked(desk, "corrections")}
    assert any(row["withdraws"] in trig for row in table("corrections"))


def test_a_source_supports_what_its_rows_say(desk: Desk) -> None:
    answer = desk.answers.ask("source-supports", source="strand-letter")
    rows = [
        (name.stem, i)
        for name in (WEND / "tables").glob("*.csv")
        for i, row in enumerate(table(name.stem), 2)
        if row.get("source") == "strand-letter"
    ]
    claims = {str(c.iri): (c.origin.table, c.origin.row) for c in desk.record.claims}
    assert {claims[iri] for row in answer.rows for iri in row.claims} == set(rows)


def test_what_is_withdrawn_is_not_believed(desk: Desk) -> None:
    numbers = {(r["treatment"], r["number"]) for r in asked(desk, "decal-numbers")}
    old = {row["claim"]: row for row in table("treatments") if row["claim"]}
    for correction in table("corrections"):
        row = old.get(correction["withdraws"])
        if row and row["number"]:
            others = {
                r["number"] for r in current("treatments") if r["treatment"] == row["treatment"]
            }
            if row["number"] not in others:
                assert (f"treatment/{row['treatment']}", row["number"]) not in numbers
