"""Where owlrl 7 and this closure differ, with the W3C rule that decides.

Found by random cases and by hand; each test shows what owlrl does and what follows here.
"""

import owlrl
from rdflib import Graph, URIRef
from rdflib.namespace import OWL

from glost.reason.closure import close

N = "https://example.org/differences/"
PREFIXES = f"""
@prefix : <{N}> . @prefix owl: <http://www.w3.org/2002/07/owl#> .
@prefix rdfs: <http://www.w3.org/2000/01/rdf-schema#> .
"""


def read(turtle: str) -> Graph:
    """Read Turtle without its prefixes."""
    return Graph().parse(data=PREFIXES + turtle, format="turtle")


def by_owlrl(schema: str, facts: str) -> tuple[Graph, bool]:
    """Return the closure by owlrl and whether it reports a contradiction."""
    graph = read(schema + facts)
    owlrl.DeductiveClosure(owlrl.OWLRL_Semantics).expand(graph)
    return graph, any("error" in str(p).lower() for p in graph.predicates())


def same(a: str, b: str) -> tuple:
    """Return the triple that says two names are the same."""
    return URIRef(N + a), OWL.sameAs, URIRef(N + b)


def test_owlrl_ignores_the_last_property_of_a_key():
    """prp-key asks for shared values of all the properties."""
    schema = ":C owl:hasKey ( :p :q ) ."
    facts = ":a a :C ; :p 1 ; :q 1 . :b a :C ; :p 1 ; :q 2 ."
    assert same("a", "b") in by_owlrl(schema, facts)[0]
    assert same("a", "b") not in close(read(facts), read(schema))


def test_owlrl_skips_the_last_member_of_all_different():
    """eq-diff3 holds for each 1 <= i < j <= n."""
    schema = "[] a owl:AllDifferent ; owl:distinctMembers ( :a :b ) ."
    assert not by_owlrl(schema, ":a owl:sameAs :b .")[1]
    assert close(read(":a owl:sameAs :b ."), read(schema)).clashes


def test_owlrl_skips_the_last_member_of_all_disjoint_properties():
    """prp-adp holds for each 1 <= i < j <= n."""
    schema = "[] a owl:AllDisjointProperties ; owl:members ( :p :q ) ."
    assert not by_owlrl(schema, ":a :p :b ; :q :b .")[1]
    assert close(read(":a :p :b ; :q :b ."), read(schema)).clashes


def test_owlrl_is_silent_on_two_values_of_a_functional_property():
    """prp-fp equates them, dt-diff makes them different, eq-diff1 is the contradiction."""
    assert not by_owlrl(":p a owl:FunctionalProperty .", ":a :p 1 , 2 .")[1]
    assert close(read(":a :p 1 , 2 ."), read(":p a owl:FunctionalProperty .")).clashes


def test_owlrl_puts_members_of_nothing_into_every_class():
    """scm-cls puts owl:Nothing below every class; here cls-nothing2 is told and no more."""
    schema = ":C rdfs:subClassOf owl:Nothing . :D a owl:Class ."
    everything = (
        URIRef(N + "a"),
        URIRef("http://www.w3.org/1999/02/22-rdf-syntax-ns#type"),
        URIRef(N + "D"),
    )
    assert everything in by_owlrl(schema, ":a a :C .")[0]
    found = close(read(":a a :C ."), read(schema))
    assert everything not in found
    assert [c.rule for c in found.clashes] == ["cls-nothing2"]
