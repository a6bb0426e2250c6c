"""A desk on two keepers' collections read together: looked at like one, changed by nobody."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from PIL import Image

from desks import Desk, desk, fields_of, words
from glost.record.record import read
from glost.record.together import begin
from glost.trade.linking.links import LinkKind, links_in
from keepers import keeper

SHAPES = (
    "shape,pottery,name,begin,source,region\n"
    'alder,harrow,Alder,1908,cat1908,"xywh=10,20,100,50"\n'
    + "".join(f"s{n},harrow,{chr(65 + n)}orn,{1880 + n},letter,\n" for n in range(6))
)
SOURCES = (
    "source,title,kind,date,image\ncat1908,Catalogue No. 4,catalogue,1908,p3.png\n"
    "cat1911,Catalogue No. 5,catalogue,1911,\nletter,[Letter],letter,1912,\n"
)


@pytest.fixture
def both(tmp_path: Path) -> Iterator[Desk]:
    for name in ("ash", "elm"):
        noted = "".join(f"{line},{name}\n" for line in SHAPES.splitlines()[1:])
        shapes = f"{SHAPES.splitlines()[0]},note\n{noted}"
        folder = keeper(tmp_path, name, shapes=shapes, sources=SOURCES)
        (folder / "images").mkdir()
        Image.new("RGB", (400, 300), "white").save(folder / "images" / "p3.png")
    begin(
        tmp_path / "both", "Both", "https://both.example/", [tmp_path / n for n in ("ash", "elm")]
    )
    with desk(tmp_path / "both") as opened:
        yield opened


def test_each_keeper_s_things_and_claims_are_shown(both: Desk) -> None:
    assert "Shapes 14" in words(both.get("/").text)
    listed = both.get("/things/shape").text
    for name in ("ash", "elm"):
        address = f"/thing/{name}:shape/alder"
        assert address in listed
        page = both.get(address)
        assert page.status_code == 200
        assert f"{name}: tables/shapes.csv" in page.text
        claims = sorted(set(re.findall(r'href="(/claim/[^"?#/]+)"', page.text)))
        assert claims
        assert {both.get(each).status_code for each in claims} == {200}


def test_page_images_of_both_stand_side_by_side_in_review_and_one_key_links(both: Desk) -> None:
    page = None
    for _ in range(9):
        page = both.get("/review?kind=shapes").text
        if "shape/alder" in page:
            break
        fields = {**fields_of(page), "do": "later", "recorded_by": "E. Marsh"}
        assert both.post("/review?kind=shapes", fields).status_code == 303
    assert page is not None
    shown = sorted(set(re.findall(r'"(/image/[^"]*)"', page)))
    assert len(shown) == 2
    for address in shown:
        assert both.get(address).headers["content-type"] == "image/png"
    fields = {**fields_of(page), "do": "yes", "recorded_by": "E. Marsh"}
    assert both.post("/review?kind=shapes", fields).status_code == 303
    every = links_in(read(both.folder).believed()).every
    (link,) = (each for each in every if each.kind is LinkKind.SAME)
    assert {link.one.split("/")[2], link.other.split("/")[2]} == {"ash.example", "elm.example"}


def test_a_keeper_s_claim_is_not_corrected_here(both: Desk) -> None:
    page = both.get("/thing/elm:shape/alder").text
    claim = re.findall(r'href="(/claim/[^"?#/]+)"', page)
    address = f"{claim[0]}/correct"
    before = (both.folder / "tables" / "sources.csv").read_bytes()
    fields = {
        **both.form(address),
        "reason": "So.",
        "source": "cat1908",
        "cell-name": "Aldern",
        "do": "save",
    }
    told = both.post(address, fields)
    assert told.status_code >= 400
    assert "kept in another collection" in words(told.text)
    assert (both.folder / "tables" / "sources.csv").read_bytes() == before
    assert not (both.folder / "tables" / "corrections.csv").exists()
