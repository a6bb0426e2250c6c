"""The reconciliation service over HTTP: what is asked how, by whom, and what is refused."""

import json
from typing import Any

import httpx2 as httpx
import pytest

BATCH = {"q0": {"query": "Alder", "type": "Shape"}, "q1": {"query": "Gold Line"}}


def test_without_a_query_there_is_the_manifest_and_it_leads_back_here(client: httpx.Client) -> None:
    told = client.get("reconcile").json()
    here = f"{client.base_url}reconcile"
    assert told["name"] == "A <b>shelf</b>"
    assert told["identifierSpace"] == "https://example.org/shelf/"
    assert told["preview"]["url"] == f"{here}/preview?id={{{{id}}}}"
    assert told["suggest"]["entity"]["service_url"] == here
    assert {each["id"] for each in told["defaultTypes"]} >= {"Shape", "Treatment", "Pottery"}


def test_the_name_of_a_host_is_repeated_to_nobody_unless_it_is_this_machine(
    client: httpx.Client,
) -> None:
    for host in ("evil.example", "127.0.0.1.evil.example", "localhost:80@evil.example", ""):
        response = client.get("reconcile", headers={"host": host})
        assert "evil" not in response.text
        if response.status_code == 200:
            preview = response.json()["preview"]["url"]
            assert preview.startswith("https://example.org/shelf/reconcile/")
    assert "http://localhost:7/rec" in client.get("reconcile", headers={"host": "localhost:7"}).text


@pytest.mark.parametrize("method", ["GET", "POST"])
def test_a_batch_is_answered_by_get_and_by_post(client: httpx.Client, method: str) -> None:
    fields = {"queries": json.dumps(BATCH)}
    how: Any = {"params": fields} if method == "GET" else {"data": fields}
    told = client.request(method, "reconcile", **how).json()
    assert set(told) == {"q0", "q1"}
    first = told["q0"]["result"][0]
    assert (first["id"], first["name"], first["match"]) == ("shape/alder", "Alder", True)
    assert first["type"][0]["id"] == "Shape" and first["score"] > 50
    assert {each["id"] for each in first["features"]} == {"name"}
    assert told["q1"]["result"][0]["id"] == "treatment/b7"


def test_suggestions_proposals_and_values(client: httpx.Client) -> None:
    found = client.get("reconcile/suggest/entity", params={"prefix": "ald"}).json()["result"]
    assert found[0]["id"] == "shape/alder" and found[0]["notable"][0]["id"] == "Shape"
    assert client.get("reconcile/suggest/type", params={"prefix": "tre"}).json()["result"]
    assert client.get("reconcile/suggest/property", params={"prefix": "mad"}).json()["result"]
    proposed = client.get("reconcile/properties", params={"type": "Shape", "limit": 3}).json()
    assert len(proposed["properties"]) == 3 and proposed["limit"] == 3
    extend = json.dumps({"ids": ["shape/alder"], "properties": [{"id": "madeBy"}]})
    for response in (
        client.post("reconcile", data={"extend": extend}),
        client.get("reconcile", params={"extend": extend}),
    ):
        assert response.json()["rows"] == {
            "shape/alder": {"madeBy": [{"id": "pottery/harrow", "name": "Harrow Pottery"}]}
        }


def test_a_preview_tells_of_a_thing_in_a_frame_and_nothing_in_it_runs(client: httpx.Client) -> None:
    shown = client.get("reconcile/preview", params={"id": "shape/alder"})
    policy = shown.headers["content-security-policy"]
    assert "frame-ancestors *" in policy and "script-src" not in policy
    assert policy.startswith("default-src 'none'")
    assert "Alder" in shown.text and "Harrow Pottery" in shown.text
    hostile = client.get("reconcile/preview", params={"id": "treatment/h1"}).text
    assert "<script" not in hostile and "&lt;script&gt;alert(1)" in hostile
    assert "A &lt;b&gt;shelf" in hostile
    assert "frame-ancestors 'none'" in client.get("sparql").headers["content-security-policy"]


def test_an_id_leads_to_the_page(client: httpx.Client) -> None:
    moved = client.get("reconcile/view", params={"id": "shape/alder"}, follow_redirects=False)
    assert (moved.status_code, moved.headers["location"]) == (303, "../shape/alder")
    for hostile in ("//evil.example", "https://evil.example/", "../../etc", "shape/al\r\nder"):
        assert client.get("reconcile/view", params={"id": hostile}).status_code == 404


