"""From a row to its claims: whole matches only, and claims that are believed only."""

from dataclasses import replace

import pyoxigraph as ox
import pytest

from glost.answer.evidence import DERIVED, MEMBER, Finder

N = "urn:x:"


def node(name: str) -> ox.NamedNode:
    return ox.NamedNode(N + name)


SAID = {
    "of-plate": ("piece", "form", "plate"),
    "of-jug": ("piece", "form", "jug"),
    "plate-is-flat": ("plate", "broader", "flat"),
    "once-said": ("piece", "form", "plate"),  # and withdrawn
}
"""What each claim says; of a jug nothing more is said."""


@pytest.fixture
def finder() -> Finder:
    store = ox.Store()
    for name, (subject, verb, value) in SAID.items():
        store.add(ox.Quad(node(subject), node(verb), node(value), node(name)))
        store.add(ox.Quad(node(subject), node(verb), node(value)))
    store.add(ox.Quad(node("piece"), node("class"), node("flat")))
    iris = {N + name for name in SAID}
    holds = iris - {f"{N}once-said"}
    return Finder(store, iris.__contains__, holds.__contains__, lambda _: [f"{N}of-plate"])


PIECE, FORM, WIDE = (ox.Variable(name) for name in ("piece", "form", "wide"))
FORMS = ((PIECE, node("form"), FORM), (FORM, node("broader"), WIDE))


def claims(finder: Finder, *groups: tuple, row: dict, named: tuple = ()) -> set[str]:  # type: ignore[type-arg]
    return {iri.removeprefix(N) for iri in finder.claims(groups, named, row)}


def test_only_what_takes_part_in_a_match_of_the_whole_group_counts(finder: Finder) -> None:
    row = {"piece": node("piece")}
    assert claims(finder, FORMS[:1], row=row) == {"of-plate", "of-jug"}
    assert claims(finder, FORMS, row=row) == {"of-plate", "plate-is-flat"}
    assert claims(finder, FORMS, row={**row, "form": node("jug")}) == set()


def test_a_group_that_speaks_of_what_a_row_leaves_open_does_not_apply(finder: Finder) -> None:
    assert claims(finder, FORMS, row={"piece": node("piece"), "wide": None}) == set()


def test_a_claim_that_was_withdrawn_counts_only_where_a_column_names_it(finder: Finder) -> None:
    row = {"piece": node("piece"), "claim": node("once-said"), "other": node("flat")}
    assert claims(finder, row=row, named=("claim", "other")) == {"once-said"}
    assert "once-said" not in claims(finder, FORMS, row=row)


def test_what_no_claim_makes_rests_on_what_it_follows_from(finder: Finder) -> None:
    inferred = (PIECE, node("class"), WIDE)
    assert claims(finder, (inferred,), row={"piece": node("piece")}) == {"of-plate"}


def test_what_was_derived_rests_on_all_that_its_evidence_gathers(finder: Finder) -> None:
    gathered = [("of-plate", "early"), ("early", "all"), ("of-jug", "all"), ("all", "all")]
    for member, evidence in gathered:
        finder.store.add(ox.Quad(node(evidence), MEMBER, node(member)))
    finder.store.add(ox.Quad(node("judged"), DERIVED, node("all")))
    finder.store.add(ox.Quad(node("judged"), DERIVED, node("plate-is-flat")))
    evidence = ((ox.Variable("it"), DERIVED, ox.Variable("any")),)
    row = {"it": node("judged")}
    assert claims(finder, evidence, row=row) == {"of-plate", "of-jug", "plate-is-flat"}


def test_a_judgement_without_evidence_at_hand_rests_on_what_it_is_known_to(finder: Finder) -> None:
    finder.store.add(ox.Quad(node("judged"), DERIVED, node("judged")))
    evidence = ((ox.Variable("it"), DERIVED, ox.Variable("any")),)
    known = replace(finder, judged={f"{N}judged": (f"{N}of-jug",)}.get)
    assert claims(known, evidence, row={"it": node("judged")}) == {"of-jug"}
    assert claims(finder, evidence, row={"it": node("judged")}) == set()
