"""W3C, OWL 2 Profiles (Second Edition), table 6: the semantics of classes.

https://www.w3.org/TR/owl2-profiles/#Reasoning_in_OWL_2_RL_and_RDF_Graphs_using_Rules
Left out on purpose are cls-thing and cls-nothing1, which say nothing about the facts.
"""


def restriction(inside: str) -> str:
    """Return a schema where :R is what a restriction on :p describes."""
    return f":R owl:equivalentClass [ a owl:Restriction ; owl:onProperty :p ; {inside} ] ."


def test_cls_nothing2(says, turtle):
    """T(?x, rdf:type, owl:Nothing) -> false."""
    found = says(":C rdfs:subClassOf owl:Nothing .", ":a a :C .")
    assert found.clashes == ["cls-nothing2"]
    assert found.clash_facts() == set(turtle(":a a owl:Nothing ."))


def test_cls_int1(says):
    """T(?c, owl:intersectionOf, ?x) LIST[?x, ?c1, ..., ?cn] T(?y, rdf:type, ?c1) ...
    T(?y, rdf:type, ?cn) -> T(?y, rdf:type, ?c).
    """
    found = says(":C owl:intersectionOf ( :A :B ) .", ":a a :A , :B . :b a :A .")
    assert found.entails(":a a :C .")
    assert len(found.closure.inferred) == 1


def test_cls_int2(says):
    """T(?c, owl:intersectionOf, ?x) LIST[?x, ?c1, ..., ?cn] T(?y, rdf:type, ?c)
    -> T(?y, rdf:type, ?c1) ... T(?y, rdf:type, ?cn).
    """
    found = says(":C owl:intersectionOf ( :A :B ) .", ":a a :C .")
    assert found.entails(":a a :A , :B .")
    assert found.by(":a a :A .") == "cls-int2"


def test_cls_uni(says):
    """T(?c, owl:unionOf, ?x) LIST[?x, ?c1, ..., ?cn] T(?y, rdf:type, ?ci)
    -> T(?y, rdf:type, ?c).
    """
    found = says(":C owl:unionOf ( :A :B ) .", ":a a :A . :b a :B .")
    assert found.entails(":a a :C . :b a :C .")
    assert found.by(":a a :C .") == "cls-uni"


def test_cls_com(says, turtle):
    """T(?c1, owl:complementOf, ?c2) T(?x, rdf:type, ?c1) T(?x, rdf:type, ?c2) -> false."""
    found = says(":C owl:complementOf :D .", ":a a :C , :D . :b a :C .")
    assert found.clashes == ["cls-com"]
    assert found.clash_facts() == set(turtle(":a a :C , :D ."))


def test_cls_svf1(says):
    """T(?x, owl:someValuesFrom, ?y) T(?x, owl:onProperty, ?p) T(?u, ?p, ?v)
    T(?v, rdf:type, ?y) -> T(?u, rdf:type, ?x).
    """
    found = says(restriction("owl:someValuesFrom :C"), ":a :p :b . :b a :C . :c :p :d .")
    assert found.entails(":a a :R .")
    assert len(found.closure.inferred) == 1


def test_cls_svf2(says):
    """T(?x, owl:someValuesFrom, owl:Thing) T(?x, owl:onProperty, ?p) T(?u, ?p, ?v)
    -> T(?u, rdf:type, ?x).
    """
    assert says(restriction("owl:someValuesFrom owl:Thing"), ":a :p :b .").entails(":a a :R .")


def test_cls_avf(says):
    """T(?x, owl:allValuesFrom, ?y) T(?x, owl:onProperty, ?p) T(?u, rdf:type, ?x)
    T(?u, ?p, ?v) -> T(?v, rdf:type, ?y).
    """
    found = says(restriction("owl:allValuesFrom :C"), ":a a :R ; :p :b . :c :p :d .")
    assert found.entails(":b a :C .")
    assert len(found.closure.inferred) == 1


def test_cls_hv1(says):
    """T(?x, owl:hasValue, ?y) T(?x, owl:onProperty, ?p) T(?u, rdf:type, ?x) -> T(?u, ?p, ?y)."""
    assert says(restriction("owl:hasValue :v"), ":a a :R .").entails(":a :p :v .")
    assert says(restriction("owl:hasValue 'v'"), ":a a :R .").entails(":a :p 'v' .")


def test_cls_hv2(says):
    """T(?x, owl:hasValue, ?y) T(?x, owl:onProperty, ?p) T(?u, ?p, ?y) -> T(?u, rdf:type, ?x)."""
    found = says(restriction("owl:hasValue :v"), ":a :p :v . :b :p :w .")
    assert found.entails(":a a :R .")
    assert len(found.closure.inferred) == 1


