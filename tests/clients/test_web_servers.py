"""Apache, nginx and Caddy, each with the rules that a site brings, as its identifiers are asked.

Debian: ``apt-get install apache2-bin nginx-light caddy``; no service needs to run.
"""

import csv
import io
import json
import socket
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from urllib.parse import quote, unquote, urljoin, urlsplit
from urllib.request import Request, urlopen

import httpx2 as httpx
import pytest
from rdflib import Graph

from glost.answer.snapshot import Snapshot
from glost.publish.data.media import MEDIA
from glost.publish.endpoint.negotiate import choose
from glost.publish.site.holdings import SiteContents
from glost.publish.site.publish import publish
from shelf import TABLES, write
from web_servers import SERVERS, web_folder

EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "wend-valley"
SIZES = (
    'gz', 'de', 'var', 'ttl', 'P1', 'p1', '9"', "Ångström", "釉", "½ oz, hot", "a\\b", "c:d",
    "50% off", "a+b", "what?", "tag#1", "{curly}", "$dollar", "semi;colon", "it's", "a/b",
    "[brackets]", "(paren)|pipe^", "amp&", "end.", ".htaccess", "x" * 130,
)  # fmt: skip
"""Sizes that end in the identifiers of articles, and that one server or another stumbles over."""
BROWSER = "text/html,application/xhtml+xml,application/xml;q=0.9,image/avif,*/*;q=0.8"
FORMER = """
[renamed]
"shape/elder.old" = "shape/alder"
[withdrawn]
"shape/ghost" = "shape/birch"
"mark/never-was" = ""
"""
"""What the settings of the site with hard identifiers say of those that were."""
ENDINGS = {"text/html": ".html", "text/turtle": ".ttl", "application/ld+json": ".jsonld",
           "application/n-quads": ".nq"}  # fmt: skip


@dataclass(frozen=True)
class Served:
    """A site as a server serves it.

    Attributes
    ----------
    address
        Of its front page.
    folder
        Where it lies.
    base
        Base IRI of its collection.
    """

    address: str
    folder: Path
    base: str

    def at(self, iri: str) -> str:
        """Return where an identifier of the collection is asked for."""
        return self.address + iri.removeprefix(self.base)

    def get(self, iri: str, accept: str | None = None) -> httpx.Response:
        """Ask for an identifier, or for an address below the base, and follow nothing."""
        headers = {"accept": accept} if accept is not None else {}
        with httpx.Client(trust_env=False) as client:
            del client.headers["accept"]
            return client.get(self.at(iri), headers=headers)


@pytest.fixture(scope="session")
def roots() -> Iterator[dict[str, Path]]:
    """The folders of two sites: the larger example, and one with hard identifiers."""
    with web_folder() as place:
        text = io.StringIO()
        rows = csv.writer(text, lineterminator="\n")
        rows.writerows(["cat1908", "alder", "saucer", s, "", "1", "dozen", "p. 1"] for s in SIZES)
        hard = write(place / "shelf", assortments=TABLES["assortments"] + text.getvalue())
        with (hard / "collection.toml").open("a", encoding="utf-8") as settings:
            settings.write(FORMER)
        (place / "www").mkdir(mode=0o755)
        publish(Snapshot(hard), place / "www" / "shelf")
        publish(Snapshot(EXAMPLE), place / "www" / "wend")
        yield {"shelf": place / "www" / "shelf", "wend": place / "www" / "wend"}


@pytest.fixture(scope="module", params=list(SERVERS))
def sites(request: pytest.FixtureRequest, roots: dict[str, Path]) -> Iterator[dict[str, Served]]:
    """Both sites on each server."""
    found = {}
    with ExitStack() as stack:
        for name, folder in roots.items():
            base = json.loads((folder / "glost-site.json").read_text())["base"]
            address = stack.enter_context(SERVERS[request.param](folder.parent, folder))
            found[name] = Served(f"{address}{name}/", folder, base)
        yield found


@pytest.fixture
def wend(sites: dict[str, Served]) -> Served:
    return sites["wend"]


@pytest.fixture
def shelf(sites: dict[str, Served]) -> Served:
    return sites["shelf"]


