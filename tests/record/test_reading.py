"""Tables in: every encoding and layout alike, every mistake named with its place and remedy."""

from pathlib import Path

import pytest
import xlsxwriter

from glost.record.errors import RecordErrors
from glost.record.record import Record, read
from shelf import SETTINGS, TABLES, write

BASE = "https://example.org/shelf/"


def statements(record: Record) -> dict[str, set[tuple[str, str, str]]]:
    return {
        claim.id: {(str(s), str(p), o.n3()) for s, p, o in claim.statements}
        for claim in record.claims
    }


def errors_of(folder: Path) -> list[str]:
    with pytest.raises(RecordErrors) as caught:
        read(folder)
    return [str(error) for error in caught.value.errors]


def test_a_row_becomes_a_claim_with_its_passage(tmp_path: Path) -> None:
    record = read(write(tmp_path / "c"))
    (claim,) = [c for c in record.claims if c.origin.file == "tables/shapes.csv"][:1] and [
        c
        for c in record.claims
        if any(str(s).endswith("shape/birch") for s, _, _ in c.statements)
        and c.origin.table == "shapes"
    ]
    assert str(claim.passage.source) == BASE + "source/cat1911"
    assert claim.passage.locator == "p. 2"
    assert str(claim.certainty) == "https://w3id.org/glost/certainty/probable"
    assert (claim.origin.file, claim.origin.row) == ("tables/shapes.csv", 3)
    said = {(str(s), str(p).rsplit("#", 1)[-1], o.n3()) for s, p, o in claim.statements}
    edtf = '"1920?"^^<http://id.loc.gov/datatypes/edtf/EDTF>'
    assert (BASE + "shape/birch#end", "date", edtf) in said
    assert (BASE + "shape/birch#run", "hasEnd", f"<{BASE}shape/birch#end>") in said
    assert (BASE + "shape/birch", "madeBy", f"<{BASE}pottery/harrow>") in said


@pytest.mark.parametrize(
    ("dates", "ends"),
    [("1908,", {"hasBeginning"}), (",1920", {"hasEnd"}), ("1908,1920", {"hasBeginning", "hasEnd"}),
     (",", set())],
)  # fmt: skip
def test_a_run_has_the_ends_that_the_row_gives(tmp_path: Path, dates: str, ends: set[str]) -> None:
    shapes = f"shape,pottery,name,begin,end,source\noak,harrow,Oak,{dates},letter\n"
    empty = dict.fromkeys(("flatware", "treatments", "pieces", "assortments"), "")
    record = read(write(tmp_path / "c", **empty, shapes=shapes))
    (claim,) = (c for c in record.claims if c.origin.table == "shapes")
    said = {str(p).rsplit("#", 1)[-1] for _, p, _ in claim.statements}
    assert said & {"run", "hasBeginning", "hasEnd"} == ends | ({"run"} if ends else set())


def test_sources_pieces_and_catalogues_are_their_own_sources(tmp_path: Path) -> None:
    record = read(write(tmp_path / "c"))
    by_table = {c.origin.table: str(c.passage.source) for c in record.claims if c.origin.row == 2}
    assert by_table["sources"] == BASE + "source/cat1908"
    assert by_table["pieces"] == BASE + "piece/p1"
    assert by_table["assortments"] == BASE + "source/cat1908"


def test_a_form_may_be_written_by_its_label(tmp_path: Path) -> None:
    record = read(write(tmp_path / "c"))
    forms = {
        o.n3()
        for claim in record.claims
        if claim.origin.table == "assortments"
        for _, p, o in claim.statements
        if str(p).endswith("#form")
    }
    assert forms == {
        "<https://w3id.org/glost/form/dinner-plate>",
        "<https://w3id.org/glost/form/teapot>",
    }


