"""The vocabulary and its alignments keep within OWL 2 RL, and close without a contradiction."""

from functools import cache
from pathlib import Path

import owlrl
import pytest
from rdflib import Graph
from rdflib.namespace import OWL, RDF

from glost.data import folder

from .owl2rl_profile import composite, violations

HERE = Path(__file__).parent
ONTOLOGY = folder("ontology")
ALIGNMENTS = sorted((ONTOLOGY / "alignments").glob("*.ttl"))
SCHEMES = sorted((ONTOLOGY / "schemes").glob("*.ttl"))
INSIDE = sorted((HERE / "profile" / "inside").glob("*.ttl"))
OUTSIDE = sorted((HERE / "profile" / "outside").glob("*.ttl"))


@cache
def parsed(path: Path) -> Graph:
    return Graph().parse(path, format="turtle")


def read(*paths: Path) -> Graph:
    graph = Graph()
    for path in paths:
        graph += parsed(path)
    return graph


def test_every_glob_finds_files() -> None:
    assert len(ALIGNMENTS) == 5
    assert len(SCHEMES) == 21
    assert len(INSIDE) == 10
    assert len(OUTSIDE) == 27


@pytest.mark.parametrize("path", INSIDE, ids=lambda path: path.stem)
def test_the_checker_lets_pass(path: Path) -> None:
    assert violations(read(path)) == []


@pytest.mark.parametrize("path", OUTSIDE, ids=lambda path: path.stem)
def test_the_checker_finds(path: Path) -> None:
    assert len(violations(read(path))) == 1


def test_the_vocabulary_is_in_the_profile() -> None:
    assert violations(read(ONTOLOGY / "glost.ttl")) == []


@pytest.mark.parametrize("path", ALIGNMENTS, ids=lambda path: path.stem)
def test_an_alignment_is_in_the_profile(path: Path) -> None:
    """Alone, and together with the vocabulary, since a chain there can undo a property here."""
    assert violations(read(path)) == []
    assert violations(read(ONTOLOGY / "glost.ttl", path)) == []


def test_the_vocabulary_has_properties_that_are_not_simple() -> None:
    graph = read(ONTOLOGY / "glost.ttl")
    assert len(composite(graph)) >= 8
    assert not composite(graph) & {*graph.subjects(RDF.type, OWL.AsymmetricProperty)}


def test_the_closure_has_no_contradiction() -> None:
    """With all alignments at once: what some of them contradict in, all of them do."""
    graph = read(ONTOLOGY / "glost.ttl", *ALIGNMENTS)
    stated = len(graph)
    closure = owlrl.OWLRL_Semantics(graph, axioms=False, daxioms=False, rdfs=False)
    closure.closure()
    assert closure.error_messages == []
    assert len(graph) > stated
