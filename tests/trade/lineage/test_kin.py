"""Who comes from whom, checked by hand and against networkx."""

import random
from collections.abc import Callable

import networkx as nx
import pytest
from rdflib import URIRef

from glost.record.belief import Belief
from glost.trade.lineage import (
    Lineage,
    ancestors,
    common_ancestors,
    descendants,
    families,
    family,
    firsts,
    lineage,
    lineage_lines,
    undated,
)
from glost.trade.lineage.wrong import rings
from glost.trade.times.reckoning import chronology

BASE = "https://example.org/shelf/"


def shape(name: str) -> URIRef:
    return URIRef(f"{BASE}shape/{name}")


def plain(things: object) -> list[str]:
    return [str(thing).rsplit("/", 1)[-1] for thing in things]  # type: ignore[attr-defined]


def test_every_tie_is_an_edge_from_the_earlier_thing_with_its_claims(valley: Lineage) -> None:
    told = {
        (plain([link.earlier])[0], plain([link.later])[0], link.relation.key): (
            [claim.id for claim in link.claims],
            link.certainty,
            link.sure,
        )
        for link in valley.links
        if link.relation.key in ("copied", "redesigned", "moulds")
    }
    assert told == {
        ("alder", "birch", "redesigned"): (["birch-of-alder"], "", True),
        ("birch", "cedar", "copied"): (["cedar-doubted", "cedar-possible"], "possible", False),
        ("birch", "damson", "copied"): (["damson-of-birch"], "", True),
        ("cedar", "fir", "moulds"): (["fir-and-cedar"], "", True),
    }


def test_a_tie_said_both_ways_about_is_one(valley: Lineage) -> None:
    shared = [link for link in valley.links if link.relation.key == "flatware"]
    assert len(shared) == 1
    assert len(shared[0].claims) == 2
    assert shared[0].seen_from(shape("alder")) == shared[0].seen_from(shape("birch"))


def test_a_designer_is_tied_to_the_work_not_to_the_pottery(valley: Lineage) -> None:
    hands = [link for link in valley.links if link.role]
    assert [(plain([h.earlier, h.later]), h.role, h.certainty) for h in hands] == [
        (["moth", "alder"], "designer", "probable")
    ]
    assert hands[0].seen_from(shape("alder")) == "has as designer"


def test_ancestors_come_nearest_first_with_every_tie_on_the_way(valley: Lineage) -> None:
    found = ancestors(valley, shape("elder"))
    assert plain(kin.thing for kin in found) == ["damson", "birch", "alder"]
    assert [kin.steps for kin in found] == [1, 2, 3]
    assert [claim.id for link in found[-1].path for claim in link.claims] == [
        "elder-of-damson",
        "damson-of-birch",
        "birch-of-alder",
    ]
    assert found[-1].sure


def test_shared_moulds_and_designers_are_not_descent(valley: Lineage) -> None:
    assert ancestors(valley, shape("fir")) == ()
    assert plain(kin.thing for kin in ancestors(valley, shape("alder"))) == []
    below = descendants(valley, shape("alder"))
    assert plain(kin.thing for kin in below) == ["birch", "cedar", "damson", "elder"]
    assert [kin.sure for kin in below] == [True, False, True, True]


def test_the_surer_of_two_ways_as_long_is_taken(make: Callable[..., Belief]) -> None:
    table = (
        "thing,copied_from,source,locator,certainty\n"
        "shape/birch,shape/alder,cat1908,p. 1,doubtful\n"
        "shape/cedar,shape/alder,cat1908,p. 1,\n"
        "shape/damson,shape/birch,cat1908,p. 1,\n"
        "shape/damson,shape/cedar,cat1908,p. 1,\n"
    )
    found = ancestors(lineage(make(lineage=table)), shape("damson"))
    assert plain(kin.thing for kin in found) == ["birch", "cedar", "alder"]
    assert plain(link.earlier for link in found[-1].path) == ["cedar", "alder"]


@pytest.mark.parametrize("doubted", ["copied_from", "redesigned_from"])
def test_of_two_ties_between_the_same_two_the_sure_one_is_followed(
    make: Callable[..., Belief], doubted: str
) -> None:
    """Whichever of the two kinds of tie comes first, the doubtful one is not the way taken."""
    rows = {"copied_from": "shape/birch,shape/alder,,cat1908,p. 1,\n",
            "redesigned_from": "shape/birch,,shape/alder,cat1908,p. 1,\n"}  # fmt: skip
    rows[doubted] = rows[doubted].replace("p. 1,", "p. 1,doubtful")
    table = "thing,copied_from,redesigned_from,source,locator,certainty\n" + "".join(rows.values())
    made = lineage(make(lineage=table))
    assert [kin.sure for kin in ancestors(made, shape("birch"))] == [True]
    assert [kin.sure for kin in descendants(made, shape("alder"))] == [True]