def as_workbook(folder: Path, name: str, text: str) -> None:
    book = xlsxwriter.Workbook(folder / "tables" / f"{name}.xlsx")
    sheet = book.add_worksheet("Sheet1")
    for row, line in enumerate(text.splitlines()):
        for column, cell in enumerate(line.split(",")):
            if cell.isdigit():
                sheet.write_number(row, column, int(cell))
            else:
                sheet.write_string(row, column, cell)
    book.close()


@pytest.mark.parametrize("layout", ["bom", "semicolon", "tab", "crlf", "xlsx", "titles", "split"])
def test_every_layout_gives_the_same_claims(tmp_path: Path, layout: str) -> None:
    plain = statements(read(write(tmp_path / "plain")))
    folder = write(tmp_path / "other")
    path = folder / "tables" / "shapes.csv"
    text = TABLES["shapes"]
    if layout == "bom":
        path.write_text(text, encoding="utf-8-sig")
    elif layout == "semicolon":
        path.write_text(text.replace(",", ";"), encoding="utf-8")
    elif layout == "tab":
        path.write_text(text.replace(",", "\t"), encoding="utf-8")
    elif layout == "crlf":
        path.write_bytes(text.replace("\n", "\r\n").encode())
    elif layout == "titles":
        path.write_text(text.replace("shape,pottery", " Shape , POTTERY", 1), encoding="utf-8")
    elif layout == "split":
        header, first, second = text.splitlines()
        path.write_text(f"{header}\n\n{first}\n", encoding="utf-8")
        path.with_name("shapes-later.csv").write_text(f"{header}\n{second}\n", encoding="utf-8")
    else:
        path.unlink()
        as_workbook(folder, "shapes", text)
    assert statements(read(folder)) == plain


def test_one_workbook_may_hold_every_table(tmp_path: Path) -> None:
    plain = statements(read(write(tmp_path / "plain")))
    folder = tmp_path / "book"
    (folder / "tables").mkdir(parents=True)
    (folder / "collection.toml").write_text(SETTINGS, encoding="utf-8")
    book = xlsxwriter.Workbook(folder / "tables" / "everything.xlsx")
    for name, text in TABLES.items():
        sheet = book.add_worksheet(name)
        for row, line in enumerate(text.replace('"', "").splitlines()):
            for column, cell in enumerate(line.replace("chip, at", "chip; at").split(",")):
                sheet.write_string(row, column, cell.replace("chip; at", "chip, at"))
    book.close()
    assert statements(read(folder)) == plain


def test_a_quoted_cell_may_hold_a_newline_and_rows_keep_their_numbers(tmp_path: Path) -> None:
    text = 'shape,pottery,name,source,description\na,harrow,A,cat1908,"two\nlines"\nb,nobody,B,cat1908,\n'
    found = errors_of(
        write(tmp_path / "c", shapes=text, flatware="", treatments="", pieces="", assortments="")
    )
    assert found == [
        'tables/shapes.csv, row 3, column pottery: nothing describes "nobody" in potteries; '
        "describe it in tables/potteries.csv"
    ]


def test_rows_and_columns_may_be_reordered_without_changing_an_id(tmp_path: Path) -> None:
    plain = statements(read(write(tmp_path / "plain")))
    moved = (
        "certainty,locator,source,end,begin,name,pottery,shape\n"
        "probable,p. 2,cat1911,1920?,1911,Birch,harrow,birch\n"
        "certain,p. 3,cat1908,,1908,Alder,harrow,alder\n"
    )
    assert statements(read(write(tmp_path / "moved", shapes=moved))) == plain


def test_a_changed_cell_changes_the_id(tmp_path: Path) -> None:
    plain = set(statements(read(write(tmp_path / "plain"))))
    changed = TABLES["shapes"].replace("p. 3", "p. 33")
    other = set(statements(read(write(tmp_path / "changed", shapes=changed))))
    assert len(plain - other) == len(other - plain) == 1


