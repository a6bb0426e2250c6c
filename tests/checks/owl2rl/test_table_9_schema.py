"""W3C, OWL 2 Profiles (Second Edition), table 9: the semantics of schema vocabulary.

https://www.w3.org/TR/owl2-profiles/#Reasoning_in_OWL_2_RL_and_RDF_Graphs_using_Rules
The schema is closed before any fact is looked at, so each rule is tested by what it lets follow
from facts.  scm-cls, scm-op and scm-dp say that each class and property is below itself.
"""

import pytest

R = "[ a owl:Restriction ; owl:onProperty :p ; {} ]"


def pair(first: str, second: str, more: str = "", second_property: str = ":p") -> str:
    """Return a schema with two restrictions, :X and :Y."""
    return f"""
    :X a owl:Restriction ; owl:onProperty :p ; {first} .
    :Y a owl:Restriction ; owl:onProperty {second_property} ; {second} .
    :p a owl:ObjectProperty . :q a owl:ObjectProperty . {more}
    """


def test_scm_cls_scm_op_scm_dp_add_nothing(says):
    """T(?c, rdf:type, owl:Class) -> T(?c, rdfs:subClassOf, ?c) T(?c, owl:equivalentClass, ?c)
    T(?c, rdfs:subClassOf, owl:Thing) T(owl:Nothing, rdfs:subClassOf, ?c), and so for properties.
    """
    schema = ":C a owl:Class . :p a owl:ObjectProperty . :q a owl:DatatypeProperty ."
    assert len(says(schema, ":a a :C ; :p :b ; :q 1 .").closure.inferred) == 0


def test_scm_sco(says):
    """T(?c1, rdfs:subClassOf, ?c2) T(?c2, rdfs:subClassOf, ?c3) -> T(?c1, rdfs:subClassOf, ?c3)."""
    schema = ":A rdfs:subClassOf :B . :B rdfs:subClassOf :C ."
    assert says(schema, ":a a :A .").entails(":a a :C .")


def test_scm_eqc1(says):
    """T(?c1, owl:equivalentClass, ?c2) -> T(?c1, rdfs:subClassOf, ?c2)
    T(?c2, rdfs:subClassOf, ?c1).
    """
    schema = ":A owl:equivalentClass :B . :B rdfs:subClassOf :C . :D rdfs:subClassOf :B ."
    assert says(schema, ":a a :A . :d a :D .").entails(":a a :C . :d a :A .")


def test_scm_eqc2(says):
    """T(?c1, rdfs:subClassOf, ?c2) T(?c2, rdfs:subClassOf, ?c1) -> T(?c1, owl:equivalentClass,
    ?c2).
    """
    found = says(":A rdfs:subClassOf :B . :B rdfs:subClassOf :A .", ":a a :A . :b a :B .")
    assert found.entails(":a a :B . :b a :A .")


def test_scm_spo(says):
    """T(?p1, rdfs:subPropertyOf, ?p2) T(?p2, rdfs:subPropertyOf, ?p3)
    -> T(?p1, rdfs:subPropertyOf, ?p3).
    """
    schema = ":p rdfs:subPropertyOf :q . :q rdfs:subPropertyOf :r ."
    assert says(schema, ":a :p :b .").entails(":a :r :b .")


def test_scm_eqp1(says):
    """T(?p1, owl:equivalentProperty, ?p2) -> T(?p1, rdfs:subPropertyOf, ?p2)
    T(?p2, rdfs:subPropertyOf, ?p1).
    """
    schema = ":p owl:equivalentProperty :q . :q rdfs:subPropertyOf :r ."
    assert says(schema, ":a :p :b .").entails(":a :r :b .")


def test_scm_eqp2(says):
    """T(?p1, rdfs:subPropertyOf, ?p2) T(?p2, rdfs:subPropertyOf, ?p1)
    -> T(?p1, owl:equivalentProperty, ?p2).
    """
    found = says(":p rdfs:subPropertyOf :q . :q rdfs:subPropertyOf :p .", ":a :p :b . :c :q :d .")
    assert found.entails(":a :q :b . :c :p :d .")


@pytest.mark.parametrize(
    ("link", "typed"), [("rdfs:domain", ":a"), ("rdfs:range", ":b")], ids=["scm-dom1", "scm-rng1"]
)
def test_scm_dom1_and_scm_rng1(says, link, typed):
    """T(?p, rdfs:domain, ?c1) T(?c1, rdfs:subClassOf, ?c2) -> T(?p, rdfs:domain, ?c2), and so
    for rdfs:range.
    """
    schema = f":p {link} :C . :C rdfs:subClassOf :D ."
    assert says(schema, ":a :p :b .").entails(f"{typed} a :D .")


