"""The desk attacked as a page on the web, a neighbour on the machine or a bad file would attack it."""

import re
import struct
import subprocess
import sys
import zlib
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

import shelf
from desks import HERE, OWN, PORT, Desk, desk, locked, words
from glost.record.record import read

ROW = {"cell-shape": "birch", "cell-with": "alder", "cell-source": "letter", "do": "save"}


@pytest.fixture
def opened(tmp_path: Path) -> Iterator[Desk]:
    """Open a desk for one test, which may change its collection."""
    with desk(shelf.write(tmp_path / "shelf")) as made:
        yield made


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """Open a desk for all tests that are refused; outside its folder lies what they are after."""
    place = tmp_path_factory.mktemp("kept")
    folder = shelf.write(place / "shelf")
    (place / "secret.png").write_bytes(b"\x89PNG secret")
    (folder / "images").mkdir()
    (folder / "images/secret.png").symlink_to(place / "secret.png")
    with desk(folder) as made:
        yield made


def tree(folder: Path) -> dict[str, bytes]:
    found = (path for path in folder.rglob("*") if path.is_file())
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in found}


def raw(client: TestClient, method: str, path: str, headers: list[tuple[str, str]]) -> Any:
    """Send a request with just these headers, several of one name if need be."""
    request = client.build_request(method, HERE + path)
    request.headers = type(request.headers)(headers)
    return client.send(request, follow_redirects=False)


def cookie(opened: Desk) -> str:
    return "; ".join(f"{each.name}={each.value}" for each in opened.client.cookies.jar)


# -- who may ask -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "host",
    [
        "evil.example",  # a name that was made to lead to 127.0.0.1
        f"evil.example:{PORT}",
        f"localhost:{PORT}",
        "127.0.0.1",
        f"127.0.0.1:{PORT + 1}",
        f"127.0.0.1:{PORT}.evil.example",
        f"127.0.0.1:{PORT}@evil.example",
        "",
    ],
)
def test_rebinding_and_wrong_ports_are_refused_even_with_the_cookie(kept: Desk, host: str) -> None:
    answer = raw(kept.client, "GET", "/", [("host", host), ("cookie", cookie(kept))])
    assert answer.status_code == 421
    assert "A shelf" not in answer.text


def test_two_hosts_are_refused(kept: Desk) -> None:
    own = f"127.0.0.1:{PORT}"
    good = [("host", own), ("cookie", cookie(kept))]
    assert raw(kept.client, "GET", "/", good).status_code == 200
    assert raw(kept.client, "GET", "/", [*good, ("host", own)]).status_code == 421
    assert raw(kept.client, "GET", "/", [("host", "evil.example"), *good]).status_code == 421


def test_without_the_cookie_nothing_is_shown(tmp_path: Path) -> None:
    with locked(shelf.write(tmp_path / "shelf")) as (client, _):
        for path in (
            "/",
            "/thing/shape/alder",
            "/image/p1.png",
            "/cell?table=shapes&column=name",
            "/sparql",
        ):
            answer = client.get(path)
            assert answer.status_code == 403 and "alder" not in answer.text.lower()
        assert client.post("/enter/flatware", data=ROW, headers=OWN).status_code == 403
        for wrong in ("x", "", "x" * 43):
            headers = {"cookie": f"glost-desk-{PORT}={wrong}"}
            assert client.get("/", headers=headers).status_code == 403


def test_a_wrong_key_opens_nothing_and_the_right_one_opens_once(tmp_path: Path) -> None:
    with locked(shelf.write(tmp_path / "shelf")) as (client, told):
        first = told[-1].removeprefix(HERE)
        for wrong in ("/?key=", "/?key=guess", first + "x", first[:-1]):
            assert client.get(wrong, follow_redirects=False).status_code == 403
        door = client.get(first, follow_redirects=False)
        assert (door.status_code, door.headers["location"]) == (303, "/")
        said = door.headers["set-cookie"].lower()
        assert "httponly" in said and "samesite=strict" in said and "domain" not in said
        assert client.get("/").status_code == 200
        client.cookies.clear()
        assert client.get(first, follow_redirects=False).status_code == 403, (
            "a replay opens nothing"
        )
        assert told[-1].removeprefix(HERE) != first, "another browser has an address of its own"
        assert client.get(told[-1].removeprefix(HERE), follow_redirects=False).status_code == 303


