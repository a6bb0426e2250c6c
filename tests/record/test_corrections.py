"""A correction withdraws what it changes and no more; undone, all is as it was."""

import csv
from datetime import date
from pathlib import Path

import pytest
import xlsxwriter
from rdflib import Literal, URIRef
from rdflib.namespace import PROV, RDF, RDFS, TIME

from glost.names import EDTF, GLOST
from glost.record.claims import Claim
from glost.record.correcting import Correction, correct, undo
from glost.record.errors import RecordErrors
from glost.record.provenance import record_graph
from glost.record.record import Record, read
from glost.record.writing import rows_of, trig_text
from glost.words.sentences import withdrawal
from shelf import TABLES, write

BASE = "https://example.org/shelf/"
SHAPES = (
    TABLES["shapes"]
    .replace("certainty\n", "certainty,claim\n")
    .replace("certain\n", "certain,al\n")
).replace("probable\n", "probable,bi\n")
GROUNDS = {"reason": "on the foot", "source": "p2", "locator": "foot", "recorded_on": "2024-01-01"}
SLIP = {"reason": "typed wrongly", "kind": "transcription", "recorded_on": "2024-01-01"}
ALDER, BIRCH = URIRef(BASE + "shape/alder"), URIRef(BASE + "shape/birch")


def day(thing: URIRef, point: str, year: str) -> tuple[URIRef, URIRef, Literal]:
    return URIRef(f"{thing}#{point}"), GLOST.date, Literal(year, datatype=EDTF, normalize=False)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return write(tmp_path / "shelf", shapes=SHAPES)


def put_right(
    folder: Path, claim: str, changes: dict[str, str], grounds: dict[str, str] = GROUNDS
) -> Correction:
    record = read(folder)
    found = record.claim(claim)
    assert found is not None
    return correct(record, found, changes, grounds)


def undone(folder: Path, correction: str, **grounds: str) -> Correction:
    record = read(folder)
    found = record.claim(correction)
    assert found is not None
    return undo(record, found, {"reason": "no", "recorded_on": "2024-02-01", **grounds})


def claim_of(record: Record, name: str) -> Claim:
    found = record.believed().claims.find(f"{BASE}claim/{name}")
    assert found is not None
    return found


def cells(folder: Path, table: str) -> list[dict[str, str]]:
    with (folder / "tables" / f"{table}.csv").open(encoding="utf-8", newline="") as file:
        return [{k: v for k, v in row.items() if v} for row in csv.DictReader(file)]


def sources(record: Record, statement: object) -> set[str]:
    belief = record.believed()
    return {str(c.passage.source).removeprefix(BASE) for c in belief.rests_on(statement)}  # type: ignore[arg-type]


# -- a part of a row ---------------------------------------------------------------------------------


def test_only_the_cell_that_changes_is_withdrawn_and_only_it_rests_on_the_evidence(
    folder: Path,
) -> None:
    done = put_right(folder, "bi", {"begin": "1910"})
    assert done.columns == ("begin",)
    record = read(folder)
    new = claim_of(record, done.replacement)
    assert set(new.statements) == {
        day(BIRCH, "begin", "1910"),
        (BIRCH, GLOST.run, URIRef(f"{BIRCH}#run")),
        (URIRef(f"{BIRCH}#run"), TIME.hasBeginning, URIRef(f"{BIRCH}#begin")),
    }
    assert sources(record, day(BIRCH, "begin", "1910")) == {"piece/p2"}
    for kept in (
        (BIRCH, RDF.type, GLOST.Shape),
        (BIRCH, GLOST.madeBy, URIRef(BASE + "pottery/harrow")),
        (BIRCH, RDFS.label, Literal("Birch")),
        day(BIRCH, "end", "1920?"),
    ):
        assert "source/cat1911" in sources(record, kept)
        assert "piece/p2" not in sources(record, kept)
    assert day(BIRCH, "begin", "1911") not in record.believed().graph
    assert cells(folder, "shapes")[-1] == {
        "shape": "birch", "begin": "1910", "source": "p2", "locator": "foot", "partial": "yes",
        "recorded_on": "2024-01-01",
    }  # fmt: skip
    assert cells(folder, "corrections") == [
        {
            "withdraws": "bi", "columns": "begin", "replaced_by": done.replacement, "source": "p2",
            "kind": "new-evidence", "reason": "on the foot", "locator": "foot",
            "recorded_on": "2024-01-01",
        }
    ]  # fmt: skip


