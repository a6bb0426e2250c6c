"""A little collection with a dispute, a correction, a picture, and texts that try to break out."""

import pytest
from PIL import Image

import shelf
import shelf_of_four
from glost.answer.snapshot import Snapshot

TABLES = {
    **shelf_of_four.TABLES,
    "shapes": "shape,pottery,name,begin,rim,source,locator,region,description,claim\n"
    'ash,loam,Ash,1904,"fluted, <b>gilt</b>",cat,p. 1,"xywh=10,10,30,20",,\n'
    "ash,loam,Ash,1906,,notes,,,,\n"
    'ash,loam,Ash,,,notes,,,"Says *stars* & <script>alert(1)</script> [x](y)",\n'
    "beech,loam,Beech,1903~,fluted,cat,p. 2,,,beech-old\n"
    "beech,loam,Beech,1905,fluted,cat,p. 2,,,beech-new\n"
    "cane,loam,Cane,,,card,,,,\ndock,silt,Dock,,,cat2,,,,\n",
    "sources": "source,title,kind,date,complete,repeats,image,locator\n"
    "cat,Loam ware,catalogue,1905,yes,,page.png,\n"
    "cat2,Silt ware,catalogue,1907,yes,,,\ncard,Loam card,price-list,1906,no,,,\n"
    "half,Loam leaflet,catalogue,1909,yes,,,\n"
    "notes,Notes of a <visitor>,letter,1910,,cat,,\n",
    "corrections": "withdraws,replaced_by,reason,source,locator\n"
    'beech-old,beech-new,"The 3 is a 5.",cat,p. 2\n',
}


@pytest.fixture(scope="session")
def tricky(tmp_path_factory: pytest.TempPathFactory) -> Snapshot:
    """The collection."""
    empty = dict.fromkeys(shelf.TABLES, "")
    folder = shelf.write(tmp_path_factory.mktemp("sheets") / "shelf", **{**empty, **TABLES})
    (folder / "images").mkdir()
    Image.new("L", (100, 50)).save(folder / "images" / "page.png")
    return Snapshot(folder)
