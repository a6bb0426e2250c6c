"""The command handover: what it prints, how it ends."""

from pathlib import Path

import pytest

from commands import glost_ends
from glost.answer.dataset import quads
from glost.answer.snapshot import Snapshot
from ports import free_port


@pytest.fixture(autouse=True)
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("GLOST_PASSWORD", "secret")


def test_it_says_what_was_sent_and_that_it_arrived(
    oxigraph: str, collection: Path, snapshot: Snapshot, capsys: pytest.CaptureFixture[str]
) -> None:
    words = (f"{oxigraph}update", "--query", f"{oxigraph}query", "-c", str(collection))
    assert glost_ends("handover", *words) == 0
    sent, counted = capsys.readouterr().out.splitlines()
    graphs = {name for *_, name in quads(snapshot.contents)}
    assert f"in {len(graphs)} graphs to {oxigraph}update." in sent
    assert counted == "Every graph holds as many statements in the store."
    assert not Path("glost-handover.json").exists()


def test_a_store_that_does_not_take_it(
    oxigraph: str, collection: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = ("-c", str(collection))
    assert glost_ends("handover", f"{oxigraph}nowhere", *folder) == 1
    said = capsys.readouterr().err
    assert "answered 404 Not Found (noting" in said
    assert "look the address up" in said
    absent = f"http://127.0.0.1:{free_port()}/update"
    assert glost_ends("handover", absent, "--user", "u", *folder) == 1
    said = capsys.readouterr().err
    assert f"{absent} cannot be reached" in said
    assert "secret" not in said
