"""What is made when the desk is opened, and what is left for when nobody asks for anything."""

from pathlib import Path

import pytest
from rdflib import URIRef

import shelf
from glost.desk.asked import Asked
from glost.desk.opened import Opened
from glost.desk.views import entering, looking
from glost.record.later import LaterStore
from glost.words.labels import label

LITTLE = Path(__file__).parents[1] / "answer" / "little"


def _asked(**fields: str) -> Asked:
    return Asked("GET", "/", {"table": "pieces"}, fields, {}, ())


def _typed(opened: Opened) -> bytes:
    return bytes(entering.cell(opened, _asked(table="pieces", column="shape", text="al")).body)


def test_of_a_collection_known_before_neither_first_page_nor_first_key_makes_its_statements(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("GLOST_CACHE", str(tmp_path))
    first = Opened(LITTLE)
    told = _typed(first)
    for _ in first.readying():
        pass
    assert _typed(first) == told and b"Alder" in told
    second = Opened(LITTLE)
    assert b"claims" in looking.start(second, _asked()).body
    assert _typed(second) == told
    assert type(second.state().snapshot.belief.graph.store) is LaterStore


def test_what_things_are_called_while_one_types_is_their_label() -> None:
    state = Opened(LITTLE).state()
    words = state.snapshot.words
    things = list(state.names.called)
    assert {i: state.found(i) for i in things} == {i: label(URIRef(i), words) for i in things}
    assert sum(bool(state.names.label(each)) for each in things) > len(things) / 2


@pytest.mark.parametrize("ready", [0, 1, 5, 1_000])
def test_what_a_row_would_bring_about_is_the_same_however_much_was_made_ready(ready: int) -> None:
    opened = Opened(LITTLE)
    opened.state()
    for at, _ in enumerate(opened.readying()):
        if at == ready:
            break
    fields = {"cell-piece": "new", "cell-shape": "alder", "cell-form": "plate", "cell-made": "1850"}
    told = entering.foretold(opened, _asked(**fields)).body
    assert list(opened.workspace.readying()) == []  # else each change would make it again
    unready = Opened(LITTLE)
    assert told == entering.foretold(unready, _asked(**fields)).body
    assert opened.state().findings == unready.state().findings


def test_what_the_next_opening_of_a_large_collection_needs_is_made_ready_once_the_desk_is_left(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("GLOST_CACHE", str(tmp_path / "kept"))
    monkeypatch.setattr("glost.desk.opened.SMALL", 1)
    folder = shelf.write(tmp_path / "shelf")
    opened = Opened(folder)
    for _ in opened.readying():
        pass
    assert opened.left() is None
    fields = {"cell-piece": "new", "cell-shape": "alder", "cell-source": "letter", "do": "save"}
    saved = entering.form(opened, Asked("POST", "/", {"table": "pieces"}, fields, {}, ()))
    assert saved.status_code == 303
    process = opened.left()
    assert process is not None and process.wait() == 0
    again = Opened(folder).state().snapshot
    assert again.names_kept and again.names.find("new") == (f"{again.record.base}piece/new",)
    assert all(again.cache.has(each) for each in ("found", "breaches", "closure"))
