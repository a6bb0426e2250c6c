"""A site of two keepers' collections: every link leads somewhere, and each thing has its own page."""

import re
from pathlib import Path
from urllib.parse import unquote, urldefrag

import pytest
from rdflib import URIRef

from glost.answer.review import Answer, Reviewed, Sitting, entered
from glost.answer.snapshot import Snapshot
from glost.publish.exports import write_tables
from glost.publish.site.publish import publish
from glost.record.errors import RecordErrors
from glost.record.record import read
from glost.record.together import begin
from keepers import keeper


@pytest.fixture(scope="module")
def both(tmp_path_factory: pytest.TempPathFactory) -> Path:
    top = tmp_path_factory.mktemp("keepers")
    folders = [keeper(top, name) for name in ("ash", "elm")]
    begin(top / "both", "Both", "https://both.example/", folders)
    ends = (URIRef(f"https://{name}.example/shape/alder") for name in ("ash", "elm"))
    entered(
        read(top / "both"),
        [Reviewed(*ends, Answer.YES, "One rim.")],
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


def test_tables_of_several_keepers_are_not_thrown_together(both: Path, tmp_path: Path) -> None:
    with pytest.raises(RecordErrors, match="reads collections together: ash, elm"):
        write_tables(read(both), tmp_path / "back")
    assert not (tmp_path / "back").exists()
