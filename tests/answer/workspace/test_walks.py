"""After random changes and undos everything is as from nothing; long walks are by hand.

Many more steps, and those in the larger example: ``tests/attack/long_walks.py``.
"""

from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from rdflib import URIRef

from glost.answer.living import patched
from glost.answer.living.tracing import KeptParts, Notes, TracedTimes
from glost.answer.questions import question
from glost.answer.snapshot import Snapshot
from glost.answer.workspace import Workspace
from glost.record.changes import Change
from glost.record.columns import in_texts
from glost.record.later import LaterStore
from glost.record.record import Record, read
from glost.trade.times.statements import looked_at
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


def test_changes_nobody_asks_about_are_taken_in_all_the_same(
    shelf: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of every third change it is asked which answers it changes; the others pass.

    What is asked lies on disk, as it does of a large collection.
    """
    monkeypatch.setattr(patched, "_IN_MEMORY", 0)
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


def test_what_hangs_together_in_time_is_kept_as_it_is_found_anew(shelf: Record) -> None:
    workspace = Workspace(Snapshot.of(shelf))
    walker = Walker(workspace, 11)
    for _ in range(15):
        walker.step()
        timing, belief = workspace._timing, workspace.snapshot.belief
        assert timing._beside == {thing: timing._next(thing, belief) for thing in timing._beside}
        assert timing._speakers == {thing: belief.about(thing) for thing in timing._speakers}
        said = {c.iri: in_texts(c.saying(looked_at())) for c in belief.claims.only(timing._texts)}
        assert {iri: texts for iri, texts in timing._texts.items() if iri in said} == said
    assert len(timing._beside) > 5 and len(said) > 5


class _Times:
    """Answers as a chronology does."""

    def __init__(self, day: int, lapses: tuple[int, ...] = ()) -> None:
        self.lag, self._day, self._lapses = 3, day, lapses

    def reading_bounds(self, point: str) -> tuple[str, int]:
        return point, self._day

    def reading_facts(self, point: str, *, late: bool) -> tuple[str, bool, int]:
        return point, late, self._day if late else 0

    def ahead_of(self, point: str, others: dict[str, str]) -> frozenset[str]:
        return frozenset(list(others)[: self._day])

    def lapses(self) -> Iterator[int]:
        yield from self._lapses


def test_a_check_is_made_again_where_the_chronology_answers_otherwise() -> None:
    def asked(ask: Callable[[Any], object], day: int) -> bool:
        parts = KeptParts(Notes())
        times, kept = TracedTimes.of(_Times(1), "belief", parts)  # type: ignore[arg-type]
        ask(times)
        return kept.holds(_Times(day))  # type: ignore[arg-type]

    assert asked(lambda times: None, 2), "nothing was asked"
    assert asked(lambda times: times.reading_bounds("a"), 1)
    assert not asked(lambda times: times.reading_bounds("a"), 2)
    assert asked(lambda times: times.reading_facts("a", late=False), 2)
    assert not asked(lambda times: times.reading_facts("a", late=True), 2)
    assert asked(lambda times: times.ahead_of("a", {"b": "1", "c": "2"}), 1)
    assert not asked(lambda times: times.ahead_of("a", {"b": "1", "c": "2"}), 2)
    assert asked(lambda times: times.lag, 2)
    assert not asked(lambda times: list(times.lapses()), 1), "what can be gone through but once"


def test_it_is_known_of_which_things_a_chronology_was_asked() -> None:
    first, second, third = (URIRef(f"https://example.org/{name}#begin") for name in "abc")
    times, kept = TracedTimes.of(_Times(1), "belief", KeptParts(Notes()))  # type: ignore[arg-type]
    times.reading_bounds(first)
    times.ahead_of(second, (third,))
    assert kept.things() == {
        "https://example.org/a",
        "https://example.org/b",
        "https://example.org/c",
    }
    assert times.lag == 3
    assert kept.things() is None, "what is no point of a thing"


def test_a_part_is_kept_until_something_else_would_be_seen_or_answered() -> None:
    notes, made = Notes(), list[int]()
    parts = KeptParts(notes)

    def asked(day: int) -> tuple[object, set[Any], dict[Any, Any]]:
        times, traced = TracedTimes.of(_Times(day), "belief", parts)  # type: ignore[arg-type]
        notes.looks = set()

        def make() -> object:
            notes.looks.add(("of", "a"))
            made.append(day)
            return times.reading_bounds("a")  # type: ignore[arg-type]

        return traced.keeping("part", make), notes.looks, traced.asked

    first = asked(1)
    parts.revise([("of", "b")], _Times(1))  # type: ignore[arg-type]
    assert asked(1) == first, "what it rests on is noted where it is kept too"
    assert first[1] == {("of", "a")} and len(first[2]) == 1 and made == [1]
    parts.revise([("of", "a")], None)
    asked(1)
    assert made == [1, 1], "something else would be seen"
    parts.revise([], _Times(2))  # type: ignore[arg-type]
    asked(2)
    assert made == [1, 1, 2], "another chronology answers otherwise"