def test_a_cookie_that_is_there_twice_is_none(kept: Desk) -> None:
    name = f"glost-desk-{PORT}"
    both = [
        ("host", f"127.0.0.1:{PORT}"),
        ("cookie", cookie(kept)),
        ("cookie", f"{name}=planted"),
    ]
    assert raw(kept.client, "GET", "/", both).status_code == 403


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "https://evil.example", "sec-fetch-site": "cross-site"},
        {"origin": "https://evil.example", "sec-fetch-site": "same-origin"},
        {"origin": f"http://127.0.0.1:{PORT + 1}", "sec-fetch-site": "same-site"},
        {"origin": f"http://localhost:{PORT}"},
        {"origin": f"https://127.0.0.1:{PORT}"},
        {"origin": "null"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
        {"sec-fetch-site": "none"},
        {"origin": HERE, "sec-fetch-site": "cross-site"},
        {},
    ],
)
def test_a_form_from_another_page_changes_nothing(kept: Desk, headers: dict[str, str]) -> None:
    before = tree(kept.folder)
    for address in ("/enter/flatware", "/undo/0", "/bring", "/claim/b7-as-printed/correct"):
        assert kept.client.post(address, data=ROW, headers=headers).status_code == 403
    assert tree(kept.folder) == before


def test_other_pages_may_not_read(kept: Desk) -> None:
    asked = {"origin": "https://evil.example", "access-control-request-method": "POST"}
    assert kept.client.request("OPTIONS", "/", headers=asked).status_code == 405
    answer = kept.client.get("/", headers={"origin": "https://evil.example"})
    assert answer.status_code == 403
    page = kept.client.get("/")
    assert not any(name.startswith("access-control") for name in page.headers)
    assert page.headers["cross-origin-resource-policy"] == "same-origin"
    assert page.headers["cache-control"] == "no-store"


def test_reading_changes_nothing(kept: Desk) -> None:
    """Whatever saves does so only for what a form posted."""
    before = tree(kept.folder)
    for address in (
        "/enter/flatware",
        "/claim/b7-as-printed/correct",
        "/undo/0",
        "/bring",
        "/claim/b7-as-printed/undo",
    ):
        kept.client.get(
            address, params={**ROW, "reason": "x", "kind": "transcription", "whole": "1"}
        )
    assert tree(kept.folder) == before


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "TRACE"])
def test_other_methods_are_refused(kept: Desk, method: str) -> None:
    assert kept.client.request(method, "/", headers=OWN).status_code == 405


# -- what may be had -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "path",
    [
        "/image/../collection.toml",
        "/image/%2e%2e/collection.toml",
        "/image/..%2fcollection.toml",
        "/image/..%2f..%2f..%2fetc%2fpasswd",
        "/image/%2fetc%2fpasswd",
        "/image/secret.png",
        "/image/.hidden.png%00.png",
        "/page/..%2f..%2fsecret.png",
        "/assets/../templates/base.html",
        "/assets/%2e%2e/app.py",
        "/assets/..%2f..%2fapp.py",
    ],
)
def test_no_path_leads_out_of_the_folder(kept: Desk, path: str) -> None:
    own = [("host", f"127.0.0.1:{PORT}"), ("cookie", cookie(kept))]
    answer = raw(kept.client, "GET", path, own)
    assert answer.status_code == 404
    assert (
        "secret" not in answer.text and "root:" not in answer.text and "base =" not in answer.text
    )


def handlers(page: str) -> list[str]:
    """Return the attributes of a page that would run something."""
    found: list[str] = []

    class Tags(HTMLParser):
        def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
            found.extend(f"{tag} {name}" for name, text in attrs if name.startswith("on"))
            found.extend(
                f"{tag} {text}" for _, text in attrs if (text or "").startswith("javascript:")
            )

    Tags().feed(page)
    return found


NASTY = '<script>alert(1)</script>"><img src=x onerror=alert(1)>'


