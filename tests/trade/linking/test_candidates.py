"""Candidates of the larger example: lists whose articles are known, and things under two names."""

import pytest
from rdflib import URIRef

from glost.answer.alike import KINDS, alike_things, lines_of
from glost.answer.snapshot import Snapshot
from glost.names import GLOST
from shelf import write


def source(valley: Snapshot, name: str) -> URIRef:
    return URIRef(f"{valley.record.base}source/{name}")


def articles(valley: Snapshot, issue: URIRef) -> dict[URIRef, URIRef]:
    """Return of each line of a list the article it offers, as the archivist entered it."""
    facts = valley.belief.graph
    return {
        line: article  # type: ignore[misc]
        for assortment in facts.subjects(GLOST.offeredIn, issue)
        for line in facts.objects(assortment, GLOST.hasOffering)
        for article in facts.objects(line, GLOST.offersArticle)
    }


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("ot-cat-1899", "ot-cat-1906"),
        ("ot-cat-1906", "ot-cat-1909"),
        ("ot-cat-1914", "ot-cat-1923"),
    ],
)
def test_lines_of_lists_are_matched_as_the_archivist_did(
    valley: Snapshot, first: str, second: str
) -> None:
    one, other = source(valley, first), source(valley, second)
    before, after = articles(valley, one), articles(valley, other)
    both = set(before.values()) & set(after.values())
    found = lines_of(valley, one, other)
    right = sum(before[each.one] == after[each.other] for each in found)
    assert right / len(found) >= 0.97
    assert right / len(both) >= 0.9


@pytest.mark.parametrize(
    ("first", "second"), [("ot-cat-1923", "ot-cat-1936"), ("q-cat-1911", "ot-cat-1909")]
)
def test_lists_of_other_shapes_share_no_line(valley: Snapshot, first: str, second: str) -> None:
    one, other = source(valley, first), source(valley, second)
    assert not set(articles(valley, one).values()) & set(articles(valley, other).values())
    assert lines_of(valley, one, other) == ()


def test_every_pair_says_why_and_what_would_decide(valley: Snapshot) -> None:
    found = lines_of(valley, source(valley, "ot-cat-1914"), source(valley, "ot-cat-1923"))
    for each in found:
        assert each.reasons
        compared = {reason.column for reason in each.reasons}
        assert not compared & set(each.deciding)
        assert compared | set(each.deciding) == {
            "shape", "form", "size", "count", "number", "place", "price",
        }  # fmt: skip
        assert [abs(r.bits) for r in each.reasons] == sorted(
            (abs(r.bits) for r in each.reasons), reverse=True
        )
        assert all(reason.one and reason.other for reason in each.reasons)


def test_nothing_of_the_example_stands_there_twice_but_sheets_of_one_set(valley: Snapshot) -> None:
    """The shapes, decals, marks and people are what the archivist keeps apart."""
    for kind in ("shapes", "decals", "marks", "people", "potteries", "kilns", "treatments"):
        assert alike_things(valley, kind) == ()


def test_a_colleagues_shape_is_found_under_another_spelling(
    tmp_path_factory: pytest.TempPathFactory,
) -> None:
    """Of two collections: one shape spelt otherwise, one of the same name, one of another maker."""
    source = "source,title,kind,date\nlist,A list,price-list,1911\n"
    gone = dict.fromkeys(("assortments", "flatware", "pieces", "treatments"), "")
    potteries = "pottery,name,source\nharrow,{},list\nstoke,Stoke & Sons,list\n"
    one = write(
        tmp_path_factory.mktemp("one"),
        sources=source,
        potteries=potteries.format("Harrow Pottery"),
        shapes=(
            "shape,pottery,name,begin,source\nalder,harrow,Alder,1908,list\n"
            "brindle,harrow,Brindle,1915,list\nrowan,stoke,Rowan,1921,list\n"
        ),
        **gone,
    )
    other = write(
        tmp_path_factory.mktemp("other"),
        sources=source,
        potteries=potteries.format("Harrow Pottery Co."),
        shapes=(
            "shape,pottery,name,begin,source\ns1,harrow,Brindel,1915,list\n"
            "s2,harrow,Alder,1908,list\ns3,harrow,Quince,1890,list\n"
        ),
        **gone,
    )
    found = alike_things(Snapshot(one), "shapes", Snapshot(other))
    pairs = {(m.one.rsplit("/", 1)[-1], m.other.rsplit("/", 1)[-1]) for m in found}
    assert pairs == {("alder", "s2"), ("brindle", "s1")}
    says = {r.column: r.meaning for m in found if m.one.endswith("brindle") for r in m.reasons}
    assert says["name"] == "nearly the same name"
    assert says["maker"] == "same maker"  # whose name is nearly the same, which was found first
    assert says["years"] == "beginnings that may be the same"


def test_every_kind_that_may_be_asked_is_a_class_with_things_or_none(valley: Snapshot) -> None:
    assert {len(str(each)) > 0 for each in KINDS.values()} == {True}
    assert all(valley.belief.things(each) for each in KINDS.values())
