"""The example's manifests against the IIIF Presentation API 3.0 (IIIF Consortium, 2020).

``iiif_presentation_3.tsv`` restates, for the classes that Glost writes, what the tables of the
specification's appendix A ("Summary of Property Requirements") call required and not allowed;
``Content`` is any content resource. Sections named below are the specification's. The second
reading is that of iiif-prezi3, whose classes are generated from the JSON schema that the
IIIF Presentation Validator uses. The schema itself is run by ``tests/clients/test_iiif_schema.py``.
"""

import copy
import csv
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import iiif_prezi3
import pytest
from pydantic import ValidationError

from glost.publish.iiif.manifests import CONTEXT, manifests
from glost.publish.site.frame import PageFrame
from glost.publish.site.holdings import SiteContents
from glost.publish.site.images import Images

EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "wend-valley"
TABLE = Path(__file__).with_name("iiif_presentation_3.tsv")
STRUCTURE = ("Collection", "Manifest", "Canvas", "Annotation", "AnnotationPage")
LANGUAGE_MAPS = ("label", "summary")
LISTS = ("items", "annotations", "metadata", "homepage", "seeAlso", "thumbnail", "provider")

Json = dict[str, Any]


@pytest.fixture(scope="module")
def written(valley_held: SiteContents) -> dict[str, Json]:
    files = manifests(valley_held, PageFrame.of(valley_held), Images(valley_held))
    return {file: json.loads(content) for file, content in files}


def parts(value: object, key: str = "") -> Iterator[tuple[str, Json]]:
    """Yield each object of a document with the property it is the value of, itself first."""
    if isinstance(value, dict):
        yield key, value
        for name, each in value.items():
            yield from parts(each, name)
    elif isinstance(value, list):
        for each in value:
            yield from parts(each, key)


def table() -> dict[str, tuple[set[str], set[str]]]:
    with TABLE.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file, delimiter="\t"))
    return {r["class"]: (set(r["required"].split()), set(r["not allowed"].split())) for r in rows}


def kind(key: str, part: Json) -> str:
    """Name the row of the table that an object goes by; nothing for a value that is no resource."""
    if part.get("type") in STRUCTURE:
        # A Collection's items are references (5.1), which need id, type and label.
        return "" if part["type"] == "Manifest" and key == "items" else part["type"]
    known = ("body", "homepage", "seeAlso", "thumbnail", "rendering")
    return "Content" if key in known and part.get("type") != "TextualBody" else ""


def wrong(document: Json) -> list[str]:
    """Say what a document breaks of appendix A and of the sections named."""
    found = []
    for key, part in parts(document):
        name = kind(key, part)
        if name:
            required, barred = table()[name]
            found += [f"{name} lacks {each}" for each in sorted(required - set(part))]
            found += [f"{name} may not have {each}" for each in sorted(barred & set(part))]
            # 3.2: id of these must be HTTP(S), and special characters encoded (6.1).
            if not re.fullmatch(r"https?://[!#-;=?-\[\]_a-z~%]+", str(part.get("id"))):
                found.append(f"{name} is identified by {part.get('id')!r}")
        if name or key in ("metadata", "requiredStatement"):
            maps = [part[each] for each in (*LANGUAGE_MAPS, "value") if each in part]
            found += [f"{each!r} is no language map" for each in maps if not language_map(each)]
        # 4.2: properties that may have several values are always arrays.
        found += [
            f"{each} is no array" for each in LISTS if not isinstance(part.get(each, []), list)
        ]
        found += [f"{each} is empty" for each in LISTS if part.get(each) == []]
        # 4.6: @context stands at the top alone.
        if ("@context" in part) != (part is document):
            found.append("@context is not at the top alone")
        if key == "homepage" and "label" not in part:
            found.append("a homepage must have a label (3.3.1)")
    ids = [part["id"] for key, part in parts(document) if kind(key, part) in STRUCTURE]
    found += [f"{each} names two things" for each in sorted(set(ids)) if ids.count(each) > 1]
    return found


def language_map(value: object) -> bool:
    """Section 4.4: languages, or none, each with an array of strings."""
    return isinstance(value, dict) and all(
        re.fullmatch(r"none|[a-z]{2,3}(-[A-Za-z0-9]+)*", language)
        and isinstance(texts, list)
        and texts
        and all(isinstance(each, str) for each in texts)
        for language, texts in value.items()
    )


def canvases(written: dict[str, Json]) -> list[Json]:
    return [
        part for each in written.values() for _, part in parts(each) if part.get("type") == "Canvas"
    ]


def test_there_is_a_manifest_of_every_source_with_images(written: dict[str, Json]) -> None:
    assert len(written) == 9
    collection = written["iiif/collection.json"]
    listed = [(each["id"], each["type"], each["label"]) for each in collection["items"]]
    rest = [each for file, each in written.items() if file != "iiif/collection.json"]
    assert listed == [(each["id"], "Manifest", each["label"]) for each in rest]
    assert {each["@context"] for each in written.values()} == {CONTEXT}


def test_property_requirements(written: dict[str, Json]) -> None:
    for file, document in written.items():
        assert wrong(document) == [], file


def test_rights(written: dict[str, Json]) -> None:
    """3.1: one of Creative Commons or RightsStatements.org; the strings there begin http."""
    pattern = (
        r"http://(creativecommons\.org/(licenses|publicdomain)|rightsstatements\.org/vocab)/.*"
    )
    rights = [each["rights"] for each in written.values() if "rights" in each]
    assert len(rights) >= 8
    assert all(re.fullmatch(pattern, each) for each in rights)