BAD_CELLS = {
    "misspelt id": (
        "shapes",
        "alder,harrow",
        "alder,harow",
        'tables/shapes.csv, row 2, column pottery: nothing describes "harow" in potteries; '
        'did you mean "harrow"?',
    ),
    "unknown column": (
        "shapes",
        "shape,pottery",
        "shape,potery",
        'tables/shapes.csv, row 1: "potery" is not a column of shapes; did you mean "pottery"?',
    ),
    "column twice": (
        "shapes",
        "begin,end",
        "begin,begin",
        'tables/shapes.csv, row 1: the column "begin" stands there twice; remove or rename one',
    ),
    "bad date": (
        "shapes",
        "Alder,1908",
        "Alder,spring 1908",
        'tables/shapes.csv, row 2, column begin: "spring 1908" is not an EDTF date',
    ),
    "impossible day": (
        "sources",
        "1912-03",
        "1912-02-30",
        'tables/sources.csv, row 4, column date: "1912-02-30" is not an EDTF date',
    ),
    "not yes or no": (
        "sources",
        "1908,yes",
        "1908,maybe",
        'tables/sources.csv, row 2, column complete: "maybe" is neither yes nor no; '
        "write yes or no, or leave it empty",
    ),
    "unknown term": (
        "pieces",
        "saucer",
        "sawcer",
        'tables/pieces.csv, row 3, column form: "sawcer" is no term of the list of form terms; '
        'did you mean "saucer"?; or describe it in tables/terms.csv',
    ),
    "certainty": (
        "shapes",
        "probable",
        "probabel",
        'tables/shapes.csv, row 3, column certainty: "probabel" is no term of the list of '
        'certainty terms; did you mean "probable"?',
    ),
    "no source": (
        "flatware",
        "birch,letter",
        "birch,",
        "tables/flatware.csv, row 2, column source: the row names no source: every row must say "
        "what it rests on; give the id of a source or a piece",
    ),
    "empty required": (
        "flatware",
        "alder,birch",
        "alder,",
        "tables/flatware.csv, row 2, column with: the cell is empty; give the shape it shares "
        "flatware with",
    ),
    "id with a space": (
        "shapes",
        "alder,harrow",
        "al der,harrow",
        'tables/shapes.csv, row 2, column shape: "al der" is not an id: letters, digits, - and _ '
        'only; write "al-der"',
    ),
    "stray cell": (
        "flatware",
        "second page",
        "second page,and more",
        'tables/flatware.csv, row 2: "and more" stands under no column; quote a cell that holds '
        "the delimiter, or give the column its header",
    ),
    "open quote": (
        "flatware",
        "second page",
        '"second page',
        "tables/flatware.csv, row 2: the row cannot be read",
    ),
    "id given twice": (
        "treatments",
        "cat1908,p. 9,",
        "cat1908,p. 9,b7-as-printed",
        'tables/treatments.csv, row 3, column claim: the claim id "b7-as-printed" is also that of '
        "tables/treatments.csv row 2; give one of them another id, or leave it empty",
    ),
}


@pytest.mark.parametrize("case", sorted(BAD_CELLS))
def test_a_mistake_is_named_with_its_place_and_remedy(tmp_path: Path, case: str) -> None:
    table, old, new, expected = BAD_CELLS[case]
    assert old in TABLES[table]
    folder = write(tmp_path / "c", **{table: TABLES[table].replace(old, new, 1)})
    assert any(error.startswith(expected) for error in errors_of(folder)), errors_of(folder)


def test_all_mistakes_come_at_once(tmp_path: Path) -> None:
    folder = write(
        tmp_path / "c",
        shapes=TABLES["shapes"].replace("1908,,", "19O8,,").replace("probable", "likely so"),
        flatware=TABLES["flatware"].replace("birch", "brich"),
    )
    files = [error.split(",")[0] for error in errors_of(folder)]
    assert files == ["tables/flatware.csv", "tables/shapes.csv", "tables/shapes.csv"]


