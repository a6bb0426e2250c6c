"""What a closure says, why, and what becomes of it when facts change."""

import pytest
from rdflib import Graph, Literal, URIRef
from rdflib.namespace import OWL, RDF

from glost.reason.closure import close

N = "https://example.org/closure/"
PREFIXES = f"""
@prefix : <{N}> .
@prefix owl: <http://www.w3.org/2002/07/owl#> .
@prefix rdfs: <http://www.w3.org/2000/01/rdf-schema#> .
"""
SCHEMA = """
:Shape rdfs:subClassOf :Design . :Shape owl:disjointWith :Treatment .
:onShape rdfs:domain :Piece ; rdfs:range :Shape .
:madeBy owl:propertyChainAxiom ( :onShape :shapeOf ) .
:copiedFrom rdfs:subPropertyOf :derivedFrom . :derivedFrom a owl:TransitiveProperty .
:shares a owl:SymmetricProperty , owl:TransitiveProperty .
:number a owl:FunctionalProperty .
"""
FACTS = """
:plate :onShape :bell . :cup :onShape :bell . :bell :shapeOf :works .
"""


def read(turtle: str) -> Graph:
    """Read Turtle without its prefixes."""
    return Graph().parse(data=PREFIXES + turtle, format="turtle")


def one(turtle: str) -> tuple:
    """Read one triple."""
    (triple,) = read(turtle)
    return triple


@pytest.fixture
def closure():
    return close(read(FACTS), read(SCHEMA))


def test_membership(closure):
    assert one(":plate :onShape :bell .") in closure
    assert one(":plate :madeBy :works .") in closure
    assert one(":plate :madeBy :bell .") not in closure
    assert one(":unheard :of :thing .") not in closure
    assert "plate" not in closure


def test_the_listing_is_sorted_and_holds_nothing_given(closure):
    listed = closure.inferred.sorted()
    assert listed == sorted(listed, key=lambda t: [x.n3() for x in t])
    assert len(listed) == len(closure.inferred) == len(set(closure.inferred)) == 6
    assert not set(listed) & set(read(FACTS))


def test_a_proof_goes_down_to_the_facts_and_the_schema(closure):
    proof = closure.why(one(":bell a :Design ."))
    assert [p.rule for p in proof.steps()] == ["cax-sco", "prp-rng", "given"]
    assert proof.axioms == (one(":Shape rdfs:subClassOf :Design ."),)
    assert len(proof.facts) == 1
    assert proof.size == 3
    given = closure.why(one(":plate :onShape :bell ."))
    assert given.rule == "given"
    assert given.facts == (given.conclusion,)


def test_asking_why_of_what_does_not_hold(closure):
    with pytest.raises(KeyError, match="nothing says"):
        closure.why(one(":bell :madeBy :works ."))
    assert closure.supports(one(":bell :madeBy :works .")).sets == ()


def test_all_supports_and_the_cap(closure):
    found = closure.supports(one(":bell a :Shape ."))
    assert found.sets == (
        frozenset({one(":cup :onShape :bell .")}),
        frozenset({one(":plate :onShape :bell .")}),
    )
    assert not found.cut
    capped = closure.supports(one(":bell a :Shape ."), cap=1)
    assert len(capped.sets) == 1
    assert capped.cut


def test_what_falls_is_told_without_changing_anything(closure):
    before = closure.inferred.sorted()
    fallen = closure.falls([one(":plate :onShape :bell .")])
    assert set(fallen) == set(read(":plate :onShape :bell ; a :Piece ; :madeBy :works ."))
    assert closure.inferred.sorted() == before
    assert closure.falls([]) == ()


def test_withdrawing_and_adding(closure):
    closure.revise([], [one(":bell :shapeOf :works .")])
    assert one(":plate :madeBy :works .") not in closure
    closure.revise([one(":bell :shapeOf :mill .")], [])
    assert one(":cup :madeBy :mill .") in closure
    assert closure.why(one(":cup :madeBy :mill .")).rule == "prp-spo2"
    assert set(closure.inferred) == set(
        close(
            read(":plate :onShape :bell . :cup :onShape :bell . :bell :shapeOf :mill ."),
            read(SCHEMA),
        ).inferred
    )


