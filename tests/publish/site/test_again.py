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
from glost.publish.site import questions
from glost.publish.site.folder import Content
from glost.publish.site.noted import UNKNOWN
from glost.publish.site.publish import publish
from glost.publish.site.standing import StandingSite
from glost.publish.site.units import UnitNotes, Units
from glost.record.errors import RecordErrors
from shuffled import change_a_row

NEW = "shelf-5,millrace,linden,teacup,l-7,L-7,\n"
CHANGES = {
    "a row added": [("pieces.csv", "shelf-4,", f"{NEW}shelf-4,")],
    "a row taken out": [("pieces.csv", NEW, "")],
    "a correction of a whole row, not of a cell": [("corrections.csv", "notes,number,", "notes,,")],
    "a name that stands on many pages": [("potteries.csv", "Millrace", "Millbrook")],
    "a date that bounds others": [("shapes.csv", "Sorb,1912", "Sorb,1916")],
}
"""Of each change, what is put for what in which table."""

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
    monkeypatch.setattr(questions, "_ROWS", 3)  # so that an answer has some pages that stand
    publish(Snapshot(folder), site, many=1)
    before = StandingSite(Snapshot(folder), site).before()
    assert before is not None
    noted = [msgspec.msgpack.decode(part, type=UnitNotes) for part in before.units]
    assert not any(UNKNOWN in each.digests for each in noted), (
        "of every look it is known what it sees"
    )
    one = Units.one

    def counted(
        self: Units, of: str, iri: str, *rest: Any, **more: Any
    ) -> Iterator[tuple[str, Content]]:
        if not self.stands(of, iri):
            made.add((of, iri.rpartition("/")[2]))
        return one(self, of, iri, *rest, **more)

    monkeypatch.setattr(Units, "one", counted)
    table = folder / "tables" / "pieces.csv"
    told = table.read_text("utf-8")
    table.write_text(told.replace("The number is clear.", "Read twice."), encoding="utf-8")
    publish(Snapshot(folder), site, many=1)
    assert ("thing", "shelf-2") in made
    assert ("thing", "shelf-1") not in made
    assert len(made) < sum(len(each.units) for each in noted) / 4
    for change, rows in CHANGES.items():
        for file, old, new in rows:
            cells = (folder / "tables" / file).read_text("utf-8")
            assert old in cells, change
            (folder / "tables" / file).write_text(cells.replace(old, new), encoding="utf-8")
        assert publish(Snapshot(folder), site, many=1).written, change
        if change == "a row added":
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
