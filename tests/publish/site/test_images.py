"""What page images and pictures are called."""

import pytest
from PIL import Image
from rdflib import URIRef

from glost.answer.snapshot import Snapshot
from glost.publish.site.holdings import SiteContents
from glost.publish.site.images import Images
from glost.publish.site.links import PageLinks
from shelf import TABLES, write

BASE = "https://example.org/shelf/"
SHAPES = (
    "shape,pottery,name,begin,source,locator,region\n"
    'alder,harrow,Alder,1908,cat1908,"p. 3, top","xywh=1,1,5,5"\n'
    'birch,harrow,Birch,1911,cat1908,"p. 3, foot","xywh=1,8,5,5"\n'
    'crab,harrow,Crab,1911,cat1911,p. 2,"a.png#xywh=1,8,5,5"\n'
    'dogwood,harrow,Dogwood,1911,cat1911,p. 3,"a.png#xywh=1,8,5,5"\n'
)


@pytest.fixture(scope="module")
def links(tmp_path_factory: pytest.TempPathFactory) -> PageLinks:
    sources = (
        "source,title,kind,date,image\n"
        "cat1908,Catalogue No. 4,catalogue,1908,p3.png\n"
        "cat1911,Catalogue No. 5,catalogue,1911,a.png|b.png\n"
        "letter,[Letter of a traveller],letter,1912-03,\n"
    )
    pieces = TABLES["pieces"].replace('marks",', 'marks",foot.png')
    folder = write(tmp_path_factory.mktemp("made") / "shelf", sources=sources, shapes=SHAPES,
                   pieces=pieces)  # fmt: skip
    (folder / "images").mkdir()
    for name in ("p3", "a", "b", "foot"):
        Image.new("RGB", (20, 20), "white").save(folder / "images" / f"{name}.png")
    holdings = SiteContents(Snapshot(folder), ())
    return PageLinks(holdings, Images(holdings))


@pytest.mark.parametrize(
    ("file", "name"),
    [
        ("p3.png", "page image of Catalogue No. 4, p. 3"),
        ("a.png", "page image 1 of Catalogue No. 5"),
        ("b.png", "page image 2 of Catalogue No. 5"),
        ("foot.png", "picture of Dinner plate, Alder, A12"),
    ],
)
def test_an_image_is_called_by_what_it_shows(links: PageLinks, file: str, name: str) -> None:
    """The page is told where all that cites the image stands on one; else images are numbered."""
    link = links.a(URIRef(f"{BASE}images/{file}"), "../")
    assert link == f'<a href="../images/{file}">{name}</a>'


@pytest.mark.parametrize("file", ["none.png", "../collection.toml", "b%2Epng"])
def test_what_cannot_be_shown_is_no_link(links: PageLinks, file: str) -> None:
    link = links.a(URIRef(f"{BASE}images/{file}"), "../")
    assert ("<a " in link) == (file == "b%2Epng")