def test_cls_maxc1(says, turtle):
    """T(?x, owl:maxCardinality, "0"^^xsd:nonNegativeInteger) T(?x, owl:onProperty, ?p)
    T(?u, rdf:type, ?x) T(?u, ?p, ?y) -> false.
    """
    schema = ":p a owl:ObjectProperty . :R a owl:Restriction ; owl:onProperty :p ;"
    schema += " owl:maxCardinality '0'^^xsd:nonNegativeInteger ."
    found = says(schema, ":a a :R ; :p :b . :c :p :b .")
    assert found.clashes == ["cls-maxc1"]
    assert found.clash_facts() == set(turtle(":a a :R ; :p :b ."))


def test_cls_maxc2(says):
    """T(?x, owl:maxCardinality, "1"^^xsd:nonNegativeInteger) T(?x, owl:onProperty, ?p)
    T(?u, rdf:type, ?x) T(?u, ?p, ?y1) T(?u, ?p, ?y2) -> T(?y1, owl:sameAs, ?y2).
    """
    schema = restriction("owl:maxCardinality '1'^^xsd:nonNegativeInteger")
    found = says(schema, ":a a :R ; :p :b , :c . :d :p :e , :f .")
    assert found.entails(":b owl:sameAs :c .")
    assert len(found.closure.inferred) == 2
    assert says(schema, ":a a :R ; :p 'b' , 'c' .").clashes == ["cls-maxc2"]


def test_cls_maxqc1(says):
    """T(?x, owl:maxQualifiedCardinality, "0"^^xsd:nonNegativeInteger)
    T(?x, owl:onProperty, ?p) T(?x, owl:onClass, ?c) T(?u, rdf:type, ?x) T(?u, ?p, ?y)
    T(?y, rdf:type, ?c) -> false.
    """
    schema = restriction("owl:maxQualifiedCardinality 0 ; owl:onClass :C")
    assert says(schema, ":a a :R ; :p :b . :b a :C .").clashes == ["cls-maxqc1"]
    assert says(schema, ":a a :R ; :p :b .").clashes == []


def test_cls_maxqc2(says):
    """T(?x, owl:maxQualifiedCardinality, "0"^^xsd:nonNegativeInteger)
    T(?x, owl:onProperty, ?p) T(?x, owl:onClass, owl:Thing) T(?u, rdf:type, ?x)
    T(?u, ?p, ?y) -> false.
    """
    schema = restriction("owl:maxQualifiedCardinality 0 ; owl:onClass owl:Thing")
    assert says(schema, ":a a :R ; :p :b .").clashes == ["cls-maxqc2"]


def test_cls_maxqc3(says):
    """T(?x, owl:maxQualifiedCardinality, "1"^^xsd:nonNegativeInteger)
    T(?x, owl:onProperty, ?p) T(?x, owl:onClass, ?c) T(?u, rdf:type, ?x) T(?u, ?p, ?y1)
    T(?y1, rdf:type, ?c) T(?u, ?p, ?y2) T(?y2, rdf:type, ?c) -> T(?y1, owl:sameAs, ?y2).
    """
    schema = restriction("owl:maxQualifiedCardinality 1 ; owl:onClass :C")
    found = says(schema, ":a a :R ; :p :b , :c , :d . :b a :C . :c a :C .")
    assert found.entails(":b owl:sameAs :c .")
    assert not found.entails(":b owl:sameAs :d .")


def test_cls_maxqc4(says):
    """T(?x, owl:maxQualifiedCardinality, "1"^^xsd:nonNegativeInteger)
    T(?x, owl:onProperty, ?p) T(?x, owl:onClass, owl:Thing) T(?u, rdf:type, ?x)
    T(?u, ?p, ?y1) T(?u, ?p, ?y2) -> T(?y1, owl:sameAs, ?y2).
    """
    schema = restriction("owl:maxQualifiedCardinality 1 ; owl:onClass owl:Thing")
    assert says(schema, ":a a :R ; :p :b , :c .").entails(":b owl:sameAs :c .")


def test_cls_oo(says):
    """T(?c, owl:oneOf, ?x) LIST[?x, ?y1, ..., ?yn] -> T(?y1, rdf:type, ?c) ..."""
    found = says(":C owl:oneOf ( :a :b ) .", ":a :p :c .")
    assert found.entails(":a a :C . :b a :C .")
    assert found.by(":a a :C .") == "cls-oo"
