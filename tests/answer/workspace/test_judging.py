"""Who was first, last and alone to offer a form is judged again only where a change touches it."""

from dataclasses import replace
from pathlib import Path

import pytest
from rdflib import URIRef

from glost.answer.snapshot import Snapshot
from glost.answer.workspace import Workspace
from glost.names import GLOST
from glost.record.changes import Change
from glost.record.claims import Claim
from glost.record.record import Record, read
from glost.trade.assortments.judging import Judge

LITTLE = Path(__file__).parents[1] / "little"


@pytest.fixture(scope="module")
def little() -> Record:
    return read(LITTLE)


def saying(record: Record, table: str, verb: URIRef) -> Claim:
    """Return the first row of a table that states a property."""
    return next(
        claim
        for claim in record.claims
        if claim.origin.table == table and any(v == verb for _, v, _ in claim.statements)
    )


def test_only_the_forms_that_a_change_speaks_of_are_judged_again(
    little: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    judged: list[tuple[URIRef, URIRef | None]] = []
    of_group = Judge.of_group

    def noted(self: Judge, form: URIRef, among: URIRef | None):  # type: ignore[no-untyped-def]
        judged.append((form, among))
        return of_group(self, form, among)

    monkeypatch.setattr(Judge, "of_group", noted)
    workspace = Workspace(Snapshot.of(replace(little, _beliefs={})))
    piece = saying(little, "pieces", GLOST.ofShape)
    (form,) = {o for _, v, o in piece.statements if v == GLOST.form}
    gone = workspace.apply(Change((), (piece.iri,)))
    assert {each.question for each in gone.coming()} >= {"first-to-offer", "last-to-offer"}
    assert {of for of, _ in judged} == {form}
    judged.clear()
    named = saying(little, "treatments", GLOST.treatmentNumber)
    list(workspace.apply(Change((), (named.iri,))).coming())
    assert judged == []
    assert workspace.judging is not None
    anew = Snapshot.of(replace(workspace.record, _beliefs={}))
    assert set(workspace.judging.now.statements()) == set(anew.reckoned_of_lists())