def test_files_that_are_no_tables_are_errors(tmp_path: Path) -> None:
    folder = write(tmp_path / "c")
    (folder / "tables" / "shaps.csv").write_text("shape\n", encoding="utf-8")
    (folder / "tables" / "notes.txt").write_text("x", encoding="utf-8")
    (folder / "tables" / "kilns.csv").write_bytes("kiln,plant\nk\xe9,p\n".encode("latin-1"))
    (folder / "tables" / "marks.xlsx").write_bytes(b"not a workbook")
    (folder / "tables" / "glazes.csv").write_bytes(b"")
    found = errors_of(folder)
    assert 'tables/shaps.csv: there is no table "shaps"; did you mean "shapes"?' in found
    assert (
        "tables/notes.txt: this is not a table; save it as .csv or .xlsx, or move it out of tables/"
    ) in found
    assert any(e.startswith("tables/kilns.csv: line 2 holds the byte e9") for e in found)
    assert any(e.startswith("tables/marks.xlsx: the workbook cannot be read") for e in found)
    assert any(e.startswith("tables/glazes.csv, row 1: there is no header row") for e in found)


def test_a_folder_without_settings_says_how_to_start(tmp_path: Path) -> None:
    (only,) = errors_of(tmp_path)
    assert only.startswith("collection.toml: there is none") and "glost new" in only


@pytest.mark.parametrize(
    ("settings", "expected"),
    [
        ('title = "x"\n', "base is missing"),
        ('title = "x"\nbase = "shelf"\n', "is not an http address ending in /"),
        ('title = "x"\nbase = "https://e.org/"\ntitel = "y"\n', 'did you mean "title"?'),
        ('title = "x"\nbase = "https://e.org/"\n[dates]\nmargin_years = "three"\n', "whole number"),
        ('title = "x"\nbase = "https://e.org/"\nlanguage = "English"\n', "no tag of a language"),
        ('title = "x"\nbase = "https://e.org/"\ncontact = "by letter"\n', "no address"),
        ('title = "x"\nbase = "https://e.org/"\nissued = "2024"\n', "no day"),
        ('title = "x"\nbase = "https://e.org/"\nkeywords = "pots"\n', "keywords is not a list"),
        ('title = "x"\nbase = "https://e.org/"\n[trust]\nbook = 0\n', "a number above 0"),
        ("title = \n", "it cannot be read"),
    ],
)
def test_bad_settings_are_named(tmp_path: Path, settings: str, expected: str) -> None:
    folder = write(tmp_path / "c")
    (folder / "collection.toml").write_text(settings, encoding="utf-8")
    assert any(expected in error for error in errors_of(folder))


def test_the_same_row_twice_is_a_note_not_a_second_claim(tmp_path: Path) -> None:
    text = TABLES["flatware"] + "alder,birch,letter,second page\n"
    record = read(write(tmp_path / "c", flatware=text))
    (finding,) = record.findings
    assert finding.kind == "same-row-twice"
    assert [side.read_from for side in finding.sides] == [
        "tables/flatware.csv row 2",
        "tables/flatware.csv row 3",
    ]
    assert len(record.claims) == len(read(write(tmp_path / "d")).claims)


def test_a_collection_may_add_terms_of_its_own(tmp_path: Path) -> None:
    terms = "scheme,term,name,broader,source\nform,whimsey,Whimsey dish,flatware,letter\n"
    pieces = "piece,form\np1,Whimsey Dish\n"
    record = read(write(tmp_path / "c", terms=terms, pieces=pieces))
    forms = [o for c in record.claims for _, p, o in c.statements if str(p).endswith("#form")]
    assert BASE + "form/whimsey" in {str(form) for form in forms}


def test_an_id_of_both_a_source_and_a_piece_is_an_error(tmp_path: Path) -> None:
    folder = write(tmp_path / "c", pieces="piece,shape\nletter,alder\n")
    assert any('"letter" is the id of a source and of a piece' in e for e in errors_of(folder))
