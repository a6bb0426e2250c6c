"""What may not stand in a record, what is not opened, and how much is read: told, with a remedy."""

import os
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from glost import limits
from glost.record.characters import control, visible
from glost.record.collection import base_fault
from glost.record.errors import RecordErrors, nearest, quoted
from glost.record.files import fingerprint
from glost.record.quantities import LengthError, read_length
from glost.record.record import read
from glost.record.sheets import column_named, plain_header
from glost.record.starting import begin
from glost.record.tables import tables
from shelf import SETTINGS, TABLES, write


def errors_of(folder: Path) -> list[str]:
    with pytest.raises(RecordErrors) as caught:
        read(folder)
    return [str(error) for error in caught.value.errors]


def with_note(folder: Path, note: str) -> Path:
    text = (
        TABLES["potteries"].replace("locator\n", "locator,note\n").replace("p. 1", f'p. 1,"{note}"')
    )
    return write(folder, potteries=text)


# -- characters ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("sign", "named"),
    [
        ("\x00", "NUL (U+0000)"), ("\x1b", "ESC (U+001B)"), ("\x07", "BEL (U+0007)"),
        ("\x9b", "the control character U+009B"), ("\x7f", "DEL (U+007F)"),
        ("\u2028", "a line separator (U+2028)"), ("\uffff", "the control character U+FFFF"),
    ],
)  # fmt: skip
def test_control_characters_are_errors_where_they_are_read(
    tmp_path: Path, sign: str, named: str
) -> None:
    (only,) = errors_of(with_note(tmp_path / "c", f"before{sign}after"))
    assert only.startswith("tables/potteries.csv, row 2, column note: ")
    assert f"holds {named}; take it out" in only
    assert sign not in only


def test_tab_and_newline_may_stand_in_a_cell(tmp_path: Path) -> None:
    record = read(with_note(tmp_path / "c", "one\ttwo\nthree"))
    assert "one\ttwo\nthree" in {claim.note for claim in record.claims}


@pytest.mark.parametrize("where", ["note", "between rows"])
def test_a_carriage_return_that_ends_no_line_is_an_error(tmp_path: Path, where: str) -> None:
    folder = with_note(tmp_path / "c", "one\rtwo") if where == "note" else write(tmp_path / "c")
    if where != "note":
        path = folder / "tables" / "potteries.csv"
        path.write_bytes(
            path.read_bytes() + b"other,Other,,cat1908,p. 2\rthird,Third,,cat1908,p. 3\n"
        )
    (only,) = [e for e in errors_of(folder) if "carriage return" in e]
    line = 2 if where == "note" else 3
    assert only.startswith(f"tables/potteries.csv: line {line} holds a carriage return (U+000D)")


def test_control_characters_in_settings_and_trig_are_errors(tmp_path: Path) -> None:
    folder = write(tmp_path / "c")
    (folder / "collection.toml").write_text(SETTINGS.replace("A shelf", "A \\u001b[31m shelf"))
    assert any("title: " in e and "holds ESC" in e for e in errors_of(folder))
    (folder / "collection.toml").write_text(SETTINGS)
    (folder / "more.trig").write_text(
        "PREFIX glost: <https://w3id.org/glost/ontology#> PREFIX prov: <http://www.w3.org/ns/prov#>\n"
        "<claim/x> prov:hadPrimarySource <source/cat1908> .\n"
        '<claim/x> { <shape/alder> glost:feature "a\\u0007b" }\n'
    )
    assert any("claim/x" in e and "holds BEL" in e for e in errors_of(folder))


@given(st.text())
def test_what_is_shown_holds_no_control_character(text: str) -> None:
    assert not control(visible(text))
    assert not control(quoted(text))
    assert "\n" not in quoted(text)


# -- figures -------------------------------------------------------------------------------------


