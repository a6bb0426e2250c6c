"""What checking found is kept with the files it was found of, and is never out of date."""

import json
import shutil
from pathlib import Path

import pytest
from PIL import Image
from rdflib import URIRef

import shelf
from glost.answer import cache, shacl
from glost.answer.checked import Checked, checked
from glost.answer.snapshot import Snapshot
from glost.record import record as reading

PIECES = "piece,shape,form,image\np1,alder,dinner plate,p1.png\n"


@pytest.fixture
def kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "kept"
    monkeypatch.setenv(cache.FOLDER, str(folder))
    return folder


@pytest.fixture
def collection(tmp_path: Path) -> Path:
    """A collection in which Birch is dated to end before it began, and an image is not there."""
    shapes = shelf.TABLES["shapes"].replace("1911,1920?", "1911,1909")
    return shelf.write(tmp_path / "shelf", shapes=shapes, pieces=PIECES)


def unread(*_: object) -> None:
    raise AssertionError("what is kept is read again")


def kinds(found: Checked) -> list[str]:
    return [finding.kind for finding in found.findings]


def test_what_was_found_is_told_again_without_reading_or_looking(
    kept: Path, collection: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = checked(Snapshot(collection))
    assert {"dates-clash", "image-not-shown"} <= set(kinds(first))
    snapshot = Snapshot(collection)
    assert (first.claims, first.findings) == (len(snapshot.belief.claims), snapshot.findings())
    about = {iri.partition("#")[0] for finding in first.findings for iri in finding.about}
    assert first.names == {iri: snapshot.words.with_id(URIRef(iri)) for iri in about}
    assert len(about) > 3
    monkeypatch.setattr(reading, "read", unread)
    monkeypatch.setattr(shacl, "begin", unread)
    assert checked(Snapshot(collection)) == first


def test_images_are_looked_at_every_time(kept: Path, collection: Path) -> None:
    (finding,) = [f for f in checked(Snapshot(collection)).findings if f.kind == "image-not-shown"]
    assert (
        finding.message
        == (
            'p1: the image "images/p1.png" cannot be shown: it is not there, or is a link to nothing.'
        )
        or "cannot be shown" in finding.message
    )
    assert [side.read_from for side in finding.sides] == ["tables/pieces.csv row 2"]
    (collection / "images").mkdir()
    Image.new("RGB", (8, 8)).save(collection / "images" / "p1.png")
    assert "image-not-shown" not in kinds(checked(Snapshot(collection)))
    shutil.rmtree(collection / "images")
    assert finding in checked(Snapshot(collection)).findings


def test_another_byte_is_checked_anew(kept: Path, collection: Path) -> None:
    assert "dates-clash" in kinds(checked(Snapshot(collection)))
    table = collection / "tables" / "shapes.csv"
    table.write_text(table.read_text("utf-8").replace("1911,1909", "1911,1913"), encoding="utf-8")
    assert "dates-clash" not in kinds(checked(Snapshot(collection)))


def test_a_validator_that_is_named_is_run(
    kept: Path, collection: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = checked(Snapshot(collection))
    run: list[str | None] = []
    begin = shacl.begin

    def noted(data: object, validator: str | None = None) -> object:
        run.append(validator)
        return begin(data, validator)  # type: ignore[arg-type]

    monkeypatch.setattr(shacl, "begin", noted)
    assert checked(Snapshot(collection), "pyshacl") == first
    assert run == ["pyshacl"]


def test_what_was_tampered_with_is_found_anew(kept: Path, collection: Path) -> None:
    first = checked(Snapshot(collection))
    (path,) = kept.glob("*/checked")
    told = json.loads(path.read_bytes().partition(b"\n")[2])
    assert len(told["findings"]) == len(first.findings) - 1  # one is of an image
    path.write_bytes(path.read_bytes().replace(b"1909", b"1999"))
    assert checked(Snapshot(collection)) == first


def test_where_nothing_is_kept_it_is_found_all_the_same(
    collection: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(cache.FOLDER, "")
    assert checked(Snapshot(collection)) == checked(Snapshot(collection))