def test_other_sites_may_ask_without_credentials_and_only_read(client: httpx.Client) -> None:
    """Section 3.3 has every address of the service open to other sites."""
    there = {"origin": "https://tables.example"}
    for path in ("reconcile", "reconcile/suggest/entity?prefix=a", "reconcile/properties?type=Shape",
                 "reconcile/preview?id=shape/alder"):  # fmt: skip
        headers = client.get(path, headers=there).headers
        assert headers["access-control-allow-origin"] == "*"
        assert "access-control-allow-credentials" not in headers
    asked = client.options("reconcile", headers={**there, "access-control-request-method": "POST"})
    assert asked.status_code == 200
    refused = {**there, "access-control-request-method": "DELETE"}
    assert client.options("reconcile", headers=refused).status_code == 400
    assert client.delete("reconcile").status_code == 405


def queries(text: str) -> dict[str, str]:
    return {"queries": text}


@pytest.mark.parametrize(
    ("fields", "status", "said"),
    [
        (queries(json.dumps({str(n): {"query": "a"} for n in range(51)})), 413, "at most 50"),
        (queries("{"), 400, "is no JSON"),
        (queries('{"q": {"query": "a", "limit": NaN}}'), 400, "no number in JSON"),
        (queries("[" * 3_000 + "]" * 3_000), 400, ""),
        (queries('{"q": {"query": "\\ud800"}}'), 400, "is no JSON"),
        (queries('{"\\udfff": {"query": "a"}}'), 400, "is no JSON"),
        (queries("null"), 400, "is no object"),
        (queries('{"q": {"query": "a", "limit": 0}}'), 400, "the limit"),
        (queries('{"q": {"query": "a", "limit": true}}'), 400, "the limit"),
        (queries(json.dumps({"q": {"query": "a" * 1_001}})), 400, "longer than 1,000"),
        (queries(json.dumps({"q": {"query": "a" * 30_000}})), 413, "octets"),
        (queries(json.dumps({"q": {"query": "a", "type": ["x"] * 21}})), 413, "at most 20"),
        ({"extend": json.dumps({"ids": ["a"] * 501, "properties": []})}, 413, "at most 500"),
        ({"extend": '{"ids": "a", "properties": []}'}, 400, "ids is no list"),
        ({"extend": '{"ids": []}'}, 400, "properties is no list"),
        ({"callback": "alert"}, 400, "asks nothing"),
    ],
)
def test_what_is_malformed_or_too_much_is_refused_and_says_why(
    client: httpx.Client, fields: dict[str, str], status: int, said: str
) -> None:
    response = client.post("reconcile", data=fields)
    assert (response.status_code, said in response.text) == (status, True), response.text[:200]


def test_a_batch_in_another_form_is_refused(client: httpx.Client) -> None:
    response = client.post("reconcile", json={"queries": BATCH})
    assert response.status_code == 415
    bad = client.post("reconcile", content=b"queries=%ff",
                      headers={"content-type": "application/x-www-form-urlencoded"})  # fmt: skip
    assert bad.status_code == 400
    for path in ("reconcile/suggest/boat?prefix=a", "reconcile/preview?id=shape/nowhere"):
        assert client.get(path).status_code == 404
    for path in ("suggest/entity?prefix=a&cursor=-1", "properties?type=Shape&limit=0",
                 f"suggest/entity?prefix={'a' * 1_001}"):  # fmt: skip
        assert client.get(f"reconcile/{path}").status_code == 400


@pytest.mark.parametrize(
    "text",
    ["'; DROP TABLE t_other; --", "\u202e\u0000\ud7ff", "{{7*7}}", "%", "_" * 900, "a" * 1_000,
     "💥" * 400, "null", "SELECT", "\\", '"', "<script>alert(1)</script>"],
)  # fmt: skip
def test_odd_texts_are_looked_up_as_they_stand(client: httpx.Client, text: str) -> None:
    response = client.post("reconcile", data=queries(json.dumps({text[:50]: {"query": text}})))
    assert response.status_code == 200
    assert list(response.json()) == [text[:50]]
    assert client.get("reconcile/suggest/entity", params={"prefix": text}).status_code == 200


def test_many_at_once_are_answered_or_told_to_come_again(client: httpx.Client) -> None:
    from concurrent.futures import ThreadPoolExecutor

    body = queries(json.dumps({str(n): {"query": "Alder"} for n in range(50)}))

    def ask(_: int) -> httpx.Response:
        return httpx.post(
            f"{client.base_url}reconcile", data=body, trust_env=False, verify=False, timeout=30
        )

    with ThreadPoolExecutor(12) as several:
        found = list(several.map(ask, range(24)))
    assert {each.status_code for each in found} <= {200, 503}
    assert sum(each.status_code == 200 for each in found) >= 12
    assert client.get("health").json()["status"] == "ok"
