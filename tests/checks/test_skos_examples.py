"""The 51 examples of the SKOS Reference that say whether they are consistent.

Source: SKOS Simple Knowledge Organization System Reference, W3C Recommendation 18 August 2009,
sections 3 to 10, by number; standing in ``skos/README.md``.
"""

from pathlib import Path

import owlrl
import pyshacl
import pytest
from rdflib import Graph

from glost.data import folder, vocabulary

HERE = Path(__file__).parent / "skos"
CONSISTENT = sorted((HERE / "consistent").glob("*.ttl"))
INCONSISTENT = sorted((HERE / "inconsistent").glob("*.ttl"))
BEYOND_OWL = "example-12"
"""S14, one preferred label for each language, cannot be said in OWL."""


@pytest.fixture(scope="module")
def shapes() -> Graph:
    return Graph().parse(folder("shapes_shacl") / "skos.ttl")


def conforms(data: Graph, shapes: Graph) -> bool:
    return pyshacl.validate(data, shacl_graph=shapes, inference="none", advanced=False)[0]


def clashes(data: Graph) -> list[str]:
    """Close the example with the SKOS data model under OWL 2 RL; return the contradictions."""
    graph = Graph().parse(HERE / "model.ttl")
    graph += data
    closure = owlrl.OWLRL_Semantics(graph, axioms=False, daxioms=False, rdfs=False)
    closure.closure()
    return closure.error_messages


def test_all_51_are_carried() -> None:
    assert len(CONSISTENT) == 35
    assert len(INCONSISTENT) == 16


@pytest.mark.parametrize("path", CONSISTENT, ids=lambda path: path.stem)
def test_a_consistent_example_passes(path: Path, shapes: Graph) -> None:
    data = Graph().parse(path)
    assert len(data)
    assert conforms(data, shapes)
    assert clashes(data) == []


@pytest.mark.parametrize("path", INCONSISTENT, ids=lambda path: path.stem)
def test_an_inconsistent_example_is_found(path: Path, shapes: Graph) -> None:
    data = Graph().parse(path)
    assert not conforms(data, shapes)
    assert bool(clashes(data)) == (path.stem != BEYOND_OWL)


def test_the_published_schemes_are_sound(shapes: Graph) -> None:
    data = Graph()  # pyshacl takes none that lies in the plain store
    data += vocabulary()
    assert conforms(data, shapes)


@pytest.mark.parametrize(
    "turtle",
    [
        '<x> skos:prefLabel "jug", "pitcher" .',
        "<x> a skos:ConceptScheme, skos:Concept .",
        "<x> skos:inScheme <list> . <list> skos:broader <x> .",
        "<x> skos:inScheme <group> . <group> skos:member <x> .",
        "<x> skos:exactMatch <y> . <y> skos:exactMatch <z> . <z> skos:narrowMatch <x> .",
        "<x> skos:relatedMatch <y> . <y> skos:broader <w> . <w> skos:narrowMatch <v> . "
        "<w> skos:broaderTransitive <x> .",
        "<group> a skos:Collection . <list> skos:hasTopConcept <group> .",
    ],
)
def test_what_the_examples_do_not_reach(turtle: str, shapes: Graph) -> None:
    """Integrity conditions S9, S14, S27, S37 and S46 in forms that no example shows."""
    prefix = "@prefix skos: <http://www.w3.org/2004/02/skos/core#> .\n"
    data = Graph().parse(data=prefix + turtle, format="turtle", publicID="http://example.com/ns/")
    assert not conforms(data, shapes)
