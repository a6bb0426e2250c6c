"""A site of two keepers' collections: every link leads somewhere, and each thing has its own page."""

import re
from pathlib import Path
from urllib.parse import unquote, urldefrag

import pytest
from PIL import Image
from rdflib import URIRef

from glost.answer.review import PairAnswer, Reviewed, Sitting, entered
from glost.answer.snapshot import Snapshot
from glost.publish.exports import write_tables
from glost.publish.site.publish import publish
from glost.record.errors import RecordErrors
from glost.record.record import read
from glost.record.together import begin
from keepers import keeper

PAGED = (
    "source,title,kind,date,complete,image\n"
    "cat1908,Catalogue No. 4,catalogue,1908,yes,p 3.png\n"
    "cat1911,Catalogue No. 5,catalogue,1911,no,\n"
    "letter,[Letter of a traveller],letter,1912-03,,\n"
)


@pytest.fixture(scope="module")
def both(tmp_path_factory: pytest.TempPathFactory) -> Path:
    top = tmp_path_factory.mktemp("keepers")
    folders = [keeper(top, name, sources=PAGED) for name in ("ash", "elm")]
    for folder, colour in zip(folders, ("white", "black"), strict=True):
        (folder / "images").mkdir()
        Image.new("RGB", (40, 30), colour).save(folder / "images" / "p 3.png")
    begin(top / "both", "Both", "https://both.example/", folders)
    ends = (URIRef(f"https://{name}.example/shape/alder") for name in ("ash", "elm"))
    entered(
        read(top / "both"),
        [Reviewed(*ends, PairAnswer.YES, "One rim.")],
        Sitting("E. Marsh", "2025-01-02"),
    )
    return top / "both"


@pytest.fixture(scope="module")
def site(both: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("site") / "site"
    publish(Snapshot(both), folder)
    return folder


def test_each_keeper_s_things_have_pages_that_name_both_ends_of_a_link(site: Path) -> None:
    for name, other in (("ash", "elm"), ("elm", "ash")):
        page = (site / f"{name}.shape" / "alder.html").read_text(encoding="utf-8")
        assert f"https://{name}.example/shape/alder" in page
        assert f"../{other}.shape/alder.html" in page
        assert "One rim." in page


def test_every_link_of_the_site_leads_somewhere(site: Path) -> None:
    pages = sorted(site.rglob("*.html"))
    assert any(page.parent.name == "elm.shape" for page in pages)
    for page in pages:
        for link in re.findall(r'(?:href|src)="([^"]*)"', page.read_text(encoding="utf-8")):
            file = unquote(urldefrag(link)[0].partition("?")[0])
            if file and "://" not in file and not file.startswith(("data:", "mailto:")):
                target = (site / file.lstrip("/")) if file.startswith("/") else page.parent / file
                assert target.resolve().exists(), (page, link)


def test_each_keeper_s_page_images_are_shown_with_its_sources(both: Path, site: Path) -> None:
    for name in ("ash", "elm"):
        image = site / "images" / name / "p 3.png"
        assert image.read_bytes() == (both.parent / name / "images" / "p 3.png").read_bytes()
        page = (site / f"{name}.source" / "cat1908.html").read_text(encoding="utf-8")
        assert f"images/{name}/p%203.png" in page


def test_tables_of_several_keepers_are_not_thrown_together(both: Path, tmp_path: Path) -> None:
    with pytest.raises(RecordErrors, match="reads collections together: ash, elm"):
        write_tables(read(both), tmp_path / "back")
    assert not (tmp_path / "back").exists()
