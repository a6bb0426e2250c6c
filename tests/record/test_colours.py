"""Colours as things: a glaze is found by its basic colour, and the source's own words stay."""

from pathlib import Path

import pytest
from rdflib import Literal, URIRef
from rdflib.namespace import SKOS

from glost.data import vocabulary
from glost.names import GLOST, SCHEMES
from glost.record.errors import RecordErrors
from glost.record.record import read
from shelf import write

BASE = "https://example.org/shelf/"
HEAD = "glaze,pottery,name,colour,basic_colour,source,locator\n"
ROWS = (
    "moss,harrow,Moss,bluish green,green|blue,cat1908,p. 3\n"
    "slate,harrow,Slate,slate,gray,cat1908,p. 3\n"
    "rust,harrow,Rust,rust,,cat1908,p. 3\n"
)


def colour(name: str) -> URIRef:
    return URIRef(f"{SCHEMES}colour/{name}")


def test_glazes_are_found_by_colours_and_keep_the_words_of_the_source(tmp_path: Path) -> None:
    graph = read(write(tmp_path / "c", glazes=HEAD + ROWS)).believed().graph
    glazes = {name: URIRef(f"{BASE}glaze/{name}") for name in ("moss", "slate", "rust")}
    assert set(graph.subject_objects(GLOST.basicColour)) == {
        (glazes["moss"], colour("green")),
        (glazes["moss"], colour("blue")),
        (glazes["slate"], colour("grey")),
    }
    assert set(graph.subject_objects(GLOST.colour)) == {
        (glazes["moss"], Literal("bluish green")),
        (glazes["slate"], Literal("slate")),
        (glazes["rust"], Literal("rust")),
    }


def test_a_colour_that_is_not_listed_is_refused_or_added(tmp_path: Path) -> None:
    row = "sea,harrow,Sea,turquoise,turquoise,cat1908,p. 3\n"
    with pytest.raises(RecordErrors) as told:
        read(write(tmp_path / "c", glazes=HEAD + row))
    (error,) = told.value.errors
    assert (error.file, error.row, error.column) == ("tables/glazes.csv", 2, "basic_colour")
    assert "describe it in tables/terms.csv" in error.remedy
    terms = "scheme,term,name,source\ncolour,turquoise,turquoise,cat1908\n"
    folder = write(tmp_path / "own", glazes=HEAD + row, terms=terms)
    found = set(read(folder).believed().graph.objects(None, GLOST.basicColour))
    assert len(found) == 1
    assert str(*found).endswith("/turquoise")


def test_the_list_is_that_of_berlin_and_kay() -> None:
    """Brent Berlin and Paul Kay, *Basic Color Terms* (1969): eleven terms. From memory."""
    names = ("white", "black", "red", "green", "yellow", "blue", "brown", "purple", "pink",
             "orange", "grey")  # fmt: skip
    scheme = URIRef(f"{SCHEMES}colour")
    assert set(vocabulary().objects(scheme, SKOS.hasTopConcept)) == set(map(colour, names))
