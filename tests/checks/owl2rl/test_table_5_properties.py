"""W3C, OWL 2 Profiles (Second Edition), table 5: the semantics of axioms about properties.

https://www.w3.org/TR/owl2-profiles/#Reasoning_in_OWL_2_RL_and_RDF_Graphs_using_Rules
Not tested is prp-ap, which is left out on purpose: it says nothing about the facts.
"""


def test_prp_ap_is_left_out(says):
    """-> T(ap, rdf:type, owl:AnnotationProperty), for each built-in annotation property."""
    assert len(says("", ':a rdfs:label "a" .').closure.inferred) == 0


def test_prp_dom(says):
    """T(?p, rdfs:domain, ?c) T(?x, ?p, ?y) -> T(?x, rdf:type, ?c)."""
    found = says(":p rdfs:domain :C .", ":a :p :b .")
    assert found.entails(":a a :C .")
    assert not found.entails(":b a :C .")
    assert found.by(":a a :C .") == "prp-dom"


def test_prp_rng(says):
    """T(?p, rdfs:range, ?c) T(?x, ?p, ?y) -> T(?y, rdf:type, ?c)."""
    found = says(":p rdfs:range :C .", ":a :p :b , 'text' .")
    assert found.entails(":b a :C .")
    assert len(found.closure.inferred) == 1


def test_prp_fp(says):
    """T(?p, rdf:type, owl:FunctionalProperty) T(?x, ?p, ?y1) T(?x, ?p, ?y2)
    -> T(?y1, owl:sameAs, ?y2).
    """
    found = says(":p a owl:FunctionalProperty .", ":a :p :b , :c , :d . :e :p :f .")
    assert found.entails(":b owl:sameAs :c , :d . :c owl:sameAs :d .")
    assert not found.entails(":b owl:sameAs :f .")
    assert found.by(":c owl:sameAs :d .") == "prp-fp"


def test_prp_fp_on_literals(says, turtle):
    """The same, where the values are literals: dt-diff makes them different."""
    schema = ":p a owl:FunctionalProperty ."
    found = says(schema, ":a :p 1900 , 1901 .")
    assert found.clashes == ["prp-fp"]
    assert found.clash_facts() == set(turtle(":a :p 1900 , 1901 ."))
    assert says(schema, ":a :p 1900 , '01900'^^xsd:integer .").clashes == []
    assert says(schema, ":a :p 1900 , '1900' .").clashes == ["prp-fp"]
    assert says(schema, ":a :p 1900 . :b :p 1901 .").clashes == []


def test_prp_ifp(says):
    """T(?p, rdf:type, owl:InverseFunctionalProperty) T(?x1, ?p, ?y) T(?x2, ?p, ?y)
    -> T(?x1, owl:sameAs, ?x2).
    """
    found = says(":p a owl:InverseFunctionalProperty .", ":a :p :b . :c :p :b . :d :p :e .")
    assert found.entails(":a owl:sameAs :c .")
    assert not found.entails(":a owl:sameAs :d .")


def test_prp_irp(says, turtle):
    """T(?p, rdf:type, owl:IrreflexiveProperty) T(?x, ?p, ?x) -> false."""
    found = says(":p a owl:IrreflexiveProperty .", ":a :p :a . :b :p :a .")
    assert found.clashes == ["prp-irp"]
    assert found.clash_facts() == set(turtle(":a :p :a ."))


def test_prp_symp(says):
    """T(?p, rdf:type, owl:SymmetricProperty) T(?x, ?p, ?y) -> T(?y, ?p, ?x)."""
    found = says(":p a owl:SymmetricProperty .", ":a :p :b .")
    assert found.entails(":b :p :a .")
    assert len(found.closure.inferred) == 1


def test_prp_asyp(says, turtle):
    """T(?p, rdf:type, owl:AsymmetricProperty) T(?x, ?p, ?y) T(?y, ?p, ?x) -> false."""
    found = says(":p a owl:AsymmetricProperty .", ":a :p :b . :b :p :a . :b :p :c .")
    assert found.clashes == ["prp-asyp"]
    assert found.clash_facts() == set(turtle(":a :p :b . :b :p :a ."))


def test_prp_trp(says):
    """T(?p, rdf:type, owl:TransitiveProperty) T(?x, ?p, ?y) T(?y, ?p, ?z) -> T(?x, ?p, ?z)."""
    found = says(":p a owl:TransitiveProperty .", ":a :p :b . :b :p :c . :c :p :d .")
    assert found.entails(":a :p :c , :d . :b :p :d .")
    assert len(found.closure.inferred) == 3


def test_prp_symp_and_prp_trp_together(says):
    """A symmetric and transitive property joins everything in a component, itself included."""
    schema = ":p a owl:SymmetricProperty , owl:TransitiveProperty ."
    found = says(schema, ":a :p :b . :c :p :b . :d :p :e .")
    assert found.entails(":a :p :a , :c . :c :p :a , :c . :b :p :a , :b , :c . :e :p :d , :e .")
    assert not found.entails(":a :p :d .")
    assert len(found.closure.inferred) == 7 + 3


def test_prp_spo1(says):
    """T(?p1, rdfs:subPropertyOf, ?p2) T(?x, ?p1, ?y) -> T(?x, ?p2, ?y)."""
    found = says(":p rdfs:subPropertyOf :q . :q rdfs:subPropertyOf :r .", ":a :p :b , 'text' .")
    assert found.entails(":a :q :b , 'text' ; :r :b , 'text' .")