def test_a_given_fact_that_also_follows_stays_when_withdrawn(closure):
    closure.revise([one(":bell a :Shape .")], [])
    assert closure.why(one(":bell a :Shape .")).rule == "given"
    assert one(":bell a :Shape .") not in set(closure.inferred)
    closure.revise([], [one(":bell a :Shape .")])
    assert closure.why(one(":bell a :Shape .")).rule == "prp-rng"
    assert one(":bell a :Shape .") in set(closure.inferred)


def test_clashes_do_not_stop_the_rest_and_change_with_the_facts(closure):
    closure.revise(read(":bell a :Treatment . :plate :number 7 , 8 ."), [])
    assert [c.rule for c in closure.clashes] == ["cax-dw", "prp-fp"]
    assert one(":plate :madeBy :works .") in closure
    (first, second) = closure.clashes
    assert set(first.facts) == set(read(":bell a :Treatment , :Shape ."))
    assert all(fact in closure for fact in (*first.facts, *second.facts))
    closure.revise([], read(":bell a :Treatment . :plate :number 8 ."))
    assert closure.clashes == ()


def test_a_name_and_a_literal_are_not_equated():
    found = close(read(":a :number 7 , :seven ."), read(SCHEMA))
    assert [c.rule for c in found.clashes] == ["prp-fp"]
    assert len(found.inferred) == 0


def test_names_equated_with_a_literal_present_are_equated_all_the_same():
    found = close(read(":a :number 7 , :seven , :vii ."), read(SCHEMA))
    assert one(":seven owl:sameAs :vii .") in found
    assert [c.rule for c in found.clashes] == ["prp-fp"]


@pytest.mark.parametrize("length", [5, 40, 400])
def test_a_long_chain_is_closed_and_proved(length):
    names = [URIRef(f"{N}s{i:04d}") for i in range(length + 1)]
    copied, derived = URIRef(N + "copiedFrom"), URIRef(N + "derivedFrom")
    facts = [(a, copied, b) for a, b in zip(names[1:], names, strict=False)]
    closure = close(facts, read(SCHEMA))
    assert len(closure.inferred) == length * (length + 1) // 2
    proof = closure.why((names[-1], derived, names[0]))
    assert set(proof.facts) == set(facts)
    assert {p.rule for p in proof.steps()} == {"prp-trp", "prp-spo1", "given"}


def test_a_large_component_is_closed_and_proved():
    names = [URIRef(f"{N}s{i}") for i in range(120)]
    shares = URIRef(N + "shares")
    facts = [(names[0], shares, b) for b in names[1:]]
    closure = close(facts, read(SCHEMA))
    assert len(closure.inferred) == 120 * 120 - 119
    proof = closure.why((names[3], shares, names[99]))
    assert set(proof.facts) == {facts[2], facts[98]}
    assert len(closure.falls(facts[:1])) == 2 * 119 + 1
    closure.revise([], facts[:1])
    assert closure.inferred.sorted() == close(facts[1:], read(SCHEMA)).inferred.sorted()


def test_facts_no_rule_is_about_still_follow_sameness():
    found = close(read(":a owl:sameAs :b ; :unruled :c . :d :unruled 'text' , :a ."), read(""))
    assert set(found.inferred) == set(read(":b owl:sameAs :a ; :unruled :c . :d :unruled :b ."))
    assert found.why(one(":b :unruled :c .")).rule == "eq-rep-s"
    assert found.supports(one(":d :unruled :b .")).sets == (
        frozenset(read(":a owl:sameAs :b . :d :unruled :a .")),
    )


def test_a_rule_that_names_a_thing_equated_with_another():
    schema = """:Own owl:equivalentClass [ a owl:Restriction ; owl:onProperty :madeBy ;
                                           owl:hasValue :works ] ."""
    found = close(read(":bell :madeBy :firm . :firm owl:sameAs :works ."), read(schema))
    assert one(":bell a :Own .") in found
    assert {p.rule for p in found.why(one(":bell a :Own .")).steps()} >= {"cls-hv2", "eq-rep-o"}


def test_a_property_below_sameness_equates():
    found = close(read(":a :alias :b ; :p 1 ."), read(":alias rdfs:subPropertyOf owl:sameAs ."))
    assert one(":b :p 1 .") in found
    assert found.why((URIRef(N + "a"), OWL.sameAs, URIRef(N + "b"))).rule == "prp-spo1"


def test_the_given_facts_may_come_twice_and_from_an_iterator():
    facts = list(read(FACTS))
    found = close(iter(facts + facts), read(SCHEMA))
    assert found.inferred.sorted() == close(facts, read(SCHEMA)).inferred.sorted()


