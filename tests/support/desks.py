"""A desk for tests, asked as its own pages ask it."""

import re
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from html import unescape
from pathlib import Path
from typing import Any

from starlette.testclient import TestClient

from glost.desk.app import application

PORT = 8765
HERE = f"http://127.0.0.1:{PORT}"
OWN = {"origin": HERE, "sec-fetch-site": "same-origin"}


class Desk:
    """A desk, and the browser that opened it."""

    def __init__(self, folder: Path, client: TestClient, told: list[str]) -> None:
        self.folder, self.client, self.told = folder, client, told

    def get(self, address: str, **headers: str) -> Any:
        return self.client.get(address, headers=headers, follow_redirects=True)

    def post(self, address: str, fields: Mapping[str, Any] | None = None, **more: Any) -> Any:
        return self.client.post(
            address, data=dict(fields or {}), headers=OWN, follow_redirects=False, **more
        )

    def form(self, address: str) -> dict[str, str]:
        """Return what the fields of the form on a page hold, as a browser would send them."""
        return fields_of(self.get(address).text)


def fields_of(page: str) -> dict[str, str]:
    """Return the fields of the form that is posted on a page, with what they hold."""
    form = re.search(r'<form method="post".*?</form>', page, re.DOTALL)
    assert form, page
    found = {}
    for tag in re.findall(r"<input[^>]*>", form[0]):
        said = dict(re.findall(r'([\w-]+)="([^"]*)"', tag))
        if said.get("type") == "checkbox" or (
            said.get("type") == "radio" and " checked" not in tag
        ):
            continue
        if "name" in said:
            found[said["name"]] = unescape(said.get("value", ""))
    return found


def words(page: str) -> str:
    """Return what a page says, without its tags."""
    text = re.sub(r"<[^>]+>", " ", re.sub(r"(?s)<head>.*?</head>", "", page))
    return re.sub(r"\s+", " ", unescape(text))


@contextmanager
def desk(folder: Path) -> Iterator[Desk]:
    """Open a desk on a collection and go through its door."""
    told: list[str] = []
    app = application(folder, told.append)
    app.tell(PORT)
    with TestClient(app, base_url=HERE, raise_server_exceptions=True) as client:
        made = Desk(folder, client, told)
        assert client.get(told[-1].removeprefix(HERE), follow_redirects=False).status_code == 303
        while "is being opened" in client.get("/").text:
            time.sleep(0.01)
        yield made


@contextmanager
def locked(folder: Path) -> Iterator[tuple[TestClient, list[str]]]:
    """Open a desk and stay outside; give what asks it and the addresses it told."""
    told: list[str] = []
    app = application(folder, told.append)
    app.tell(PORT)
    with TestClient(app, base_url=HERE) as client:
        yield client, told
