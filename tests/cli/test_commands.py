"""The command line as its users meet it: what it prints, and how it ends."""

import csv
import io
import json
import subprocess
import sys
from pathlib import Path

import pytest
from rdflib import Graph
from rdflib.namespace import PROV

from glost.record.record import read
from glost_cli.main import main
from printed import claims, statements, tables
from shelf import TABLES, write


class Ran:
    """What a command printed and how it ended."""

    def __init__(self, code: int, out: str, err: str) -> None:
        self.code, self.out, self.err = code, out, err


@pytest.fixture
def glost(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]):  # type: ignore[no-untyped-def]
    def run(*words: str) -> Ran:
        monkeypatch.setattr(sys, "argv", ["glost", *words])
        code = 0
        try:
            main()
        except SystemExit as end:
            code = int(end.code or 0)
        out, err = capsys.readouterr()
        return Ran(code, out, err)

    return run


@pytest.fixture
def shelf(tmp_path: Path) -> str:
    return str(write(tmp_path / "shelf"))


COMMANDS = (
    "begin",
    "check",
    "tally",
    "ask",
    "show",
    "why",
    "without",
    "correct",
    "export",
    "candidates",
    "sheet",
    "date",
)


@pytest.mark.parametrize("command", [(), *((name,) for name in COMMANDS)])
def test_help_teaches(glost, command: tuple[str, ...]) -> None:  # type: ignore[no-untyped-def]
    ran = glost(*command, "--help")
    assert ran.code == 0
    assert "Usage: glost" in ran.out
    assert len(ran.out.splitlines()) > 8


