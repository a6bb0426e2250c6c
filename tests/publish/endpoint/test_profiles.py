"""Negotiation by profile: W3C, *Content Negotiation by Profile* (2023), sections 7.1 and 7.2.

Links are read by the parser of ``requests``, data by rdflib.
"""

import json
from collections.abc import Iterator

import pyoxigraph as ox
import pytest
from rdflib import Graph, URIRef
from rdflib.namespace import RDF
from requests.utils import parse_header_links
from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Mount
from starlette.testclient import TestClient

from glost.answer.snapshot import Snapshot
from glost.publish.endpoint.problems import Problem
from glost.publish.endpoint.static import Published, Site, in_crm
from glost.publish.site.publish import publish
from shelf import write

OWN, CRM, SDO = (
    "https://w3id.org/glost/profile", "http://www.cidoc-crm.org/cidoc-crm/", "https://schema.org/",
)  # fmt: skip
ALDER = "https://example.org/shelf/shape/alder"


def refused(request: Request, error: Exception) -> Response:
    assert isinstance(error, Problem)
    return PlainTextResponse(str(error), error.status, error.headers)


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    folder = tmp_path_factory.mktemp("profiles")
    publish(Snapshot(write(folder / "shelf")), folder / "site")
    published = Published(folder / "site")
    published.load(folder / "store")
    site = Site(published, ox.Store.read_only(str(in_crm(folder / "store"))))
    app = Starlette(routes=[Mount("/", site)], exception_handlers={Problem: refused, HTTPException: refused})  # fmt: skip
    with TestClient(app, follow_redirects=False) as opened:
        yield opened


@pytest.mark.parametrize(
    ("accept", "profiles", "to", "profile"),
    [
        ("text/turtle", "", "alder.ttl", OWN),
        ("text/html", "", "alder.html", None),
        ("text/turtle", f"<{OWN}>", "alder.ttl", OWN),
        ("*/*", f"<{OWN}>", "alder.ttl", OWN),
        ("text/html, */*;q=0.1", f"<{CRM}>", "alder?_profile=crm&_mediatype=text/turtle", CRM),
        ("", f"<{CRM}>;q=0.4, <{OWN}>;q=0.8", "alder.ttl", OWN),
        ("", f"<urn:example:other>, <{CRM}>;q=0.4", "alder?_profile=crm&_mediatype=text/turtle", CRM),
        ("application/ld+json", f"<{CRM}>, <{SDO}>;q=0.5",
         "alder?_profile=schema&_mediatype=application/ld%2Bjson", SDO),
    ],
)  # fmt: skip
def test_a_header_leads_to_the_profile_wanted_most(
    client: TestClient, accept: str, profiles: str, to: str, profile: str | None
) -> None:
    """A profile goes before a media type: "more desired than [...] does not conform"."""
    headers = {"accept": accept} | ({"accept-profile": profiles} if profiles else {})
    answer = client.get("/shape/alder", headers=headers)
    assert (answer.status_code, answer.headers["location"]) == (303, to)
    assert answer.headers.get("content-profile") == (f"<{profile}>" if profile else None)
    assert answer.headers["vary"] == "Accept, Accept-Profile"
    arrived = client.get(f"/shape/{to}")
    assert arrived.status_code == 200
    assert arrived.headers.get("content-profile") == (f"<{profile}>" if profile else None)


@pytest.mark.parametrize(
    ("query", "headers"),
    [
        ("", {"accept-profile": "<urn:example:profile:x>"}),
        ("", {"accept-profile": f"<{CRM}>;q=0"}),
        ("", {"accept-profile": f"<{CRM}>", "accept": "image/png"}),
        ("?_profile=x", {}),
        ("?_profile=<urn:example:profile:x>", {}),
        ("?_profile=schema&_mediatype=text/turtle", {}),
    ],
)
def test_a_profile_that_is_not_there_is_refused_and_the_others_told(
    client: TestClient, query: str, headers: dict[str, str]
) -> None:
    answer = client.get(f"/shape/alder{query}", headers=headers)
    assert answer.status_code == 406
    assert f"text/turtle by <{CRM}>" in answer.text
    assert {each.get("profile") for each in parse_header_links(answer.headers["link"])} >= {OWN, CRM, SDO}  # fmt: skip