def test_what_a_run_is_made_of_goes_with_its_last_end(folder: Path) -> None:
    put_right(folder, "bi", {"begin": ""})
    run = (BIRCH, GLOST.run, URIRef(f"{BIRCH}#run"))
    assert run in read(folder).believed().graph
    put_right(folder, "bi", {"end": ""})
    belief = read(folder).believed()
    assert run not in belief.graph
    (first, second) = belief.parts[URIRef(BASE + "claim/bi")]
    assert run not in first.statements and run in second.statements
    assert set(belief.claims.find(BASE + "claim/bi").statements) == {  # type: ignore[union-attr]
        (BIRCH, RDF.type, GLOST.Shape),
        (BIRCH, GLOST.madeBy, URIRef(BASE + "pottery/harrow")),
        (BIRCH, RDFS.label, Literal("Birch")),
    }


def test_a_value_taken_out_is_unknown_and_nothing_takes_its_place(folder: Path) -> None:
    done = put_right(folder, "bi", {"end": ""})
    assert (done.replacement, done.files) == ("", ("tables/corrections.csv",))
    record = read(folder)
    assert not list(record.believed().graph.triples((URIRef(f"{BIRCH}#end"), None, None)))
    assert record.believed().withdrawn == {}


def test_one_of_several_values_may_be_wrong(tmp_path: Path) -> None:
    decals = "decal,name,source\nrose,Rose,letter\noak,Oak,letter\nelm,Elm,letter\n"
    rows = (
        TABLES["treatments"].replace("locator,", "decal,locator,").replace("p. 8", "rose|oak,p. 8")
    )
    folder = write(tmp_path / "c", decals=decals, treatments=rows.replace(",p. 9", ",,p. 9"))
    done = put_right(folder, "b7-as-printed", {"decal": "rose|elm"})
    assert done.columns == ("decal=oak",)
    record = read(folder)
    uses = [
        (URIRef(BASE + "treatment/b7"), GLOST.usesDecal, URIRef(BASE + "decal/" + name))
        for name in ("rose", "oak", "elm")
    ]
    assert [sources(record, each) for each in uses] == [{"source/cat1911"}, set(), {"piece/p2"}]
    (row,) = cells(folder, "corrections")
    assert row["columns"] == "decal=oak"


def test_two_cells_of_a_row_are_corrected_one_after_the_other(folder: Path) -> None:
    put_right(folder, "bi", {"begin": "1910"})
    put_right(folder, "bi", {"end": "1921"}, {**GROUNDS, "source": "letter"})
    record = read(folder)
    assert sources(record, day(BIRCH, "begin", "1910")) == {"piece/p2"}
    assert sources(record, day(BIRCH, "end", "1921")) == {"source/letter"}
    activities = {c.statements[0][0] for c in record.claims if c.origin.table == "corrections"}
    assert activities == {URIRef(f"{BASE}correction/bi.{name}") for name in ("begin", "end")}


def test_a_cell_is_corrected_again_by_correcting_what_replaced_it(folder: Path) -> None:
    first = put_right(folder, "bi", {"begin": "1910"})
    with pytest.raises(RecordErrors, match=f'"begin" is withdrawn already, by {first.id}'):
        put_right(folder, "bi", {"begin": "1909"})
    second = put_right(folder, first.replacement, {"begin": "1909"})
    belief = read(folder).believed()
    assert [str(o) for o in belief.graph.objects(URIRef(f"{BIRCH}#begin"), GLOST.date)] == ["1909"]
    assert belief.withdrawn[URIRef(BASE + "claim/" + first.replacement)].id == second.id
    with pytest.raises(RecordErrors, match=f"undo {second.id} first"):
        undone(folder, first.id)
    undone(folder, second.id)
    undone(folder, first.id)
    assert day(BIRCH, "begin", "1911") in read(folder).believed().graph


