"""The W3C's tests of the SPARQL 1.1 Protocol that concern queries and refusals, by their names.

W3C, SPARQL 1.1 test suite, ``protocol/`` (w3c/rdf-tests, ``sparql/sparql11/protocol``), read in a
stored copy: each test is a request described in words and the response it expects. Left out are
the tests of updates that succeed, since the endpoint refuses all updates, and those of datasets,
which load graphs from the network; `tests/publish/endpoint` tests datasets on its own graphs.
"""

from collections.abc import Iterator

import httpx2 as httpx
import pytest

from endpoint import serving, write_site
from shelf import write

FORM = "application/x-www-form-urlencoded"
QUERY = "application/sparql-query"
UPDATE = "application/sparql-update"
ASK = "query=ASK%20%7B%7D"
TABLES = {
    "application/sparql-results+xml",
    "application/sparql-results+json",
    "text/tab-separated-values",
    "text/csv",
}
STATEMENTS = {"text/turtle", "application/rdf+xml", "application/n-triples", "application/ld+json"}

REFUSED = {
    "bad_query_method": ("PUT", f"?{ASK}", "", b""),
    "bad_multiple_queries": ("GET", f"?{ASK}&query=SELECT%20%2A%20%7B%7D", "", b""),
    "bad_query_wrong_media_type": ("POST", "", "text/plain", b"ASK {}"),
    "bad_query_missing_form_type": ("POST", "", "", ASK.encode()),
    "bad_query_missing_direct_type": ("POST", "", "", b"ASK {}"),
    "bad_query_non_utf8": ("POST", "", f"{QUERY}; charset=UTF-16", "ASK {}".encode("utf-16")),
    "bad_query_syntax": ("GET", "?query=ASK%20%7B", "", b""),
    "bad_update_get": ("GET", "?update=CLEAR%20ALL", "", b""),
    "bad_multiple_updates": ("POST", "", FORM, b"update=CLEAR%20NAMED&update=CLEAR%20DEFAULT"),
    "bad_update_wrong_media_type": ("POST", "", "text/plain", b"CLEAR NAMED"),
    "bad_update_missing_form_type": ("POST", "", "", b"update=CLEAR%20NAMED"),
    "bad_update_non_utf8": ("POST", "", f"{UPDATE}; charset=UTF-16", "CLEAR".encode("utf-16")),
    "bad_update_syntax": ("POST", "", FORM, b"update=CLEAR%20XYZ"),
}
ANSWERED = {
    "query_get": ("GET", f"?{ASK}", "", b"", TABLES),
    "query_post_form": ("POST", "", FORM, ASK.encode(), TABLES),
    "query_post_direct": ("POST", "", QUERY, b"ASK {}", TABLES),
    "query_content_type_select": ("POST", "", FORM, b"query=SELECT%20(1%20AS%20%3Fvalue)%20%7B%7D", TABLES),
    "query_content_type_ask": ("POST", "", FORM, ASK.encode(), TABLES),
    "query_content_type_describe": ("POST", "", QUERY, b"DESCRIBE <http://example.org/>", STATEMENTS),
    "query_content_type_construct": (
        "POST", "", QUERY, b"CONSTRUCT { <s> <p> 1 } WHERE {}", STATEMENTS,
    ),
}  # fmt: skip


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> Iterator[httpx.Client]:
    folder = tmp_path_factory.mktemp("protocol")
    site = write_site(folder / "site", write(folder / "shelf"))
    with (
        serving(site, folder / "store", workers=2) as address,
        httpx.Client(base_url=f"{address}sparql", trust_env=False, timeout=20) as opened,
    ):
        yield opened


def sent(client: httpx.Client, method: str, query: str, media: str, body: bytes) -> httpx.Response:
    headers = {"content-type": media} if media else {}
    url = str(client.base_url).rstrip("/") + query
    return client.request(method, url, content=body, headers=headers)


@pytest.mark.parametrize("name", REFUSED)
def test_refused(client: httpx.Client, name: str) -> None:
    answer = sent(client, *REFUSED[name])
    assert 400 <= answer.status_code < 500


@pytest.mark.parametrize("name", ANSWERED)
def test_answered(client: httpx.Client, name: str) -> None:
    *request, media = ANSWERED[name]
    answer = sent(client, *request)
    assert answer.status_code in (200, 301, 302, 303, 307), answer.text
    assert answer.headers["content-type"].partition(";")[0] in media
    if b"ASK" in request[3] or "ASK" in request[1]:
        assert answer.json()["boolean"] is True
