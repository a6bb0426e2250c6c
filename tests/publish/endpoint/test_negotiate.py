"""Choosing among media types, and what an identifier leads to."""

import httpx2 as httpx
import pytest

from glost.publish.endpoint.negotiate import accepted, choose, weight

RFC = (
    "text/*;q=0.3, text/plain;q=0.7, text/plain;format=flowed, "
    "text/plain;format=fixed;q=0.4, */*;q=0.5"
)
BROWSER = "text/html,application/xhtml+xml,application/xml;q=0.9,image/avif,*/*;q=0.8"
FORMS = ["text/html", "text/turtle", "application/ld+json", "application/n-quads"]


@pytest.mark.parametrize(
    ("media", "quality"),
    [
        ("text/plain;format=flowed", 1),
        ("text/plain", 0.7),
        ("text/html", 0.3),
        ("image/jpeg", 0.5),
        ("text/plain;format=fixed", 0.4),
        ("text/html;level=3", 0.3),
    ],
)
def test_the_example_of_the_standard(media: str, quality: float) -> None:
    """RFC 9110 (HTTP Semantics, 2022), section 12.5.1, the table at its end."""
    assert weight(media, accepted(RFC)) == quality


@pytest.mark.parametrize(
    ("header", "chosen"),
    [
        (None, "text/html"),
        ("", "text/html"),
        ("*/*", "text/html"),
        (BROWSER, "text/html"),
        ("text/turtle", "text/turtle"),
        ("TEXT/Turtle ; Q=0.5", "text/turtle"),
        ("text/html;q=0.4, text/turtle;q=0.5", "text/turtle"),
        ("application/*", "application/ld+json"),
        ("application/*;q=0.9, text/turtle", "text/turtle"),
        ("*/*;q=0.1, text/html;q=0", "text/turtle"),
        ('text/turtle;x="a,b", application/n-quads;q=0.2', "application/n-quads"),
        ("image/png", None),
        ("text/html;q=0", None),
        ("*/*;q=0", None),
        ("nonsense", "text/html"),
        (",,;q=", "text/html"),
        ("text/html;q=7", "text/html"),
        ("text/turtle, " * 5_000, "text/turtle"),
        ("text/turtle, */*", "text/turtle"),
        ("*/*, application/n-quads", "application/n-quads"),
        ("text/turtle, text/html", "text/html"),
        ("application/*, text/*", "text/html"),
        (
            'application/ld+json;profile="http://www.w3.org/ns/json-ld#expanded"',
            "application/ld+json",
        ),
    ],
)
def test_what_a_client_wants_most_is_chosen(header: str | None, chosen: str | None) -> None:
    assert choose(header, FORMS) == chosen


@pytest.mark.parametrize(
    ("accept", "to"),
    [
        ("text/turtle", "alder.ttl"),
        ("application/ld+json", "alder.jsonld"),
        ("application/n-quads", "alder.nq"),
        ("text/turtle;q=0.1, application/ld+json;q=0.2", "alder.jsonld"),
        (BROWSER, "alder.html"),
        ("*/*", "alder.html"),
    ],
)
def test_an_identifier_leads_to_what_is_wanted(client: httpx.Client, accept: str, to: str) -> None:
    answer = client.get("shape/alder", headers={"accept": accept})
    assert (answer.status_code, answer.headers["location"]) == (303, to)
    assert "Accept" in answer.headers["vary"]
    told = f'<alder.ttl>; rel="{"self" if to == "alder.ttl" else "alternate"}"; type="text/turtle"'
    assert told in answer.headers["link"]
    arrived = client.get("shape/alder", headers={"accept": accept}, follow_redirects=True)
    assert arrived.status_code == 200
    assert arrived.url.path == f"/shape/{to}"


def test_media_types_of_files_do_not_depend_on_the_system(client: httpx.Client) -> None:
    for suffix, media in (
        ("html", "text/html; charset=utf-8"),
        ("ttl", "text/turtle; charset=utf-8"),
        ("jsonld", "application/ld+json"),
        ("nq", "application/n-quads"),
    ):
        assert client.get(f"shape/alder.{suffix}").headers["content-type"] == media


def test_an_identifier_in_no_format_wanted_is_said_to_be(client: httpx.Client) -> None:
    answer = client.get("shape/alder", headers={"accept": "image/png"})
    assert answer.status_code == 406
    assert "text/turtle" in answer.text
    assert "Accept" in answer.headers["vary"]


def test_an_identifier_with_a_name_unfit_for_files(client: httpx.Client) -> None:
    answer = client.get("shape/Odd%20one", headers={"accept": "text/turtle"})
    assert (answer.status_code, answer.headers["location"]) == (303, "../other/odd.ttl")


def test_a_folder_is_its_index(client: httpx.Client) -> None:
    assert "Front" in client.get("").text
    assert "Shapes" in client.get("shape/").text
    answer = client.get("shape")
    assert answer.is_redirect
    assert answer.headers["location"] == "./shape/"


def test_nothing_is_written(client: httpx.Client) -> None:
    for method in ("PUT", "DELETE", "PATCH", "POST"):
        assert client.request(method, "shape/alder").status_code == 405
        assert client.request(method, "shape/alder.ttl").status_code == 405


def test_nothing_at_an_address(client: httpx.Client) -> None:
    plain = client.get("shape/nowhere")
    assert (plain.status_code, plain.text) == (
        404,
        "there is nothing at this address; look at the front page, or search there\n",
    )
    page = client.get("shape/nowhere", headers={"accept": "text/html"})
    assert page.status_code == 404
    assert "<h1>Not Found</h1>" in page.text
    assert "A &lt;b&gt;shelf&lt;/b&gt;" in page.text
    told = client.get("shape/nowhere", headers={"accept": "application/problem+json"}).json()
    assert told == {
        "status": 404,
        "title": "Not Found",
        "detail": "there is nothing at this address; look at the front page, or search there",
    }
