"""What the vocabulary's axioms do: what follows from them, what does not, and what clashes.

Each file states its case in its first line; ``<then>`` names the graph that follows, or does not.
"""

from functools import cache
from pathlib import Path

import owlrl
import pytest
from rdflib import Dataset, Graph, URIRef

from glost.data import folder

HERE = Path(__file__).parent
FOLLOWS = sorted((HERE / "follows").glob("*.trig"))
DOES_NOT_FOLLOW = sorted((HERE / "does_not_follow").glob("*.trig"))
CLASHES = sorted((HERE / "clashes").glob("*.trig"))


BASE = "http://example.org/"


def read(path: Path) -> tuple[Graph, Graph]:
    """Return what a file states and its ``<then>``, in a namespace of the file's own."""
    text = path.read_text(encoding="utf-8").replace(
        f"@base <{BASE}>", f"@base <{BASE}{path.stem}/>"
    )
    case = Dataset()
    case.parse(data=text, format="trig")
    given = Graph()
    for triple in case.default_graph:
        given.add(triple)
    assert len(given)
    return given, case.graph(URIRef(f"{BASE}{path.stem}/then"))


@cache
def closed(paths: tuple[Path, ...]) -> tuple[Graph, list[str]]:
    """Close what several files state at once; return the closure and the contradictions."""
    graph = Graph().parse(folder("ontology") / "glost.ttl")
    for path in paths:
        graph += read(path)[0]
    closure = owlrl.OWLRL_Semantics(graph, axioms=False, daxioms=False, rdfs=False)
    closure.closure()
    return graph, closure.error_messages


def test_every_glob_finds_files() -> None:
    assert (len(FOLLOWS), len(DOES_NOT_FOLLOW), len(CLASHES)) == (16, 7, 16)


def test_what_follows_is_no_contradiction() -> None:
    assert closed((*FOLLOWS, *DOES_NOT_FOLLOW))[1] == []


@pytest.mark.parametrize("path", FOLLOWS, ids=lambda path: path.stem)
def test_it_follows(path: Path) -> None:
    graph = closed((*FOLLOWS, *DOES_NOT_FOLLOW))[0]
    expected = read(path)[1]
    assert len(expected)
    assert [triple for triple in sorted(expected) if triple not in graph] == []


@pytest.mark.parametrize("path", DOES_NOT_FOLLOW, ids=lambda path: path.stem)
def test_it_does_not_follow(path: Path) -> None:
    graph = closed((*FOLLOWS, *DOES_NOT_FOLLOW))[0]
    unwanted = read(path)[1]
    assert len(unwanted)
    assert [triple for triple in sorted(unwanted) if triple in graph] == []


@pytest.mark.parametrize("path", CLASHES, ids=lambda path: path.stem)
def test_it_clashes(path: Path) -> None:
    assert [error for error in closed(tuple(CLASHES))[1] if f"{BASE}{path.stem}/" in error]
