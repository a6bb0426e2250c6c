"""What a change is said to bring about, worked out by hand on a small shelf."""

from pathlib import Path

import pytest
from rdflib import Literal, URIRef
from rdflib.namespace import RDF

from glost.answer.snapshot import Snapshot
from glost.answer.watching import watching
from glost.answer.workspace import Workspace
from glost.names import GLOST
from glost.record.changes import Change, between
from glost.record.claims import Claim
from glost.record.dates import day_number
from glost.record.errors import RecordErrors
from glost.record.record import read
from glost.report.results.consequences import brought_about
from glost.report.tree import Table
from shelf import TABLES, write

BASE = "https://example.org/shelf/"
ALDER = URIRef(BASE + "shape/alder")
BEGIN = URIRef(ALDER + "#begin")
LATER = TABLES["shapes"] + "alder,harrow,Alder,1910,,letter,first page,doubtful\n"


@pytest.fixture
def workspace(tmp_path: Path) -> Workspace:
    return Workspace(Snapshot(write(tmp_path / "shelf")))


def saved(workspace: Workspace, table: str, text: str) -> Change:
    """Save a table and return what changed by it."""
    folder = workspace.record.collection.path
    (folder / "tables" / f"{table}.csv").write_text(text, encoding="utf-8")
    return between(workspace.record, read(folder))


def only(change: Change) -> Claim:
    (claim,) = change.added
    return claim


def test_a_row_more_is_a_claim_more(workspace: Workspace) -> None:
    change = saved(workspace, "shapes", LATER)
    found = workspace.apply(change)
    assert change.removed == ()
    (added,) = found.added
    assert added.claim.iri == only(change).iri
    assert added.text == (
        "Alder: made by Harrow Pottery, called Alder; Alder began in 1910 (tables/shapes.csv row 4)"
    )
    assert found.withdrawn == ()
    assert workspace.snapshot.belief.rests_on((BEGIN, GLOST.date, Literal("1910")))[0:] == ()


def test_a_second_date_is_a_new_finding_and_its_row_gone_settles_it(workspace: Workspace) -> None:
    found = workspace.apply(saved(workspace, "shapes", LATER))
    (new,) = (each for each in found.new if each.kind == "differing-values")
    assert new.message == "Sources differ on the start of Alder: 1908 or 1910."
    assert new in workspace.findings
    back = workspace.apply(saved(workspace, "shapes", TABLES["shapes"]))
    assert new in back.gone
    assert new not in workspace.findings


def test_a_date_that_moves_is_told_with_its_reason(workspace: Workspace) -> None:
    text = TABLES["shapes"].replace("Alder,1908,", "Alder,1906,")
    found = workspace.apply(saved(workspace, "shapes", text))
    (moved,) = (each for each in found.moved if each.point == BEGIN)
    assert moved.before[:2] == (day_number(1908, 1, 1), day_number(1908, 12, 31))
    assert moved.after[:2] == (day_number(1906, 1, 1), day_number(1906, 12, 31))
    assert moved.claims == tuple(str(each.claim.iri) for each in found.added)
    assert moved.text.startswith(
        "Alder began in 1906 (before: in 1908). "
        "Alder began no earlier than 1906, because Alder began in 1906 (shapes.csv row 2)."
    )


def test_rows_that_only_moved_say_nothing_new(workspace: Workspace) -> None:
    heading, *rows = TABLES["pieces"].splitlines(keepends=True)
    found = workspace.apply(saved(workspace, "pieces", "".join([heading, "p0,,cup,,,,\n", *rows])))
    assert [each.claim.origin.row for each in found.added] == [2]
    assert found.withdrawn == ()


def test_what_follows_comes_with_the_claims_under_its_proof(workspace: Workspace) -> None:
    change = saved(workspace, "pieces", TABLES["pieces"] + "p3,,cup,b7,B7,,\n")
    found = workspace.apply(change)
    piece, number = URIRef(BASE + "piece/p3"), URIRef(BASE + "treatment/b7")
    follows = {each.triple: each for each in found.follows}
    seen = follows[number, GLOST.shownOn, piece]
    assert seen.claims == (str(only(change).iri),)
    assert seen.text.startswith("B7 (Gold Line): ")
    assert f"  {seen.text}" in found.lines()
    back = workspace.undo()
    assert {each.triple for each in back.falls} == set(follows)
    assert [each.claim for each in back.withdrawn] == [only(change)]
    assert (piece, RDF.type, GLOST.Piece) not in workspace.snapshot.belief.graph


def test_answers_that_change_are_told(workspace: Workspace) -> None:
    text = TABLES["pieces"].replace("p2,birch,saucer,a12", "p2,alder,saucer,a12")
    found = workspace.apply(saved(workspace, "pieces", text))
    fates = {(each.question, each.fate) for each in found.answers}
    assert ("crossings", "no longer") in fates
    assert [each.question for each in found.coming()] == [each.question for each in found.answers]
    assert f"{BASE}piece/p2" in found.stale and ALDER in map(URIRef, found.stale)
    assert f"{BASE}treatment/b7" not in found.stale


