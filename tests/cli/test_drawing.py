"""The commands lineage and draw as their users meet them, and how they end."""

import csv
import io
import re
import sys
from pathlib import Path
from xml.etree import ElementTree

import networkx as nx
import pytest

from glost.publish.pictures.subjects import subjects
from glost_cli.main import main
from printed import tables
from shelf import write

LINEAGE = (
    "thing,copied_from,redesigned_from,source,locator,certainty\n"
    "shape/birch,,shape/alder,letter,p. 1,\nshape/cedar,shape/birch,,letter,p. 2,possible\n"
)
SHAPES = (
    "shape,pottery,name,begin,end,source,locator\nalder,harrow,Alder,1908,,cat1908,p. 3\n"
    "birch,harrow,Birch,1911,1920,cat1911,p. 2\ncedar,,Cedar,,,letter,p. 1\n"
)


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> str:
    folder = tmp_path_factory.mktemp("shelf") / "c"
    return str(write(folder, lineage=LINEAGE, shapes=SHAPES))


@pytest.fixture
def glost(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], shelf: str):  # type: ignore[no-untyped-def]
    def run(*words: str) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["glost", *words, "-c", shelf])
        code = 0
        try:
            main()
        except SystemExit as end:
            code = int(end.code or 0)
        return (code, *capsys.readouterr())

    return run


def test_lineage_prints_kin_with_their_sources(glost) -> None:  # type: ignore[no-untyped-def]
    code, out, _ = glost("lineage", "cedar", "--as", "csv")
    assert code == 0
    rows = list(csv.DictReader(io.StringIO(out)))
    assert [(row["what"], row["thing"], row["sure"]) for row in rows[:2]] == [
        ("ancestor", "Birch", "no"),
        ("ancestor", "Alder", "no"),
    ]
    assert rows[1]["tie"] == "copied from Birch (possible), redesigned from Alder"
    assert (
        rows[1]["by"] == "[Letter of a traveller], p. 2 (possible); [Letter of a traveller], p. 1"
    )
    assert len(rows[1]["claims"].split()) == 2
    first = rows[-1]
    assert (first["what"], first["thing"]) == ("first", "Alder")
    assert first["tie"] == "first shape of the family: yes"
    # The dates of Alder and Birch, and that Cedar was copied from Birch.
    assert len(first["claims"].split()) == 3


def test_lineage_of_everything_and_of_what_has_none(glost) -> None:  # type: ignore[no-untyped-def]
    code, out, _ = glost("lineage", "--as", "json")
    assert code == 0
    (ties,) = tables(out, "ties")
    assert {row["thing"] for row in ties} == {"Birch", "Cedar"}
    code, out, _ = glost("lineage", "p1")
    assert (code, "Nothing of the kind is recorded." in out) == (0, True)


def test_what_two_things_both_come_from(glost) -> None:  # type: ignore[no-untyped-def]
    code, out, _ = glost("lineage", "cedar", "--with", "birch", "--as", "csv")
    rows = list(csv.DictReader(io.StringIO(out)))
    assert [row["thing"] for row in rows] == ["Birch", "Alder"]
    assert rows[0]["tie"] == "Cedar: copied from Birch (possible); Birch: itself (the nearest)"
    code, _, err = glost("lineage", "--with", "birch")
    assert (code, "name that first" in err) == (2, True)


def test_which_of_a_kind_came_first(glost) -> None:  # type: ignore[no-untyped-def]
    code, out, _ = glost("lineage", "--first", "shape", "--as", "csv")
    assert [(row["thing"], row["tie"]) for row in csv.DictReader(io.StringIO(out))] == [
        ("Alder", "first shape: yes")
    ]
    code, out, _ = glost("lineage", "--first", "shape", "--where", "name=IR", "--as", "csv")
    rows = list(csv.DictReader(io.StringIO(out)))
    assert [(row["thing"], row["tie"]) for row in rows] == [
        ("Birch", "first shape whose name is said to be IR: yes")
    ]
    assert rows[0]["by"] == "Catalogue No. 5, p. 2"
    code, out, _ = glost("lineage", "--first", "shape", "--where", "rim=round")
    assert (code, "Nothing of the kind is recorded." in out) == (0, True)