def test_tables_with_names_alike_are_kept_apart():
    schema = ":p rdfs:domain :a . :P rdfs:domain :A . <http://other.example/p> rdfs:domain :B ."
    found = close(read(":x :p 1 . :y :P 1 . :z <http://other.example/p> 1 ."), read(schema))
    assert set(found.inferred) == set(read(":x a :a . :y a :A . :z a :B ."))


def test_literals_never_become_subjects():
    schema = ":p a owl:SymmetricProperty ; rdfs:range :C . :q owl:inverseOf :p ."
    found = close(read(":x :p 'text' , :y ."), read(schema))
    assert not any(isinstance(s, Literal) for s, _, _ in found.inferred)
    assert (URIRef(N + "y"), RDF.type, URIRef(N + "C")) in found


def test_a_property_said_both_ways_is_one_contradiction():
    found = close(read(":a :p :b . :b :p :a ."), read(":p a owl:AsymmetricProperty ."))
    assert [(c.rule, len(c.facts)) for c in found.clashes] == [("prp-asyp", 2)]


AT_MOST_ONE = """:One owl:equivalentClass [ a owl:Restriction ; owl:onProperty :p ;
                                            owl:maxCardinality 1 ] ."""


@pytest.mark.parametrize(
    ("values", "told"),
    [
        (":y , :z", []),  # two names of one thing
        ("7 , 8", ["two different values stand"]),
        ("7 , 7.0", []),  # one value
        ("'seven' , :y", ["a thing and a value stand"]),
    ],
)
def test_two_where_there_may_be_one(values, told):
    found = close(read(f":x a :One ; :p {values} ."), read(AT_MOST_ONE))
    expected = [("cls-maxc2", f"{each} where there may be one") for each in told]
    assert [(clash.rule, clash.message) for clash in found.clashes] == expected
    assert (one(":y owl:sameAs :z .") in found) == (values == ":y , :z")


def test_what_only_the_schema_says_is_proved_by_it_alone():
    schema = (
        ":Own rdfs:subClassOf [ a owl:Restriction ; owl:onProperty :by ; owl:hasValue :works ] ."
    )
    proof = close(read(":a a :Own ."), read(schema)).why(one(":a :by :works ."))
    assert proof.facts == (one(":a a :Own ."),)
    assert all(p.rule != "given" for p in proof.steps() if p.conclusion != one(":a a :Own ."))


def test_a_thing_said_to_be_a_value_is_a_contradiction():
    (clash,) = close(read(":a owl:sameAs 7 ; :p :b ."), read("")).clashes
    assert clash.rule == "eq-diff1"
    assert clash.facts == (one(":a owl:sameAs 7 ."),)
    assert clash.message.startswith("a thing and a value stand")


def test_a_value_outside_its_range_is_a_contradiction():
    schema = ":number rdfs:range <http://www.w3.org/2001/XMLSchema#integer> ."
    (clash,) = close(read(":a :number 7 . :b :number 'seven' ."), read(schema)).clashes
    assert (clash.rule, clash.facts) == ("dt-not-type", (one(":b :number 'seven' ."),))
    assert clash.axioms == tuple(read(schema))


def test_all_values_of_a_property_are_of_a_class():
    schema = ":Own rdfs:subClassOf [ a owl:Restriction ; owl:onProperty :by ; owl:allValuesFrom :Firm ] ."
    found = close(read(":a a :Own ; :by :works . :b :by :mill ."), read(schema))
    told = {fact for fact in found.inferred if fact[2] == URIRef(N + "Firm")}
    assert told == {one(":works a :Firm .")}


def test_classes_and_properties_that_are_the_same_stand_for_each_other():
    schema = ":Pot owl:sameAs :Pottery . :by owl:sameAs :madeBy ."
    found = close(read(":a a :Pot ; :by :works . :b a :Pottery ; :madeBy :mill ."), read(schema))
    assert set(read(":a a :Pottery ; :madeBy :works . :b a :Pot ; :by :mill .")) <= set(
        found.inferred
    )


def test_what_the_schema_alone_entails_has_an_empty_support():
    found = close(read(":c :p :d ."), read(":Firm owl:oneOf ( :works :mill ) ."))
    fact = one(":works a :Firm .")
    assert found.supports(fact).sets == (frozenset(),)
    assert (found.why(fact).rule, found.why(fact).facts) == ("cls-oo", ())
