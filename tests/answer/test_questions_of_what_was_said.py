"""What was said in public, who bears witness, and orders of events: questions on a few rows.

Each row stands for one way to go wrong; what is expected is reckoned by hand beside it.
"""

import pytest

import shelf
from glost.answer.snapshot import Snapshot

TABLES = {
    "sources": "source,title,kind,date,quoted_in\n"
    "book,A book,book,1950,\nletter,A letter,letter,1951,\n"
    "old,A lost letter,letter,1949,book\nolder,An older one,letter,1948,book\n"
    "list,A list,catalogue,1908,\n"
    "talk,A talk,recording,2020,\njournal,A journal,article,2022,\n",
    "potteries": "pottery,name,source\none,One,book\ntwo,Two,book\n",
    "shapes": "shape,pottery,name,begin,end,source,claim\n"
    "a,one,A,1908,,book,a-1908\n"
    "a,one,A,1911,,letter,a-1911\n"
    "b,one,B,,,book,b-said\n"
    # Two letters are known only as the book quotes them: one witness. Of the name Wye one of
    # them was misread, and a letter of its own has it besides the other.
    "b,one,Vee,,,old,\nb,one,Vee,,,older,\n"
    "b,one,Wye,,,old,\nb,one,Wye,,,older,wye-misread\nb,one,Wye,,,letter,\n"
    "new,two,New,,,book,\nnext,two,Next,,,book,\nafter,two,After,,,book,\nlong,two,Long,,,book,\n",
    "public_statements": "public_statement,said_in,wording,about,uses,locator,region,claim\n"
    # The second row is how the recorder had it first; it was a slip.
    'begun,talk,A began in 1908.,shape/a,a-1908,p. 3,"t=403,425",\n'
    "begun,talk,A began in 1980.,shape/a,a-1908,,,slip\n"
    # Said twice, on different grounds: what the journal used stands.
    "twice,talk,A was there in 1908.,shape/b,a-1908,,,\n"
    "twice,journal,B was there.,shape/b,b-said,p. 9,,\n",
    "errata": "public_statement,correction,done_on,published_in,claim\n"
    "begun,first,2021-03-01,journal,never-printed\n"
    "twice,first,2022-01-05,journal,\n",
    "corrections": "withdraws,replaced_by,reason,source,claim\n"
    "a-1908,a-1911,The letter is nearer.,letter,first\n"
    "slip,,A slip of the pen.,talk,second\n"
    "never-printed,,It was left out of that number.,journal,third\n"
    "wye-misread,,It reads otherwise.,book,fourth\n"
    "copy-wrongly,,It was reworked.,letter,fifth\n",
    "redesigns": "redesign,name,shape,begin,end,source\n"
    "foot,Thick foot,long,,1915,book\n"
    "spout,Raised spout,new,1905,1915,book\nspout,Raised spout,new,,1920,letter\n",
    "assortments": "catalogue,shape,form,item,locator\nlist,a,teapot,7,p. 4\n",
    "lineage": "thing,redesigned_from,copied_from,source,claim\n"
    "shape/b,shape/a,,book,\nshape/b,,shape/a,book,copy-wrongly\n",
    # New was brought in in a year nobody gives; the others ended a number of years after.
    "sequences": "thing,thing_point,relation,other,other_point,at_least,at_most,source\n"
    "shape/next,end,after,shape/new,begin,,1,letter\n"
    "shape/after,end,after,shape/new,begin,2,,letter\n"
    "shape/long,end,after,shape/new,begin,3,,letter\n",
    "absences": "of,lacks,form,source\nshape/b,article,egg-cup,letter\n",
}


@pytest.fixture(scope="module")
def said(tmp_path_factory: pytest.TempPathFactory) -> Snapshot:
    empty = dict.fromkeys(shelf.TABLES, "")
    return Snapshot(shelf.write(tmp_path_factory.mktemp("said") / "shelf", **{**empty, **TABLES}))


def rows(snapshot: Snapshot, name: str, columns: str, **given: object) -> list[tuple[str, ...]]:
    """Return some columns of an answer, values shortened to their ids."""
    answer = snapshot.answers.ask(name, **given)
    places = [answer.columns.index(column) for column in columns.split()]
    short = [
        ["" if v is None else str(v).rsplit("/", 1)[-1] for v in row.values] for row in answer.rows
    ]
    return [tuple(row[place] for place in places) for row in short]