def test_every_table_can_be_corrected_cell_by_cell(tmp_path: Path) -> None:
    seen = "treatment,shape,source\nb7,alder,letter\n"
    folder = write(tmp_path / "c", appearances=seen)
    record = read(folder)
    here = next(c for c in record.claims if c.origin.table == "appearances")
    correct(record, here, {"shape": "birch"}, GROUNDS)
    after = read(folder)
    appears = (URIRef(BASE + "treatment/b7"), GLOST.appearsOn)
    assert sources(after, (*appears, BIRCH)) == {"piece/p2"}
    assert sources(after, (*appears, ALDER)) == set()
    title = next(c for c in after.claims if c.origin.table == "sources")
    with pytest.raises(RecordErrors, match="rests on the source it describes"):
        correct(after, title, {"title": "Another"}, GROUNDS)
    own = str(title.passage.source).rsplit("/", 1)[-1]
    correct(after, title, {"title": "Another"}, {**GROUNDS, "source": own})
    assert (title.passage.source, GLOST.complete, None) in read(folder).believed().graph


# -- what names the thing ------------------------------------------------------------------------------


def test_new_evidence_cannot_rename_what_the_row_is_about(folder: Path) -> None:
    before = sorted((p, p.read_bytes()) for p in (folder / "tables").iterdir())
    with pytest.raises(RecordErrors, match="the new source does not say the rest of the row"):
        put_right(folder, "bi", {"shape": "alder"})
    assert before == sorted((p, p.read_bytes()) for p in (folder / "tables").iterdir())


def test_a_slip_in_the_name_is_the_whole_row_again_on_its_own_source(folder: Path) -> None:
    done = put_right(folder, "bi", {"shape": "alder"}, SLIP)
    record = read(folder)
    assert done.columns == ()
    assert URIRef(BASE + "claim/bi") in record.believed().withdrawn
    new = claim_of(record, done.replacement)
    old = record.claim("bi")
    assert old is not None and new.passage == old.passage and new.certainty == old.certainty
    assert {(s.replace("birch", "alder"), p) for s, p, _ in old.statements} == {  # type: ignore[attr-defined]
        (str(s), p) for s, p, _ in new.statements
    }


# -- slips of the pen ----------------------------------------------------------------------------------


def test_a_slip_needs_no_source_and_rests_on_the_rows_own_passage(folder: Path) -> None:
    done = put_right(folder, "bi", {"begin": "1912"}, SLIP)
    record = read(folder)
    old, new = record.claim("bi"), claim_of(record, done.replacement)
    correction = record.claim(done.id)
    assert old is not None and correction is not None
    assert new.passage == correction.passage == old.passage
    assert new.certainty == old.certainty and new.recorded_on == "2024-01-01"
    kinds = {o for _, p, o in correction.statements if p == GLOST.correctionKind}
    assert kinds == {URIRef("https://w3id.org/glost/correction-kind/transcription")}
    with pytest.raises(RecordErrors, match="column source: a correction of kind transcription"):
        put_right(folder, "bi", {"end": "1921"}, {**SLIP, "source": "p2"})
    with pytest.raises(RecordErrors, match="give the source's id, or the kind transcription"):
        put_right(folder, "bi", {"end": "1921"}, {"reason": "no"})


# -- undoing -------------------------------------------------------------------------------------------


def test_undone_a_correction_leaves_all_as_before_and_comes_back_whole(folder: Path) -> None:
    before = set(read(folder).believed().statements())
    done = put_right(folder, "bi", {"begin": "1910"})
    corrected = {s for s in read(folder).believed().statements() if "correction" not in s[0]}
    back = undone(folder, done.id)
    belief = read(folder).believed()
    assert {s for s in belief.statements() if "correction" not in s[0]} == before
    assert belief.parts == {}
    assert {str(c).rsplit("/", 1)[-1]: by.id for c, by in belief.withdrawn.items()} == {
        done.id: back.id,
        done.replacement: back.id,
    }
    with pytest.raises(RecordErrors, match=f"undo {back.id} to bring it back"):
        undone(folder, done.id)
    again = undone(folder, back.id)
    belief = read(folder).believed()
    assert {s for s in belief.statements() if "correction" not in s[0]} == corrected
    third = undone(folder, again.id)
    assert third.id not in (done.id, back.id, again.id)
    assert day(BIRCH, "begin", "1911") in read(folder).believed().graph