def test_of_a_ring_above_two_things_every_member_is_as_near(make: Callable[..., Belief]) -> None:
    """Alder and Birch come from each other, Cedar and Damson from Alder: neither is the nearer."""
    table = "thing,derived_from,source,locator\n" + "".join(
        f"shape/{one},shape/{other},cat1908,p. 1\n"
        for one, other in (
            ("alder", "birch"), ("birch", "alder"), ("cedar", "alder"), ("damson", "alder"),
        )
    )  # fmt: skip
    found = common_ancestors(lineage(make(lineage=table)), shape("cedar"), shape("damson"))
    assert [(plain([each.thing])[0], each.nearest) for each in found] == [
        ("alder", True),
        ("birch", True),
    ]


def test_common_ancestors_say_which_is_nearest_and_both_ways(valley: Lineage) -> None:
    found = common_ancestors(valley, shape("cedar"), shape("elder"))
    assert plain(common.thing for common in found) == ["birch", "alder"]
    assert [common.nearest for common in found] == [True, False]
    assert (len(found[0].one), len(found[0].other)) == (1, 2)
    own = common_ancestors(valley, shape("birch"), shape("elder"))
    assert plain([own[0].thing]) == ["birch"]
    assert own[0].one == ()


def test_designers_belong_to_a_family_and_do_not_join_two(make: Callable[..., Belief]) -> None:
    roles = (
        "person,role,at,work,source,locator\n"
        "moth,designer,harrow,shape/alder,letter,p. 2\n"
        "moth,designer,harrow,shape/fir,letter,p. 2\n"
    )
    table = "thing,copied_from,source,locator\nshape/birch,shape/alder,cat1908,p. 1\n"
    whole = lineage(make(roles=roles, lineage=table, flatware=""))
    assert plain(family(whole, shape("birch")).things) == ["moth", "alder", "birch"]
    assert plain(family(whole, URIRef(f"{BASE}person/moth")).things) == [
        "moth",
        "alder",
        "birch",
        "fir",
    ]
    assert [plain(sorted(each)) for each in families(whole)] == [
        ["harrow", "wold"],
        ["alder", "birch"],
    ]


def test_what_nothing_ties_has_no_kin(valley: Lineage) -> None:
    alone = shape("nowhere")
    assert ancestors(valley, alone) == descendants(valley, alone) == ()
    assert family(valley, alone).things == ()


def test_the_first_is_certain_only_if_it_began_before_all_others_can_have(
    valley: Lineage,
) -> None:
    begins = {shape("a"): (10, 20), shape("b"): (15, 30), shape("c"): (40, 50)}
    found = firsts(valley, begins, begins.__getitem__)
    assert [(plain([f.thing])[0], f.certain) for f in found] == [("a", False), ("b", False)]
    begins[shape("b")] = (21, 30)
    found = firsts(valley, begins, begins.__getitem__)
    assert [(plain([f.thing])[0], f.certain) for f in found] == [("a", True)]


def test_two_that_may_have_begun_on_one_day_are_both_possible_firsts(valley: Lineage) -> None:
    """The latest day of the one is the earliest of the other: on it neither is before the other."""
    begins = {shape("a"): (10, 20), shape("b"): (20, 30)}
    found = firsts(valley, begins, begins.__getitem__)
    assert [(plain([f.thing])[0], f.certain) for f in found] == [("a", False), ("b", False)]


def test_a_copy_can_be_the_first_where_its_model_is_not_compared(valley: Lineage) -> None:
    begins = {shape("birch"): (10, 20), shape("fir"): (15, 30)}  # Alder is the model of Birch
    found = firsts(valley, begins, begins.__getitem__)
    assert [plain([f.thing])[0] for f in found] == ["birch", "fir"]


def test_an_open_beginning_may_always_be_first_and_an_unknown_one_is_told_apart(
    valley: Lineage,
) -> None:
    begins = {shape("a"): (10, 20), shape("b"): (None, 90), shape("c"): (None, None)}
    found = firsts(valley, begins, begins.__getitem__)
    assert [(plain([f.thing])[0], f.certain) for f in found] == [("b", False), ("a", False)]
    assert undated(begins, begins.__getitem__) == (shape("c"),)


@pytest.mark.parametrize("tie", ["copied_from", "redesigned_from", "reissue_of", "derived_from"])
def test_what_comes_from_another_is_never_first_beside_it(
    make: Callable[..., Belief], tie: str
) -> None:
    """Alder is the model of Birch; both began in the same years, as did Cedar, which is free."""
    table = f"thing,{tie},source,locator\nshape/birch,shape/alder,cat1908,p. 1\n"
    made = lineage(make(lineage=table))
    begins = {shape("alder"): (10, 20), shape("birch"): (10, 20)}
    found = firsts(made, begins, begins.__getitem__)
    assert [(plain([f.thing])[0], f.certain) for f in found] == [("alder", True)]
    begins[shape("cedar")] = (10, 20)
    found = firsts(made, begins, begins.__getitem__)
    assert [(plain([f.thing])[0], f.certain) for f in found] == [("alder", False), ("cedar", False)]
    begins = {shape("alder"): (30, 40), shape("birch"): (10, 20)}  # told as a contradiction
    found = firsts(made, begins, begins.__getitem__)
    assert [plain([f.thing])[0] for f in found] == ["alder"]


