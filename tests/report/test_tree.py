"""A statement cannot be had without what it rests on."""

import re
from pathlib import Path

import msgspec
import pytest

from glost.report.tree import (
    CitedClaim,
    CitedPassage,
    Column,
    Group,
    Picture,
    Proof,
    Ref,
    Report,
    Row,
    Rule,
    Section,
    Statement,
    Table,
    UngroundedError,
    cited,
)

CLAIM = CitedClaim("https://example.org/x/claim/c1", "tables/shapes.csv row 2")
OTHER = CitedClaim("https://example.org/x/claim/c2", "tables/shapes.csv row 3")
BOOK = CitedPassage(Ref("https://example.org/x/source/book", "A book, 1950"), "p. 1", (CLAIM,))
RULE = Rule("A body is made before it is decorated", "common practice")


def test_a_statement_without_a_ground_cannot_be_made() -> None:
    with pytest.raises(UngroundedError, match="nothing is given that this rests on: Alder"):
        Statement(("Alder began 1908.",), ())
    with pytest.raises(UngroundedError, match="must say something"):
        Statement(("  ",), (BOOK,))
    with pytest.raises(UngroundedError, match="must say something"):
        Rule(" ")
    with pytest.raises(UngroundedError, match="must name a source and the claims"):
        CitedPassage(BOOK.source, "p. 1", ())
    with pytest.raises(UngroundedError, match="must have a step"):
        Proof(())
    with pytest.raises(UngroundedError, match="this row rests on"):
        Row(("Alder", 4), ())


def test_its_sentence_comes_with_its_notes_however_it_is_printed() -> None:
    statement = Statement((Ref("i", "Alder"), " began 1908."), (BOOK, RULE), _name=("Began",))
    told = "Began: Alder began 1908. [A book, 1950, p. 1] "
    assert str(statement) == told + "[A body is made before it is decorated, common practice]"
    assert told in repr(statement)
    public = [name for name in vars(Statement) if not name.startswith("_")]
    assert {"told", "named", "grounds"} < set(public)
    assert not {"sentence", "text", "name"} & set(public)


def test_nobody_but_the_tree_reaches_for_the_bare_sentence() -> None:
    top = Path(__file__).resolve().parents[2]
    files = [p for name in ("kg", "cli") for p in (top / name).rglob("*.py")]
    reaching = [p.name for p in files if re.search(r"(?<!self)\._(sentence|name)\b", p.read_text())]
    assert len(files) > 200
    assert [name for name in reaching if name != "tree.py"] == []


def test_a_mark_that_comes_out_empty_is_refused() -> None:
    statement = Statement(("Alder began 1908.",), (BOOK,))
    assert statement.told(lambda s: "".join(map(str, s)), lambda note: "[1]").endswith("1908.[1]")
    with pytest.raises(UngroundedError, match="no mark"):
        statement.told(lambda s: "".join(map(str, s)), lambda note: " ")


def test_a_proof_holds_statements_with_grounds_of_their_own() -> None:
    step = Statement(("It was listed.",), (BOOK,))
    part = Statement(("One side.",), (RULE,))
    whole = Statement(("Alder began 1908.",), (Proof((step,)),), parts=(part,))
    assert whole.notes == () and whole.below == (step, part)
    assert [*whole.all()] == [whole, step, part]


def test_a_report_calls_each_note_once_with_all_its_claims() -> None:
    again = CitedPassage(BOOK.source, "p. 1", (OTHER,))
    elsewhere = CitedPassage(BOOK.source, "p. 2", (OTHER,))
    row = Row(("Alder", 4), (Proof((Statement(("s",), (elsewhere,)),)),))
    table = Table((Column("shape", "Shape"), Column("n", "Articles", "number")), (row,))
    one = Statement(("One.",), (BOOK,))
    picture = Picture("a.png", "A page", caption=Statement(("Page.",), (RULE,)))
    report = Report(
        "https://example.org/x/shape/alder",
        "Alder",
        (one,),
        (Section("s", "S", (Group((Statement(("Two.",), (again,)),)), table, picture)),),
    )
    assert [cited(note) for note in report.notes] == [
        "A book, 1950, p. 1", "A book, 1950, p. 2", cited(RULE),
    ]  # fmt: skip
    assert [claim.id for claim in report.claims] == ["c1", "c2"]
    first = report.notes[0]
    assert isinstance(first, CitedPassage) and first.claims == (CLAIM, OTHER)
    assert report.id == "alder"


def test_a_row_has_a_cell_for_each_column() -> None:
    with pytest.raises(ValueError, match="2 columns, but 1 cells"):
        Table((Column("a", "A"), Column("b", "B")), (Row(("x",), (RULE,)),))


def test_a_report_goes_through_json_unharmed() -> None:
    statement = Statement(
        ("Made by ", Ref("https://example.org/x/pottery/p", "P"), "."),
        (BOOK, Proof((Statement(("A step.",), (RULE,)),))),
        status="disputed",
        _name=("Maker",),
    )
    table = Table((Column("n", "N", "number"),), (Row((4,), (BOOK,)), Row((None,), (RULE,))))
    report = Report("i", "H", (statement,), (Section("s", "S", (Group((statement,)), table)),))
    assert msgspec.json.decode(msgspec.json.encode(report), type=Report) == report
