"""A group of shapes where a question takes a shape: its members one by one, and who counts them."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from rdflib import URIRef

from glost.answer.answers import Answers
from glost.answer.groups import takes_group
from glost.answer.parameters import ParameterError
from glost.answer.questions import Answer, Value, catalogue
from glost.answer.snapshot import Snapshot
from glost.words.labels import label
from shelf import write

GROUPS = (
    "group,name,other_names,shape,leaves_out,source,locator,claim\n"
    "pair,The pair,Twins,alder|birch,,letter,p. 1,pair-letter\n"
    "pair,,,alder,birch,cat1908,p. 2,pair-list\n"
    "pair,,,cane,,p2,back,pair-piece\n"
    "empty,The lost lines,,,,letter,p. 3,nobody\n"
)
SHAPES = (
    "shape,pottery,name,begin,end,source\n"
    "alder,harrow,Alder,1908,1920,letter\nbirch,harrow,Birch,1912,,letter\ncane,harrow,Cane,,1915,letter\n"
)
BASE = "https://example.org/shelf/"


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Snapshot:
    return Snapshot(
        write(tmp_path_factory.mktemp("groups") / "shelf", shapes=SHAPES, groups=GROUPS)
    )


def takers() -> Iterator[tuple[str, str]]:
    for name, question in catalogue().items():
        for parameter in question.parameters:
            if takes_group(parameter):
                yield name, parameter.name


def asked(answers: Answers, name: str, parameter: str, value: str) -> Answer:
    """Ask, with an outsider for every other shape that the question needs."""
    others = {
        each.name: "shape/alder"
        for each in catalogue()[name].parameters
        if each.name != parameter and takes_group(each) and not each.optional
    }
    return answers.ask(name, **{parameter: value}, **others)


def test_every_question_that_takes_a_shape_or_anything_takes_a_group() -> None:
    taking = {name for name, _ in takers()}
    assert len(taking) >= 12
    for name, question in catalogue().items():
        kinds = {kind for parameter in question.parameters for kind in parameter.kinds}
        assert (name in taking) == bool(kinds & {"shape", "thing"}), name


@pytest.mark.parametrize(("name", "parameter"), sorted(takers()))
def test_of_a_group_a_question_answers_what_it_answers_of_each_member(
    name: str, parameter: str, valley: Snapshot
) -> None:
    """The octagonals are Octavine, Cullis and Tern by two sources together."""
    answers, base = valley.answers, valley.record.base
    found = asked(answers, name, parameter, "The octagonals")
    own = [column for column, _ in catalogue()[name].header.columns]
    told = found.columns[: len(found.columns) - len(own)]
    assert told in ((), (parameter,))
    expected: set[tuple[Value, ...]] = set()
    for member in ("octavine", "cullis", "tern"):
        iri = URIRef(f"{base}shape/{member}")
        for row in asked(answers, name, parameter, f"shape/{member}").rows:
            expected.add(((iri,) if told else ()) + row.values)
    assert {row.values for row in found.rows} == expected
    assert len(found.rows) == len(expected)


@pytest.mark.parametrize(("name", "parameter"), sorted(takers()))
def test_each_row_rests_on_what_makes_its_shape_a_member(
    name: str, parameter: str, valley: Snapshot
) -> None:
    groups = {
        str(claim.iri): {str(value) for _, verb, value in claim.statements if "hasMember" in verb}
        for claim in valley.record.claims
        if claim.origin.table == "groups"
    }
    found = asked(valley.answers, name, parameter, "octagonals")
    for row in found.rows:
        membership = [groups[claim] for claim in row.claims if claim in groups]
        assert membership, row.values
        if parameter in found.columns and name != "dates-given":
            about = str(row.values[found.columns.index(parameter)])
            assert all(about in members for members in membership), row.values


def test_the_heading_names_the_group_its_members_and_who_says_so(shelf: Snapshot) -> None:
    answer = shelf.answers.ask("outside-the-run", shape="twins")
    heading = answer.heading(lambda value: label(value, shelf.graph) if value else "")
    assert heading[1:] == (
        "shape: The pair",
        "note: Alder: counted in The pair by Catalogue No. 4 and [Letter of a traveller]; "
        "not named among its members by Saucer, Birch, A12.",
        "note: Birch: counted in The pair by [Letter of a traveller]; "
        "expressly left out of The pair by Catalogue No. 4; not named among its members by Saucer, Birch, A12.",
        "note: Cane: counted in The pair by Saucer, Birch, A12; "
        "not named among its members by Catalogue No. 4 and [Letter of a traveller].",
    )
    assert [[claim.rsplit("/", 1)[-1] for claim in note.claims] for note in answer.notes] == [
        ["pair-letter", "pair-list"],
        ["pair-letter", "pair-list"],
        ["pair-piece"],
    ]


def test_a_row_rests_on_the_claims_that_count_its_own_shape_in(shelf: Snapshot) -> None:
    rows = shelf.answers.ask("dates-given", thing="group/pair").rows
    rests = {
        (str(row.values[0]).rsplit("/", 1)[-1], str(row.values[1])): {
            claim.rsplit("/", 1)[-1] for claim in row.claims if "/pair-" in claim
        }
        for row in rows
    }
    assert rests == {
        ("alder", "begin"): {"pair-letter", "pair-list"},
        ("alder", "end"): {"pair-letter", "pair-list"},
        ("birch", "begin"): {"pair-letter"},
        ("cane", "end"): {"pair-piece"},
    }


def test_an_answer_of_one_shape_speaks_of_no_group(shelf: Snapshot) -> None:
    answer = shelf.answers.ask("dates-given", thing="shape/alder")
    assert not any("/pair-" in claim for row in answer.rows for claim in row.claims)
    assert not answer.notes


def test_a_group_without_members_is_refused_with_the_reason(shelf: Snapshot) -> None:
    with pytest.raises(ParameterError) as caught:
        shelf.answers.ask("outside-the-run", shape="The lost lines")
    assert str(caught.value) == (
        "outside-the-run: shape: the group group/empty has no members; "
        "name the shapes a source counts in it, in groups.csv, column shape"
    )


def test_where_no_shape_is_taken_no_group_is(shelf: Snapshot) -> None:
    with pytest.raises(ParameterError, match='there is no pottery "pair"'):
        shelf.answers.ask("in-production", pottery="pair")


def test_a_membership_withdrawn_is_no_membership(tmp_path: Path) -> None:
    corrections = "withdraws,reason,source,recorded_on\npair-piece,misread,letter,2020-01-01\n"
    snapshot = Snapshot(
        write(tmp_path / "s", shapes=SHAPES, groups=GROUPS, corrections=corrections)
    )
    rows = snapshot.answers.ask("dates-given", thing="pair").rows
    assert {str(row.values[0]).rsplit("/", 1)[-1] for row in rows} == {"alder", "birch"}