@cache
def stems(folder: Path, source: Path) -> dict[str, str]:
    snapshot = Snapshot(source)
    return dict(SiteContents(snapshot, ()).addresses.stems)


def of_kind(served: Served, kind: str) -> str:
    """Return the first identifier of a kind that has a page of its name."""
    pages = sorted((served.folder / kind).glob("*.ttl"))
    return f"{served.base}{kind}/{quote(pages[0].stem)}"


ASKED = [
    (None, ".html"),
    ("", ".html"),
    ("*/*", ".html"),
    (BROWSER, ".html"),
    ("image/png", ".html"),
    ("nonsense", ".html"),
    ("text/html", ".html"),
    ("text/turtle", ".ttl"),
    ("TEXT/Turtle", ".ttl"),
    ("application/ld+json", ".jsonld"),
    ('application/ld+json;profile="http://www.w3.org/ns/json-ld#expanded"', ".jsonld"),
    ("application/n-quads", ".nq"),
    ("text/turtle;q=0, text/html", ".html"),
    ("text/html;q=0.4, text/turtle;q=0.5", ".ttl"),
    ("text/turtle;q=0.5, text/html;q=0.4", ".ttl"),
    ("text/turtle ; q=0.1 , application/ld+json ; q=0.2", ".jsonld"),
    ("text/turtle, application/n-triples;q=0.9, application/ld+json;q=0.8, */*;q=0.3", ".ttl"),
    ("application/n-quads,application/trig;q=0.95,application/ld+json;q=0.9,text/html;q=0.2", ".nq"),
    ("application/rdf+xml, application/n-quads;q=0.7, text/html;q=0.3", ".nq"),
    ("text/html, text/turtle", ".html"),
    ("text/turtle, */*", ".ttl"),
]  # fmt: skip


@pytest.mark.parametrize(("accept", "ending"), ASKED)
def test_what_a_client_prefers_is_where_it_is_led(
    wend: Served, accept: str | None, ending: str
) -> None:
    iri = f"{wend.base}shape/alder"
    answer = wend.get(iri, accept)
    assert answer.status_code == 303
    assert urljoin(wend.at(iri), answer.headers["location"]) == wend.at(iri) + ending
    assert "Accept" in answer.headers["vary"].replace("Accept-Encoding", "")
    assert answer.headers["access-control-allow-origin"] == "*"


@pytest.mark.parametrize(
    "kind", ["shape", "piece", "source", "claim", "passage", "article", "correction", "role"]
)
def test_identifiers_of_every_kind(wend: Served, kind: str) -> None:
    iri = of_kind(wend, kind)
    for media, ending in ENDINGS.items():
        answer = wend.get(iri, media)
        assert answer.status_code == 303, iri
        there = urljoin(wend.at(iri), answer.headers["location"])
        arrived = httpx.get(there, trust_env=False)
        assert arrived.status_code == 200
        assert arrived.headers["content-type"].replace(" ", "").lower() == MEDIA[ending].replace(
            " ", ""
        )
        name = unquote(urlsplit(there).path).removeprefix("/wend/")
        assert arrived.content == (wend.folder / name).read_bytes()


def test_data_say_which_profile_they_conform_to(wend: Served) -> None:
    """W3C, Content Negotiation by Profile; the page has none, and the way to the CRM is told."""
    iri = of_kind(wend, "shape")
    for ending in (".ttl", ".jsonld", ".nq"):
        told = wend.get(iri + ending).headers
        assert told["content-profile"] == "<https://w3id.org/glost/profile>"
        assert told["link"] == '<https://w3id.org/glost/profile>; rel="profile"'
    crm = "http://www.cidoc-crm.org/cidoc-crm/"
    assert wend.get(f"{wend.base}data/crm.ttl").headers["content-profile"] == f"<{crm}>"
    for other in (f"{iri}.html", f"{wend.base}data/void.ttl"):
        assert "content-profile" not in wend.get(other).headers
    link = wend.get(iri, "text/turtle").links["describedby"]
    assert link["url"].endswith("/data/crm.ttl") and link["profile"] == crm


