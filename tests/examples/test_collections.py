"""Both example collections are read without an error and are whole."""

import re
from datetime import date
from pathlib import Path

from glost.names import GLOST
from glost.record.record import Record


def test_nothing_is_wrong_with_either(record: Record) -> None:
    assert record.claims
    assert record.findings == ()


def test_every_claim_rests_on_a_described_source(record: Record) -> None:
    base = record.collection.base
    described = {
        str(subject)
        for claim in record.claims
        for subject, _, _ in claim.statements
        if str(subject).startswith((f"{base}source/", f"{base}piece/"))
    }
    assert {str(claim.passage.source) for claim in record.claims} <= described


def test_everything_named_is_described(record: Record) -> None:
    """Every thing of the collection that stands as an object stands somewhere as a subject."""
    base = record.collection.base
    triples = [triple for claim in record.claims for triple in claim.statements]
    subjects = {str(subject) for subject, _, _ in triples}
    kinds = re.compile(
        f"{re.escape(base)}(pottery|firm|plant|kiln|person|shape|decal|treatment|glaze|mark|scheme"
        "|source|piece|article|offering|claim)/"
    )
    claims = {str(claim.iri) for claim in record.claims}
    named = {str(value) for _, _, value in triples if kinds.match(str(value))}
    assert named
    assert named <= subjects | claims


def test_corrections_withdraw_and_replace(record: Record) -> None:
    believed = record.believed()
    assert believed.withdrawn
    current = {claim.iri for claim in believed.claims}
    for withdrawn, correction in believed.withdrawn.items():
        assert withdrawn not in current
        for _, predicate, value in correction.statements:
            if predicate == GLOST.replacedBy:
                assert value in current


def test_recorded_between_founding_and_now(record: Record) -> None:
    days = {claim.recorded_on for claim in record.claims if claim.recorded_on}
    assert days
    assert all("2019" < day <= date.today().isoformat() for day in days)


def test_each_has_a_guide(folder: Path) -> None:
    guide = (folder / "README.md").read_text(encoding="utf-8")
    assert "glost check" in guide
    assert "CC BY 4.0" in guide
