"""A site published again after a change is the site made from nothing, and little of it is made."""

import shutil
from collections.abc import Iterator
from pathlib import Path
from random import Random
from typing import Any

import msgspec
import pytest

from glost.answer import cache
from glost.answer.snapshot import Snapshot
from glost.publish.site.folder import Content
from glost.publish.site.noted import UNKNOWN
from glost.publish.site.publish import publish
from glost.publish.site.standing import StandingSite
from glost.publish.site.units import UnitNotes, Units
from glost.record.errors import RecordErrors
from shuffled import change_a_row

SHELF = Path(__file__).parents[3] / "examples" / "one-shelf"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Copy a collection, of which is kept what follows."""
    monkeypatch.setenv(cache.FOLDER, str(tmp_path / "kept"))
    return Path(shutil.copytree(SHELF, tmp_path / "shelf"))


def files(site: Path) -> dict[str, bytes]:
    """Return what a site holds."""
    return {str(p.relative_to(site)): p.read_bytes() for p in site.rglob("*") if p.is_file()}


def anew(folder: Path, site: Path) -> dict[str, bytes]:
    """Make a site from nothing; return what it holds."""
    snapshot = Snapshot(folder)
    snapshot.__dict__["cache"] = None
    publish(snapshot, site, many=1)
    return files(site)


def test_a_site_published_again(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A cell is changed, then rows at random; ``tests/attack/long_sites.py`` makes many changes."""
    site, made = tmp_path / "site", set[tuple[str, str]]()
    publish(Snapshot(folder), site, many=1)
    before = StandingSite(Snapshot(folder), site).before()
    assert before is not None
    noted = [msgspec.msgpack.decode(part, type=UnitNotes) for part in before.units]
    assert not any(UNKNOWN in each.digests for each in noted), (
        "of every look it is known what it sees"
    )
    one = Units.one

    def counted(self: Units, of: str, iri: str, *rest: Any) -> Iterator[tuple[str, Content]]:
        if f"{of}\x1f{iri}" not in self._standing:
            made.add((of, iri.rpartition("/")[2]))
        return one(self, of, iri, *rest)

    monkeypatch.setattr(Units, "one", counted)
    table = folder / "tables" / "pieces.csv"
    told = table.read_text("utf-8")
    table.write_text(told.replace("The number is clear.", "Read twice."), encoding="utf-8")
    publish(Snapshot(folder), site, many=1)
    assert ("thing", "shelf-2") in made
    assert ("thing", "shelf-1") not in made
    assert len(made) < sum(len(each.units) for each in noted) / 4
    assert files(site) == anew(folder, tmp_path / "anew")
    _change(folder, tmp_path / "before", site)
    assert files(site) == anew(folder, tmp_path / "anew again")
    page = site / "piece" / "shelf-1.html"
    page.write_bytes(page.read_bytes()[:-1])
    assert StandingSite(Snapshot(folder), site).before() is None, "so all of it is made"


def _change(folder: Path, kept: Path, site: Path) -> None:
    """Change rows at random until something of the site is another."""
    draw = Random(11)
    while True:
        shutil.copytree(folder / "tables", kept, dirs_exist_ok=True)
        change_a_row(folder, draw)
        try:
            if publish(Snapshot(folder), site, many=1).written:
                return
        except RecordErrors:
            shutil.copytree(kept, folder / "tables", dirs_exist_ok=True)
