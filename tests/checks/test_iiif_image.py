"""Images by the IIIF Image API 3.0 at level 0, and what changed of the manifests.

Sections are those of the Image API (IIIF Consortium, 3.0.0, 3 June 2020) and of the Change Discovery
API (1.0.0, 1 June 2021). The sizes of files are read by Pillow, those of originals from the example.
"""

import io
import json
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from glost.publish.iiif.discovery import changes
from glost.publish.iiif.image_service import image_files, sizes
from glost.publish.iiif.manifests import manifests
from glost.publish.site.frame import PageFrame
from glost.publish.site.holdings import SiteContents
from glost.publish.site.images import Images, PageImage

Json = dict[str, Any]


@pytest.fixture(scope="module")
def images(valley_held: SiteContents) -> Images:
    return Images(valley_held)


@pytest.fixture(scope="module")
def files(valley_held: SiteContents, images: Images) -> dict[str, bytes]:
    return dict(image_files(valley_held.base, images))


def infos(files: dict[str, bytes]) -> dict[str, Json]:
    return {
        name.removesuffix("/info.json"): json.loads(content)
        for name, content in files.items()
        if name.endswith("/info.json")
    }


def test_every_image_tells_of_itself(files: dict[str, bytes], images: Images) -> None:
    """5.1 and 5.2: what is required of ``info.json``; the id is where it stands."""
    told = infos(files)
    assert len(told) == len(images.all) >= 15
    for name, info in told.items():
        assert info["@context"] == "http://iiif.io/api/image/3/context.json"
        assert info["id"] == f"https://example.org/wend/{name}"
        assert (info["type"], info["profile"]) == ("ImageService3", "level0")
        assert info["protocol"] == "http://iiif.io/api/image"
        with Image.open(images.all[name.replace("iiif/image", "images")].path) as original:
            assert (info["width"], info["height"]) == original.size


def test_every_size_that_is_told_is_there(files: dict[str, bytes]) -> None:
    """5.3: sizes are those for which ``full/w,h/0/default.jpg`` may be asked; 4.2: so may ``max``."""
    for name, info in infos(files).items():
        for size in info["sizes"]:
            width, height = size["width"], size["height"]
            content = files[f"{name}/full/{width},{height}/0/default.jpg"]
            with Image.open(io.BytesIO(content)) as made:
                assert (made.format, made.size) == ("JPEG", (width, height))
        with Image.open(io.BytesIO(files[f"{name}/full/max/0/default.jpg"])) as whole:
            assert whole.size == (info["width"], info["height"])


@pytest.mark.parametrize(
    ("width", "height", "found"),
    [
        (100, 50, [(100, 50)]),
        (319, 10, [(319, 10)]),
        (320, 10, [(160, 5), (320, 10)]),
        (1300, 700, [(162, 88), (325, 175), (650, 350), (1300, 700)]),
        (1, 400, [(1, 200), (1, 400)]),
    ],
)
def test_sizes_are_halved_down_to_a_thumbnail(
    width: int, height: int, found: list[tuple[int, int]]
) -> None:
    assert sizes(PageImage("images/x.png", Path("x.png"), width, height)) == found


def test_thumbnails_and_services_are_files_that_are_there(
    valley_held: SiteContents, images: Images, files: dict[str, bytes]
) -> None:
    base = valley_held.base
    for content in dict(manifests(valley_held, PageFrame.of(valley_held), images)).values():
        document = json.loads(content)
        for canvas in document["items"] if document["type"] == "Manifest" else ():
            (small,) = canvas["thumbnail"]
            assert small["id"].removeprefix(base) in files
            assert max(small["width"], small["height"]) < 320
            body = canvas["items"][0]["items"][0]["body"]
            (service,) = body["service"]
            assert f"{service['id'].removeprefix(base)}/info.json" in files


def test_changes_list_every_manifest_in_the_order_of_their_days(
    valley_held: SiteContents, images: Images
) -> None:
    """Change Discovery 2.2 to 2.4: a collection leads to its last page; items are oldest first."""
    told = {name: json.loads(content) for name, content in changes(valley_held, images)}
    whole, page = told["iiif/changes.json"], told["iiif/changes-1.json"]
    assert whole["type"] == "OrderedCollection"
    assert whole["last"] == {"id": page["id"], "type": "OrderedCollectionPage"}
    assert whole["totalItems"] == len(page["orderedItems"]) == 8
    moments = [datetime.fromisoformat(each["endTime"]) for each in page["orderedItems"]]
    assert moments == sorted(moments)
    listed = {each["object"]["id"].removeprefix(valley_held.base) for each in page["orderedItems"]}
    made = dict(manifests(valley_held, PageFrame.of(valley_held), images))
    assert listed == set(made) - {"iiif/collection.json"}