@pytest.mark.parametrize(
    ("query", "profile", "media"),
    [
        ("_profile=crm", CRM, "text/turtle"),
        (f"_profile=<{CRM}>&_mediatype=application/n-triples", CRM, "application/n-triples"),
        (f"_profile=%3C{CRM.replace('/', '%2F')}%3E", CRM, "text/turtle"),
        ("_profile=x,schema,crm", SDO, "application/ld+json"),
    ],
)
def test_an_address_names_profile_and_media_type(
    client: TestClient, query: str, profile: str, media: str
) -> None:
    answer = client.get(
        f"/shape/alder?{query}", headers={"accept": "text/html"} if "," in media else {}
    )
    assert answer.status_code == 200
    assert answer.headers["content-profile"] == f"<{profile}>"
    assert answer.headers["content-type"].partition(";")[0] == media
    links = parse_header_links(answer.headers["link"])
    (own,) = (each for each in links if each["rel"] == "self")
    assert (own["profile"], own["type"]) == (profile, media)


def test_an_address_goes_before_a_header(client: TestClient) -> None:
    headers = {"accept-profile": f"<{OWN}>", "accept": "text/turtle"}
    answer = client.get(
        "/shape/alder?_profile=schema&_mediatype=application/ld%2Bjson", headers=headers
    )
    assert answer.headers["content-profile"] == f"<{SDO}>"
    answer = client.get("/shape/alder?_profile=glost&_mediatype=text/turtle")
    assert (answer.status_code, answer.headers["location"]) == (303, "alder.ttl")


def test_all_profiles_are_listed_in_links_and_as_json(client: TestClient) -> None:
    answer = client.get("/shape/alder?_profile=all")
    assert answer.status_code == 200
    assert answer.headers["content-profile"] == "<http://www.w3.org/ns/dx/conneg/profile/qsa>"
    links = parse_header_links(answer.headers["link"])
    tokens = {each["token"]: each["anchor"] for each in links if each["rel"] == "type"}
    assert tokens == {"glost": OWN, "crm": CRM, "schema": SDO}
    told = answer.json()
    assert told["resource"] == ALDER
    assert {(p["token"], p["uri"], m) for p in told["profiles"] for m in p["media_types"]} == {
        (token, each["profile"], each["type"])
        for each in links if "profile" in each
        for token, iri in tokens.items() if iri == each["profile"]
    }  # fmt: skip
    for each in links:
        if "profile" in each:
            arrived = client.get(f"/shape/{each['url']}")
            assert arrived.headers["content-profile"] == f"<{each['profile']}>"
            assert arrived.headers["content-type"].partition(";")[0] == each["type"]


def test_the_crm_of_a_thing_is_what_the_whole_says_of_it(client: TestClient) -> None:
    """By SPARQL over the whole: what is about the shape or named after it, or leads there."""
    whole, thing = Graph(), Graph()
    whole.parse(data=client.get("/data/crm.ttl").text, format="turtle")
    thing.parse(data=client.get("/shape/alder?_profile=crm").text, format="turtle")

    def own(term: object) -> bool:
        return str(term) == ALDER or str(term).startswith(f"{ALDER}#")

    expected = {t for t in whole if own(t[0]) and (str(t[0]) == ALDER or own(t[0]))}
    reached = {ALDER} | {str(t[2]) for t in thing if own(t[2])} | {str(t[0]) for t in thing}
    assert set(thing) == {t for t in expected if str(t[0]) in reached}
    assert (URIRef(ALDER), RDF.type, URIRef(f"{CRM}E55_Type")) in thing
    assert any("E12_Production" in str(t[2]) for t in thing)
    assert len(thing) > 10


def test_schema_org_is_what_the_page_tells_search_engines(client: TestClient) -> None:
    answer = client.get("/shape/alder?_profile=schema")
    told = json.loads(answer.text)
    assert (told["@id"], told["@type"], told["name"]) == (ALDER, "ProductGroup", "Alder")


def test_what_is_no_query_of_ours_changes_nothing(client: TestClient) -> None:
    for query in ("?", "?x=1", "?_profile=", "?" + "&".join(f"a{n}=1" for n in range(500))):
        answer = client.get(f"/shape/alder{query}", headers={"accept": "text/turtle"})
        assert (answer.status_code, answer.headers["location"]) == (303, "alder.ttl")