def test_the_same_correction_may_be_made_again_once_undone(folder: Path) -> None:
    done = put_right(folder, "bi", {"begin": "1910"})
    undone(folder, done.id)
    again = put_right(folder, "bi", {"begin": "1910"})
    assert again.replacement == f"{done.replacement}-2"
    record = read(folder)
    assert record.findings == ()
    assert [str(c.iri).rsplit("/", 1)[-1] for c in record.believed().rests_on(day(BIRCH, "begin", "1910"))] == [again.replacement]  # fmt: skip


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        ("bi,,,undoing,x,p2,c", "it is said to undo a correction, and what it withdraws is none"),
        ("b,reason,,undoing,x,p2,c\nbi,end,,,x,p2,b", "which can only be taken back whole"),
        ("b,,bi,undoing,x,p2,c\nbi,end,,,x,p2,b", "which can only be taken back whole"),
    ],
)
def test_an_undoing_takes_a_whole_correction_back(folder: Path, row: str, expected: str) -> None:
    rows = f"withdraws,columns,replaced_by,kind,reason,source,claim\n{row}\n"
    (folder / "tables" / "corrections.csv").write_text(rows)
    with pytest.raises(RecordErrors, match=expected):
        read(folder)


def test_undoing_needs_a_correction(folder: Path) -> None:
    with pytest.raises(RecordErrors, match="it is no correction; glost ask corrections lists them"):
        undone(folder, "bi")
    done = put_right(folder, "bi", {"begin": "1910"})
    with pytest.raises(RecordErrors, match=f"it is corrected by {done.id}: undo that"):
        undone(folder, "bi")


def test_undoing_on_evidence_rests_on_it_and_else_on_what_was_misread(folder: Path) -> None:
    done = put_right(folder, "bi", {"begin": "1910"})
    slip = undone(folder, done.id)
    record = read(folder)
    assert record.claim(slip.id).passage == record.claim(done.id).passage  # type: ignore[union-attr]
    shown = undone(folder, slip.id, source="letter", locator="last page")
    claim = read(folder).claim(shown.id)
    assert claim is not None and claim.passage.locator == "last page"
    assert [row.get("kind") for row in cells(folder, "corrections")] == [
        "new-evidence",
        "undoing",
        "undoing",
    ]
    assert withdrawal(claim) == "Taken back: no"


@pytest.mark.parametrize(("recorded", "stays"), [("2003-04-30", True), ("2003-05-01", False)])
def test_what_stood_before_the_correction_stays_when_it_is_undone(
    tmp_path: Path, recorded: str, stays: bool
) -> None:
    rows = TABLES["treatments"].replace("claim\n", "claim,recorded_on\n").replace("p. 9,", "p. 9,,")
    rows = rows.replace("printed\n", "printed,\n")
    rows += f"b7,harrow,B17,Gold Line,birch,p2,foot,seen,{recorded}\n"
    corrections = (
        "withdraws,replaced_by,reason,source,recorded_on,claim\n"
        "b7-as-printed,seen,as seen,p2,2003-05-01,first\nfirst,,another piece,letter,2004-01-01,\n"
    )
    belief = read(write(tmp_path / "c", treatments=rows, corrections=corrections)).believed()
    assert (belief.claims.find(BASE + "claim/seen") is not None) is stays


def test_rings_by_what_is_put_in_place_are_refused(tmp_path: Path) -> None:
    rows = (
        "withdraws,replaced_by,reason,source,claim\n"
        "b7-as-printed,second,no,letter,first\nfirst,,no,letter,second\n"
    )
    with pytest.raises(RecordErrors, match="withdraw one another: first, second"):
        read(write(tmp_path / "c", corrections=rows))


