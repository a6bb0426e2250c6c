"""The heading of an answer: what was asked of what, and what the answer leaves out and why."""

import csv
import io
from pathlib import Path

import pyoxigraph as ox
import pytest

from glost.answer.headers import HeaderError, filled, read_left_out
from glost.answer.questions import Answer, Value, catalogue
from glost.answer.snapshot import Snapshot
from glost.report.results.answer import told
from glost.report.things import Kept
from glost.report.things.said import Said
from shelf import TABLES, write

GOOD = """# says none: No list of {shape} is
#    complete.
# says one: {shape} stands in {list} alone.
# evidence: ?list glost:complete ?complete

SELECT ?case ?shape ?list { VALUES ?shape { UNDEF } ?shape ?case ?list }
"""
LEFT_OUT = {name: each.left_out for name, each in catalogue().items() if each.left_out}


def words(value: Value) -> str:
    return str(value).rsplit("/", 1)[-1]


def notes(answer: Answer) -> list[str]:
    return [note.text(words) for note in answer.notes]


def test_what_is_left_out_has_sentences_by_case_evidence_and_parameters() -> None:
    read = read_left_out("x", GOOD)
    assert read.says == {
        "none": "No list of {shape} is complete.",
        "one": "{shape} stands in {list} alone.",
    }
    assert len(read.evidence) == 1
    assert "VALUES ?shape { <urn:a> }" in read.bound({"shape": "<urn:a>"})
    assert filled(read.says["one"], {"shape": "Alder", "list": "No. 4"}.__getitem__) == (
        "Alder stands in No. 4 alone."
    )


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("# says none", "# why", "neither '# key: …' nor a continuation"),
        (GOOD[: GOOD.index("# evidence")], "", r"left-out/x.rq: its header has no line '# says"),
    ],
)
def test_a_bad_header_says_what_is_wrong(old: str, new: str, message: str) -> None:
    with pytest.raises(HeaderError, match=message):
        read_left_out("x", GOOD.replace(old, new))


@pytest.mark.parametrize("name", sorted(LEFT_OUT))
def test_each_sentence_speaks_of_what_the_query_selects(name: str) -> None:
    asked, left_out = catalogue()[name], LEFT_OUT[name]
    solutions = ox.Store().query(left_out.query)
    assert isinstance(solutions, ox.QuerySolutions)
    selected = {variable.value for variable in solutions.variables}
    assert "case" in selected
    for case, sentence in left_out.says.items():
        filled(sentence, dict.fromkeys(selected, "").__getitem__)
        assert f'"{case}"' in left_out.query, case
    for parameter in asked.parameters:
        if f"?{parameter.name}" in left_out.query:
            assert left_out.bound({parameter.name: "<urn:a>"}) != left_out.query


def test_a_thing_without_family_is_said_to_have_none(little: Snapshot) -> None:
    alone = little.answers.ask("family", thing="mark/m1")
    assert (alone.rows, notes(alone)) == (
        (),
        ["No source says what m1 was made from, or what was made from it."],
    )


def test_the_heading_names_every_parameter_defaults_included(little: Snapshot) -> None:
    answer = little.answers.ask("in-production", pottery="hollin")
    first, *lines = answer.heading(words)
    assert first == "Which shapes were in production in a given year?"
    assert lines[:2] == ["year: 1915", "pottery: hollin"]
    assert little.answers.ask("in-production", year=1911).heading(words)[1:3] == (
        "year: 1911",
        "pottery: any",
    )


def test_the_heading_stands_in_csv_as_comment_and_in_reports_first(little: Snapshot) -> None:
    answer = little.answers.ask("in-production")
    text = answer.csv(words)
    assert text.startswith("# Which shapes were in production in a given year?\n# year: 1915\n")
    comment = [line for line in text.splitlines() if line.startswith("# ")]
    rows = [line for line in text.splitlines() if not line.startswith("# ")]
    assert [line.removeprefix("# ") for line in comment] == list(answer.heading(words))
    assert len(list(csv.DictReader(io.StringIO("\n".join(rows))))) == len(answer.rows)
    lead = told(answer, Said(Kept(little)), words).lead
    assert list(map(str, lead)) == [
        "year: 1915 [What was asked]", "pottery: any [What was asked]",
    ]  # fmt: skip


def test_a_line_break_in_a_parameter_stays_in_its_line(little: Snapshot) -> None:
    text = little.answers.ask("pieces-with-feature", words="a\nb,c").csv()
    assert text.splitlines()[1] == "# words: a b,c"


