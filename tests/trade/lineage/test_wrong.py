"""Rings of descent, and copies older than their model."""

from collections.abc import Callable

from glost.findings import Finding, Severity
from glost.record.belief import Belief
from glost.trade.lineage import Lineage, lineage, lineage_findings


def of_kind(belief: Belief, kind: str) -> list[Finding]:
    return [found for found in lineage_findings(lineage(belief)) if found.kind == kind]


def test_a_thing_older_than_what_it_comes_from_is_found_through_an_undated_one(
    valley: Lineage,
) -> None:
    found = list(lineage_findings(valley))
    assert [(each.kind, each.severity) for each in found] == [
        ("older-than-model", Severity.CONTRADICTION)
    ]
    claims = {claim.rsplit("/", 1)[-1] for claim in found[0].claims}
    assert {"damson-of-birch", "elder-of-damson"} <= claims
    assert len(claims) == 4
    assert found[0].message == (
        "Elder, begun 1899, would be older than Birch, begun 1905, from which it comes; Elder is "
        "derived from Damson; Damson is copied from Birch."
    )
    assert found[0].about == (
        "https://example.org/shelf/shape/elder",
        "https://example.org/shelf/shape/birch",
    )


def test_dates_that_may_agree_are_not_found(make: Callable[..., Belief]) -> None:
    shapes = (
        "shape,pottery,name,begin,source,locator\n"
        "alder,harrow,Alder,1900~,cat1908,p. 3\n"
        "birch,harrow,Birch,1899,cat1908,p. 4\n"
        "cedar,harrow,Cedar,,cat1908,p. 4\ndamson,harrow,Damson,,cat1908,p. 4\n"
        "elder,harrow,Elder,,cat1908,p. 4\nfir,harrow,Fir,,cat1908,p. 4\n"
    )
    assert of_kind(make(shapes=shapes), "older-than-model") == []


def test_a_ring_is_found_once_with_every_claim(make: Callable[..., Belief]) -> None:
    table = (
        "thing,copied_from,redesigned_from,source,locator,claim\n"
        "shape/birch,shape/alder,,cat1908,p. 1,one\n"
        "shape/cedar,shape/birch,,cat1908,p. 1,two\n"
        "shape/alder,,shape/cedar,letter,p. 1,three\n"
    )
    found = of_kind(make(lineage=table), "lineage-ring")
    assert len(found) == 1
    assert found[0].severity == Severity.CONTRADICTION
    assert {claim.rsplit("/", 1)[-1] for claim in found[0].claims} == {"one", "two", "three"}
    assert found[0].message == (
        "Nothing can come from itself: Alder redesigned from Cedar, Cedar copied from Birch, "
        "Birch copied from Alder."
    )


def test_two_that_come_from_each_other_in_different_ways_are_a_ring(
    make: Callable[..., Belief],
) -> None:
    table = (
        "thing,copied_from,redesigned_from,source,locator\n"
        "shape/birch,shape/alder,,cat1908,p. 1\nshape/alder,,shape/birch,letter,p. 1\n"
    )
    assert len(of_kind(make(lineage=table), "lineage-ring")) == 1


def test_two_copies_of_each_other_are_left_to_the_clash_of_owl(make: Callable[..., Belief]) -> None:
    table = (
        "thing,copied_from,source,locator\n"
        "shape/birch,shape/alder,cat1908,p. 1\nshape/alder,shape/birch,letter,p. 1\n"
    )
    assert of_kind(make(lineage=table), "lineage-ring") == []


def test_a_withdrawn_tie_makes_no_ring(make: Callable[..., Belief]) -> None:
    table = (
        "thing,copied_from,redesigned_from,source,locator,claim\n"
        "shape/birch,shape/alder,,cat1908,p. 1,one\n"
        "shape/cedar,shape/birch,,cat1908,p. 1,two\n"
        "shape/alder,,shape/cedar,letter,p. 1,three\n"
    )
    corrections = "withdraws,reason,source,locator\nthree,The letter says the reverse,letter,p. 1\n"
    assert of_kind(make(lineage=table, corrections=corrections), "lineage-ring") == []
