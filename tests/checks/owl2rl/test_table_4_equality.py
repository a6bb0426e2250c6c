"""W3C, OWL 2 Profiles (Second Edition), table 4: the semantics of equality.

https://www.w3.org/TR/owl2-profiles/#Reasoning_in_OWL_2_RL_and_RDF_Graphs_using_Rules
Not tested is eq-ref, which is left out on purpose: nothing is told to be the same as itself.
"""


def test_eq_ref_is_left_out(says):
    """T(?s, ?p, ?o) -> T(?s, owl:sameAs, ?s), T(?p, owl:sameAs, ?p), T(?o, owl:sameAs, ?o)."""
    found = says("", ":a :p :b .")
    assert len(found.closure.inferred) == 0


def test_eq_sym(says):
    """T(?x, owl:sameAs, ?y) -> T(?y, owl:sameAs, ?x)."""
    found = says("", ":a owl:sameAs :b .")
    assert found.entails(":b owl:sameAs :a .")
    assert found.by(":b owl:sameAs :a .") == "eq-sym"


def test_eq_trans(says):
    """T(?x, owl:sameAs, ?y) T(?y, owl:sameAs, ?z) -> T(?x, owl:sameAs, ?z)."""
    found = says("", ":a owl:sameAs :b . :b owl:sameAs :c .")
    assert found.entails(":a owl:sameAs :c .")
    assert found.by(":a owl:sameAs :c .") == "eq-trans"


def test_eq_rep_s(says):
    """T(?s, owl:sameAs, ?s') T(?s, ?p, ?o) -> T(?s', ?p, ?o)."""
    found = says("", ":a owl:sameAs :b ; :p :c ; a :C .")
    assert found.entails(":b :p :c ; a :C .")
    assert found.by(":b :p :c .") == "eq-rep-s"


def test_eq_rep_p(says):
    """T(?p, owl:sameAs, ?p') T(?s, ?p, ?o) -> T(?s, ?p', ?o), for properties of the schema."""
    schema = ":p a owl:ObjectProperty . :q a owl:ObjectProperty . :p owl:sameAs :q ."
    assert says(schema, ":a :p :b .").entails(":a :q :b .")
    assert says(schema, ":a :q :b .").entails(":a :p :b .")


def test_eq_rep_p_needs_no_declaration(says):
    """The same for properties that nothing declares to be any, one at the end of a chain of names."""
    schema = ":p owl:sameAs :q . :q owl:sameAs :r . :r rdfs:range :C ."
    for one, other in ((":p", ":q"), (":q", ":p"), (":p", ":r"), (":r", ":p")):
        assert says(schema, f":a {one} :b .").entails(f":a {other} :b .")
        assert says(schema, f":a {one} 7 .").entails(f":a {other} 7 .")
    assert says(schema, ":a :p :b .").entails(":b a :C .")
    assert not says(schema, ":a :p :b .").entails(":b :p :a .")


def test_eq_rep_o_of_classes_that_nothing_declares(says):
    """T(?o, owl:sameAs, ?o') T(?s, rdf:type, ?o) -> T(?s, rdf:type, ?o')."""
    schema = ":C owl:sameAs :D ."
    assert says(schema, ":a a :C .").entails(":a a :D .")
    assert says(schema, ":a a :D .").entails(":a a :C .")


def test_eq_rep_o(says):
    """T(?o, owl:sameAs, ?o') T(?s, ?p, ?o) -> T(?s, ?p, ?o')."""
    found = says("", ":a owl:sameAs :b . :c :p :a .")
    assert found.entails(":c :p :b .")
    assert found.by(":c :p :b .") == "eq-rep-o"


def test_eq_diff1(says, turtle):
    """T(?x, owl:sameAs, ?y) T(?x, owl:differentFrom, ?y) -> false."""
    found = says("", ":a owl:sameAs :b . :a owl:differentFrom :b .")
    assert found.clashes == ["eq-diff1"]
    assert found.clash_facts() == set(turtle(":a owl:sameAs :b ; owl:differentFrom :b ."))
    assert says("", ":a owl:sameAs :b . :a owl:differentFrom :c .").clashes == []


def test_eq_diff1_after_a_rule_equates(says):
    """The same, where the sameness is inferred."""
    facts = ":a :p :b , :c . :b owl:differentFrom :c ."
    assert says(":p a owl:FunctionalProperty .", facts).clashes == ["eq-diff1"]


def test_eq_diff2(says):
    """T(?x, rdf:type, owl:AllDifferent) T(?x, owl:members, ?y) LIST[?y, ?z1, ..., ?zn]
    T(?zi, owl:sameAs, ?zj) -> false, for each 1 <= i < j <= n.
    """
    schema = "[] a owl:AllDifferent ; owl:members ( :a :b :c ) ."
    for same in (":a owl:sameAs :b .", ":b owl:sameAs :c .", ":c owl:sameAs :a ."):
        assert says(schema, same).clashes == ["eq-diff2"]
    assert says(schema, ":a owl:sameAs :d .").clashes == []


def test_eq_diff3(says):
    """T(?x, rdf:type, owl:AllDifferent) T(?x, owl:distinctMembers, ?y) LIST[?y, ?z1, ..., ?zn]
    T(?zi, owl:sameAs, ?zj) -> false, for each 1 <= i < j <= n.
    """
    schema = "[] a owl:AllDifferent ; owl:distinctMembers ( :a :b ) ."
    assert says(schema, ":b owl:sameAs :a .").clashes == ["eq-diff3"]
    assert says(schema, ":b owl:sameAs :c .").clashes == []