def test_a_row_moved_down_is_told_by_its_new_place(workspace: Workspace) -> None:
    lines = TABLES["shapes"].splitlines(keepends=True)
    moved = lines[0] + "cedar,harrow,Cedar,1912,,letter,,\n" + "".join(lines[1:])
    workspace.apply(saved(workspace, "shapes", moved))
    found = workspace.apply(
        saved(workspace, "shapes", moved + "alder,harrow,Alder,1910,,letter,,\n")
    )
    (new,) = (each for each in found.new if each.kind == "differing-values")
    assert new.sides[0].read_from == "tables/shapes.csv row 3"
    assert len(found.added) == 1


def test_undo_takes_back_the_last_first_and_no_more_than_was_done(workspace: Workspace) -> None:
    before = workspace.findings
    name = workspace.record.claims.find(f"{BASE}claim/b7-as-printed")
    assert name is not None
    workspace.apply(Change((), (name.iri,)))
    workspace.apply(saved(workspace, "shapes", LATER))
    workspace.undo()
    assert workspace.record.claims.find(name.iri) is None
    workspace.undo()
    assert workspace.record.claims.find(name.iri) == name
    assert workspace.findings == before
    with pytest.raises(IndexError):
        workspace.undo()


def test_a_claim_that_is_not_there_cannot_leave(workspace: Workspace) -> None:
    with pytest.raises(KeyError, match="claim/no-such"):
        workspace.apply(Change((), (URIRef(f"{BASE}claim/no-such"),)))
    with pytest.raises(IndexError):
        workspace.undo()


def test_saving_is_told_and_a_table_that_cannot_be_read_changes_nothing(
    workspace: Workspace,
) -> None:
    folder = workspace.record.collection.path
    shapes = folder / "tables" / "shapes.csv"

    def saving():  # type: ignore[no-untyped-def]
        yield "nothing was written"
        for text in (LATER.replace("1910", "spring"), LATER, TABLES["shapes"]):
            shapes.write_text(text, encoding="utf-8")
            yield text

    wrong, told, back = watching(workspace, folder, saving())
    assert isinstance(wrong, RecordErrors) and "spring" in str(wrong)
    assert not isinstance(told, RecordErrors) and not isinstance(back, RecordErrors)
    assert [each.kind for each in told.new] == [each.kind for each in back.gone]
    assert "differing-values" in {each.kind for each in told.new}


def test_all_is_data_as_well(workspace: Workspace) -> None:
    text = TABLES["shapes"].replace("Alder,1908,", "Alder,1906,")
    found = workspace.apply(saved(workspace, "shapes", text))
    section = brought_about(found, workspace.record)
    (moved,) = (part for part in section.parts if isinstance(part, Table))
    (begin,) = (row.cells for row in moved.rows if row.cells[0] == str(BEGIN))
    assert begin[1:4] == ("1908-01-01", "1908-12-31", "")
    assert begin[4] == "1906-01-01"
    held = {"".join(map(str, part.heading)): part for part in section.parts if part != moved}
    (gone,) = held["No longer held"].statements
    assert [c.iri for c in gone.notes[0].claims] == [
        str(each.claim.iri) for each in found.withdrawn
    ]
    assert "Dates that moved:" in found.lines()


def test_how_runs_lie_that_have_nothing_to_do_with_one_another(tmp_path: Path) -> None:
    """Cedar ended in 1905; Elm began in 1910, and after the change in 1904 or 1905."""
    rows = TABLES["shapes"] + "cedar,,Cedar,1900,1905,letter,first page,\n"
    elm = "elm,,Elm,{},1912,letter,first page,\n"
    workspace = Workspace(Snapshot(write(tmp_path / "shelf", shapes=rows + elm.format("1910"))))
    cedar, other = URIRef(BASE + "shape/cedar"), URIRef(BASE + "shape/elm")
    assert workspace.snapshot.chronology.relations(cedar, other) == ("before",)
    workspace.apply(saved(workspace, "shapes", rows + elm.format("1904/1905")))
    found = workspace.snapshot.chronology.relations(cedar, other)
    assert set(found) == {"before", "meets", "overlaps"}
    assert found == Snapshot(workspace.record.collection.path).chronology.relations(cedar, other)


def test_answers_about_what_a_claim_no_longer_speaks_of_are_told(tmp_path: Path) -> None:
    """The piece bears A12 no longer, though the claim under the same id stays."""
    text = "piece,shape,form,treatment,claim\np1,alder,cup,{},piece-one\n"
    folder = write(tmp_path / "shelf", pieces=text.format("a12"))
    workspace = Workspace(Snapshot(folder))
    found = workspace.apply(saved(workspace, "pieces", text.format("b7")))
    a12 = {"what": f"{BASE}treatment/a12"}
    gone = [a for a in found.coming() if (a.question, a.parameters) == ("pieces-showing", a12)]
    assert [(each.fate, str(each.values[0])) for each in gone] == [("no longer", f"{BASE}piece/p1")]
