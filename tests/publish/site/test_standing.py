"""A site that stands as it was made is left as it is, and nothing is made to see that."""

import os
import shutil
from pathlib import Path

import pytest

import shelf
from glost.answer import cache
from glost.answer.snapshot import Snapshot
from glost.publish.site.publish import publish
from glost.publish.site.standing import StandingSite

BASE = "https://example.org/shelf/"


@pytest.fixture
def collection(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv(cache.FOLDER, str(tmp_path / "kept"))
    folder = shelf.write(tmp_path / "shelf")
    (folder / "images").mkdir()
    (folder / "images" / "p3.png").write_bytes(b"an image")
    return folder


@pytest.fixture
def site(collection: Path, tmp_path: Path) -> Path:
    """Stand for a site that was published just now."""
    folder = tmp_path / "public"
    (folder / "shape").mkdir(parents=True)
    (folder / "glost-site.json").write_text(f'{{"base": "{BASE}"}}', encoding="utf-8")
    (folder / "shape" / "alder.html").write_text("Alder", encoding="utf-8")
    listed = "0  glost-site.json\n0  shape/alder.html\n"
    (folder / "manifest-sha256.txt").write_text(listed, encoding="utf-8")
    StandingSite(Snapshot(collection), folder).note()
    return folder


def stands(collection: Path, site: Path) -> bool:
    return StandingSite(Snapshot(collection), site).files() == 2


def test_nothing_is_made_where_the_site_stands_as_it_was_made(collection: Path, site: Path) -> None:
    snapshot = Snapshot(collection)
    done = publish(snapshot, site)
    assert (done.files, done.written, done.removed) == (2, (), ())
    assert "record" not in vars(snapshot), "the tables are not even read"


def test_a_file_that_somebody_changed_is_seen_whatever_its_size_and_time(
    collection: Path, site: Path
) -> None:
    page = site / "shape" / "alder.html"
    times = page.stat().st_atime_ns, page.stat().st_mtime_ns
    page.write_text("Birch", encoding="utf-8")
    os.utime(page, ns=times)
    assert not stands(collection, site)


def test_a_file_that_is_gone_is_seen_and_so_is_another_list_of_files(
    collection: Path, site: Path
) -> None:
    assert stands(collection, site)
    listed = site / "manifest-sha256.txt"
    text = listed.read_text(encoding="utf-8")
    listed.write_text(text.replace("0  shape", "1  shape"), encoding="utf-8")
    assert not stands(collection, site)
    StandingSite(Snapshot(collection), site).note()
    assert stands(collection, site)
    (site / "shape" / "alder.html").unlink()
    assert not stands(collection, site)


@pytest.mark.parametrize("file", ["tables/shapes.csv", "images/p3.png", "editions/1/SUMS"])
def test_another_octet_of_the_collection_is_seen(collection: Path, site: Path, file: str) -> None:
    path = collection / file
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes((path.read_bytes() if path.exists() else b"") + b"\n")
    assert not stands(collection, site)


def test_another_day_another_place_and_a_change_cut_short_are_seen(
    collection: Path, site: Path, tmp_path: Path
) -> None:
    from datetime import date

    from glost.record.transaction import Place

    assert StandingSite(Snapshot(collection, date(1990, 1, 1)), site).files() is None
    copy = tmp_path / "copy"
    shutil.copytree(site, copy)
    assert not stands(collection, copy)
    journal = Place.beside(site).journal
    journal.parent.mkdir()
    journal.write_text("{}", encoding="utf-8")
    assert not stands(collection, site)


def test_where_nothing_is_kept_nothing_is_taken_to_stand(
    collection: Path, site: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(cache.FOLDER, "")
    assert not stands(collection, site)
