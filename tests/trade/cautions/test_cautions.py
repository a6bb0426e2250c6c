"""The cautions, as data."""

import re

from rdflib.namespace import OWL, RDF

from glost.data import vocabulary
from glost.names import GLOST
from glost.trade.cautions import all_cautions, cautions_for

DEFERS = re.compile(r"local codes|laborator|licensed")


def test_every_caution_names_its_standing_and_a_source_unless_common_practice() -> None:
    for caution in all_cautions():
        assert caution.standing in {"verified", "memory", "common practice"}
        assert bool(caution.source) == (caution.standing != "common practice"), caution.name


def test_every_caution_on_a_danger_defers_to_those_who_decide() -> None:
    dangers = [c for c in all_cautions() if c.standing == "common practice"]
    assert dangers
    for caution in dangers:
        assert DEFERS.search(caution.text), caution.name


def test_every_caution_belongs_with_a_class_of_the_vocabulary() -> None:
    classes = {str(c).removeprefix(GLOST) for c in vocabulary().subjects(RDF.type, OWL.Class)}
    for caution in all_cautions():
        assert caution.of <= classes, caution.name


def test_ware_and_kilns_have_cautions_of_their_own() -> None:
    ware = {caution.name for caution in cautions_for(["Piece"])}
    kilns = {caution.name for caution in cautions_for(["TunnelKiln", "Kiln"])}
    assert "lead-and-cadmium" in ware and "disused-kiln" not in ware
    assert "disused-kiln" in kilns and "lead-and-cadmium" not in kilns
    assert cautions_for(["Person"]) == ()
