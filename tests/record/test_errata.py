"""Public statements overtaken by corrections, by a few rows whose answers are plain."""

import csv
import io
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from rdflib import URIRef

from glost.answer.errata import in_words, notice
from glost.answer.snapshot import Snapshot
from glost.names import GLOST
from glost_cli.main import glost
from shelf import write

BASE = "https://example.org/shelf/"
SOURCES = (
    "source,title,kind,date\ncat1908,Catalogue No. 4,catalogue,1908\n"
    "letter,[Letter],letter,1912\ntalk,A talk,recording,2020\njournal,The Journal,article,2022\n"
)
SHAPES = (
    "shape,pottery,name,begin,source,locator,claim\n"
    "alder,harrow,Alder,1908,cat1908,p. 3,alder-old\n"
    "alder,harrow,Alder,1911,letter,p. 1,alder-new\n"
    "alder,harrow,Alder Plain,1911,letter,p. 2,alder-newer\n"
    "birch,harrow,Birch,1911,cat1908,p. 4,birch-said\n"
)
CORRECTIONS = "withdraws,replaced_by,reason,source,recorded_on,claim\n"
FIRST = "alder-old,alder-new,The letter has it.,letter,2021-01-01,first\n"
SECOND = "alder-new,alder-newer,The letter again.,letter,2021-06-01,second\n"
GONE = "birch-said,,Nobody made it.,letter,2021-02-01,third\n"
SAID = "public_statement,said_in,wording,uses,used_columns,locator,region\n"
BEGIN = 'begun,talk,Alder began in 1908.,alder-old,begin,,"t=403,425"\n'
NAME = "named,talk,It was called Alder.,alder-old,name,,\n"
WHOLE = "birch,journal,Birch was theirs.,birch-said|alder-old,,p. 9,\n"
ERRATA = "public_statement,correction,done_on,published_in,locator\n"
BARE = dict.fromkeys(("flatware", "treatments", "pieces", "assortments"), "")


def shelf(tmp_path: Path, corrections: str, said: str, errata: str = "") -> Snapshot:
    tables = BARE | {"shapes": SHAPES, "sources": SOURCES, "public_statements": SAID + said}
    tables |= {"corrections": CORRECTIONS + corrections} if corrections else {}
    tables |= {"errata": ERRATA + errata} if errata else {}
    return Snapshot(write(tmp_path / "shelf", **tables))


def told(snapshot: Snapshot) -> list[tuple[str, str, str, list[str], list[str], str]]:
    """Return statement, used claim, correction, what is gone, what is said now, and when put right."""
    return [
        (
            str(each.statement).rsplit("/", 1)[-1],
            each.used.id,
            each.correction.id,
            sorted(str(o) for _, _, o in each.withdrawn if not isinstance(o, URIRef)),
            sorted(str(o) for _, _, o in each.instead),
            each.done_on,
        )
        for each in snapshot.overtaken
    ]


def test_nothing_is_overtaken_while_nothing_is_withdrawn(tmp_path: Path) -> None:
    assert told(shelf(tmp_path, "", BEGIN + NAME + WHOLE)) == []


def test_only_what_used_the_column_that_changed(tmp_path: Path) -> None:
    here = shelf(tmp_path, FIRST, BEGIN + NAME)
    assert told(here) == [("begun", "alder-old", "first", ["1908"], ["1911"], "")]


COLUMNS = "withdraws,columns,replaced_by,reason,source,recorded_on,claim\n"
IN_PART = "alder-old,begin,alder-new,The letter has it.,letter,2021-01-01,first\n"
UNDONE = "first,,,It was another letter.,letter,2021-03-01,undoing\n"


def test_a_correction_of_one_column_overtakes_what_used_it_until_it_is_undone(
    tmp_path: Path,
) -> None:
    tables = BARE | {"shapes": SHAPES, "sources": SOURCES}
    tables["public_statements"] = SAID + BEGIN + NAME
    here = Snapshot(write(tmp_path / "a", corrections=COLUMNS + IN_PART, **tables))
    assert told(here) == [("begun", "alder-old", "first", ["1908"], ["1911"], "")]
    here = Snapshot(write(tmp_path / "b", corrections=COLUMNS + IN_PART + UNDONE, **tables))
    assert told(here) == []


def test_what_holds_now_is_followed_through_later_corrections(tmp_path: Path) -> None:
    here = shelf(tmp_path, FIRST + SECOND, BEGIN + NAME)
    assert told(here) == [
        ("begun", "alder-old", "first", ["1908"], ["1911"], ""),
        ("named", "alder-old", "first", ["Alder"], ["Alder Plain"], ""),
    ]


