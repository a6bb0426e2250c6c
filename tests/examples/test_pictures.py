"""The page images: present, referred to, small, drawn again by their script, regions within."""

import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

Rows = Callable[[str], list[dict[str, str]]]

PICTURES = sorted(
    path.name for path in (Path(__file__).resolve().parents[2] / "examples").glob("*/images/*.png")
)


@pytest.fixture(scope="session")
def drawn(valley: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Let the script draw into a folder."""
    folder = tmp_path_factory.mktemp("drawn")
    subprocess.run([sys.executable, str(valley / "make_images.py"), str(folder)], check=True)
    return folder


def images(rows: Rows, table: str) -> set[str]:
    """Return the file names a table refers to."""
    return {name for row in rows(table) for name in row.get("image", "").split("|") if name}


def test_pictures_and_references_match(valley: Path, rows: Rows) -> None:
    assert len(PICTURES) >= 12
    referred = images(rows, "sources") | images(rows, "marks") | images(rows, "pieces")
    assert referred == {path.name for path in (valley / "images").iterdir()}


@pytest.mark.parametrize("name", PICTURES)
def test_a_picture_is_small(valley: Path, name: str) -> None:
    assert (valley / "images" / name).stat().st_size < 60_000


def test_all_pictures_together_are_small(valley: Path) -> None:
    assert sum(path.stat().st_size for path in (valley / "images").iterdir()) < 1_000_000


@pytest.mark.parametrize("name", PICTURES)
def test_the_script_draws_the_same_picture(valley: Path, drawn: Path, name: str) -> None:
    """Fonts and curves differ a little between versions, so the ink is compared in blocks."""
    pages = [Image.open(folder / name).convert("L") for folder in (valley / "images", drawn)]
    assert pages[0].size == pages[1].size
    kept, again = (np.asarray(page.reduce(8), dtype=float) for page in pages)
    assert kept.std() > 3
    assert np.abs(kept - again).mean() < 4


def test_the_script_draws_nothing_else(drawn: Path) -> None:
    assert sorted(path.name for path in drawn.iterdir()) == PICTURES


def test_regions_lie_on_their_image_and_hold_ink(valley: Path, rows: Rows) -> None:
    pages = {
        row["source"]: row["image"].split("|") for row in rows("sources") if row.get("image", "")
    }
    seen = 0
    for table in ("assortments", "kilns", "kiln_zones"):
        for row in rows(table):
            if not row["region"]:
                continue
            source = row.get("source") or row["catalogue"]
            assert len(pages[source]) == 1
            left, top, width, height = map(int, re.findall(r"\d+", row["region"]))
            with Image.open(valley / "images" / pages[source][0]) as page:
                assert width > 0
                assert height > 0
                assert left + width <= page.width
                assert top + height <= page.height
                part = page.convert("L").crop((left, top, left + width, top + height))
            assert np.asarray(part).std() > 5, f"{source} {row['region']} is blank"
            seen += 1
    assert seen > 100
