"""A valley of four potteries with copies, redesigns, reissues and a ring."""

from collections.abc import Callable
from itertools import count
from pathlib import Path

import pytest

import shelf
from glost.record.belief import Belief
from glost.record.record import read
from glost.trade.lineage import Lineage, lineage

TABLES = {
    "potteries": "pottery,name,begin,succeeds,source,locator\n"
    "harrow,Harrow Pottery,1897~,,cat1908,p. 1\n"
    "wold,Wold & Sons,1919,harrow,letter,p. 4\n"
    "sedge,Sedge Works,,,cat1911,title\n",
    "people": "person,name,source,locator\nmoth,Ada Moth,letter,p. 1\n",
    "roles": "person,role,at,work,begin,source,locator,certainty\n"
    "moth,designer,harrow,shape/alder,,letter,p. 2,probable\n"
    "moth,designer,harrow,,1900,letter,p. 2,\n",
    "shapes": "shape,pottery,name,begin,end,source,locator\n"
    "alder,harrow,Alder,1900,1910,cat1908,p. 3\n"
    "birch,harrow,Birch,1905,,cat1908,p. 4\n"
    "cedar,sedge,Cedar,1909,,cat1911,p. 2\n"
    "damson,wold,Damson,,,cat1911,p. 2\n"
    "elder,wold,Elder,1899,,cat1911,p. 2\n"
    "fir,sedge,Fir,1920,,cat1911,p. 5\n",
    "lineage": "thing,copied_from,redesigned_from,moulds_from,derived_from,source,locator,"
    "certainty,claim\n"
    "shape/birch,,shape/alder,,,cat1908,p. 4,,birch-of-alder\n"
    "shape/cedar,shape/birch,,,,letter,p. 3,doubtful,cedar-doubted\n"
    "shape/cedar,shape/birch,,,,cat1911,p. 2,possible,cedar-possible\n"
    "shape/damson,shape/birch,,,,letter,p. 3,,damson-of-birch\n"
    "shape/elder,,,,shape/damson,letter,p. 3,,elder-of-damson\n"
    "shape/fir,,,shape/cedar,,letter,p. 5,,fir-and-cedar\n",
    "flatware": "shape,with,source,locator\nbirch,alder,letter,p. 2\nalder,birch,cat1908,p. 4\n",
    "treatments": "",
    "pieces": "",
    "assortments": "",
}


@pytest.fixture
def make(tmp_path: Path) -> Callable[..., Belief]:
    """Return a function that reads the valley with some tables put in place of its own."""
    made = count()

    def make(**tables: str) -> Belief:
        folder = tmp_path / f"valley-{next(made)}"
        return read(shelf.write(folder, **{**TABLES, **tables})).believed()

    return make


@pytest.fixture
def valley(make: Callable[..., Belief]) -> Lineage:
    """Return the valley's lineage."""
    return lineage(make())