def test_a_source_has_rights_and_credit_of_its_own(written: dict[str, Json]) -> None:
    """The last rows of the example's sources; the others have the licence of the collection."""
    own = written["iiif/source/ot-cat-1909/manifest.json"]
    assert own["rights"] == "http://rightsstatements.org/vocab/NoC-US/1.0/"
    assert own["requiredStatement"]["value"] == {"none": ["Wend Valley Historical Society"]}
    other = written["iiif/source/ot-pl-1909/manifest.json"]
    assert other["rights"] == "http://creativecommons.org/licenses/by/4.0/"


def test_a_label_is_in_the_language_of_its_source(written: dict[str, Json]) -> None:
    """As ``sources-kept.csv`` has it for one source; of the others none is said."""
    told = {
        name: list(each["label"]) for name, each in written.items() if each["type"] == "Manifest"
    }
    assert {name for name, keys in told.items() if keys == ["en"]} == {
        "iiif/source/ot-cat-1906/manifest.json"
    }
    assert {tuple(keys) for keys in told.values()} == {("en",), ("none",)}


def test_images_are_painted_on_canvases_of_their_size(written: dict[str, Json]) -> None:
    """5.3: content is associated by painting annotations; 5.6: the canvas is the target."""
    for canvas in canvases(written):
        assert "#" not in canvas["id"]
        [page] = canvas["items"]
        [painting] = page["items"]
        assert (painting["motivation"], painting["target"]) == ("painting", canvas["id"])
        body = painting["body"]
        assert (body["width"], body["height"]) == (canvas["width"], canvas["height"])
    assert len(canvases(written)) == 8


def test_claims_are_annotated_within_their_canvas(written: dict[str, Json]) -> None:
    """5.3: what is in ``annotations`` does not paint; W3C Media Fragments 1.0 (2012), 4.2.2."""
    count = 0
    for canvas in canvases(written):
        for note in [each for page in canvas.get("annotations", []) for each in page["items"]]:
            count += 1
            assert note["motivation"] != "painting"
            found = re.fullmatch(r"(.*)#xywh=(\d+),(\d+),(\d+),(\d+)", note["target"])
            assert found and found[1] == canvas["id"]
            x, y, w, h = map(int, found.groups()[1:])
            assert w > 0 and x + w <= canvas["width"] and h > 0 and y + h <= canvas["height"]
    assert count > 50


def test_data_are_of_the_format_they_are_said_to_be(written: dict[str, Json]) -> None:
    """5.7: the format is the media type that is returned when the resource is dereferenced."""
    endings = {
        "text/turtle": ".ttl",
        "text/html": ".html",
        "image/png": ".png",
        "image/jpeg": ".jpg",
    }
    resources = [
        part
        for each in written.values()
        for key, part in parts(each)
        if kind(key, part) == "Content"
    ]
    assert len(resources) > 70
    assert [
        each["id"] for each in resources if not each["id"].endswith(endings[each["format"]])
    ] == []


def test_another_library_reads_every_document(written: dict[str, Json]) -> None:
    for document in written.values():
        model = getattr(iiif_prezi3, document["type"])
        read = model.model_validate(document)
        assert json.loads(read.json())["id"] == document["id"]


def changed(document: Json, path: list[str | int], value: object) -> Json:
    """Return a copy with one value put elsewhere, or taken away if it is None."""
    made = copy.deepcopy(document)
    place: Any = made
    for step in path[:-1]:
        place = place[step]
    if value is None:
        del place[path[-1]]
    else:
        place[path[-1]] = value
    return made


@pytest.mark.parametrize(
    ("path", "value", "told"),
    [
        (["label"], None, "Manifest lacks label"),
        (["label"], "Catalogue", "no language map"),
        (["items"], [], "items is empty"),
        (["items", 0, "id"], "canvas/1", "identified by 'canvas/1'"),
        (["items", 0, "format"], "image/png", "Canvas may not have format"),
        (["homepage"], {}, "homepage is no array"),
        (["homepage", 0, "label"], None, "must have a label"),
        (["items", 0, "@context"], CONTEXT, "at the top alone"),
        (["items", 0, "items", 0, "id"], "https://example.org/wend/iiif/source/ot-cat-1909/canvas/1",
         "names two things"),
        (["metadata", 0, "value"], {"none": "1909"}, "no language map"),
    ],
)  # fmt: skip
def test_what_breaks_the_specification_is_found(
    written: dict[str, Json], path: list[str | int], value: object, told: str
) -> None:
    """The checks above are not empty: a manifest put wrong in one place breaks one of them."""
    broken = changed(written["iiif/source/ot-cat-1909/manifest.json"], path, value)
    assert any(told in each for each in wrong(broken)), wrong(broken)


@pytest.mark.parametrize(
    ("path", "value"),
    [(["label"], None), (["homepage"], "page"), (["rights"], "free"), (["metadata"], "none")],
)
def test_the_other_library_finds_faults_too(
    written: dict[str, Json], path: list[str | int], value: object
) -> None:
    broken = changed(written["iiif/source/ot-cat-1909/manifest.json"], path, value)
    with pytest.raises(ValidationError):
        iiif_prezi3.Manifest.model_validate(broken)