# -- said in public ------------------------------------------------------------------------------


def test_what_a_correction_overtook_by_rows_that_stand(said: Snapshot) -> None:
    """The slip is gone; of what was said twice, one rests on what was withdrawn.

    The erratum of the one was withdrawn again, so it is still to be put right.
    """
    columns = "statement said_in place wording standing done_on"
    assert rows(said, "errata", columns) == [
        ("begun", "talk", "p. 3, t=403,425", "A began in 1908.", "to be put right", ""),
        ("twice", "talk", "", "A was there in 1908.", "put right", "2022-01-05"),
    ]


def test_what_was_said_in_public_of_a_thing_with_page_and_time(said: Snapshot) -> None:
    columns = "statement said_in place wording uses standing"
    begun = ("begun", "talk", "p. 3, t=403,425", "A began in 1908.", "a-1908", "withdrawn")
    twice = [
        ("twice", "journal", "p. 9", "B was there.", "b-said", "current"),
        ("twice", "talk", "", "A was there in 1908.", "a-1908", "withdrawn"),
    ]
    assert rows(said, "public-statements", columns) == [twice[0], begun, twice[1]]
    assert rows(said, "public-statements", columns, thing="shape/a") == [begun]
    assert rows(said, "public-statements", columns, thing="shape/b") == twice


# -- witnesses -----------------------------------------------------------------------------------


def test_two_letters_known_through_one_book_are_one_witness(said: Snapshot) -> None:
    """Of Vee both go back to the book; of Wye a third letter speaks too, and one was misread."""
    label, model = "rdf-schema#label", "ontology#redesignedFrom"
    assert rows(said, "one-witness", "property value source", about="shape/b") == [
        (label, "B", "book"),
        (label, "Vee", "old"),
        (label, "Vee", "older"),
        (model, "a", "book"),
    ]


def test_a_list_supports_what_its_rows_say_and_not_how_they_hang_together(said: Snapshot) -> None:
    kinds = {"ontology#sourceKind", "ontology#sourceDate", "title"}
    found = rows(said, "source-supports", "thing property value locator", source="source/list")
    assert [row for row in found if row[1] not in kinds] == [
        ("a.teapot", "ontology#form", "teapot", "p. 4"),
        ("a.teapot", "ontology#ofShape", "a", "p. 4"),
        ("list.a", "ontology#ofShape", "a", "p. 4"),
        ("list.a.teapot.7", "ontology#itemNumber", "7", "p. 4"),
        ("list.a.teapot.7", "ontology#offersArticle", "a.teapot", "p. 4"),
    ]
    assert len(found) == 5 + len(kinds)


# -- shapes --------------------------------------------------------------------------------------


def test_a_tie_that_was_withdrawn_is_gone_where_another_holds_them_together(said: Snapshot) -> None:
    for thing in ("shape/a", "shape/b"):
        found = rows(said, "family", "member relation other", thing=thing)
        assert found == [("b", "ontology#redesignedFrom", "a")]


def test_a_redesign_is_disputed_if_sources_differ_on_the_end_of_the_older_form(
    said: Snapshot,
) -> None:
    assert rows(said, "redesigns", "redesign disputed") == [("foot", "no"), ("spout", "yes")]


def test_what_left_within_a_calendar_year_by_a_number_of_years_alone(said: Snapshot) -> None:
    """At most a year after may be 366 days, so the last of one year and the first of the next but one.

    At least two years may be 730 days: from the first of January of a leap year to the last of
    December of the year after it. Three are more than a year between.
    """
    found = dict(rows(said, "line-when-introduced", "other left", shape="new", within=1))
    assert found == {"next": "possibly", "after": "possibly", "long": "no"}


def test_a_statement_on_which_nothing_bears_is_told_without_a_reason(said: Snapshot) -> None:
    found = rows(said, "stated-of-lists", "of kind verdict because deciding")
    assert found == [("b", "absence", "not known", "", "a complete list of B")]
