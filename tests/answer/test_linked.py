"""What links bring to light: links at odds, and values and dates that cannot both be."""

from pathlib import Path

import pytest

from glost.answer.linked import linked_findings
from glost.answer.snapshot import Snapshot
from glost.findings import Finding
from glost.record.record import read
from shelf import write

HEAD = "one,one_elsewhere,kind,other,other_elsewhere,evidence,source,claim\n"
SHAPES = "shape,pottery,name,begin,end,rim,source\n"
POTTERIES = (
    "pottery,name,source\nharrow,Harrow Pottery,cat1908\nharrow-2,Harrow Pottery Co.,letter\n"
    "stowe,Stowe Pottery,letter\n"
)


def found(folder: Path, links: str, **tables: str) -> tuple[Finding, ...]:
    tables = {"flatware": "", "treatments": "", "pieces": "", "assortments": "", **tables}
    given = {"potteries": POTTERIES, "links": HEAD + links, **tables}
    snapshot = Snapshot.of(read(write(folder, **given)))
    return tuple(
        linked_findings(snapshot.belief, snapshot.chronology, snapshot.record.collection.margin)
    )


ALDERS = "alder,harrow,Alder,1908,1915,fluted,cat1908\n"
SAME = "shape/alder,,same,shape/alder-2,,One rim.,letter,said-same\n"


def test_links_that_agree_are_nothing_to_find(tmp_path: Path) -> None:
    shapes = SHAPES + ALDERS + "alder-2,harrow,Alder,1908,1915,plain fluting,letter\n"
    assert found(tmp_path / "c", SAME, shapes=shapes) == ()


@pytest.mark.parametrize(
    ("links", "claims"),
    [
        (
            "shape/alder,,not-the-same,shape/alder-2,,Two rims.,letter,denied\n",
            {"said-same", "denied"},
        ),
        (
            "shape/alder-2,,not-the-same,shape/alder,,Two rims.,letter,denied\n",
            {"said-same", "denied"},
        ),
        ("shape/alder,,part-of,shape/alder-2,,Its lids.,letter,denied\n", {"said-same", "denied"}),
        ("shape/alder-2,,continues,shape/alder,,Later.,letter,denied\n", {"said-same", "denied"}),
        (
            "shape/birch,,same,shape/alder-2,,So.,letter,further\n"
            "shape/alder,,not-the-same,shape/birch,,Two.,letter,denied\n",
            {"said-same", "further", "denied"},
        ),
    ],
)
def test_the_same_and_not_the_same_is_a_contradiction(
    tmp_path: Path, links: str, claims: set[str]
) -> None:
    shapes = SHAPES + ALDERS + "alder-2,harrow,Alder,1908,,,letter\nbirch,harrow,Birch,,,,letter\n"
    (finding,) = found(tmp_path / "c", SAME + links, shapes=shapes)
    assert finding.kind == "links-at-odds"
    assert {claim.rsplit("/", 1)[-1] for claim in finding.claims} == claims
    assert ("by way of" in finding.message) == ("birch" in links)


def test_undecided_denies_nothing(tmp_path: Path) -> None:
    shapes = SHAPES + ALDERS + "alder-2,harrow,Alder,1908,,,letter\n"
    links = SAME + "shape/alder,,undecided,shape/alder-2,,Worn.,letter,\n"
    assert found(tmp_path / "c", links, shapes=shapes) == ()


def test_dates_that_sources_give_apart_are_told_with_both_sides_and_the_link(
    tmp_path: Path,
) -> None:
    shapes = SHAPES + ALDERS + "alder-2,harrow,Alder,1910,1915,,letter\n"
    (finding,) = found(tmp_path / "c", SAME, shapes=shapes)
    assert finding.kind == "linked-values-differ"
    assert "start: 1908 or 1910" in finding.message
    places = {side.read_from for side in finding.sides}
    assert places == {
        "tables/shapes.csv row 2",
        "tables/shapes.csv row 3",
        "tables/links.csv row 2",
    }


def test_what_one_thing_is_given_under_one_name_is_told_elsewhere(tmp_path: Path) -> None:
    more = "alder,harrow,Alder,1911,,,letter\n"
    shapes = SHAPES + ALDERS + more + "alder-2,harrow,Alder,,1915,,letter\n"
    assert found(tmp_path / "c", SAME, shapes=shapes) == ()


def test_dates_within_the_margin_agree(tmp_path: Path) -> None:
    shapes = SHAPES + ALDERS + "alder-2,harrow,Alder,1910~,1915,,letter\n"
    assert found(tmp_path / "c", SAME, shapes=shapes) == ()


