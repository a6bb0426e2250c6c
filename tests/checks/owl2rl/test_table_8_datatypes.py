"""W3C, OWL 2 Profiles (Second Edition), table 8: the semantics of datatypes.

https://www.w3.org/TR/owl2-profiles/#Reasoning_in_OWL_2_RL_and_RDF_Graphs_using_Rules
Left out on purpose are dt-type1, dt-type2 and dt-eq as triples: a literal cannot be a subject.
What they lead to is tested here.
"""

import pytest


@pytest.mark.parametrize(
    ("datatype", "good", "bad"),
    [
        ("integer", ["7", "'7'^^xsd:long", "7.0"], ["'7'", "'seven'^^xsd:integer", "7.5", ":a"]),
        ("nonNegativeInteger", ["0", "7"], ["-7", "'7'"]),
        ("decimal", ["7", "7.5"], ["7.5e0", "'7.5'"]),
        ("boolean", ["true"], ["'true'", "1"]),
        ("date", ["'1912-05-01'^^xsd:date"], ["'1912-13-01'^^xsd:date", "'1912'^^xsd:gYear"]),
        ("string", ["'7'", "'7'^^xsd:token"], ["7", "'sieben'@de"]),
    ],
)
def test_dt_not_type(says, datatype, good, bad):
    """T(lt, rdf:type, dt) -> false, for each literal lt whose value is not in dt.

    Whether a literal is of a datatype follows from a range (prp-rng).  A name is no literal, and
    nothing is said about it.
    """
    schema = f":p a owl:DatatypeProperty ; rdfs:range xsd:{datatype} ."
    for value in good:
        assert says(schema, f":x :p {value} .").clashes == []
    for value in bad:
        expected = [] if value == ":a" else ["dt-not-type"]
        assert says(schema, f":x :p {value} .").clashes == expected


def test_dt_diff(says):
    """-> T(lt1, owl:differentFrom, lt2), for literals with different values."""
    schema = ":p a owl:FunctionalProperty ."
    assert says(schema, ":x :p 'cup'@en , 'cup'@fr .").clashes == ["prp-fp"]
    assert says(schema, ":x :p 1.5 , 1.50 .").clashes == []


def test_dt_eq(says):
    """-> T(lt1, owl:sameAs, lt2), for literals with the same value.

    Used where a rule equates two literals; keys and joins compare them as they are written.
    """
    assert says(":p a owl:FunctionalProperty .", ":x :p 7 , '7'^^xsd:int .").clashes == []
    found = says(":C owl:hasKey ( :p ) .", ":x a :C ; :p 7 . :y a :C ; :p '7'^^xsd:int .")
    assert len(found.closure.inferred) == 0