def test_a_statement_that_used_two_claims_is_told_for_each_that_is_gone(tmp_path: Path) -> None:
    here = shelf(tmp_path, FIRST + GONE, WHOLE)
    assert told(here) == [
        ("birch", "alder-old", "first", ["1908"], ["1911"], ""),
        ("birch", "birch-said", "third", ["1911", "Birch"], [], ""),
    ]


def test_an_erratum_counts_once_it_has_a_day_and_only_for_its_correction(tmp_path: Path) -> None:
    here = shelf(tmp_path / "a", FIRST, BEGIN, "begun,first,2022-05-01,journal,p. 2\n")
    assert told(here)[0][-1] == "2022-05-01"
    assert not _found(here)
    here = shelf(tmp_path / "b", FIRST, BEGIN, "begun,first,,journal,p. 2\n")
    assert told(here)[0][-1] == ""
    assert len(_found(here)) == 1
    here = shelf(tmp_path / "c", FIRST + GONE, WHOLE, "birch,third,2022-05-01,journal,\n")
    assert [row[-1] for row in told(here)] == ["", "2022-05-01"]
    assert len(_found(here)) == 1


@pytest.mark.parametrize("ids", [("a", "b"), ("b", "a")])
def test_of_two_rows_for_one_erratum_the_one_with_a_day_counts(
    tmp_path: Path, ids: tuple[str, str]
) -> None:
    """Whichever comes first by its id."""
    rows = "begun,first,2022-05-01,journal,p. 2,{}\nbegun,first,,journal,p. 9,{}\n".format(*ids)
    tables = {"shapes": SHAPES, "sources": SOURCES, "corrections": CORRECTIONS + FIRST}
    tables |= {"public_statements": SAID + BEGIN, "errata": f"{ERRATA.strip()},claim\n{rows}"}
    here = Snapshot(write(tmp_path / "shelf", **BARE, **tables))
    assert [row[-1] for row in told(here)] == ["2022-05-01"]
    assert not _found(here)


def _found(snapshot: Snapshot) -> list[str]:
    return [f.message for f in snapshot.findings("shacl") if f.kind == "erratum-not-published"]


def test_what_is_still_to_be_put_right_is_found_with_every_claim(tmp_path: Path) -> None:
    here = shelf(tmp_path, FIRST, BEGIN)
    (found,) = [f for f in here.findings("shacl") if f.kind == "erratum-not-published"]
    assert found.message.endswith("in A talk, 2020, 6:43 to 7:05: Alder began in 1908.")
    assert {claim.rsplit("/", 1)[-1] for claim in found.claims} > {
        "alder-old",
        "first",
        "alder-new",
    }
    assert "public_statement begun, correction first" in found.remedy
    assert found.about == (f"{BASE}public-statement/begun",)


@pytest.mark.parametrize(
    ("corrected_at", "evidence"),
    [
        ("", ["[Letter], 1912, p. 1"]),
        ("p. 1", ["[Letter], 1912, p. 1"]),
        ("p. 1, foot", ["[Letter], 1912, p. 1, foot"]),
        ("p. 12", ["[Letter], 1912, p. 12", "[Letter], 1912, p. 1"]),
    ],
)
def test_evidence_names_a_place_once_as_exactly_as_it_is_known(
    tmp_path: Path, corrected_at: str, evidence: list[str]
) -> None:
    columns = "withdraws,replaced_by,reason,source,locator,claim\n"
    tables = BARE | {"shapes": SHAPES, "sources": SOURCES, "public_statements": SAID + BEGIN}
    tables["corrections"] = (
        f'{columns}alder-old,alder-new,The letter has it.,letter,"{corrected_at}",first\n'
    )
    here = Snapshot(write(tmp_path / "shelf", **tables))
    (erratum,) = in_words(here.overtaken, here.graph)
    assert list(erratum.evidence) == evidence


def test_a_column_that_no_row_used_has_is_found(tmp_path: Path) -> None:
    said = "slip,talk,Alder began in 1908.,alder-old,begins,,\n" + NAME
    here = shelf(tmp_path, FIRST, said)
    (found,) = [f for f in here.findings("shacl") if f.kind == "used-column-unknown"]
    assert 'names the column "begins"' in found.message
    assert [told.read_from for told in found.sides] == ["tables/public_statements.csv row 2"]


def test_before_the_correction_nothing_was_overtaken(tmp_path: Path) -> None:
    from datetime import date

    here = shelf(tmp_path, FIRST, BEGIN)
    assert Snapshot(here.path, date(2020, 12, 31)).overtaken == ()
    assert len(Snapshot(here.path, date(2021, 1, 1)).overtaken) == 1