@pytest.mark.parametrize(
    ("question", "given", "expected"),
    [
        # Marsh made Dune alone; Hollin made three.
        (
            "articles-of-one-shape",
            {"pottery": "marsh"},
            ["marsh has one shape on record, dune; nothing can be peculiar to it."],
        ),
        ("articles-of-one-shape", {"pottery": "hollin"}, []),
        (
            "first-to-offer",
            {"form": "cake-plate"},
            ["No list offers the form cake-plate, no piece shows it, and no source says that it was had."],
        ),
        (
            "last-to-offer",
            {"form": "teapot", "pottery": "marsh"},
            ["Nothing on record says that a shape of marsh had the form teapot."],
        ),
        ("last-to-offer", {"form": "teapot", "pottery": "hollin"}, []),
        # Dune stands in cat09, which says that it is not complete; Alder in two lists, one complete.
        (
            "changes-of-assortment",
            {"shape": "dune"},
            ["dune stands in one list alone, cat09; there is no other to set it against."],
        ),
        (  # Both are of 1905.
            "changes-of-assortment",
            {"shape": "alder"},
            ["alder stands in 2 lists, and none is known to have come out before another."],
        ),
        (
            "articles-compared",
            {"first": "alder", "second": "dune"},
            ["No list of dune is stated complete: what it lacks is only not seen there."],
        ),
    ],
)  # fmt: skip
def test_why_an_answer_is_empty_or_leaves_something_out(
    little: Snapshot, question: str, given: dict[str, str], expected: list[str]
) -> None:
    assert notes(little.answers.ask(question, **given)) == expected


def test_lists_of_which_none_is_complete_are_said_to_be_none(valley: Snapshot) -> None:
    """Plain stands in one list, Wicket in one; Dorrance in two that do not claim to be whole."""
    assert notes(valley.answers.ask("changes-of-assortment", shape="dorrance")) == [
        "No list of dorrance is stated complete: what one lacks is only not seen there."
    ]


@pytest.mark.parametrize(
    ("piece", "expected"),
    [
        ("p,harrow,birch,reed,H-9",
         ["Left out below: reed, seen on birch; no source gives its home shape, "
          "and no scheme reads it from its number."]),
        ("p,harrow,birch,,L-7",
         ["Left out below: p, on birch; it bears the number of line, and is not said to bear that "
          "treatment."]),
        ("p,,birch,,L-7",
         ["Left out below: p, on birch; it bears the number of line, and is not said to bear that "
          "treatment."]),
        # At home, of another maker, or given the treatment.
        ("p,harrow,alder,,L-7", []),
        ("p,other,,,L-7", []),
        ("p,harrow,birch,line,L-7",
         ["Nothing on record bears on when alder ended, so whether what stands away from it is a "
          "late reissue is not known."]),
        ("p,harrow,birch,line,L-7\nq,harrow,alder,moss,M-1\nr,harrow,cedar,line,L-7",
         ["Nothing on record bears on when 2 home shapes ended, so whether what stands away from "
          "them is a late reissue is not known."]),
        # Birch has an end, or is seen later than it began.
        ("q,harrow,alder,oak,O-1", []),
        ("q,harrow,cedar,elm,E-1", []),
    ],
)  # fmt: skip
def test_crossings_that_cannot_be_told_are_named(
    tmp_path: Path, piece: str, expected: list[str]
) -> None:
    tables = {
        **dict.fromkeys(TABLES, ""),
        "sources": "source,title\nbook,A Book\n",
        "potteries": "pottery,name,source\nharrow,Harrow,book\nother,Other,book\n",
        "shapes": "shape,pottery,name,source\nalder,harrow,Alder,book\nbirch,harrow,Birch,book\n"
        "cedar,harrow,Cedar,book\noak,harrow,Oak,book\nelm,harrow,Elm,book\n",
        "shapes-dated": "shape,pottery,name,begin,end,source\noak,harrow,Oak,,1920,book\n"
        "elm,harrow,Elm,1905,,book\n",
        "pieces-dated": "piece,shape,made\nlate,elm,1910\n",
        "treatments": "treatment,pottery,number,shape,source\nline,harrow,L-7,alder,book\n"
        "reed,harrow,H-9,,book\nmoss,harrow,M-1,birch,book\noak,harrow,O-1,oak,book\n"
        "elm,harrow,E-1,elm,book\n",
        "pieces": f"piece,pottery,shape,treatment,number_read\n{piece}\n",
    }
    answers = Snapshot(write(tmp_path / "c", **tables)).answers
    found = answers.ask("crossings")
    assert notes(found) == expected
    # Where several are counted, no claim is about all of them.
    assert all(note.support for note in found.notes) is ("2 home shapes" not in str(expected))
    assert notes(answers.ask("crossings", pottery="other")) == []
