"""Looking up in a register, by hand: what a name says, and what narrowing adds."""

import numpy as np
import pytest
from rdflib import URIRef

from glost.trade.linking.records import Thing, frame
from glost.trade.linking.register import Register

NAMES = ("alder", "birch", "cedar", "rowan")


def named(*names: str) -> list[Thing]:
    return [Thing(URIRef(f"x:{name}"), name, (name,)) for name in names]


@pytest.fixture(scope="module")
def register() -> Register:
    return Register(frame(named(*NAMES)), "thing", 0.8)


ODDS = (0.8 / 4) / (1 - 0.8 / 4) * 0.58 / (0.5 / 7)
"""Of four one is expected with 0.8. The same name: of pairs of one thing 0.58 have it (see
`comparisons.csv`); held against itself the register has it twice among eight, so that beside the
pair half a record of seven has it."""


def test_a_name_that_one_has_is_as_likely_as_by_hand(register: Register) -> None:
    found = register.look_up(frame(named("alder")), [None])
    assert found.select("one", "other").rows() == [(0, 0)]
    assert found["probability"][0] == pytest.approx(ODDS / (1 + ODDS))


def test_what_is_expected_among_all_is_expected_among_those_it_may_be(register: Register) -> None:
    two = np.array([True, True, False, False])
    found = register.look_up(frame(named("alder")), [two])
    assert found["probability"][0] == pytest.approx(2 * ODDS / (1 + 2 * ODDS))
    assert register.look_up(frame(named("rowan")), [two]).height == 0
    assert register.look_up(frame(named("rowan")), [~two]).height == 1


def test_what_is_looked_up_together_is_weighed_apart(register: Register) -> None:
    together = register.look_up(frame(named("alder", "alder", "zzz", "cedar")), [None] * 4)
    assert together.select("one", "other").rows() == [(0, 0), (1, 0), (3, 2)]
    assert together["probability"].to_list() == pytest.approx([ODDS / (1 + ODDS)] * 3)


def test_a_pair_is_weighed_however_little_it_agrees_if_that_is_asked(register: Register) -> None:
    assert register.look_up(frame(named("zzz")), [None]).height == 0
    found = register.look_up(frame(named("zzz")), [None], [(0, 3)])
    assert found.select("one", "other").rows() == [(0, 3)]
    assert found["probability"][0] < 0.2
    again = register.look_up(frame(named("zzz")), [None])
    assert again.height == 0  # and is not weighed the next time


def test_two_of_one_name_share_what_is_likely() -> None:
    register = Register(frame(named("alder", "alder", "birch", "cedar")), "thing", 0.8)
    found = register.look_up(frame(named("alder")), [None])
    first, second = found["probability"].to_list()
    assert first == second < 0.5