def test_it_stands_in_the_dataset(tmp_path: Path) -> None:
    here = shelf(tmp_path, FIRST, BEGIN + NAME)
    rows = here.answers.sparql(f"SELECT ?s ?c {{ ?s <{GLOST.overtakenBy}> ?c }}").rows()
    assert [tuple(str(v).removeprefix(BASE) for v in row) for row in rows] == [
        ("public-statement/begun", "claim/first")
    ]


def run(snapshot: Snapshot, *words: str) -> Result:
    return CliRunner().invoke(glost, [*words, "-c", str(snapshot.path)])


def test_the_command_ends_with_1_as_long_as_something_is_to_be_put_right(tmp_path: Path) -> None:
    here = shelf(tmp_path / "a", FIRST, BEGIN + NAME)
    ran = run(here, "errata")
    assert ran.exit_code == 1
    assert "A talk, 2020, 6:43 to 7:05: “Alder began in 1908.”" in ran.output
    assert (
        "no longer held: Alder began in 1908" in ran.output
        and "now: Alder began in 1911" in ran.output
    )
    (row,) = csv.DictReader(io.StringIO(run(here, "errata", "--as", "csv").output))
    assert (row["public_statement"], row["correction"], row["done on"]) == ("begun", "first", "")
    assert run(here, "errata", "journal").exit_code == 0
    done = shelf(tmp_path / "b", FIRST, BEGIN, "begun,first,2022-05-01,journal,p. 2\n")
    assert run(done, "errata").exit_code == 0
    ran = run(done, "errata", "--all")
    assert ran.exit_code == 0 and "put right on 2022-05-01: The Journal, 2022, p. 2" in ran.output


def test_a_notice_says_what_was_said_what_holds_and_on_what_evidence(tmp_path: Path) -> None:
    here = shelf(tmp_path, FIRST + GONE, BEGIN + WHOLE)
    file = tmp_path / "errata.md"
    assert run(here, "errata", "--notice", "-o", str(file)).exit_code == 0
    text = file.read_text(encoding="utf-8")
    assert text.index("## A talk") < text.index("## The Journal")
    for part in (
        "# Errata: A shelf",
        "At 6:43 to 7:05: “Alder began in 1908.”",
        "What holds now: Alder began in 1911.",
        "Evidence: [Letter], 1912, p. 1. The letter has it.",
        "At p. 9: “Birch was theirs.”",
        "What holds now: It is withdrawn; nothing takes its place.",
        "Nobody made it.",
    ):
        assert part in text
    assert run(here, "errata", "-o", str(file)).exit_code == 2


def test_correcting_a_claim_lists_what_was_said_on_the_strength_of_it(tmp_path: Path) -> None:
    here = shelf(tmp_path, "", BEGIN + NAME)
    ran = run(
        here, "correct", "alder-old", "begin=1911", "--reason", "misread", "--source", "letter",
        "--quiet",
    )  # fmt: skip
    assert ran.exit_code == 0, ran.output
    assert "Said in public, or to be said, on the strength of it\n" in ran.output
    assert "Alder began in 1908." in ran.output and "It was called Alder." not in ran.output


@pytest.mark.parametrize("thing", ["hedge-in-the-talk", "hedge-on-the-case"])
def test_a_public_statement_of_the_example_is_shown(thing: str) -> None:
    valley = Path(__file__).resolve().parents[2] / "examples" / "wend-valley"
    ran = CliRunner().invoke(glost, ["show", thing, "-c", str(valley)])
    assert ran.exit_code == 0 and "T-317" in ran.output


def test_a_notice_goes_by_pages_as_they_are_counted(tmp_path: Path) -> None:
    said = "".join(
        f"at-{page},journal,Alder began in 1908.,alder-old,begin,p. {page},\n"
        for page in (10, 9, 100)
    )
    here = shelf(tmp_path, FIRST, said)
    text = notice(in_words(here.overtaken, here.graph), "A shelf")
    assert [line.split(":")[0] for line in text.splitlines() if "At p." in line] == [
        "1. At p. 9",
        "2. At p. 10",
        "3. At p. 100",
    ]


def test_what_takes_the_place_of_other_columns_is_no_evidence(tmp_path: Path) -> None:
    """Two rows take the place of the one; of when Alder began the second says nothing."""
    both = FIRST.replace("alder-new", "alder-new|birch-said")
    here = shelf(tmp_path, both, BEGIN)
    (told,) = in_words(here.overtaken, here.graph)
    assert told.evidence == ("[Letter], 1912, p. 1",)
