"""A desk on a little collection, and one on a copy of the larger example."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from PIL import Image

import shelf
from desks import Desk, desk

EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "wend-valley"
PAGED = (
    "source,title,kind,date,complete,image\n"
    "cat1908,Catalogue No. 4,catalogue,1908,yes,p3.png\n"
    "cat1911,Catalogue No. 5,catalogue,1911,no,\n"
    "letter,[Letter of a traveller],letter,1912-03,,\n"
)
LISTED = (
    "catalogue,shape,form,trade_size,item,price,per,locator,region\n"
    'cat1908,alder,dinner plate,8,101,1.20,dozen,"p. 3, item 101","xywh=10,20,200,30"\n'
    'cat1908,alder,teapot,36s,103,4.80,dozen,"p. 3, item 103","xywh=percent:5,30,50,10"\n'
)


def paged(folder: Path, **more: str) -> Path:
    """Write the little collection with a page image, and regions of it on record."""
    shelf.write(folder, **{"sources": PAGED, "assortments": LISTED, **more})
    (folder / "images").mkdir()
    Image.new("RGB", (400, 300), "white").save(folder / "images" / "p3.png")
    return folder


@pytest.fixture
def small(tmp_path: Path) -> Iterator[Desk]:
    with desk(paged(tmp_path / "shelf")) as opened:
        yield opened


@pytest.fixture(scope="session")
def large(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """Return a desk on the larger example that no test changes."""
    folder = tmp_path_factory.mktemp("large") / "wend-valley"
    shutil.copytree(EXAMPLE, folder)
    with desk(folder) as opened:
        yield opened