def test_a_new_collection_is_started_and_checked(glost, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    folder = str(tmp_path / "mine")
    assert glost("begin", folder, "--title", "Mine").code == 0
    ran = glost("check", "-c", folder)
    assert (ran.code, ran.err) == (0, "")
    assert "0 claims hold" in ran.out
    again = glost("begin", folder)
    assert again.code == 1
    assert "already has it" in again.err


def test_check_names_every_error_and_ends_with_1(glost, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    bad = TABLES["shapes"].replace("1908,,", "19O8,,").replace("birch,harrow", "birch,harow")
    ran = glost("check", "-c", str(write(tmp_path / "c", shapes=bad)))
    assert ran.code == 1
    assert ran.out == ""
    assert "tables/shapes.csv, row 2, column begin" in ran.err
    assert 'row 3, column pottery: nothing describes "harow"' in ran.err
    assert "2 errors; nothing was changed." in ran.err


def test_check_prints_both_sides_of_a_disagreement(glost, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    more = TABLES["shapes"] + "alder,harrow,Alder,1904,,letter,second page,\n"
    folder = str(write(tmp_path / "c", shapes=more))
    ran = glost("check", "-c", folder, "--least", "warning")
    assert ran.code == 1
    assert "1908" in ran.out and "1904" in ran.out
    assert "Catalogue No. 4, 1908, p. 3" in ran.out
    assert "[Letter of a traveller], 1912, second page" in ran.out
    assert "[tables/shapes.csv row 2; claim " in ran.out
    assert "[tables/shapes.csv row 4; claim " in ran.out
    found = statements(glost("check", "-c", folder, "--as", "json").out, "findings")
    (finding,) = [f for f in found if f["status"].endswith("differing-values")]
    cited = [claim for ground in finding["grounds"] for claim in ground["claims"]]
    assert {claim["read_from"] for claim in cited} == {
        "tables/shapes.csv row 2",
        "tables/shapes.csv row 4",
    }


def test_check_tells_findings_thing_by_thing_and_counts_notes(glost, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    """Alder has two dates and two rims, Birch two dates; that Birch shares flatware is a note."""
    more = "alder,harrow,Alder,1904,,letter,second page,\nbirch,harrow,Birch,1904,,letter,p. 3,\n"
    folder = str(write(tmp_path / "c", shapes=TABLES["shapes"] + more))
    ran = glost("check", folder)
    headings = [line for line in ran.out.splitlines() if line in ("Alder", "Birch")]
    assert headings == ["Alder", "Birch"]
    told = ran.out.partition("\nBirch\n")[0]
    assert "start of Alder" in told and "start of Birch" not in told
    summed = "16 claims hold; 2 contradictions, 0 warnings, 3 notes. --notes shows the notes."
    assert summed in ran.out
    assert "(note, " not in ran.out
    every = " ".join(glost("check", folder, "--notes").out.split())
    assert every.count("(note, ") == 3 and "--notes" not in every
    assert len(tables(glost("check", folder, "--as", "json").out, "findings")[0]) == 5


def test_tally_counts(glost, shelf: str) -> None:  # type: ignore[no-untyped-def]
    rows = list(csv.DictReader(io.StringIO(glost("tally", "-c", shelf, "--as", "csv").out)))
    counts = {(row["of"], row["what"].lower()): row["count"] for row in rows}
    assert counts["things", "shape"] == "2"
    assert counts["things", "piece"] == "2"
    assert counts["claims", "withdrawn"] == "0"
    assert counts["claims", "that hold"] == str(len(read(shelf).claims))
    assert "A shelf" in glost("tally", "-c", shelf).out


@pytest.mark.parametrize(
    ("counts", "expected"), [(("", "several"), "3 or more"), (("4", "2"), "6"), (("", ""), "2")]
)
def test_tally_counts_kilns_and_not_their_rows(  # type: ignore[no-untyped-def]
    glost, tmp_path: Path, counts: tuple[str, str], expected: str
) -> None:
    folder = write(
        tmp_path / "row",
        **{
            **dict.fromkeys(TABLES, ""),
            "sources": "source,title\nbook,A Book\n",
            "kilns": "kiln,kind,count,source\n"
            + "".join(f"k{at},bottle,{count},book\n" for at, count in enumerate(counts)),
        },
    )
    rows = csv.DictReader(io.StringIO(glost("tally", "-c", str(folder), "--as", "csv").out))
    assert [row["count"] for row in rows if row["what"].lower() == "kiln"] == [expected]
    said = glost("kiln", "k1", "-c", str(folder)).out
    assert ("count" in said, counts[1] in said) == (bool(counts[1]), True)


def test_ask_lists_and_describes_the_questions(glost) -> None:  # type: ignore[no-untyped-def]
    listing = glost("ask")
    assert listing.code == 0
    assert "crossings" in listing.out
    assert "| column |" in glost("ask", "crossings", "--about").out


def test_ask_answers_with_evidence(glost, shelf: str) -> None:  # type: ignore[no-untyped-def]
    ran = glost("ask", "crossings", "-c", shelf, "--evidence")
    assert ran.code == 0, ran.err
    assert "Blue Rim" in ran.out or "A12" in ran.out
    assert "[tables/pieces.csv row 3" in ran.out
    text = glost("ask", "crossings", "-c", shelf, "--as", "csv").out
    heading, pottery, left_open, *table = text.splitlines()
    assert heading.startswith("# Which treatments crossed")
    assert pottery == "# pottery: any"
    assert left_open.startswith("# note: Nothing on record bears on when Alder ended")
    rows = list(csv.DictReader(io.StringIO("\n".join(table))))
    assert len(rows) == 1
    assert "/claim/" in rows[0]["claims"]


def test_ask_takes_a_sparql_file(glost, shelf: str, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    query = tmp_path / "mine.rq"
    query.write_text("SELECT ?n { ?s a glost:Shape ; rdfs:label ?n } ORDER BY ?n", encoding="utf-8")
    assert glost("ask", str(query), "-c", shelf, "--as", "csv").out.split() == [
        "n",
        "Alder",
        "Birch",
    ]
    query.write_text("SELECT ?n { ?s a glost:Shape ", encoding="utf-8")
    assert glost("ask", str(query), "-c", shelf).code == 2
    query.write_text("DELETE WHERE { ?s ?p ?o }", encoding="utf-8")
    ran = glost("ask", str(query), "-c", shelf)
    assert ran.code == 2
    assert "Error" in ran.err


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        (("ask", "crosings"), 'did you mean "crossings"?'),
        (("ask", "crossings", "year"), "is not NAME=VALUE"),
        (("ask", "crossings", "colour=red"), "colour"),
        (("check", "-c", "nowhere"), "nowhere"),
        (("check", "--as-of", "1999"), "write it like 1999-12-31"),
        (("export", "x.doc"), "say the format with --as"),
        (("polish",), "there is no command"),
    ],
)
def test_a_command_not_understood_ends_with_2(  # type: ignore[no-untyped-def]
    glost, shelf: str, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], expected: str
) -> None:
    monkeypatch.chdir(shelf)
    ran = glost(*words)
    assert ran.code == 2, ran.err
    assert expected in ran.err
    assert "Traceback" not in ran.err


def test_show_prints_every_claim_with_its_source(glost, shelf: str) -> None:  # type: ignore[no-untyped-def]
    for name in ("shape/alder", "alder", "Alder"):
        ran = glost("show", name, "-c", shelf)
        assert ran.code == 0, ran.err
        assert "Catalogue No. 4, 1908, p. 3" in ran.out
        assert "[tables/shapes.csv row 2; claim " in ran.out
    told = json.loads(glost("show", "alder", "-c", shelf, "--as", "json").out)
    assert told["iri"].endswith("/shape/alder")
    (name,) = [s for section in told["sections"] if section["id"] == "said"
               for s in section["parts"][0]["statements"] if s["name"][0]["text"] == "Name"]  # fmt: skip
    assert name["sentence"] == ["Alder"]
    (passage,) = [g for g in name["grounds"] if g["type"] == "passage"]
    assert [claim["withdrawn"] for claim in passage["claims"]] == [""]
    ran = glost("show", "aldre", "-c", shelf)
    assert ran.code == 1
    assert "nearest: Alder (shape/alder)" in ran.err


def test_correct_withdraws_replaces_and_shows_both(glost, shelf: str) -> None:  # type: ignore[no-untyped-def]
    ran = glost(
        "correct",
        "b7-as-printed",
        "number=B17",
        "-c",
        shelf,
        "--reason",
        "misread",
        "--source",
        "p2",
        "--locator",
        "foot",
        "--by",
        "M. Orr",
        "--on",
        "2005-01-01",
    )
    assert ran.code == 0, ran.err
    shown = glost("show", "treatment/b7", "-c", shelf).out
    assert "(withdrawn)" in shown and "misread" in shown
    assert "B17" in shown and "M. Orr, 2005-01-01" in " ".join(shown.split())
    before = glost("show", "treatment/b7", "-c", shelf, "--as-of", "2004-12-31").out
    assert "B17" not in before and "withdrawn" not in before
    assert (
        glost("correct", "b7-as-printd", "-c", shelf, "--reason", "x", "--source", "p2").code == 1
    )


@pytest.mark.parametrize("suffix", [".trig", ".nq", ".ttl", ".jsonld"])
def test_export_writes_a_file_by_its_ending(glost, shelf: str, tmp_path: Path, suffix: str) -> None:  # type: ignore[no-untyped-def]
    target = tmp_path / f"out{suffix}"
    assert glost("export", str(target), "-c", shelf).code == 0
    assert "shape/alder" in target.read_text(encoding="utf-8")


def test_export_of_tables_makes_a_collection(glost, shelf: str, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    assert glost("export", str(tmp_path / "back"), "--as", "tables", "-c", shelf).code == 0
    assert {c.iri for c in read(tmp_path / "back").claims} == {c.iri for c in read(shelf).claims}
    assert glost("export", str(tmp_path / "back"), "--as", "tables", "-c", shelf).code == 1


def test_why_goes_down_to_the_row(glost, shelf: str) -> None:  # type: ignore[no-untyped-def]
    ran = glost("why", "a12", "appears on", "birch", "-c", shelf)
    assert ran.code == 0, ran.err
    first = next(line for line in ran.out.splitlines() if "by prp-spo2" in line)
    assert first.startswith("  - A12 (Blue Rim): appears on Birch")
    assert "[tables/pieces.csv row 3; claim " in ran.out
    printed = glost("why", "a12", "appearsOn", "birch", "--all", "--as", "json", "-c", shelf).out
    every = [claim for each in statements(printed, "sets") for claim in claims(each)]
    assert "There may be more" not in printed
    graph = Graph().parse(
        data=glost("why", "a12", "appearsOn", "birch", "--as", "prov", "-c", shelf).out,
        format="turtle",
    )
    quoted = set(graph.objects(None, PROV.wasQuotedFrom))
    assert [str(claim) for claim in quoted] == every[:1]
    assert (None, PROV.wasGeneratedBy, None) in graph


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        (("a12", "apears on", "birch"), 'did you mean "appears on"?'),
        (("a12", "appearsOn", "brich"), "nearest: Birch (shape/birch)"),
        (("b7", "appearsOn", "alder"), "nothing says and nothing implies"),
        (("a21", "apears on", "brich"), "3 errors"),
    ],
)
def test_why_not_is_said(glost, shelf: str, words: tuple[str, ...], expected: str) -> None:  # type: ignore[no-untyped-def]
    ran = glost("why", *words, "-c", shelf)
    assert ran.code == 1
    assert expected in ran.err


def test_without_says_what_falls_and_changes_nothing(glost, shelf: str) -> None:  # type: ignore[no-untyped-def]
    (piece,) = [c for c in read(shelf).claims if c.origin.table == "pieces" and c.origin.row == 3]
    before = {p: p.read_bytes() for p in Path(shelf).rglob("*") if p.is_file()}
    ran = glost("without", piece.id, "-c", shelf, "--as", "csv")
    assert "A12 (Blue Rim): appears on Birch" in ran.out
    assert {p: p.read_bytes() for p in Path(shelf).rglob("*") if p.is_file()} == before
    assert glost("without", "nosuch", "-c", shelf).code == 1


def test_the_command_runs_as_a_module_and_says_its_version() -> None:
    ran = subprocess.run(
        [sys.executable, "-c", "from glost_cli.main import main; main()", "--version"],
        capture_output=True,
        text=True,
        check=True,
        env={"PYTHONPATH": ":".join(sys.path)},
    )
    assert ran.stdout.startswith("glost, version 0.1.0")
