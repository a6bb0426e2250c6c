"""The cautions, as data."""

import re

from rdflib.namespace import OWL, RDF

from glost.data import vocabulary
from glost.names import GLOST
from glost.trade.cautions import all_cautions, cautions_for, limits

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


def test_limits_are_printed_with_the_caution_on_lead_and_cadmium_alone() -> None:
    assert {c.name: c.limits for c in all_cautions() if c.limits} == {"lead-and-cadmium": limits()}


def test_a_limit_in_words_says_how_samples_are_compared_and_what_was_not_read_in_the_rule() -> None:
    """Of the European directive no criterion is known; that of the Food Code is from memory."""
    told = {(limit.authority[:2], limit.category, limit.metal): str(limit) for limit in limits()}
    flat = "flatware (internal depth <= 25 mm)"
    assert told["US", flat, "cadmium"] == f"cadmium 0.5 ug/mL leach, {flat}, average of 6 units"
    plates = "flat tableware (plates saucers)"
    assert told["US", plates, "lead"] == f"lead 3.0 mg/L, {plates}, average of 6 (memory)"
    fillable = "cat 2: other fillable (Art 2.4)"
    assert told["EU", fillable, "lead"] == f"lead 4.0 mg/L, {fillable}"
    assert {x.standing for x in limits() if x.authority.startswith("EU")} == {"verified"}
