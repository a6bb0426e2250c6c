"""What counts as flatware in one collection: its own terms go before the published scheme."""

from pathlib import Path

import pytest
from rdflib import URIRef

from glost.answer.snapshot import Snapshot
from glost.names import GLOST
from glost.trade.assortments.forms import Forms, WareClass
from glost.trade.naming.known import Known
from shelf import write

SOURCES = """source,title,kind,date,complete
list,The list,catalogue,1905,yes
letter,[A letter],letter,1912,
"""
ASSORTMENTS = """catalogue,shape,form,trade_size
list,alder,plate,8
list,alder,oval baker,8
list,alder,berry bowl,
list,alder,bowl,30s
list,alder,teapot,
"""
BOWLS_AND_BAKERS = """scheme,term,name,broader,source
form,baker,baker,flatware,letter
form,bowl,bowl,flatware,letter
"""
FLAT, HOLLOW = WareClass.FLATWARE, WareClass.HOLLOW


def snapshot(folder: Path, terms: str = "", **tables: str) -> Snapshot:
    given = {
        "sources": SOURCES,
        "potteries": "pottery,name,source\nharrow,Harrow Pottery,letter\n",
        "shapes": "shape,pottery,name,source\nalder,harrow,Alder,letter\n",
        "assortments": ASSORTMENTS,
        "treatments": "",
        "pieces": "",
        "flatware": "",
        "terms": terms or "scheme,term,name,source\n",
    }
    return Snapshot(write(folder / "c", **{**given, **tables}))


def published(name: str) -> URIRef:
    return URIRef(f"https://w3id.org/glost/form/{name}")


def classes(here: Snapshot) -> dict[str, WareClass]:
    """Return the class of every form the list names, by its id."""
    return {
        str(article.form).rsplit("/", 1)[-1]: here.forms.class_of(article.form)
        for each in here.lists.all
        for article in each.articles
    }


def by_question(here: Snapshot) -> dict[str, int]:
    rows = here.answers.ask("assortment-classes").rows
    return {str(row.values[4]).rsplit("/", 1)[-1]: int(str(row.values[5])) for row in rows}


def test_by_the_published_scheme_bakers_and_bowls_are_hollow_ware(tmp_path: Path) -> None:
    here = snapshot(tmp_path)
    assert classes(here) == {
        "plate": FLAT, "baker": HOLLOW, "berry-bowl": HOLLOW, "bowl": HOLLOW, "teapot": HOLLOW,
    }  # fmt: skip
    assert by_question(here) == {"flatware": 1, "hollow-ware": 4}


def test_a_row_of_terms_changes_the_class_of_a_form_and_of_narrower_ones(tmp_path: Path) -> None:
    here = snapshot(tmp_path, BOWLS_AND_BAKERS)
    assert classes(here) == {
        "plate": FLAT, "baker": FLAT, "berry-bowl": FLAT, "bowl": FLAT, "teapot": HOLLOW,
    }  # fmt: skip
    assert by_question(here) == {"flatware": 4, "hollow-ware": 1}


def test_counts_of_a_class_rest_on_the_row_that_says_what_counts_as_what(tmp_path: Path) -> None:
    rows = snapshot(tmp_path, BOWLS_AND_BAKERS).answers.ask("assortment-classes").rows
    read = {
        str(row.values[4]).rsplit("/", 1)[-1]: {str(claim.origin) for claim in row.support}
        for row in rows
    }
    both = {"tables/terms.csv row 2", "tables/terms.csv row 3"}
    assert both < read["flatware"]
    assert not both & read["hollow-ware"]


def test_nothing_is_inferred_of_articles_by_a_class_that_does_not_hold_here(tmp_path: Path) -> None:
    here = snapshot(tmp_path, BOWLS_AND_BAKERS)
    kinds = {
        str(s).rsplit("/", 1)[-1]: value
        for s, _, value in here.closure.inferred
        if value in (GLOST.FlatwareArticle, GLOST.HollowWareArticle)
    }
    assert kinds["alder.baker.8"] == GLOST.FlatwareArticle
    assert kinds["alder.teapot"] == GLOST.HollowWareArticle
    assert kinds.get("alder.berry-bowl") != GLOST.HollowWareArticle


def test_a_row_that_says_nothing_of_the_class_leaves_it_as_published(tmp_path: Path) -> None:
    here = snapshot(tmp_path, "scheme,term,name,source\nform,baker,baking dish,letter\n")
    assert classes(here)["baker"] == HOLLOW


def test_two_rows_that_differ_leave_the_class_open(tmp_path: Path) -> None:
    terms = BOWLS_AND_BAKERS + "form,baker,baker,hollow-ware,list\n"
    here = snapshot(tmp_path, terms)
    assert classes(here)["baker"] == WareClass.UNTOLD
    assert here.forms.grounds(published("baker")) == ()
    assert by_question(here) == {"flatware": 3, "hollow-ware": 1}


def test_the_nearest_wider_form_that_is_classed_decides(tmp_path: Path) -> None:
    terms = BOWLS_AND_BAKERS + "form,punch-bowl,punch bowl,hollow-ware,letter\n"
    terms += "form,what-not,what-not,,letter\nform,small-baker,small baker,baker,letter\n"
    forms = Forms(snapshot(tmp_path, terms).belief)
    assert forms.class_of(URIRef("https://example.org/shelf/form/punch-bowl")) == HOLLOW
    assert forms.class_of(URIRef("https://example.org/shelf/form/what-not")) == WareClass.UNTOLD
    assert forms.class_of(URIRef("https://example.org/shelf/form/small-baker")) == FLAT
    assert forms.wider(published("berry-bowl"))[-1] == published("flatware")


@pytest.mark.parametrize(("terms", "flat"), [("", False), (BOWLS_AND_BAKERS, True)])
def test_naming_a_piece_takes_the_class_of_the_collection(
    tmp_path: Path, terms: str, flat: bool
) -> None:
    here = snapshot(tmp_path, terms)
    assert Known(here.belief).is_flatware(published("berry-bowl")) is flat
    assert Known(here.belief).is_flatware(published("plate"))


@pytest.mark.parametrize("name", ["baker", "Baker", "oval baker", "form/baker"])
def test_a_form_of_the_collections_own_is_found_by_every_name_of_the_published(
    tmp_path: Path, name: str
) -> None:
    rows = snapshot(tmp_path, BOWLS_AND_BAKERS).answers.ask("first-to-offer", form=name).rows
    assert [str(row.values[0]) for row in rows] == ["https://example.org/shelf/form/baker"]
