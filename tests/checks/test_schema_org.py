"""What pages tell in schema.org's terms is of the classes and properties that it has.

``schema_org_terms.tsv`` (schema.org's own definition files) gives of each class those above it, of
each property the classes that it is of and those of its values.
"""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from glost.publish.data.facts import PublishedFile
from glost.publish.site.frame import PageFrame
from glost.publish.site.holdings import SiteContents
from glost.publish.site.schema_org import dataset, schema

TERMS = Path(__file__).with_name("schema_org_terms.tsv")
TEXTS = {"Text", "URL", "Date", "DateTime", "Number"}
Json = dict[str, Any]


def terms() -> tuple[dict[str, set[str]], dict[str, tuple[set[str], set[str]]]]:
    lines = [each for each in TERMS.read_text(encoding="utf-8").splitlines() if each[0] != "#"]
    rows = [each.split("\t") for each in lines]
    classes = {name: set(above.split()) for kind, name, above, _ in rows if kind == "class"}
    properties = {
        name: (set(of.split()), set(values.split()))
        for kind, name, of, values in rows
        if kind == "property"
    }
    return classes, properties


CLASSES, PROPERTIES = terms()


def wrong(node: Json) -> Iterator[str]:
    """Say what of a node is not as schema.org has it."""
    kind = node["@type"]
    if kind not in CLASSES:
        yield f"there is no {kind}"
        return
    for key, values in node.items():
        if key.startswith("@"):
            continue
        if key not in PROPERTIES:
            yield f"there is no {key}"
            continue
        domains, ranges = PROPERTIES[key]
        if CLASSES[kind].isdisjoint(domains):
            yield f"{key} is not of {kind}"
        for value in values if isinstance(values, list) else [values]:
            if isinstance(value, dict):
                if CLASSES.get(value["@type"], set()).isdisjoint(ranges):
                    yield f"{key} leads to no {value['@type']}"
                yield from wrong(value)
            elif ranges.isdisjoint({"Boolean"} if isinstance(value, bool) else TEXTS):
                yield f"{key} is not {value!r}"


def read(markup: str) -> Json:
    told: Json = json.loads(markup)
    assert told["@context"] == {"@vocab": "https://schema.org/"}
    return told


def test_every_thing_is_told_in_terms_that_there_are(valley_held: SiteContents) -> None:
    kinds = set()
    for iri in valley_held.things:
        told = read(schema(valley_held, iri))
        assert list(wrong(told)) == [], iri
        kinds.add(told["@type"])
    assert {"IndividualProduct", "ProductGroup", "ProductModel", "Organization"} <= kinds


def test_a_plate_is_a_product_of_its_maker(valley_held: SiteContents) -> None:
    """The first row of the example's pieces, read by eye."""
    told = read(
        schema(valley_held, "https://example.org/wend/piece/wv-001", ["https://e.org/1.png"])
    )
    assert told["@type"] == "IndividualProduct"
    assert told["image"] == ["https://e.org/1.png"]
    (maker,), (shape,) = told["manufacturer"], told["isVariantOf"]
    assert maker["@id"].startswith("https://example.org/wend/pottery/")
    assert shape["@id"].startswith("https://example.org/wend/shape/")
    assert isinstance(told["category"][0], str)


def test_the_collection_is_a_data_set_with_its_files(valley_held: SiteContents) -> None:
    files = [PublishedFile.of("data/dataset.nq", b"")]
    told = read(dataset(valley_held, PageFrame.of(valley_held), files))
    assert list(wrong(told)) == []
    assert told["distribution"][0]["contentUrl"] == "https://example.org/wend/data/dataset.nq"
    for key in ("license", "publisher", "temporalCoverage", "keywords", "spatialCoverage"):
        assert told[key]


@pytest.mark.parametrize(
    ("node", "told"),
    [
        ({"@type": "Plate"}, "there is no Plate"),
        ({"@type": "Person", "manufacturer": {"@type": "Organization"}}, "manufacturer is not of Person"),
        ({"@type": "Product", "manufacturer": "Fell"}, "manufacturer is not 'Fell'"),
        ({"@type": "Product", "glaze": "blue"}, "there is no glaze"),
    ],
)  # fmt: skip
def test_what_schema_org_has_not_is_found(node: Json, told: str) -> None:
    assert told in list(wrong(node))