def test_a_client_of_linked_data_reads_what_an_identifier_leads_to(wend: Served) -> None:
    """The library's own client follows the redirection (urllib), and rdflib reads what it gets."""
    iri = f"{wend.base}piece/wv-041"
    request = Request(wend.at(iri), headers={"Accept": "text/turtle"})
    with urlopen(request, timeout=20) as answer:
        assert answer.url == wend.at(iri) + ".ttl"
        graph = Graph().parse(answer.read(), format="turtle")
    assert any(str(subject) == iri for subject in graph.subjects())


def test_graphs_pages_and_folders(wend: Served) -> None:
    assert wend.get(f"{wend.base}record", "text/turtle").headers["location"].endswith("record.ttl")
    for page, file in (("", "index.html"), ("shape/", "shape/index.html"),
                       ("shape/alder.html", "shape/alder.html")):  # fmt: skip
        answer = wend.get(wend.base + page, "text/turtle")
        assert answer.status_code == 200
        assert answer.content == (wend.folder / file).read_bytes()
        assert answer.headers["content-type"].replace(" ", "").lower() == "text/html;charset=utf-8"
    without = wend.get(f"{wend.base}shape", "text/html")
    assert without.status_code in (301, 308)
    there = urljoin(wend.at(f"{wend.base}shape"), without.headers["location"])
    assert urlsplit(there).path == "/wend/shape/"


def test_terms_of_the_vocabulary_have_pages_only(wend: Served) -> None:
    for term in ("vocabulary/classes/Shape", "vocabulary/schemes/form"):
        for media in ENDINGS:
            answer = wend.get(wend.base + term, media)
            assert answer.status_code == 303
            assert answer.headers["location"].endswith(f"{term.rpartition('/')[2]}.html")


@pytest.mark.parametrize(
    "path", ["shape/nobody", "nothing/at-all", "shape/alder.pdf", "claim/0", "shape/alder/", ".ttl",
             "shape/alder%00", "shape/alder%0d%0aX-Evil:%201"],
)  # fmt: skip
def test_what_is_not_there_is_not_found(wend: Served, path: str) -> None:
    for media in ENDINGS:
        answer = wend.get(wend.base + path, media)
        assert answer.status_code in (400, 404) or ("%00" in path and answer.status_code == 500)
        assert "x-evil" not in answer.headers


def test_where_nothing_stands_a_page_helps_to_search(wend: Served) -> None:
    for path in ("shape/nobody", "nothing/at-all/there"):
        answer = wend.get(wend.base + path, BROWSER)
        assert answer.status_code == 404
        assert "There is no such page" in answer.text
        assert 'action="/wend/search/index.html"' in answer.text
        assert wend.get(wend.base + "assets/style.css").status_code == 200


@pytest.mark.parametrize(
    "path", ["../secret", "../secret.txt", "shape/../../secret.txt", "%2e%2e/secret.txt",
             "..%2fsecret.txt", "shape/..%2f..%2fsecret", "..%5csecret.txt", ".htpasswd"],
)  # fmt: skip
def test_nothing_beside_the_site_is_given_away(wend: Served, path: str) -> None:
    secret = wend.folder.parent.parent / "secret.txt"
    secret.write_text("not to be read")
    (wend.folder.parent.parent / "secret.html").write_text("not to be read")
    host, port = urlsplit(wend.address).netloc.split(":")
    for start in ("/wend/../", "/wend/"):
        for media in ("text/html", "text/plain"):
            answer = as_it_stands(host, int(port), start + path, media)
            head, _, body = answer.partition("\r\n\r\n")
            assert "not to be read" not in body
            status = head.split()[1]
            # Caddy answers 200 and nothing where no part of its configuration answers.
            assert status in ("400", "403", "404") or (status, body) == ("200", ""), answer


def as_it_stands(host: str, port: int, path: str, accept: str) -> str:
    """Send a request whose path no library tidies up; return the answer's text."""
    with socket.create_connection((host, port), timeout=20) as talk:
        request = (
            f"GET {path} HTTP/1.1\r\nHost: {host}\r\nAccept: {accept}\r\nConnection: close\r\n"
        )
        talk.sendall(f"{request}\r\n".encode())
        return b"".join(iter(lambda: talk.recv(65_536), b"")).decode("latin-1")


