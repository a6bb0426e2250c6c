"""Values of literals, by XML Schema 1.1, part 2: section 3.3 (primitive), 3.4 (derived) datatypes."""

import pytest
from rdflib import Literal, URIRef
from rdflib.namespace import XSD

from glost.reason.literals import in_value_space, same_value


def literal(text: str, kind: str = "") -> Literal:
    """Make a literal as it is written; ``@en`` for a language."""
    if kind.startswith("@"):
        return Literal(text, lang=kind[1:])
    return Literal(text, datatype=XSD[kind] if kind else None, normalize=False)


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        (("7", "integer"), ("007", "integer"), True),
        (("7", "integer"), ("7.0", "decimal"), True),  # integer is derived from decimal
        (("7", "int"), ("7", "nonNegativeInteger"), True),
        (("7", "integer"), ("8", "integer"), False),
        (("7", "integer"), ("7", "double"), False),  # value spaces of primitives are disjoint
        (("7", "integer"), ("7", "string"), False),
        (("x", "integer"), ("x", "integer"), True),  # one literal
        (("x", "integer"), ("y", "integer"), False),
        (("Ulme", "@de"), ("Ulme", "@de"), True),
        (("Ulme", "@de"), ("Ulme", "@en"), False),
        (("Ulme", "@de"), ("Ulme", ""), False),
        (("true", "boolean"), ("1", "boolean"), True),
    ],
)
def test_what_means_the_same(one: tuple[str, str], other: tuple[str, str], same: bool) -> None:
    assert same_value(literal(*one), literal(*other)) is same
    assert same_value(literal(*other), literal(*one)) is same


@pytest.mark.parametrize(
    ("given", "datatype", "within"),
    [
        (("255", "integer"), "unsignedByte", True),
        (("256", "integer"), "unsignedByte", False),
        (("-128", "integer"), "byte", True),
        (("-129", "integer"), "byte", False),
        (("0", "integer"), "nonNegativeInteger", True),
        (("0", "integer"), "positiveInteger", False),
        (("7.0", "decimal"), "integer", True),
        (("7.5", "decimal"), "integer", False),
        (("7.5", "decimal"), "decimal", True),
        (("seven", "integer"), "integer", False),
        (("seven", "integer"), "decimal", False),
        (("7", "string"), "integer", False),
        (("7", ""), "integer", False),
        (("7", "integer"), "string", False),
        (("a word", ""), "string", True),
        (("word", "token"), "string", True),
        (("Wort", "@de"), "string", False),
        (("1.5", "double"), "float", False),
        (("1908", "gYear"), "gYear", True),
        (("7", "integer"), "hexBinary", True),  # nothing is known of that one
    ],
)
def test_what_is_of_a_datatype(given: tuple[str, str], datatype: str, within: bool) -> None:
    assert in_value_space(literal(*given), XSD[datatype]) is within


def test_things_are_the_same_only_as_they_are() -> None:
    assert same_value(URIRef("urn:a"), URIRef("urn:a"))
    assert not same_value(URIRef("urn:a"), literal("urn:a"))