def test_a_long_chain_of_undoing_is_followed_to_its_end(tmp_path: Path) -> None:
    rows = [f"{'b7-as-printed' if n == 0 else f'c{n - 1}'},x,letter,c{n}" for n in range(3001)]
    text = "withdraws,reason,source,claim\n" + "\n".join(rows) + "\n"
    belief = read(write(tmp_path / "c", corrections=text)).believed()
    assert belief.claims.find(BASE + "claim/b7-as-printed") is None
    assert belief.withdrawn[URIRef(BASE + "claim/b7-as-printed")].id == "c0"
    assert belief.claims.find(BASE + "claim/c1") is None


def test_one_cell_may_be_doubted_alone(tmp_path: Path) -> None:
    rows = (
        "treatment,pottery,number,name,shape,source,certainty,claim,partial\n"
        "b7,harrow,B7,,birch,letter,,told,\nb7,,,Gold Line,,letter,doubtful,if-memory-serves,yes\n"
    )
    record = read(write(tmp_path / "c", treatments=rows, pieces=""))
    doubted, told = claim_of(record, "if-memory-serves"), claim_of(record, "told")
    assert [str(value) for _, _, value in doubted.statements] == ["Gold Line"]
    assert str(doubted.certainty).endswith("/doubtful")
    assert told.certainty is None
    assert not {p for _, p, _ in told.statements} & {RDFS.label}
    assert doubted.passage.source == told.passage.source


# -- by hand -------------------------------------------------------------------------------------------

HAND = "withdraws,columns,reason,source,claim\n"


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        ("bi,begn,x,p2,c", '"begn" is not a column of shapes to withdraw; did you mean "begin"?'),
        ("bi,shape,x,p2,c", '"shape" names what the row is about'),
        ("bi,finial,x,p2,c", 'has nothing in "finial"; it fills pottery, name, begin, end'),
        ("bi,name=Beech,x,p2,c", 'does not have "Beech" in "name"; it has Birch'),
        ("bi,source,x,p2,c", '"source" is not a column of shapes to withdraw'),
        ("b,columns,x,p2,c\nbi,end,x,p2,b", '"columns" names what the row is about'),
        ("b,replaced_by,x,p2,c\nbi,end,x,p2,b", '"replaced_by" is not a column of corrections'),
    ],
)
def test_columns_that_cannot_be_withdrawn_are_named(
    tmp_path: Path, row: str, expected: str
) -> None:
    folder = write(tmp_path / "c", shapes=SHAPES, corrections=HAND + row + "\n")
    with pytest.raises(RecordErrors) as caught:
        read(folder)
    assert expected in str(caught.value)


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        (
            "birch,,,,yes",
            "column partial: the row is partial and adds nothing; fill one of pottery",
        ),
        ("brich,,,1910,yes", 'no whole row describes "brich"; did you mean "birch"?'),
        (",,,1910,yes", "column shape: the cell is empty"),
    ],
)
def test_partial_rows_add_something_to_a_thing_described(
    tmp_path: Path, row: str, expected: str
) -> None:
    rows = SHAPES.replace("claim\n", "claim,partial\n").replace(",al\n", ",al,\n")
    rows = rows.replace(",bi\n", ",bi,\n")
    shape, pottery, name, begin, partial = row.split(",")
    rows += f"{shape},{pottery},{name},{begin},,p2,,,,{partial}\n"
    with pytest.raises(RecordErrors) as caught:
        read(write(tmp_path / "c", shapes=rows))
    assert expected in str(caught.value)


def test_a_partial_row_need_not_fill_what_others_must(tmp_path: Path) -> None:
    more = "source,title,kind,date,complete,partial\ncat1908,,,1909,,yes\n"
    folder = write(tmp_path / "c")
    (folder / "tables" / "sources-more.csv").write_text(more, encoding="utf-8")
    (claim,) = [c for c in read(folder).claims if c.origin.file.endswith("sources-more.csv")]
    source = URIRef(BASE + "source/cat1908")
    assert claim.statements == ((source, GLOST.sourceDate, Literal("1909", datatype=EDTF)),)
    bare = more.replace(",,yes", ",,").replace("1909", "1910")
    (folder / "tables" / "sources-more.csv").write_text(bare, encoding="utf-8")
    with pytest.raises(RecordErrors, match="column title: the cell is empty"):
        read(folder)


