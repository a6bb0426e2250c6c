"""Claims on page images are Web Annotations that the W3C's own tests let through.

``web_annotation_musts.json``: the JSON schemas of the Web Annotation test suite for what an
annotation must have; each says whether it is to be met. ``web_annotation_context.jsonld``: the
JSON-LD context of the recommendation (github w3c/web-annotation). Libraries: jsonschema, PyLD.
"""

import copy
import json
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft4Validator
from PIL import Image
from pyld import jsonld
from rdflib import Graph, URIRef
from rdflib.namespace import RDF
from referencing import Registry
from referencing.jsonschema import DRAFT4

from glost.answer.snapshot import Snapshot
from glost.names import EXIF, OA
from glost.publish.data.annotations import CONTEXT, annotations_file
from glost.publish.site.frame import PageFrame
from glost.publish.site.holdings import SiteContents
from glost.publish.site.images import Images
from glost.record.terms import quad

HERE = Path(__file__).parent
Json = dict[str, Any]


def checks() -> dict[str, tuple[Draft4Validator, bool]]:
    """Return each assertion, and whether an annotation is to be valid by it."""
    told = json.loads((HERE / "web_annotation_musts.json").read_text(encoding="utf-8"))
    registry: Registry[Any] = Registry().with_resources(
        (name, DRAFT4.create_resource(schema)) for name, schema in told["definitions"].items()
    )
    return {
        name: (Draft4Validator(schema, registry=registry), schema["expectedResult"] == "valid")
        for name, schema in told["assertions"].items()
    }


CHECKS = checks()


def broken(annotation: Json) -> list[str]:
    return [name for name, (check, valid) in CHECKS.items() if check.is_valid(annotation) != valid]


@pytest.fixture(scope="module")
def page(valley_held: SiteContents) -> Json:
    files = dict(annotations_file(valley_held, PageFrame.of(valley_held), Images(valley_held)))
    return json.loads(files["data/annotations.jsonld"])


def test_every_annotation_has_what_it_must(page: Json) -> None:
    assert len(CHECKS) > 40
    assert len(page["items"]) > 100
    for item in page["items"][::20]:
        assert broken({"@context": CONTEXT, **item}) == []


@pytest.mark.parametrize("key", ["id", "type", "target"])
def test_what_lacks_is_found(page: Json, key: str) -> None:
    item = copy.deepcopy(page["items"][0])
    del item[key]
    assert broken({"@context": CONTEXT, **item})


def test_targets_are_images_with_a_selector_within_them(
    page: Json, valley_held: SiteContents
) -> None:
    """Expanded by another library, each target's source is a file that is as large as it says."""
    context = json.loads((HERE / "web_annotation_context.jsonld").read_text(encoding="utf-8"))
    expanded = jsonld.expand({**page, "@context": context["@context"]})
    told = (
        expanded[0]["https://www.w3.org/ns/activitystreams#items"][0]["@list"]
        if ("https://www.w3.org/ns/activitystreams#items" in expanded[0])
        else expanded[0]["http://www.w3.org/ns/activitystreams#items"][0]["@list"]
    )
    assert len(told) == len(page["items"])
    sizes: dict[str, tuple[int, int]] = {}
    for each in told:
        (target,) = each[f"{OA}hasTarget"]
        (image,), (selector,) = target[f"{OA}hasSource"], target[f"{OA}hasSelector"]
        assert image["@type"] == ["http://purl.org/dc/dcmitype/StillImage"]
        assert "/images/" in image["@id"]
        file = valley_held.snapshot.path / image["@id"].removeprefix(valley_held.base)
        if str(file) not in sizes:
            with Image.open(file) as opened:
                sizes[str(file)] = opened.size
        size = tuple(image[str(EXIF) + way][0]["@value"] for way in ("width", "height"))
        assert size == sizes[str(file)]
        value = selector["http://www.w3.org/1999/02/22-rdf-syntax-ns#value"][0]["@value"]
        x, y, w, h = map(int, value.removeprefix("xywh=").split(","))
        assert x + w <= size[0] and y + h <= size[1]


def test_every_region_that_claims_cite_is_annotated(page: Json, valley_held: SiteContents) -> None:
    claims = {str(c.iri) for c in valley_held.claims if "xywh=" in c.passage.region}
    assert {item["body"][0]["id"] for item in page["items"]} == claims


def annotated(page: Json) -> set[tuple[str, str, int, int]]:
    """Return image, region and size of each annotation's target."""
    targets = [item["target"] for item in page["items"]]
    return {
        (each["source"]["id"], each["selector"]["value"],
         each["source"][f"{EXIF}width"], each["source"][f"{EXIF}height"])
        for each in targets
    }  # fmt: skip


def test_passages_of_the_record_are_targets_too(valley: Snapshot, page: Json) -> None:
    """Compacted by another library, a passage of the record's own graph is what a target must be.

    Its image, size and selector are those of the annotation of the same region.
    """
    context = json.loads((HERE / "web_annotation_context.jsonld").read_text(encoding="utf-8"))
    graph = Graph()
    for triple in valley.contents.record:
        if "/passage/" in triple[0] or "/images/" in triple[0]:
            graph.add(triple)
    known = annotated(page)
    boxes = sorted(each for each in graph.subject_objects(RDF.value) if "xywh=" in each[1])
    for selector, box in boxes:
        passage = graph.value(None, OA.hasSelector, selector)
        image = graph.value(passage, OA.hasSource)
        width, height = (int(graph.value(image, EXIF[each])) for each in ("width", "height"))
        assert (str(image), str(box), width, height) in known
        known.discard((str(image), str(box), width, height))
    assert known == set()
    annotation = URIRef("urn:example:annotation")
    lines = [(annotation, RDF.type, OA.Annotation), (annotation, OA.hasTarget, passage)]
    lines += [t for node in (passage, selector, image) for t in graph.triples((node, None, None))]
    told = jsonld.from_rdf("\n".join(f"{quad(each, None)} ." for each in lines))
    frame = {"@type": str(OA.Annotation), "@context": context["@context"]}
    made = jsonld.frame(told, frame)
    assert made["target"]["source"]["type"] == "Image"
    assert made["target"]["selector"]["value"] == str(box)
    assert broken({**made, "@context": CONTEXT}) == []
