"""Rings of descent, and copies older than their model."""

import random
from collections.abc import Callable

import networkx as nx
import pytest

from glost.findings import Finding, Severity
from glost.record.belief import Belief
from glost.trade.lineage import Lineage, older_findings, ring_findings


def of_kind(belief: Belief, kind: str) -> list[Finding]:
    return [
        found for found in (*ring_findings(belief), *older_findings(belief)) if found.kind == kind
    ]


def test_a_thing_older_than_what_it_comes_from_is_found_through_an_undated_one(
    valley: Lineage,
) -> None:
    found = [*ring_findings(valley.belief), *older_findings(valley.belief)]
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


@pytest.mark.parametrize("seed", range(3))
def test_what_is_older_agrees_with_networkx(make: Callable[..., Belief], seed: int) -> None:
    """Random ties among 14 shapes, a third undated: ways through undated ones alone count."""
    dice = random.Random(seed)
    years = {f"s{n}": dice.choice(["", "1890", "1900", "1910"]) for n in range(14)}
    shapes = "shape,name,begin,source,locator\n"
    shapes += "".join(f"{name},{name},{year},cat1908,p. 1\n" for name, year in years.items())
    pairs = sorted({tuple(dice.sample(sorted(years), 2)) for _ in range(20)})
    rows = "".join(f"shape/{new},shape/{old},cat1908,p. 2\n" for new, old in pairs)
    table = "thing,derived_from,source,locator\n" + rows
    made = make(shapes=shapes, lineage=table, flatware="", roles="", potteries="", people="")
    whole = nx.DiGraph((old, new) for new, old in pairs)
    expected = set()
    for old in whole:
        for new in set(whole) - {old}:
            through = [each for each in whole if not years[each] or each in (old, new)]
            way = nx.has_path(whole.subgraph(through), old, new)
            if way and years[new] and years[new] < years[old]:
                expected.add((new, old))
    found = list(older_findings(made))
    told = {tuple(thing.rsplit("/", 1)[-1] for thing in each.about) for each in found}
    assert told == expected != set()
    assert len(found) == len(expected)
