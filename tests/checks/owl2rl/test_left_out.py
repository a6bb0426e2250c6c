"""What the closure leaves out, as DEVELOPERS.md lists it; each kind by an example.

https://www.w3.org/TR/owl2-profiles/#Reasoning_in_OWL_2_RL_and_RDF_Graphs_using_Rules
"""

import re
from pathlib import Path

GUIDE = Path(__file__).resolve().parents[3] / "DEVELOPERS.md"


def test_the_guide_names_every_rule_left_out():
    text = GUIDE.read_text(encoding="utf-8")
    section = text.split("It leaves out, on purpose:")[1].split("\n## ")[0]
    named = set(re.findall(r"`((?:eq|prp|cls|dt|scm)-[a-z0-9*-]+)`", section))
    assert named == {
        "scm-*", "prp-ap", "cls-thing", "cls-nothing1", "dt-type1", "eq-ref",
        "dt-eq", "dt-diff", "dt-type2", "dt-not-type",
    }  # fmt: skip


def test_conclusions_about_the_schema_are_followed_and_not_told(says):
    schema = ":A rdfs:subClassOf :B . :B rdfs:subClassOf :C . :p rdfs:subPropertyOf :q ."
    found = says(schema, ":a a :A ; :p :b .")
    assert found.entails(":a a :B , :C ; :q :b .")
    assert len(found.closure.inferred) == 3


def test_a_class_without_a_name_is_no_class_of_a_thing(says):
    schema = "[ a owl:Restriction ; owl:onProperty :p ; owl:hasValue :v ] rdfs:subClassOf :C ."
    found = says(schema, ":a :p :v .")
    assert found.entails(":a a :C .")
    assert len(found.closure.inferred) == 1


def test_nothing_is_told_that_is_true_of_everything(says):
    schema = ":C a owl:Class . :p a owl:ObjectProperty ; rdfs:domain owl:Thing ."
    assert len(says(schema, ":a :p :b ; a :C .").closure.inferred) == 0


def test_literals_are_joined_as_they_are_written(says):
    schema = ":C owl:equivalentClass [ owl:onProperty :p ; owl:hasValue 7 ] ."
    assert says(schema, ":a :p 7 .").entails(":a a :C .")
    for written in ("7.0", "'7'^^xsd:int"):
        assert not says(schema, f":a :p {written} .").entails(":a a :C .")


def test_axioms_among_the_facts_are_carried(says, turtle):
    facts = ":p rdfs:domain :C . :p owl:sameAs :q . :a :p :b ."
    found = says("", facts)
    assert not found.entails(":a a :C .") and not found.entails(":a :q :b .")
    assert all(triple in found.closure for triple in turtle(facts))
