"""The desk that is told to stop while something is done: what is saved is saved, the rest is left."""

import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

import glost.desk.app as desk_app
from desks import HERE, PORT
from glost.desk.opened import Opened
from shelf import write


@pytest.fixture
def held() -> Iterator[threading.Event]:
    """Something that takes until the test lets go of it."""
    event = threading.Event()
    yield event
    event.set()


def opening(event: threading.Event) -> Callable[[Opened], None]:
    def begin(_: Opened) -> None:
        assert event.wait(60)

    return begin


def test_nobody_waits_for_a_collection_that_is_still_being_read(
    tmp_path: Path, held: threading.Event, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(desk_app, "_begin", opening(held))
    monkeypatch.setattr(desk_app, "_LEAVING", 0.1)
    app = desk_app.application(write(tmp_path / "shelf"), print)
    app.tell(PORT)
    with TestClient(app, base_url=HERE):
        pass
    assert not held.is_set()
    assert any(each.name.startswith(desk_app.WORKER) for each in threading.enumerate())