def test_prp_spo2(says):
    """T(?p, owl:propertyChainAxiom, ?x) LIST[?x, ?p1, ..., ?pn] T(?u1, ?p1, ?u2) ...
    T(?un, ?pn, ?un+1) -> T(?u1, ?p, ?un+1).
    """
    found = says(
        ":p owl:propertyChainAxiom ( :q :r :s ) .",
        ":a :q :b . :b :r :c . :c :s :d . :b :s :e .",
    )
    assert found.entails(":a :p :d .")
    assert len(found.closure.inferred) == 1


def test_prp_eqp1(says):
    """T(?p1, owl:equivalentProperty, ?p2) T(?x, ?p1, ?y) -> T(?x, ?p2, ?y)."""
    found = says(":p owl:equivalentProperty :q .", ":a :p :b .")
    assert found.entails(":a :q :b .")
    assert found.by(":a :q :b .") == "prp-eqp1"


def test_prp_eqp2(says):
    """T(?p1, owl:equivalentProperty, ?p2) T(?x, ?p2, ?y) -> T(?x, ?p1, ?y)."""
    found = says(":p owl:equivalentProperty :q .", ":a :q :b .")
    assert found.entails(":a :p :b .")
    assert found.by(":a :p :b .") == "prp-eqp2"


def test_prp_pdw(says, turtle):
    """T(?p1, owl:propertyDisjointWith, ?p2) T(?x, ?p1, ?y) T(?x, ?p2, ?y) -> false."""
    found = says(":p owl:propertyDisjointWith :q .", ":a :p :b ; :q :b , :c .")
    assert found.clashes == ["prp-pdw"]
    assert found.clash_facts() == set(turtle(":a :p :b ; :q :b ."))


def test_prp_adp(says):
    """T(?x, rdf:type, owl:AllDisjointProperties) T(?x, owl:members, ?y) LIST[?y, ?p1, ..., ?pn]
    T(?u, ?pi, ?v) T(?u, ?pj, ?v) -> false, for each 1 <= i < j <= n.
    """
    schema = "[] a owl:AllDisjointProperties ; owl:members ( :p :q :r ) ."
    for facts in (":a :p :b ; :q :b .", ":a :p :b ; :r :b .", ":a :q :b ; :r :b ."):
        assert says(schema, facts).clashes == ["prp-adp"]
    assert says(schema, ":a :p :b ; :q :c ; :r :d .").clashes == []


def test_prp_inv1(says):
    """T(?p1, owl:inverseOf, ?p2) T(?x, ?p1, ?y) -> T(?y, ?p2, ?x)."""
    found = says(":p owl:inverseOf :q .", ":a :p :b , 'text' .")
    assert found.entails(":b :q :a .")
    assert len(found.closure.inferred) == 1


def test_prp_inv2(says):
    """T(?p1, owl:inverseOf, ?p2) T(?x, ?p2, ?y) -> T(?y, ?p1, ?x)."""
    assert says(":p owl:inverseOf :q .", ":a :q :b .").entails(":b :p :a .")


def test_prp_inv_of_a_nameless_inverse(says):
    """An inverse without a name, used in a restriction, is the named property turned round."""
    schema = """:A rdfs:subClassOf [ a owl:Restriction ; owl:allValuesFrom :B ;
                                     owl:onProperty [ owl:inverseOf :p ] ] ."""
    assert says(schema, ":a a :A . :b :p :a .").entails(":b a :B .")


def test_prp_key(says):
    """T(?c, owl:hasKey, ?u) LIST[?u, ?p1, ..., ?pn] T(?x, rdf:type, ?c) T(?x, ?p1, ?z1) ...
    T(?x, ?pn, ?zn) T(?y, rdf:type, ?c) T(?y, ?p1, ?z1) ... T(?y, ?pn, ?zn)
    -> T(?x, owl:sameAs, ?y).
    """
    found = says(
        ":C owl:hasKey ( :p :q ) .",
        """:a a :C ; :p 1 ; :q 'x' . :b a :C ; :p 1 ; :q 'x' . :c a :C ; :p 1 ; :q 'y' .
           :d :p 1 ; :q 'x' .""",
    )
    assert found.entails(":a owl:sameAs :b .")
    assert len(found.closure.inferred) == 2


def test_prp_npa1(says):
    """T(?x, owl:sourceIndividual, ?i1) T(?x, owl:assertionProperty, ?p)
    T(?x, owl:targetIndividual, ?i2) T(?i1, ?p, ?i2) -> false.
    """
    schema = """[] owl:sourceIndividual :a ; owl:assertionProperty :p ;
                   owl:targetIndividual :b ."""
    assert says(schema, ":a :p :b .").clashes == ["prp-npa1"]
    assert says(schema, ":a :p :c .").clashes == []


def test_prp_npa2(says):
    """T(?x, owl:sourceIndividual, ?i) T(?x, owl:assertionProperty, ?p)
    T(?x, owl:targetValue, ?lt) T(?i, ?p, ?lt) -> false.
    """
    schema = "[] owl:sourceIndividual :a ; owl:assertionProperty :p ; owl:targetValue 'x' ."
    assert says(schema, ":a :p 'x' .").clashes == ["prp-npa2"]
    assert says(schema, ":a :p 'y' .").clashes == []