def test_no_address_leads_away(wend: Served) -> None:
    """What stands before the path of an identifier is not taken for a host by who is sent on."""
    host, port = urlsplit(wend.address).netloc.split(":")
    for path in ("//evil.test/../wend/shape/alder", "//evil.test/%2e%2e/wend/shape/alder"):
        answer = as_it_stands(host, int(port), path, "text/turtle")
        for line in answer.splitlines():
            if line.lower().startswith("location:"):
                there = urljoin(wend.address, line.partition(":")[2].strip())
                assert urlsplit(there).hostname in (host, "localhost")


def test_what_was_renamed_leads_on_and_what_was_withdrawn_is_gone(shelf: Served) -> None:
    """RFC 9110, 15.4.2 and 15.5.11."""
    answer = shelf.get(f"{shelf.base}shape/elder.old", "text/turtle")
    assert answer.status_code == 301
    there = urljoin(shelf.at(f"{shelf.base}shape/elder.old"), answer.headers["location"])
    assert urlsplit(there).path.endswith("/shelf/shape/alder")
    for old in ("shape/ghost", "mark/never-was"):
        gone = shelf.get(shelf.base + old, "text/html")
        assert gone.status_code == 410, old
        assert "This was withdrawn" in gone.text and old in gone.text
    assert "shape/birch.html" in gone.text
    assert shelf.get(f"{shelf.base}shape/elderXold").status_code == 404


def test_identifiers_that_are_hard_to_write(shelf: Served) -> None:
    """Each size, in an article's identifier, leads to the page and the data of that article."""
    for size in SIZES:
        iri = f"{shelf.base}article/alder.saucer.{quote(size, safe='')}"
        for media, ending in ENDINGS.items():
            answer = shelf.get(iri, media)
            assert answer.status_code == 303, (iri, media)
            location = answer.headers["location"]
            assert location.isascii(), location
            there = urljoin(shelf.at(iri), location)
            assert there.endswith(ending)
            arrived = httpx.get(there, trust_env=False)
            assert arrived.status_code == 200, there
            assert "content-encoding" not in arrived.headers, there
            sent = arrived.headers["content-type"].replace(" ", "").lower()
            assert sent == MEDIA[ending].replace(" ", ""), there
            if ending in (".nq", ".jsonld"):
                assert iri in arrived.text, there


def test_every_identifier_of_the_example(wend: Served) -> None:
    """Every one leads to its own data, the exceptional ones too."""
    held = stems(wend.folder, EXAMPLE)
    assert len(held) > 5_000
    chosen = sorted(held)[::40] + [iri for iri, name in held.items() if name.startswith("other/")]
    # Servers read two slashes as one, also where these are encoded, as in an identifier of others.
    chosen = [each for each in chosen if "//" not in unquote(each.removeprefix(wend.base))]
    with httpx.Client(trust_env=False) as client:
        for iri in chosen:
            answer = client.get(wend.at(iri), headers={"accept": "application/n-quads"})
            assert answer.status_code == 303, iri
            there = urljoin(wend.at(iri), answer.headers["location"])
            assert unquote(urlsplit(there).path) == f"/wend/{held[iri]}.nq", iri


@pytest.mark.parametrize(
    ("file", "media"),
    [
        ("assets/style.css", "text/css;charset=utf-8"),
        ("images", None),
        ("data/dataset.trig", "application/trig"),
        ("data/tables/shapes.csv", "text/csv;charset=utf-8"),
        ("iiif/collection.json", "application/json"),
        ("assets/mark.svg", "image/svg+xml"),
        ("manifest-sha256.txt", "text/plain;charset=utf-8"),
    ],
)
def test_media_types_of_other_files(wend: Served, file: str, media: str | None) -> None:
    if media is None:
        file = next((wend.folder / file).rglob("*.png")).relative_to(wend.folder).as_posix()
        media = "image/png"
    answer = wend.get(wend.base + file)
    assert answer.status_code == 200
    assert answer.headers["content-type"].replace(" ", "").lower() == media
    assert answer.headers["x-content-type-options"] == "nosniff"


def test_the_endpoint_chooses_alike() -> None:
    """What the servers are held to here is what the endpoint's own negotiation chooses."""
    for accept, ending in ASKED:
        chosen = choose(accept, list(ENDINGS))
        assert ENDINGS[chosen or "text/html"] == ending