@pytest.mark.parametrize(
    ("link", "typed"), [("rdfs:domain", ":a"), ("rdfs:range", ":b")], ids=["scm-dom2", "scm-rng2"]
)
def test_scm_dom2_and_scm_rng2(says, link, typed):
    """T(?p2, rdfs:domain, ?c) T(?p1, rdfs:subPropertyOf, ?p2) -> T(?p1, rdfs:domain, ?c), and so
    for rdfs:range.
    """
    schema = f":q {link} :C . :p rdfs:subPropertyOf :q ."
    assert says(schema, ":a :p :b .").entails(f"{typed} a :C .")


def test_scm_hv(says):
    """T(?c1, owl:hasValue, ?i) T(?c1, owl:onProperty, ?p1) T(?c2, owl:hasValue, ?i)
    T(?c2, owl:onProperty, ?p2) T(?p1, rdfs:subPropertyOf, ?p2) -> T(?c1, rdfs:subClassOf, ?c2).
    """
    schema = pair("owl:hasValue :i", "owl:hasValue :i", ":p rdfs:subPropertyOf :q .", ":q")
    assert says(schema, ":a a :X .").entails(":a a :Y .")


def test_scm_svf1(says):
    """T(?c1, owl:someValuesFrom, ?y1) T(?c1, owl:onProperty, ?p) T(?c2, owl:someValuesFrom, ?y2)
    T(?c2, owl:onProperty, ?p) T(?y1, rdfs:subClassOf, ?y2) -> T(?c1, rdfs:subClassOf, ?c2).
    """
    schema = pair("owl:someValuesFrom :A", "owl:someValuesFrom :B", ":A rdfs:subClassOf :B .")
    assert says(schema, ":a a :X .").entails(":a a :Y .")
    assert not says(schema, ":a a :Y .").entails(":a a :X .")


def test_scm_svf1_below_everything(says):
    """The same, where ?y2 is owl:Thing, which scm-cls puts above every class."""
    schema = pair("owl:someValuesFrom :A", "owl:someValuesFrom owl:Thing")
    assert says(schema, ":a a :X .").entails(":a a :Y .")


def test_scm_svf2(says):
    """T(?c1, owl:someValuesFrom, ?y) T(?c1, owl:onProperty, ?p1) T(?c2, owl:someValuesFrom, ?y)
    T(?c2, owl:onProperty, ?p2) T(?p1, rdfs:subPropertyOf, ?p2) -> T(?c1, rdfs:subClassOf, ?c2).
    """
    schema = pair(
        "owl:someValuesFrom :A", "owl:someValuesFrom :A", ":p rdfs:subPropertyOf :q .", ":q"
    )
    assert says(schema, ":a a :X .").entails(":a a :Y .")


def test_scm_avf1(says):
    """T(?c1, owl:allValuesFrom, ?y1) T(?c1, owl:onProperty, ?p) T(?c2, owl:allValuesFrom, ?y2)
    T(?c2, owl:onProperty, ?p) T(?y1, rdfs:subClassOf, ?y2) -> T(?c1, rdfs:subClassOf, ?c2).
    """
    schema = pair("owl:allValuesFrom :A", "owl:allValuesFrom :B", ":A rdfs:subClassOf :B .")
    assert says(schema, ":a a :X .").entails(":a a :Y .")


def test_scm_avf2(says):
    """T(?c1, owl:allValuesFrom, ?y) T(?c1, owl:onProperty, ?p1) T(?c2, owl:allValuesFrom, ?y)
    T(?c2, owl:onProperty, ?p2) T(?p1, rdfs:subPropertyOf, ?p2) -> T(?c2, rdfs:subClassOf, ?c1).
    """
    schema = pair(
        "owl:allValuesFrom :A", "owl:allValuesFrom :A", ":p rdfs:subPropertyOf :q .", ":q"
    )
    found = says(schema, ":a a :Y . :b a :X .")
    assert found.entails(":a a :X .")
    assert not found.entails(":b a :Y .")


def test_scm_int(says):
    """T(?c, owl:intersectionOf, ?x) LIST[?x, ?c1, ..., ?cn] -> T(?c, rdfs:subClassOf, ?c1) ..."""
    schema = ":C owl:intersectionOf ( :A :B ) . :B rdfs:subClassOf :D ."
    assert says(schema, ":a a :C .").entails(":a a :D .")


def test_scm_uni(says):
    """T(?c, owl:unionOf, ?x) LIST[?x, ?c1, ..., ?cn] -> T(?c1, rdfs:subClassOf, ?c) ..."""
    schema = ":C owl:unionOf ( :A :B ) . :C rdfs:subClassOf :D ."
    assert says(schema, ":a a :A .").entails(":a a :D .")
