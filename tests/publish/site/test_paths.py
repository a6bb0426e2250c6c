"""Identifiers and the files that stand for them."""

from pathlib import PurePosixPath

import pytest
from hypothesis import given
from hypothesis import strategies as st

from glost.publish.site.paths import Addresses, more, other, quoted, root, stem, vocabulary_page

BASE = "https://example.org/wend/"


@pytest.mark.parametrize(
    ("rest", "expected"),
    [
        ("shape/alder", "shape/alder"),
        ("shape/alder#run", "shape/alder"),
        ("claim/0019dc53c899c98f", "claim/0019dc53c899c98f"),
        ("passage/ot-cat-1906.1a2b", "passage/ot-cat-1906.1a2b"),
        ("recorder/%C3%A9tienne", "recorder/étienne"),
        ("record", "record"),
    ],
)
def test_an_identifier_has_a_file_of_its_own_name(rest: str, expected: str) -> None:
    assert stem(BASE, BASE + rest) == expected


@pytest.mark.parametrize(
    "rest",
    [
        "shape/..%2F..%2Fetc%2Fpasswd",
        "shape/../../etc/passwd",
        "../shape/alder",
        "shape/.htaccess",
        "shape/a%00b",
        "shape/a%0Ab",
        "shape/a b",
        "shape/index",
        "shape/index-2",
        "shape/con.x",
        "shape/",
        "",
        "shape/a/b",
        "shape/alder.ttl",
        "shape/alder.html",
        "shape/%3Cscript%3E",
        "assets/style.css",
        "search/alder",
        "Shape/alder",
        "shape/" + "a" * 200,
        "shape/e%CC%81",
    ],
)
def test_an_unfit_name_has_no_file_of_its_own(rest: str) -> None:
    assert stem(BASE, BASE + rest) is None


def test_another_collection_s_identifier_has_no_file() -> None:
    assert stem(BASE, "https://example.org/other/shape/alder") is None
    assert Addresses(BASE, [BASE + "shape/alder"]).file("https://example.org/x") is None


@given(st.lists(st.text(max_size=30), max_size=8))
def test_no_two_identifiers_share_a_file_and_none_leaves_the_folder(rests: list[str]) -> None:
    iris = {(f"{BASE}shape/{rest}").partition("#")[0] for rest in rests}
    addresses = Addresses(BASE, iris)
    files = [addresses.file(iri) for iri in iris]
    assert None not in files
    assert len({file.casefold() for file in files if file}) == len(iris)
    for file in files:
        parts = PurePosixPath(str(file)).parts
        assert len(parts) == 2 and not any(part.startswith(".") for part in parts)
        assert parts[0] in ("shape", "other")


def test_another_keeper_s_things_have_pages_of_their_own() -> None:
    keepers = {"elm": "https://elm.example/", "within": f"{BASE}within/"}
    iris = [
        f"{BASE}shape/alder", "https://elm.example/shape/alder", f"{BASE}within/shape/alder",
        "https://elm.example/shape/é%2Fa",
    ]  # fmt: skip
    addresses = Addresses(BASE, iris, keepers)
    assert [addresses.file(iri) for iri in iris] == [
        "shape/alder.html", "elm.shape/alder.html", "within.shape/alder.html",
        f"{other(iris[3])}.html",
    ]  # fmt: skip
    assert addresses.exceptions == {}


def test_names_that_differ_in_capitals_alone_are_kept_apart() -> None:
    addresses = Addresses(BASE, [BASE + "shape/Alder", BASE + "shape/alder"])
    assert addresses.file(BASE + "shape/Alder") == "shape/Alder.html"
    assert addresses.file(BASE + "shape/alder", ".ttl") == other(BASE + "shape/alder") + ".ttl"
    assert list(addresses.exceptions) == [BASE + "shape/alder"]


@pytest.mark.parametrize(
    ("page", "target", "expected"),
    [
        ("index.html", "shape/alder.html", "shape/alder.html"),
        ("shape/alder.html", "shape/vellacott.html", "../shape/vellacott.html"),
        ("shape/alder.html", "index.html", "../index.html"),
        ("vocabulary/classes/Shape.html", "shape/é.html#x", "../../shape/%C3%A9.html#x"),
        ("shape/alder.html", "other/a b?.html", "../other/a%20b%3F.html"),
    ],
)
def test_links_are_relative(page: str, target: str, expected: str) -> None:
    assert root(page) + quoted(target) == expected


def test_a_long_page_goes_on_elsewhere_and_no_two_share_a_file() -> None:
    assert more("shape/alder.html", 1) == "shape/alder.html"
    files = [
        more(f"{kind}/{slug}.html", n)
        for kind in ("shape", "shape-2", "a")
        for slug in ("x", "x-2", "x.2")
        for n in (2, 3, 22)
    ]
    assert len(set(files)) == len(files)
    assert all(root(file) == "../" for file in files)


@pytest.mark.parametrize(
    ("iri", "expected"),
    [
        ("https://w3id.org/glost/ontology#Shape", "vocabulary/classes/Shape.html"),
        ("https://w3id.org/glost/ontology#ofShape", "vocabulary/properties/ofShape.html"),
        ("https://w3id.org/glost/form/nappy", "vocabulary/schemes/form.html#nappy"),
        ("https://w3id.org/glost/form", "vocabulary/schemes/form.html"),
        ("https://w3id.org/glost/topic/kilns", "vocabulary/topics/kilns.html"),
        ("https://w3id.org/glost/topic", "vocabulary/schemes/topic.html"),
        ("https://w3id.org/glost/../x", None),
        ("http://purl.org/dc/terms/title", None),
    ],
)
def test_terms_of_the_vocabulary_have_pages(iri: str, expected: str | None) -> None:
    assert vocabulary_page(iri) == expected
