"""After random changes and undos everything is as from nothing; long walks are by hand.

Many more steps, and those in the larger example: ``tests/attack/long_walks.py``.
"""

from dataclasses import replace
from pathlib import Path

import pytest

from glost.answer.questions import question
from glost.answer.snapshot import Snapshot
from glost.answer.workspace import Workspace
from glost.record.changes import Change
from glost.record.later import LaterStore
from glost.record.record import Record, read
from walks import QUESTIONS, Walker, asking, walk

TOP = Path(__file__).parents[3]


@pytest.fixture(scope="module")
def shelf() -> Record:
    return read(TOP / "examples" / "one-shelf")


@pytest.mark.parametrize("seed", range(3))
def test_a_walk_on_the_small_example_ends_as_from_nothing(shelf: Record, seed: int) -> None:
    assert walk(shelf, seed, steps=8, every=8) == []


def test_a_walk_from_what_is_kept_ends_as_from_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("GLOST_CACHE", str(tmp_path))
    shelf = TOP / "examples" / "one-shelf"
    first = Workspace(Snapshot(shelf))
    cache = Snapshot(shelf).cache
    assert cache is not None and cache.has("found") and cache.has("breaches")
    monkeypatch.delattr("glost.answer.living.found.Found._find")  # nothing kept is found again
    for seed in range(1):
        again = Workspace(Snapshot(shelf))
        store = again.snapshot.belief.graph.store
        assert isinstance(store, LaterStore), "no statement is made before one is looked for"
        assert again.findings == first.findings == Snapshot(shelf).findings()
        assert walk(Snapshot(shelf), seed, steps=10, every=10) == []


def test_a_walk_on_two_potteries_ends_as_from_nothing() -> None:
    assert walk(read(TOP / "tests" / "answer" / "little"), 1, steps=6, every=6) == []


def test_answers_that_change_on_a_walk_are_those_made_from_nothing() -> None:
    assert asking(read(TOP / "tests" / "answer" / "little"), 4, steps=8, every=4) == []


def test_a_row_that_rests_no_longer_on_a_claim_in_a_dispute_is_told() -> None:
    """The last of these changes takes a claim that clashed: dates are disputed by others still."""
    little = read(TOP / "tests" / "answer" / "little")
    assert asking(little, 5, steps=16, every=16, asked=16) == []


def test_changes_nobody_asks_about_are_taken_in_all_the_same(shelf: Record) -> None:
    """Of every third change it is asked which answers it changes; the others pass."""
    assert asking(shelf, 1, steps=6, every=3, asked=3) == []


@pytest.mark.parametrize("size", ["small", "large"])
def test_questions_put_between_changes_are_answered_as_from_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, size: str
) -> None:
    """What is tried and taken back leaves no trace in what questions are put to."""
    monkeypatch.setenv("GLOST_CACHE", str(tmp_path))
    if size == "large":  # no dataset is made whole
        monkeypatch.setattr("glost.answer.workspace.SMALL", 0)
    workspace = Workspace(Snapshot(TOP / "examples" / "one-shelf"))
    assert len(workspace.asked("crossings").store)
    workspace.ready_to_ask()
    walker, known = Walker(workspace, 2), workspace.record.claims
    for number in range(3):
        with workspace.trying(Change((), (known[number].iri,))) as found:
            if number == 1:  # what is tried is told if one asks
                assert next(iter(found.coming(judged=False)), None)
        walker.step()
        store = workspace.asked("crossings").store
    assert store is workspace.asked_store, "it was patched, and not made anew"
    answers = Snapshot.of(replace(workspace.record, _beliefs={})).answers
    for name in QUESTIONS:
        here, anew = question(name).ask(workspace.asked(name)), answers.ask(name)
        assert [(r.values, r.claims) for r in here.rows] == [
            (r.values, r.claims) for r in anew.rows
        ]
