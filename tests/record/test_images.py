"""Image files: looked at before anything is made of them."""

import os
import struct
import zlib
from pathlib import Path

import pytest
from PIL import Image

from glost import limits
from glost.answer.pictured import image_findings
from glost.answer.snapshot import Snapshot
from glost.record import images
from glost.record.errors import RecordError
from glost.record.images import ImageFile, look
from shelf import TABLES, write


def chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def bomb(wide: int, high: int) -> bytes:
    """Write a PNG that says it is so large, in a few octets."""
    head = struct.pack(">IIBBBBB", wide, high, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0" * 99))


@pytest.fixture
def top(tmp_path: Path) -> Path:
    (tmp_path / "images" / "deep").mkdir(parents=True)
    folder = tmp_path / "images"
    Image.new("RGB", (30, 20), "white").save(folder / "page.png")
    Image.new("RGB", (30, 20), "white").save(folder / "deep" / "leaf 1.jpg")
    (folder / "drawn.svg").write_text("<svg/>")
    (folder / "text.png").write_text("this is no picture")
    (folder / "empty.png").write_bytes(b"")
    (folder / "notes.txt").write_text("x")
    (folder / "bomb.png").write_bytes(bomb(60_000, 60_000))
    (folder / "large.png").write_bytes(bomb(13_342, 13_342))
    (tmp_path / "outside.png").write_bytes((folder / "page.png").read_bytes())
    (tmp_path.parent / f"{tmp_path.name}-secret.png").write_bytes(
        (folder / "page.png").read_bytes()
    )
    (folder / "link.png").symlink_to(tmp_path / "outside.png")
    (folder / "leak.png").symlink_to(tmp_path.parent / f"{tmp_path.name}-secret.png")
    (folder / "folder.png").mkdir()
    os.mkfifo(folder / "pipe.png")
    return tmp_path


@pytest.mark.parametrize(
    ("file", "size"),
    [
        ("images/page.png", (30, 20)),
        ("images/deep/leaf 1.jpg", (30, 20)),
        ("images/drawn.svg", (0, 0)),
    ],
)
def test_an_image_is_measured(top: Path, file: str, size: tuple[int, int]) -> None:
    found = look(top, file)
    assert isinstance(found, ImageFile)
    assert (found.file, found.path, found.width, found.height) == (file, top / file, *size)


FAULTS = {
    "images/text.png": "it is no image",
    "images/empty.png": "it is no image",
    "images/notes.txt": "it is no image",
    "images/bomb.png": "it has more than 178,000,000 pixels",
    "images/large.png": "it has more than 178,000,000 pixels",
    "images/none.png": "it is not there",
    "images/../outside.png": "it leads out of images/",
    "images/link.png": "the link leads out of images/",
    "images/leak.png": "the link leads out of the collection and is not followed",
    "images/folder.png": "it is no ordinary file",
    "images/pipe.png": "it is no ordinary file",
    "outside.png": "it leads out of images/",
    "/etc/hostname": "it leads out of images/",
    "images": "it is no ordinary file",
    "images/a\x1b.png": "it leads out of images/",
    "images/" + "a" * 5000 + ".png": "it cannot be read",
}


@pytest.mark.parametrize("file", sorted(FAULTS))
def test_what_cannot_be_shown_is_told(top: Path, file: str) -> None:
    found = look(top, file)
    assert isinstance(found, RecordError)
    assert found.message.startswith(FAULTS[file])
    assert found.remedy


def test_a_file_that_is_too_large_is_told(top: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(images, "IMAGE_FILE", 10)
    found = look(top, "images/page.png")
    assert isinstance(found, RecordError)
    assert found.message.startswith("it has ") and "octets" in found.message
    assert limits.IMAGE_FILE > 10


def test_each_row_that_names_such_an_image_is_a_finding_with_its_claim(top: Path) -> None:
    sources = (
        "source,title,kind,date,image\n"
        "cat1908,Catalogue No. 4,catalogue,1908,page.png|none.png\n"
        "cat1911,Catalogue No. 5,catalogue,1911,../outside.png\n"
        "letter,[Letter of a traveller],letter,1912-03,bomb.png\n"
    )
    snapshot = Snapshot(write(top / "c", sources=sources))
    (top / "images").rename(top / "c" / "images")
    found = list(image_findings(snapshot.belief, snapshot.record.collection, snapshot.graph))
    assert [each.message for each in found] == [
        'Catalogue No. 4: the image "images/none.png" cannot be shown: it is not there, or is a '
        "link to nothing.",
        'Catalogue No. 5: the image "images/../outside.png" cannot be shown: it leads out of images/.',
        '[Letter of a traveller]: the image "images/bomb.png" cannot be shown: it has more than '
        "178,000,000 pixels.",
    ]
    assert [[side.read_from for side in each.sides] for each in found] == [
        ["tables/sources.csv row 2"], ["tables/sources.csv row 3"], ["tables/sources.csv row 4"],
    ]  # fmt: skip
    assert all(each.remedy.endswith("or correct the row.") for each in found)
    assert {each.kind for each in found} <= {each.kind for each in snapshot.findings()}


def test_without_images_there_is_nothing_to_find(tmp_path: Path) -> None:
    snapshot = Snapshot(write(tmp_path / "c", pieces=TABLES["pieces"]))
    assert list(image_findings(snapshot.belief, snapshot.record.collection, snapshot.graph)) == []
