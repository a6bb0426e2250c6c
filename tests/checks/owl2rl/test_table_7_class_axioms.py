"""W3C, OWL 2 Profiles (Second Edition), table 7: the semantics of class axioms.

https://www.w3.org/TR/owl2-profiles/#Reasoning_in_OWL_2_RL_and_RDF_Graphs_using_Rules
"""


def test_cax_sco(says):
    """T(?c1, rdfs:subClassOf, ?c2) T(?x, rdf:type, ?c1) -> T(?x, rdf:type, ?c2)."""
    found = says(":A rdfs:subClassOf :B . :B rdfs:subClassOf :C .", ":a a :A .")
    assert found.entails(":a a :B , :C .")
    assert found.by(":a a :C .") == "cax-sco"


def test_cax_eqc1(says):
    """T(?c1, owl:equivalentClass, ?c2) T(?x, rdf:type, ?c1) -> T(?x, rdf:type, ?c2)."""
    found = says(":A owl:equivalentClass :B .", ":a a :A .")
    assert found.by(":a a :B .") == "cax-eqc1"


def test_cax_eqc2(says):
    """T(?c1, owl:equivalentClass, ?c2) T(?x, rdf:type, ?c2) -> T(?x, rdf:type, ?c1)."""
    found = says(":A owl:equivalentClass :B .", ":a a :B .")
    assert found.by(":a a :A .") == "cax-eqc2"


def test_cax_dw(says, turtle):
    """T(?c1, owl:disjointWith, ?c2) T(?x, rdf:type, ?c1) T(?x, rdf:type, ?c2) -> false."""
    found = says(":A owl:disjointWith :B .", ":a a :A , :B . :b a :A .")
    assert found.clashes == ["cax-dw"]
    assert found.clash_facts() == set(turtle(":a a :A , :B ."))


def test_cax_adc(says):
    """T(?x, rdf:type, owl:AllDisjointClasses) T(?x, owl:members, ?y) LIST[?y, ?c1, ..., ?cn]
    T(?z, rdf:type, ?ci) T(?z, rdf:type, ?cj) -> false, for each 1 <= i < j <= n.
    """
    schema = "[] a owl:AllDisjointClasses ; owl:members ( :A :B :C ) ."
    for facts in (":a a :A , :B .", ":a a :A , :C .", ":a a :B , :C ."):
        assert says(schema, facts).clashes == ["cax-adc"]
    assert says(schema, ":a a :A . :b a :B . :c a :C .").clashes == []