def test_lineage_as_graphml_and_dot(glost) -> None:  # type: ignore[no-untyped-def]
    code, out, _ = glost("lineage", "cedar", "--as", "graphml")
    assert code == 0
    read = nx.parse_graphml(out, force_multigraph=True)
    assert sorted(data["name"] for _, data in read.nodes(data=True)) == ["Alder", "Birch", "Cedar"]
    code, out, _ = glost("lineage", "--as", "dot")
    assert (code, out.startswith("digraph lineage {"), out.endswith("}\n")) == (0, True, True)


def test_help_lists_what_can_be_drawn(glost) -> None:  # type: ignore[no-untyped-def]
    code, out, _ = glost("draw", "--help")
    assert code == 0
    listed = re.findall(
        r"^    ([a-z]+) +[A-Z]", out.partition("WHAT is one of these:")[2], re.MULTILINE
    )
    assert listed == sorted(subjects())


def test_draw_writes_svg_and_png(glost, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    file = tmp_path / "new" / "runs.svg"
    code, out, _ = glost("draw", "runs", "-o", str(file))
    assert (code, out) == (0, f"Wrote {file}\n")
    assert ElementTree.parse(file).getroot()[0].text == "Shapes: A shelf"
    code, _, _ = glost("draw", "family", "cedar", "-o", str(tmp_path / "f.png"))
    assert code == 0
    assert (tmp_path / "f.png").read_bytes().startswith(b"\x89PNG")


def test_draw_names_the_file_itself(glost, tmp_path: Path, monkeypatch) -> None:  # type: ignore[no-untyped-def]
    monkeypatch.chdir(tmp_path)
    code, out, _ = glost("draw", "assortment", "shape/alder")
    assert (code, out) == (0, "Wrote assortment-alder.svg\n")


def test_draw_tells_the_picture_in_words(glost) -> None:  # type: ignore[no-untyped-def]
    code, out, _ = glost("draw", "runs", "--words", "--as", "csv")
    assert code == 0
    rows = list(csv.DictReader(io.StringIO(out)))
    birch = next(row for row in rows if row["name"] == "Birch")
    assert (birch["began"], birch["ended"]) == ("1911-01-01/1911-12-31", "1920-01-01/1920-12-31")
    assert birch["certainly"] == "1911-12-31/1920-01-01"
    assert birch["rests on"] == "Catalogue No. 5, p. 2 | Catalogue No. 5"


@pytest.mark.parametrize(
    ("words", "code", "says"),
    [
        (("draw", "runs", "-o", "x.pdf"), 2, '"x.pdf" must end in .svg or .png'),
        (("draw", "rnus"), 2, "is not one of"),
        (("draw", "kiln"), 1, "kiln is drawn of a kiln; name it"),
        (("draw", "family", "cedr"), 1, "nearest: Cedar (shape/cedar)"),
        (
            ("lineage", "--first", "shap"),
            1,
            'there is no kind "shap" of things that begin; did you mean "shape"?',
        ),
        (("lineage", "--first", "shape", "--where", "rym=round"), 1, 'did you mean "rim"?'),
        (("lineage", "--first", "shape", "--where", "rim"), 2, 'COLUMN=TEXT, not "rim"'),
        (("lineage", "alder", "--first", "shape"), 2, "about all things of a kind"),
        (("lineage", "cedr"), 1, "nearest: Cedar (shape/cedar)"),
    ],
)
def test_mistakes_end_in_one_clear_error(glost, words, code: int, says: str) -> None:  # type: ignore[no-untyped-def]
    ended, _, err = glost(*words)
    assert (ended, says in " ".join(err.split())) == (code, True)
    assert "Traceback" not in err


def test_a_file_that_cannot_be_written_is_one_clear_error(glost, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    (tmp_path / "file").write_text("in the way")
    code, _, err = glost("draw", "runs", "-o", str(tmp_path / "file" / "runs.svg"))
    assert code == 1
    assert err.startswith("Error: ") and str(tmp_path / "file") in err
    assert len(err.splitlines()) == 1