def test_the_reason_of_a_correction_can_be_put_right_by_itself(folder: Path) -> None:
    done = put_right(folder, "bi", {"begin": "1910"})
    put_right(folder, done.id, {"reason": "on the lid"}, SLIP)
    belief = read(folder).believed()
    activity = URIRef(BASE + "correction/bi.begin")
    assert [str(o) for o in belief.graph.objects(activity, GLOST.reason)] == ["on the lid"]
    assert day(BIRCH, "begin", "1910") in belief.graph
    with pytest.raises(RecordErrors, match="undo it and correct anew"):
        put_right(folder, done.id, {"withdraws": "al"}, SLIP)


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({"begin": "1911"}, "it says so already"),
        (
            {"rim": "round"},
            "it says nothing of rim that could be withdrawn; add a row to tables/sh",
        ),
        ({"partial": "yes"}, '"partial" is not a column of shapes to change'),
    ],
)
def test_what_withdraws_nothing_is_refused(
    folder: Path, changes: dict[str, str], expected: str
) -> None:
    with pytest.raises(RecordErrors) as caught:
        put_right(folder, "bi", changes)
    assert expected in str(caught.value)


# -- through time, and out and back --------------------------------------------------------------------


def test_as_of_goes_by_statements(folder: Path) -> None:
    done = put_right(folder, "bi", {"begin": "1910"})
    undone(folder, done.id)
    record = read(folder)

    def begins(on: date) -> list[str]:
        graph = record.believed(on).graph
        return [str(o) for o in graph.objects(URIRef(f"{BIRCH}#begin"), GLOST.date)]

    assert begins(date(2023, 12, 31)) == ["1911"]
    assert begins(date(2024, 1, 1)) == ["1910"]
    assert begins(date(2024, 1, 31)) == ["1910"]
    assert begins(date(2024, 2, 1)) == ["1911"]
    assert (BIRCH, RDFS.label, Literal("Birch")) in record.believed(date(2024, 1, 1)).graph


def test_the_record_says_what_was_withdrawn_of_a_claim_and_by_what(folder: Path) -> None:
    done = put_right(folder, "bi", {"begin": "1910"})
    record = read(folder)
    graph = record_graph(record)
    part = URIRef(f"{BASE}claim/bi#withdrawn-{done.id}")
    assert (part, RDF.type, GLOST.WithdrawnPart) in graph
    assert (part, GLOST.withdrawnByClaim, URIRef(f"{BASE}claim/{done.id}")) in graph
    assert (part, PROV.wasInvalidatedBy, URIRef(BASE + "correction/bi.begin")) in graph
    assert (part, PROV.hadPrimarySource, URIRef(BASE + "source/cat1911")) in graph
    assert (URIRef(BASE + "claim/bi"), PROV.wasInvalidatedBy, None) not in graph
    assert (part, None, None) not in record_graph(record, date(2023, 12, 31))


def test_corrections_survive_trig_and_tables(folder: Path, tmp_path: Path) -> None:
    first = put_right(folder, "bi", {"begin": "1910", "end": ""})
    second = put_right(folder, first.replacement, {"begin": "1909"}, SLIP)
    put_right(folder, "al", {"name": "Aldar"})
    undone(folder, second.id)
    record = read(folder)
    written = tmp_path / "written"
    write(written, **dict.fromkeys(TABLES, ""))
    (written / "all.trig").write_text(trig_text(record, record.claims), encoding="utf-8")
    back = read(written)
    assert {c.iri: frozenset(c.statements) for c in back.claims} == {
        c.iri: frozenset(c.statements) for c in record.claims
    }
    for each in (record, back):
        rows, left = rows_of(each, each.claims)
        assert not left
        again = tmp_path / f"again-{each is back}"
        write(again, **dict.fromkeys(TABLES, ""))
        for name, some in rows.items():
            columns = sorted({column for row in some for column in row})
            with (again / "tables" / f"{name}.csv").open("w", encoding="utf-8", newline="") as file:
                writer = csv.DictWriter(file, columns)
                writer.writeheader()
                writer.writerows(some)
        same = read(again).believed()
        assert set(same.statements()) == set(record.believed().statements())
        assert {c.iri for c in same.claims} == {c.iri for c in record.believed().claims}
    assert set(back.believed().statements()) == set(record.believed().statements())


