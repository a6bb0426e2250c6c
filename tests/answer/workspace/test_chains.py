"""Chains of patterns lead to everything they lead to, or say that it is too much."""

import pyoxigraph as ox
import pytest

from glost.answer.living.chains import ON_THE_WAY, Hop
from glost.answer.living.ways import TooMany

VERB, KIND = (ox.NamedNode(f"https://example.org/{name}") for name in ("of-form", "of-kind"))
FORM, ALL = ox.NamedNode("https://example.org/plate"), ox.NamedNode("https://example.org/ware")
BACK = (((VERB, False),), False)


def store(things: int) -> ox.Store:
    """Things of one form, each said to be of it in two graphs, and all of one kind."""
    made = ox.Store()
    for number in range(things):
        thing = ox.NamedNode(f"https://example.org/{number}")
        made.add(ox.Quad(thing, VERB, FORM))
        made.add(ox.Quad(thing, VERB, FORM, ox.NamedNode(f"https://example.org/claim/{number}")))
        made.add(ox.Quad(thing, KIND, ALL))
    return made


def test_what_is_said_in_several_graphs_is_counted_once() -> None:
    things = ON_THE_WAY * 2 // 3
    assert len(Hop("path", (BACK,)).ends(store(things), {FORM})) == things


@pytest.mark.parametrize("steps", [(BACK,), (BACK, (((KIND, True),), False))])
def test_nothing_that_many_things_lead_to_is_left_out_without_a_word(steps: tuple[object]) -> None:
    with pytest.raises(TooMany):
        Hop("path", steps).ends(store(ON_THE_WAY + 1), {FORM})  # type: ignore[arg-type]