def test_in_a_ring_dates_alone_decide(make: Callable[..., Belief]) -> None:
    table = "thing,derived_from,source,locator\n"
    table += "shape/birch,shape/alder,cat1908,p. 1\nshape/alder,shape/birch,cat1908,p. 2\n"
    begins = {shape("alder"): (10, 20), shape("birch"): (15, 30)}
    found = firsts(lineage(make(lineage=table)), begins, begins.__getitem__)
    assert [plain([f.thing])[0] for f in found] == ["alder", "birch"]


def test_kin_and_rings_agree_with_networkx(make: Callable[..., Belief]) -> None:
    """Random ties among 14 shapes: networkx's own reachability and components are the reference."""
    dice = random.Random(7)
    names = [f"s{place}" for place in range(14)]
    shapes = "shape,name,source,locator\n" + "".join(f"{n},{n},cat1908,p. 1\n" for n in names)
    pairs = sorted({tuple(dice.sample(names, 2)) for _ in range(22)})
    rows = "".join(f"shape/{a},shape/{b},cat1908,p. 2\n" for a, b in pairs)
    made = make(
        shapes=shapes,
        lineage="thing,derived_from,source,locator\n" + rows,
        flatware="",
        roles="",
        potteries="",
        people="",
    )
    whole = lineage(made)
    reference = nx.DiGraph((shape(b), shape(a)) for a, b in pairs)
    for each in reference:
        assert {kin.thing for kin in ancestors(whole, each)} == nx.ancestors(reference, each)
        assert {kin.thing for kin in descendants(whole, each)} == nx.descendants(reference, each)
        for kin in ancestors(whole, each):
            assert kin.steps == nx.shortest_path_length(reference, kin.thing, each)
    on_rings = {link.earlier for ring in rings(whole) for link in ring}
    cyclic = [part for part in nx.strongly_connected_components(reference) if len(part) > 1]
    assert cyclic
    assert on_rings == set().union(*cyclic)
    for ring in rings(whole):
        assert all(a.later == b.earlier for a, b in zip(ring, (*ring[1:], ring[0]), strict=True))


NEITHER = (
    "thing,copied_from,redesigned_from,moulds_from,derived_from,like,hardly_told_from,"
    "source,locator,claim\n"
    "shape/birch,,shape/alder,,,,,cat1908,p. 4,birch-of-alder\n"
    "shape/damson,,,,,shape/alder,,letter,p. 3,much\n"
    "shape/alder,,,,,shape/damson,,cat1911,p. 8,much-again\n"
    "shape/elder,,,,,,shape/damson,letter,p. 3,hardly\n"
)
CAME = (
    "came,instead_of,came_form,instead_of_form,within,source,locator,claim\n"
    "shape/fir,shape/alder,,,,letter,p. 6,fir-for-alder\n"
    ",,cream-soup,bouillon-cup,pottery/harrow,letter,p. 6,forms\n"
)


@pytest.fixture
def alike(make: Callable[..., Belief]) -> Lineage:
    """Birch comes from Alder; Damson is like Alder, Elder like Damson; Fir came for Alder."""
    return lineage(make(lineage=NEITHER, flatware="", substitutions=CAME))


def test_likeness_and_substitution_are_ties_of_their_own(alike: Lineage) -> None:
    told = {
        (*plain([link.earlier, link.later]), link.relation.key): sorted(c.id for c in link.claims)
        for link in alike.links
        if link.relation.kind in ("likeness", "substitution")
    }
    assert told == {
        ("alder", "damson", "like"): ["much", "much-again"],
        ("damson", "elder", "hardly"): ["hardly"],
        ("alder", "fir", "instead"): ["fir-for-alder"],
    }
    (came,) = (link for link in alike.links if link.relation.key == "instead")
    assert came.seen_from(shape("fir")) == "came instead of"
    assert came.seen_from(shape("alder")) == "gave way to"
    for link in alike.of(shape("damson")):
        assert link.seen_from(link.earlier) == link.seen_from(link.later)


def test_likeness_and_substitution_make_neither_descent_nor_family(alike: Lineage) -> None:
    for name in ("damson", "elder", "fir"):
        assert ancestors(alike, shape(name)) == descendants(alike, shape(name)) == ()
    assert plain(kin.thing for kin in descendants(alike, shape("alder"))) == ["birch"]
    assert plain(family(alike, shape("alder")).things) == ["moth", "alder", "birch"]
    assert plain(family(alike, shape("damson")).things) == ["damson"]
    shapes = [sorted(plain(part)) for part in families(alike) if shape("alder") in part]
    assert shapes == [["alder", "birch"]]
    assert common_ancestors(alike, shape("damson"), shape("elder")) == ()


def test_likeness_does_not_go_on_from_one_like_thing_to_the_next(alike: Lineage) -> None:
    told = lineage_lines(alike, shape("elder"), chronology(alike.belief))
    assert [(line.what, line.words) for line in told] == [
        ("likeness", "hardly to be told apart from Damson")
    ]
    came = lineage_lines(alike, shape("fir"), chronology(alike.belief))
    assert [(line.what, line.words) for line in came] == [("substitution", "came instead of Alder")]