@pytest.mark.parametrize("figures", ["٣", "３", "²", "१"])
def test_figures_of_other_scripts_are_not_read_as_numbers(tmp_path: Path, figures: str) -> None:
    text = (
        TABLES["sources"]
        .replace("complete\n", "complete,pages\n")
        .replace("1908,yes", f"1908,yes,{figures}")
    )
    (only,) = [e for e in errors_of(write(tmp_path / "c", sources=text)) if "pages" in e]
    assert "is not a whole number; write it in figures, and those are 0 to 9" in only
    with pytest.raises(LengthError):
        read_length(f"1{figures} in")


def test_halves_and_wide_signs_in_lengths_are_still_read() -> None:
    assert read_length("7½ in").metres == read_length("7 1/2 in").metres
    assert read_length("7\u00a0in").metres == read_length("7 in").metres


def test_numbers_of_thousands_of_figures_are_told(tmp_path: Path) -> None:
    text = TABLES["sources"].replace("complete\n", "complete,pages\n")
    many = write(tmp_path / "a", sources=text.replace("1908,yes", f"1908,yes,{'9' * 5000}"))
    assert any("more than 40 figures in a row" in e for e in errors_of(many))
    few = write(tmp_path / "b", sources=text.replace("1908,yes", f"1908,yes,{'9' * 19}"))
    assert any("column pages" in e and "at most 18 figures" in e for e in errors_of(few))


def test_a_run_of_figures_in_any_cell_is_limited(tmp_path: Path) -> None:
    read(with_note(tmp_path / "a", "9" * limits.FIGURES))
    (only,) = errors_of(with_note(tmp_path / "b", "9" * (limits.FIGURES + 1)))
    assert "part it by spaces if it is no number" in only


# -- sizes ---------------------------------------------------------------------------------------