def test_a_script_in_a_name_is_a_name(tmp_path: Path) -> None:
    cell = '"' + NASTY.replace('"', '""') + '"'
    folder = shelf.write(
        tmp_path / "shelf",
        shapes=f"shape,pottery,name,rim,source,note\nalder,harrow,{cell},{cell},cat1908,{cell}\n"
        f"birch,harrow,{cell},,cat1911,\n",
        sources=shelf.TABLES["sources"].replace("Catalogue No. 4", cell),
    )
    record = read(folder)
    claim = next(c.id for c in record.claims if c.origin.table == "shapes")
    with desk(folder) as opened:
        for path in ("/", "/things/shape", "/thing/shape/alder", f"/claim/{claim}", f"/claim/{claim}/correct",
                     "/find?q=script&list=1", "/finding?q=script", "/conflicts", "/compare?a=shape/alder&b=shape/birch",
                     "/labels?of=shape/alder", "/sheet/shape/alder", "/ask/runs-reckoned?put=1", "/picture/runs",
                     "/cell?table=flatware&column=shape&text=alder", "/enter/flatware?cell-note=" + NASTY,
                     "/piece?form=" + NASTY, "/find?q=" + NASTY, "/sparql?query=" + NASTY, f"/aside?claim={claim}"):  # fmt: skip
            answer = opened.get(path)
            assert "<script>alert" not in answer.text and "<img src=x" not in answer.text, path
            policy = answer.headers["content-security-policy"]
            assert "default-src 'none'" in policy and "script-src 'unsafe" not in policy
            assert not re.search(r"<script(?! src=\"/assets/desk.js\" defer>)", answer.text), path
            assert not handlers(answer.text), path


def test_an_image_that_is_a_page_runs_nothing(opened: Desk) -> None:
    (opened.folder / "images").mkdir()
    drawn = '<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'
    (opened.folder / "images/x.svg").write_text(drawn)
    answer = opened.get("/image/x.svg")
    assert answer.status_code == 200
    assert "sandbox" in answer.headers["content-security-policy"]
    assert answer.headers["x-content-type-options"] == "nosniff"
    (opened.folder / "images/y.png").write_text("<script>alert(1)</script>")
    assert opened.get("/image/y.png").status_code == 404


# -- what may be brought ---------------------------------------------------------------------------


def test_an_upload_too_large_is_refused_before_it_is_read(kept: Desk) -> None:
    for path, octets in (("/enter/flatware", 5 << 20), ("/bring", 300 << 20)):
        request = kept.client.build_request("POST", path, headers=OWN, content=b"x")
        request.headers["content-length"] = str(octets)
        assert kept.client.send(request).status_code == 413
    endless = kept.client.post("/bring", headers=OWN, content=iter([b"x", b"y"]))
    assert endless.status_code == 411
    many = kept.client.post(
        "/enter/flatware", headers=OWN, data={f"f{n}": "x" for n in range(20_000)}
    )
    assert many.status_code == 400


def _bomb() -> bytes:
    """Return a PNG of 60,000 by 60,000 pixels in a few hundred octets of header and nothing else."""

    def chunk(name: bytes, data: bytes) -> bytes:
        return (
            struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))
        )

    head = struct.pack(">IIBBBBB", 60_000, 60_000, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(bytes(1 << 20)))
        + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("bomb.png", _bomb(), "pixels"),
        ("page.png", b"<script>alert(1)</script>", "it is no image"),
        ("page.html", b"<script>alert(1)</script>", "it is no image"),
        ("../../collection.toml", b'title = "taken"', "it is no image"),
        ("..\\..\\tables\\shapes.csv", b"shape\nx\n", "names no source"),
    ],
)
def test_no_bad_file_is_taken(kept: Desk, name: str, content: bytes, said: str) -> None:
    before = tree(kept.folder)
    answer = kept.post("/bring", files={"files": (name, content, "image/png")})
    assert answer.status_code in (200, 400) and said in words(answer.text)
    assert tree(kept.folder) == before


# -- saving ----------------------------------------------------------------------------------------


def test_what_was_sent_once_is_not_saved_twice(opened: Desk) -> None:
    assert opened.post("/enter/flatware", ROW).status_code == 303
    after = tree(opened.folder)
    assert opened.post("/enter/flatware", ROW).status_code == 400
    form = opened.form("/claim/b7-as-printed/correct")
    form |= {"cell-name": "Gold Edge", "kind": "transcription", "reason": "misread", "do": "save"}
    assert opened.post("/claim/b7-as-printed/correct", form).status_code == 303
    once = tree(opened.folder)
    assert opened.post("/claim/b7-as-printed/correct", form).status_code == 409
    assert tree(opened.folder) == once != after


def test_killed_while_saving_the_tables_are_as_before_or_after(tmp_path: Path) -> None:
    program = str(Path(__file__).with_name("long_saves.py"))
    command = [sys.executable, program, str(tmp_path / "trials"), "--calls", "2"]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    assert re.fullmatch(r"[0-9]+ trials: [1-9][0-9]* before, [1-9][0-9]* after\n", done.stdout)
