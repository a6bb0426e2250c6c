"""Answers go by statements: what stands of a claim supports them, what is withdrawn does not."""

from pathlib import Path

import pytest
from rdflib import URIRef

from glost.answer.affected import put
from glost.answer.snapshot import Snapshot
from glost.names import GLOST
from glost.record.correcting import correct, undo
from glost.report.things import Whole, report_of
from glost.report.tree import Group, Report, Statement
from shelf import write

BASE = "https://example.org/shelf/"
GROUNDS = {"reason": "on the foot", "source": "p2", "locator": "foot", "recorded_on": "2024-01-01"}
SAYING_WHO_SAID_WHAT = {"corrections", "source-supports"}


def answers(snapshot: Snapshot) -> dict[tuple[str, str], str]:
    """Put every named question about everything, save those that list the corrections themselves."""
    claims = [claim for claim in snapshot.record.claims if claim.origin.table != "corrections"]
    return {
        (asked.answer.question.name, str(sorted(asked.parameters.items()))): asked.answer.csv(
            lambda value: "" if value is None else str(value)
        )
        for asked in put(snapshot.answers, claims)
        if asked.answer.question.name not in SAYING_WHO_SAID_WHAT
    }


def put_right(folder: Path, **changes: str) -> str:
    record = Snapshot(folder).record
    claim = record.claim("b7-as-printed")
    assert claim is not None
    return correct(record, claim, changes, GROUNDS).id


def rows(snapshot: Snapshot, name: str, **given: str) -> list[list[str]]:
    found = snapshot.answers.ask(name, **given).rows
    return [[str(v or "").removeprefix(BASE) for v in row.values] for row in found]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    pieces = "piece,shape,form,treatment,number_read\np1,alder,plate,b7,B7\np2,birch,saucer,b7,B9\n"
    return write(tmp_path / "shelf", pieces=pieces)


def test_undone_a_correction_leaves_every_answer_as_it_was_to_the_byte(folder: Path) -> None:
    before = answers(Snapshot(folder))
    done = put_right(folder, number="B9", shape="alder")
    changed = answers(Snapshot(folder))
    assert changed != before
    record = Snapshot(folder).record
    claim = record.claim(done)
    assert claim is not None
    undo(record, claim, {"reason": "another plate", "recorded_on": "2024-02-01"})
    after = answers(Snapshot(folder))
    assert {key: after[key] for key in before} == before


def test_each_source_supports_what_it_says_and_no_more(folder: Path) -> None:
    put_right(folder, number="B9")
    snapshot = Snapshot(folder)
    own = [r for r in rows(snapshot, "source-supports", source="cat1911") if r[0] == "treatment/b7"]
    assert sorted((r[2], r[4]) for r in own) == [
        ("B7", "withdrawn"),
        ("Gold Line", "current"),
        ("pottery/harrow", "current"),
        ("shape/birch", "current"),
    ]
    new = [r for r in rows(snapshot, "source-supports", source="p2") if r[0] == "treatment/b7"]
    assert [(r[1], r[2], r[4]) for r in new] == [(str(GLOST.treatmentNumber), "B9", "current")]
    (row,) = rows(snapshot, "corrections")
    assert row[:5] == [
        "correction/b7-as-printed.number", "https://w3id.org/glost/correction-kind/new-evidence",
        "treatment/b7", str(GLOST.treatmentNumber), "B7",
    ]  # fmt: skip
    assert row[5:] == ["B9", "on the foot", "piece/p2", "current"]


def test_no_answer_rests_on_what_is_withdrawn_of_a_claim(folder: Path) -> None:
    put_right(folder, shape="")
    snapshot = Snapshot(folder)
    home = (URIRef(BASE + "treatment/b7"), GLOST.homeShape, URIRef(BASE + "shape/birch"))
    assert home not in snapshot.contents.believed
    assert home not in set(snapshot.contents.inferred)
    graphs = dict(snapshot.contents.said())
    holding = [name for name, said in graphs.items() if home in said]
    assert [name.partition("#")[0] for name in holding] == [f"{BASE}claim/b7-as-printed"]
    assert "#withdrawn-" in holding[0]


def test_a_thing_shown_tells_what_was_withdrawn_of_a_claim_when_and_why(folder: Path) -> None:
    done = put_right(folder, number="B9")
    record = Snapshot(folder).record
    (lost,) = withdrawn(report_of(Whole(Snapshot(folder)), URIRef(BASE + "treatment/b7")))
    assert "number B7. " in str(lost)
    assert "Withdrawn: on the foot" in str(lost) and lost.status == "withdrawn"
    assert {claim.id for note in lost.notes for claim in note.claims} == {"b7-as-printed", done}  # type: ignore[union-attr]
    slip = {"reason": "typed B7", "kind": "transcription", "recorded_on": "2024-03-01"}
    claim = record.claim("b7-as-printed")
    assert claim is not None
    correct(record, claim, {"name": "Gold Lines"}, slip)
    again = withdrawn(report_of(Whole(Snapshot(folder)), URIRef(BASE + "treatment/b7")))
    assert any("Withdrawn, written down wrongly: typed B7" in str(each) for each in again)


def withdrawn(report: Report) -> list[Statement]:
    parts = [part for each in report.sections if each.id == "withdrawn" for part in each.parts]
    return [each for part in parts if isinstance(part, Group) for each in part.statements]
