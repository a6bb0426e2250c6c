"""Identifiers that were, a list of pages for search engines, and links that say what is what."""

import json
import re
from pathlib import Path
from urllib.parse import unquote
from xml.etree import ElementTree

import pytest
from rdflib import Graph, URIRef
from rdflib.namespace import DCTERMS
from starlette.applications import Starlette
from starlette.routing import Mount
from starlette.testclient import TestClient

from glost.answer.snapshot import Snapshot
from glost.publish.endpoint.static import Published, Site
from glost.publish.site import sitemap
from glost.publish.site.holdings import SiteContents
from glost.publish.site.publish import publish
from glost.record.errors import RecordErrors
from shelf import write

BASE = "https://example.org/shelf/"
FORMER = """licence = "https://creativecommons.org/licenses/by/4.0/"
[renamed]
"shape/elder" = "shape/alder"
[withdrawn]
"shape/ghost" = "shape/birch"
"mark/never-was" = ""
"""


def collection(folder: Path, settings: str) -> Path:
    write(folder)
    with (folder / "collection.toml").open("a", encoding="utf-8") as file:
        file.write(settings)
    return folder


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    top = tmp_path_factory.mktemp("former")
    publish(Snapshot(collection(top / "shelf", FORMER)), top / "site", many=1)
    return top / "site"


@pytest.fixture(scope="module")
def client(site: Path) -> TestClient:
    app = Starlette(routes=[Mount("/", Site(Published(site)))])
    return TestClient(app, follow_redirects=False)


def test_what_was_renamed_leads_to_what_it_is_called_now(client: TestClient) -> None:
    for form in ("text/html", "text/turtle"):
        answer = client.get("/shape/elder", headers={"accept": form})
        assert (answer.status_code, answer.headers["location"]) == (301, "alder")
    assert client.get("/shape/alder").status_code == 303


def test_what_was_withdrawn_is_gone_and_says_what_took_its_place(client: TestClient) -> None:
    for old in ("shape/ghost", "mark/never-was"):
        answer = client.get(f"/{old}")
        assert answer.status_code == 410
        assert old in answer.text
    assert '<a href="/shelf/shape/birch.html">Birch</a>' in answer.text
    assert answer.text.count("Nothing took its place") == 1
    assert client.get("/shape/nobody").status_code == 404


def test_data_say_what_is_in_the_place_of_what_was(site: Path) -> None:
    told = Graph().parse(site / "data" / "void.ttl")
    found = {
        (str(old).removeprefix(BASE), str(new).removeprefix(BASE))
        for old, new in told.subject_objects(DCTERMS.isReplacedBy)
        if str(old).startswith(BASE)
    }
    assert found == {("shape/elder", "shape/alder"), ("shape/ghost", "shape/birch")}


@pytest.mark.parametrize(
    ("settings", "told"),
    [
        ('[renamed]\n"shape/alder" = "shape/birch"\n', "in the collection still"),
        ('[renamed]\n"shape/elder" = "shape/nobody"\n', "which the collection does not have"),
        ('[withdrawn]\n"shape/elder" = "shape/nobody"\n', "which the collection does not have"),
        ('[renamed]\n"shape/elder" = ""\n', "is no kind/id"),
        ('[withdrawn]\n"../etc" = ""\n', "is no kind/id"),
        ("withdrawn = 3\n", "is not a table"),
    ],
)
def test_what_cannot_be_is_refused(tmp_path: Path, settings: str, told: str) -> None:
    with pytest.raises(RecordErrors, match=told):
        publish(Snapshot(collection(tmp_path / "shelf", settings)), tmp_path / "site", many=1)


def test_a_site_without_any_has_no_page_for_them(tmp_path: Path) -> None:
    marker = json.loads((publish_plain(tmp_path) / "glost-site.json").read_text(encoding="utf-8"))
    assert "withdrawn" not in marker
    assert not (tmp_path / "site" / "410.html").exists()


def publish_plain(top: Path) -> Path:
    publish(Snapshot(write(top / "shelf")), top / "site", many=1)
    return top / "site"


def addresses(content: bytes) -> list[str]:
    space = "{http://www.sitemaps.org/schemas/sitemap/0.9}"
    return [str(each.text) for each in ElementTree.fromstring(content).iter(f"{space}loc")]


def test_the_map_of_the_site_lists_pages_that_are_there(site: Path) -> None:
    """The protocol of sitemaps.org: whole addresses, under that of the map itself."""
    found = addresses((site / "sitemap.xml").read_bytes())
    assert len(found) == len(set(found)) > 20
    assert all((site / unquote(each.removeprefix(BASE))).is_file() for each in found)
    assert f"{BASE}shape/alder.html" in found


def test_a_long_map_is_parted(site: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(sitemap, "_MOST", 10)
    holdings = SiteContents(Snapshot(write(tmp_path / "shelf")), ())
    files = dict(sitemap.sitemap(holdings))
    parts = [each.removeprefix(BASE) for each in addresses(files["sitemap.xml"])]
    assert len(parts) > 2 and set(parts) == set(files) - {"sitemap.xml"}
    assert all(len(addresses(files[each])) <= 10 for each in parts)


def test_pages_say_by_links_what_they_tell_of(site: Path) -> None:
    """Signposting: what to cite (RFC 8574), kind, licence (RFC 4946), and data of it (POWDER)."""
    text = (site / "shape" / "alder.html").read_text(encoding="utf-8")
    head = text.partition("</head>")[0]
    links: dict[str, list[str]] = {}
    for rel, href in re.findall(r'<link rel="([\w-]+)"[^>]*? href="([^"]+)"', head):
        links.setdefault(rel, []).append(href)
    assert links["cite-as"] == [f"{BASE}shape/alder"]
    assert links["license"] == ["https://creativecommons.org/licenses/by/4.0/"]
    assert links["type"] == ["https://schema.org/AboutPage"]
    for href in links["describedby"]:
        graph = (site / "shape" / href).resolve()
        assert graph.is_file()
    assert len(links["describedby"]) == 3
    alder = Graph().parse(site / "shape" / "alder.ttl")
    assert (URIRef(links["cite-as"][0]), None, None) in alder