def test_a_cell_is_limited_and_a_message_shows_a_line_of_it(tmp_path: Path) -> None:
    read(with_note(tmp_path / "a", "word " * (limits.CELL // 5)))
    (only,) = errors_of(with_note(tmp_path / "b", "line one\nand " + "word " * 10_000))
    assert "has 50,012 characters; a cell holds at most 32,767" in only
    assert "\n" not in only
    assert len(only) < 400


def test_a_message_shows_no_more_than_a_line_of_a_cell(tmp_path: Path) -> None:
    long = "x y " * 5_000
    shapes = (
        TABLES["shapes"]
        .replace("Alder,1908", f"Alder,{long}")
        .replace("birch,harrow", f"birch,{long}")
    )
    found = errors_of(write(tmp_path / "c", shapes=shapes))
    assert len(found) > 1
    assert all(len(each) < 600 for each in found)


def test_thousands_of_columns_are_one_error(tmp_path: Path) -> None:
    header = ",".join(f"column{n}" for n in range(limits.COLUMNS + 1))
    (only,) = errors_of(write(tmp_path / "c", glazes=header + "\n"))
    assert only.startswith("tables/glazes.csv, row 1: there are 1,001 columns; ")


def test_a_nearest_word_is_looked_for_only_where_it_can_be_found(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    assert nearest("aldr", ["alder"]) == "alder"
    assert nearest("x" * (limits.NEAR_LENGTH + 1), ["x" * limits.NEAR_LENGTH]) == ""
    many = [f"alder{n}" for n in range(limits.NEAR_AMONG + 1)]
    assert nearest("alder9x", many) == ""
    assert nearest("ALDER9", many) == "alder9"


def test_wrong_cells_without_end_are_named_without_a_search_for_each(tmp_path: Path) -> None:
    rows = "".join(f"s{n},hxrrow{n},S,,,cat1908,,\n" for n in range(200))
    found = errors_of(write(tmp_path / "c", shapes=TABLES["shapes"] + rows))
    assert len([e for e in found if "column pottery" in e]) == 200
    assert (
        len([e for e in found if "did you mean" in e and "column pottery" in e]) == limits.NEAR_TOLD
    )


def test_rows_with_one_fault_are_named_first_and_then_counted(tmp_path: Path) -> None:
    rows = "".join(f",harrow,S{n},,,,,,more,and more\n" for n in range(50))
    found = errors_of(write(tmp_path / "c", shapes=TABLES["shapes"] + rows))
    for told in (
        '30 more rows have a cell that stands under no column', "column shape: 30 more rows: the cell is empty",
        "column source: 30 more rows: the row names no source",
    ):  # fmt: skip
        assert len([e for e in found if told in e]) == 1, told
    assert len(found) == 63


def test_a_column_that_is_all_wrong_is_told_and_counted(tmp_path: Path) -> None:
    rows = "".join(f"s{n}x,nobody{n},S,,,cat1908,,\n" for n in range(limits.CELLS_TOLD + 7))
    found = errors_of(write(tmp_path / "c", shapes=TABLES["shapes"] + rows))
    assert len(found) == limits.CELLS_TOLD + 1
    assert "column pottery: 7 more cells of the column are wrong; correct the first" in found[0]


def test_a_date_is_limited(tmp_path: Path) -> None:
    years = ",".join(str(1000 + n) for n in range(200))
    shapes = TABLES["shapes"].replace("Alder,1908", f'Alder,"[{years}]"')
    (only,) = [e for e in errors_of(write(tmp_path / "c", shapes=shapes)) if "EDTF" in e]
    assert "it has 1,001 characters; write at most 1,000, or give each date a row" in only


def test_dots_in_settings_that_part_no_key_are_read(tmp_path: Path) -> None:
    folder = write(tmp_path / "c")
    dots = "." * 500
    more = f'publisher = "{dots}" # {dots}\ndescription = """{dots}\n"{dots}"""\n'
    (folder / "collection.toml").write_text(SETTINGS + more)
    assert read(folder).collection.publisher == dots


# -- files ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "name", ["tables/glazes.csv", "tables/glazes.xlsx", "more.trig", "collection.toml"]
)
def test_a_pipe_is_not_opened(tmp_path: Path, name: str) -> None:
    folder = write(tmp_path / "c")
    (folder / name).unlink(missing_ok=True)
    os.mkfifo(folder / name)
    assert f"{name}: it is no ordinary file; " in errors_of(folder)[0]


@pytest.mark.parametrize("name", ["tables/glazes.csv", "more.trig", "collection.toml"])
def test_a_link_out_of_the_collection_is_told_and_not_followed(tmp_path: Path, name: str) -> None:
    folder = write(tmp_path / "c")
    outside = tmp_path / "outside"
    outside.write_text("glaze,pottery,name,source\nsecret,harrow,Secret,cat1908\n")
    (folder / name).unlink(missing_ok=True)
    (folder / name).symlink_to(outside)
    (only,) = errors_of(folder)
    assert only.startswith(f"{name}: the link leads out of the collection and is not followed; ")


def test_a_link_within_the_collection_is_followed(tmp_path: Path) -> None:
    folder = write(tmp_path / "c")
    path = folder / "tables" / "shapes.csv"
    path.rename(folder / "kept.csv")
    path.symlink_to(folder / "kept.csv")
    assert len(read(folder).claims) == len(read(write(tmp_path / "d")).claims)


def test_links_in_a_ring_and_to_nothing_are_told(tmp_path: Path) -> None:
    folder = write(tmp_path / "c")
    for name, target in (("glazes", "glazes.csv"), ("kilns", "nowhere.csv")):
        (folder / "tables" / f"{name}.csv").symlink_to(folder / "tables" / target)
    assert [e.partition(":")[0] for e in errors_of(folder)] == [
        "tables/glazes.csv",
        "tables/kilns.csv",
    ]


def test_a_folder_that_is_called_like_a_table_is_told(tmp_path: Path) -> None:
    folder = write(tmp_path / "c")
    (folder / "tables" / "glazes.csv").mkdir()
    assert errors_of(folder)[0].startswith("tables/glazes.csv: it is no ordinary file")


def test_a_file_that_is_too_large_is_told(tmp_path: Path) -> None:
    folder = write(tmp_path / "c")
    with (folder / "collection.toml").open("a") as file:
        file.write("#" * limits.SETTINGS)
    (only,) = errors_of(folder)
    assert only.startswith("collection.toml: it has 1,048,") and "part it" in only


def test_what_is_not_opened_to_be_read_is_not_opened_to_be_hashed(tmp_path: Path) -> None:
    folder = write(tmp_path / "c")
    before = fingerprint(folder)
    os.mkfifo(folder / "more.trig")
    assert fingerprint(folder) != before


# -- settings ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "base",
    [
        "http://[/", "http://e.org/%zz/", "javascript:alert(1)/", "http:///", "http://e.org", "http://e.org/a",
        "http://e.org/?q/", "http://e.org/#a/", "http://e.org/a b/", "http://e.org/../", "http://e.org:99999/",
        "ftp://e.org/", "http://e.org/\u202e/", "http://e.org/\\/", "http://user@e.org/", "https://e.org/" + "a" * 3000 + "/",
        "http://[::1/", "//e.org/", "", "http://-/\x00/", "http://e.org/\udcff/",
    ],
)  # fmt: skip
def test_a_base_that_is_no_iri_is_refused_where_it_is_given(tmp_path: Path, base: str) -> None:
    assert base_fault(base)
    with pytest.raises(RecordErrors):
        begin(tmp_path / "new", "A title", base)
    assert not (tmp_path / "new").exists()


@pytest.mark.parametrize(
    "base",
    ["http://e.org/", "https://example.org/shelf/", "https://e.org:8080/a/b/", "http://[::1]/x/",
     "https://töpferei.example/scherben/", "https://e.org/a%20b/", "http://localhost/"],
)  # fmt: skip
def test_an_http_address_that_ends_in_a_slash_is_a_base(base: str) -> None:
    assert base_fault(base) == ""


def test_a_title_that_is_not_utf_8_is_refused(tmp_path: Path) -> None:
    title = os.fsdecode(b"caf\xe9")
    with pytest.raises(RecordErrors, match="title: "):
        begin(tmp_path / "new", title, "http://e.org/")
    assert not (tmp_path / "new").exists()


@pytest.mark.parametrize(
    ("more", "expected"),
    [
        ("[dates]\nmargin_years = 99999999999999999\n", "from 0 to 1,000"),
        (f"[dates]\nmargin_years = {'9' * 5000}\n", "it cannot be read"),
        ("[dates]\ncatalogue_lag_years = 1001\n", "from 0 to 1,000"),
        ("[trust]\nx = inf\n", "a number above 0"),
        ("[trust]\nx = nan\n", "a number above 0"),
        ("[trust]\nx = true\n", "a number above 0"),
        ("x = " + "[" * 100_000 + "]" * 100_000 + "\n", "it is nested too deep"),
        ("x = 2000-13-45\n", "it cannot be read"),
        (f"{'a.' * 100}a = 1\n", "a key has more than 100 names"),
        (f"x = {{{'a . ' * 250_000}a = 1}}\n", "a key has more than 100 names"),
        ('publisher = "a\\u0000b"\n', "publisher: "),
        (f'"{"n" * 5000}" = 1\n', "is not known here"),
    ],
)
def test_settings_that_would_break_the_reckoning_are_told(
    tmp_path: Path, more: str, expected: str
) -> None:
    folder = write(tmp_path / "c")
    (folder / "collection.toml").write_text(SETTINGS + more)
    found = errors_of(folder)
    assert any(expected in each for each in found), found
    assert all(len(each) < 400 for each in found)


def test_settings_in_another_encoding_are_told(tmp_path: Path) -> None:
    folder = write(tmp_path / "c")
    (folder / "collection.toml").write_bytes(SETTINGS.replace("A shelf", "Café").encode("latin-1"))
    (only,) = errors_of(folder)
    assert only.startswith("collection.toml: line 1 holds the byte e9, which is not UTF-8; save")


# -- headers -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "header", ["Recorded-On", "recorded on", " RECORDED_ON ", "Recorded \t On", "recorded--on"]
)
def test_a_header_has_one_form_however_it_is_written(tmp_path: Path, header: str) -> None:
    assert plain_header(header) == "recorded_on"
    assert column_named(tables()["shapes"], header) == "recorded_on"
    text = (
        TABLES["flatware"]
        .replace("locator\n", f"locator,{header}\n")
        .replace("page\n", "page,1999-01-02\n")
    )
    record = read(write(tmp_path / "c", flatware=text))
    assert "1999-01-02" in {claim.recorded_on for claim in record.claims}


# -- TriG ----------------------------------------------------------------------------------------


def trig_errors(tmp_path: Path, statement: str) -> list[str]:
    folder = write(tmp_path / "c")
    (folder / "more.trig").write_text(
        "PREFIX glost: <https://w3id.org/glost/ontology#> PREFIX prov: <http://www.w3.org/ns/prov#>\n"
        f"<claim/x> prov:hadPrimarySource <source/cat1908> .\n<claim/x> {{ {statement} }}\n"
    )
    return errors_of(folder)


def test_values_of_a_known_kind_are_checked_in_trig_as_in_cells(tmp_path: Path) -> None:
    (only,) = trig_errors(tmp_path, '<source/cat1908> glost:pages "many"')
    assert 'glost:pages: "many" is not a whole number' in only


@pytest.mark.parametrize("source", ["( 1 2 )", '"cat1908"', "[]"])
def test_a_source_without_a_name_is_told_in_trig(tmp_path: Path, source: str) -> None:
    folder = write(tmp_path / "c")
    (folder / "more.trig").write_text(
        "PREFIX glost: <https://w3id.org/glost/ontology#> PREFIX prov: <http://www.w3.org/ns/prov#>\n"
        f"<claim/x> prov:hadPrimarySource {source} .\n<claim/x> {{ <piece/p1> a glost:Piece }}\n"
    )
    assert any(
        "is no IRI, and" in e and "name the thing by its IRI" in e for e in errors_of(folder)
    )


def test_triple_terms_deeper_than_the_parser_survives_are_told(tmp_path: Path) -> None:
    deep = "<x:a> <x:b> " + "<<( <x:a> <x:b> " * 50_000 + "<x:c>" + " )>>" * 50_000
    (only,) = trig_errors(tmp_path, deep)
    assert (
        "line 3: statements stand in one another more than 100 deep; name the nodes instead" in only
    )


def test_trig_may_begin_with_a_byte_order_mark(tmp_path: Path) -> None:
    folder = write(tmp_path / "c")
    (folder / "more.trig").write_bytes(b"\xef\xbb\xbf# nothing\n")
    assert len(read(folder).claims) == len(read(write(tmp_path / "d")).claims)


def test_nothing_but_the_error_is_said_of_a_cell_that_would_be_an_iri(
    tmp_path: Path, caplog: pytest.LogCaptureFixture, capfd: pytest.CaptureFixture[str]
) -> None:
    terms = "scheme,term,name,source\nform,a b <c>,A,letter\n<x> y,whimsey,W,letter\n"
    found = errors_of(write(tmp_path / "c", terms=terms))
    assert {e.partition(":")[0] for e in found} == {
        "tables/terms.csv, row 2, column term",
        "tables/terms.csv, row 3, column scheme",
    }
    folder = write(tmp_path / "e")
    (folder / "more.trig").write_text(
        "PREFIX prov: <http://www.w3.org/ns/prov#>\n"
        "<claim/x> prov:hadPrimarySource <<( <x:a> <x:b> <x:c> )>> .\n<claim/x> { <piece/p1> a <x:c> }\n"
    )
    assert any("is no IRI" in e for e in errors_of(folder))
    assert caplog.text == ""
    assert capfd.readouterr() == ("", "")