def test_dates_that_only_follow_are_told_with_what_they_follow_from(tmp_path: Path) -> None:
    """The one ended in 1915; the other is still offered in 1920, in a list that may lag 366 days."""
    tables = {
        "shapes": SHAPES + ALDERS + "alder-2,harrow,Alder,1908,,,letter\n",
        "sources": "source,title,kind,date\ncat1908,Catalogue No. 4,catalogue,1908\n"
        "letter,[Letter],letter,1912\ncat1920,Catalogue No. 9,catalogue,1920\n",
        "assortments": "catalogue,shape,form,trade_size\ncat1920,alder-2,dinner plate,8\n",
    }
    (finding,) = found(tmp_path / "c", SAME, **tables)
    assert finding.kind == "linked-dates-differ"
    assert "ended no later than 1915" in finding.message
    assert "ended no earlier than 31 December 1918" in finding.message
    assert {side.read_from for side in finding.sides} >= {
        "tables/shapes.csv row 2", "tables/assortments.csv row 2", "tables/links.csv row 2",
    }  # fmt: skip


def test_makers_that_nobody_compared_are_not_known_to_differ(tmp_path: Path) -> None:
    shapes = SHAPES + ALDERS + "alder-2,harrow-2,Alder,1908,1915,,letter\n"
    assert found(tmp_path / "open", SAME, shapes=shapes) == ()
    linked = SAME + "pottery/harrow,,same,pottery/harrow-2,,One works.,letter,\n"
    assert found(tmp_path / "same", linked, shapes=shapes) == ()
    apart = SAME + "pottery/harrow,,not-the-same,pottery/harrow-2,,Two works.,letter,\n"
    (finding,) = found(tmp_path / "apart", apart, shapes=shapes)
    assert finding.kind == "linked-values-differ"
    assert "made by" in finding.message


def test_makers_that_are_each_the_same_as_others_differ(tmp_path: Path) -> None:
    shapes = SHAPES + ALDERS + "alder-2,stowe,Alder,1908,1915,,letter\n"
    links = (
        SAME
        + "pottery/harrow,,same,pottery/harrow-2,,One works.,letter,\n"
        + "pottery/stowe,,same,,https://b.example/pottery/s,One works.,letter,\n"
    )
    (finding,) = found(tmp_path / "c", links, shapes=shapes)
    assert finding.kind == "linked-values-differ"


@pytest.mark.parametrize(
    ("number", "differs"), [("A12", False), ("A-12", False), ("a 12", False), ("A21", True)]
)
def test_numbers_are_compared_however_they_are_written(
    tmp_path: Path, number: str, differs: bool
) -> None:
    treatments = (
        "treatment,pottery,number,name,source\na12,harrow,A-12,Rim,cat1908\n"
        f"b,harrow,{number},Another name,letter\n"
    )
    shapes = SHAPES + ALDERS
    links = "treatment/a12,,same,treatment/b,,One rim.,letter,\n"
    told = found(tmp_path / "c", links, shapes=shapes, treatments=treatments)
    assert [each.kind for each in told] == (["linked-values-differ"] if differs else [])


def test_lengths_are_compared_as_lengths(tmp_path: Path) -> None:
    tables = {
        "plants": "plant,pottery,name,source\nmill,harrow,Mill,letter\n",
        "kilns": "kiln,plant,kind,firing,length,source\nk1,mill,car-tunnel,glost,348 ft,letter\n"
        "k2,mill,car-tunnel,glost,4176 in,cat1908\nk3,mill,car-tunnel,glost,350 ft,cat1908\n",
        "shapes": SHAPES + ALDERS,
    }
    even = "kiln/k1,,same,kiln/k2,,One flue.,letter,\n"
    assert found(tmp_path / "even", even, **tables) == ()
    odd = "kiln/k1,,same,kiln/k3,,One flue.,letter,\n"
    (finding,) = found(tmp_path / "odd", odd, **tables)
    assert "348 ft or 350 ft" in finding.message


def test_nothing_is_asked_across_a_link_at_odds(tmp_path: Path) -> None:
    shapes = SHAPES + ALDERS + "alder-2,harrow,Alder,1910,,,letter\n"
    links = SAME + "shape/alder,,not-the-same,shape/alder-2,,Two rims.,letter,\n"
    assert [each.kind for each in found(tmp_path / "c", links, shapes=shapes)] == ["links-at-odds"]


def test_a_check_tells_them(tmp_path: Path) -> None:
    shapes = SHAPES + ALDERS + "alder-2,harrow,Alder,1910,1915,,letter\n"
    links = HEAD + SAME
    tables = {"flatware": "", "treatments": "", "pieces": "", "assortments": ""}
    snapshot = Snapshot(
        write(tmp_path / "c", potteries=POTTERIES, links=links, shapes=shapes, **tables)
    )
    assert "linked-values-differ" in {each.kind for each in snapshot.findings()}