# -- which correction did it -----------------------------------------------------------------------


def test_a_row_withdrawn_cell_by_cell_falls_to_the_correction_that_took_the_last(
    tmp_path: Path,
) -> None:
    """By the days of recording the end went after the beginning, whatever the ids of the two."""
    more = "shape,begin,end,source,partial,claim\nalder,1909,1915,letter,yes,years\n"
    folder = write(tmp_path / "c", shapes=SHAPES)
    (folder / "tables" / "shapes-more.csv").write_text(more, encoding="utf-8")
    corrections = (
        "withdraws,columns,reason,source,recorded_on,claim\n"
        "years,begin,no,letter,2024-01-01,z-first\nyears,end,no,letter,2024-02-01,a-second\n"
    )
    (folder / "tables" / "corrections.csv").write_text(corrections, encoding="utf-8")
    assert read(folder).believed().withdrawn[URIRef(BASE + "claim/years")].id == "a-second"


def test_a_correction_undone_replaces_nothing(folder: Path) -> None:
    done = put_right(folder, "bi", {"begin": "1910"})
    assert list(read(folder).believed().replaced) == [URIRef(f"{BASE}claim/{done.replacement}")]
    undone(folder, done.id)
    assert read(folder).believed().replaced == {}


def test_a_correction_that_withdraws_itself_is_refused(tmp_path: Path) -> None:
    rows = "withdraws,reason,source,claim\nloop,no,letter,loop\n"
    with pytest.raises(RecordErrors, match="loop"):
        read(write(tmp_path / "c", corrections=rows))


def test_two_corrections_may_each_put_the_others_reason_right(tmp_path: Path) -> None:
    """Neither stands or falls by the other: only its reason is withdrawn."""
    rows = (
        "withdraws,columns,reason,source,claim\n"
        "second,reason,no,letter,first\nfirst,reason,nor this,letter,second\n"
    )
    belief = read(write(tmp_path / "c", corrections=rows)).believed()
    assert belief.withdrawn == {}
    assert {str(iri).rsplit("/", 1)[-1] for iri in belief.parts} == {"first", "second"}


# -- what is written -------------------------------------------------------------------------------


def test_of_several_values_another_can_be_corrected_after_the_first(tmp_path: Path) -> None:
    pieces = "piece,shape,form,features,claim\np2,birch,saucer,chip|crack|nick,seen\n"
    folder = write(tmp_path / "c", pieces=pieces)
    assert put_right(folder, "seen", {"features": "chip|crack"}).columns == ("features=nick",)
    assert put_right(folder, "seen", {"features": "chip"}).columns == ("features=crack",)
    assert {str(v) for v in read(folder).believed().graph.objects(None, GLOST.feature)} == {"chip"}


def test_the_file_keeps_its_mark_and_its_line_ends(tmp_path: Path) -> None:
    folder = write(tmp_path / "c")
    file = folder / "tables" / "shapes.csv"
    file.write_bytes(("\ufeff" + SHAPES.replace("\n", "\r\n")).encode())
    before = file.read_bytes()
    put_right(folder, "bi", {"begin": "1910"})
    after = file.read_bytes()
    assert after.startswith(before[:20])
    assert after.count(b"\n") == after.count(b"\r\n") == before.count(b"\n") + 1


def test_what_corrects_a_row_of_a_workbook_is_written_beside_it(tmp_path: Path) -> None:
    folder = write(tmp_path / "c", shapes="")
    with xlsxwriter.Workbook(folder / "tables" / "shapes.xlsx") as book:
        sheet = book.add_worksheet()
        for at, line in enumerate(SHAPES.splitlines()):
            sheet.write_row(at, 0, line.split(","))
    whole = (folder / "tables" / "shapes.xlsx").read_bytes()
    done = put_right(folder, "bi", {"begin": "1910"})
    assert done.files == ("tables/corrections.csv", "tables/shapes-corrected.csv")
    assert (folder / "tables" / "shapes.xlsx").read_bytes() == whole
    assert day(BIRCH, "begin", "1910") in read(folder).believed().graph
