"""Both example collections are read without an error and are whole."""

import re
from datetime import date
from pathlib import Path

from rdflib.namespace import RDFS

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
    parts = [part.correction for each in believed.parts.values() for part in each]
    assert parts
    current = {claim.iri for claim in believed.claims}
    assert not current & set(believed.withdrawn)
    assert set(believed.parts) <= current
    for correction in (*believed.withdrawn.values(), *parts):
        for _, predicate, value in correction.statements:
            if predicate == GLOST.replacedBy:
                assert value in current


SEEN_IN_HAND = {"ribbon-tamsin-piece", "number-of-018-glass"}
"""What takes the place of a claim and retells some of it, since the piece in the hand shows that too."""


def test_what_replaces_says_on_its_own_source_only_what_is_new(record: Record) -> None:
    believed = record.believed()
    for claim in believed.claims:
        for part in believed.parts.get(claim.iri, ()):
            for new in part.correction.statements:
                if (
                    new[1] == GLOST.replacedBy
                    and str(new[2]).rsplit("/", 1)[-1] not in SEEN_IN_HAND
                ):
                    put = record.claim(str(new[2]).rsplit("/", 1)[-1])
                    assert put is not None
                    assert not set(put.statements) & set(claim.statements)


def test_a_number_on_a_piece_says_nothing_of_home_and_pottery(record: Record) -> None:
    corrected = ("/treatment/t-311", "/treatment/l-9")
    says = {
        predicate
        for claim in record.claims
        if "/piece/" in str(claim.passage.source)
        for subject, predicate, _ in claim.statements
        if str(subject).endswith(corrected)
    }
    assert GLOST.treatmentNumber in says
    assert not says & {GLOST.homeShape, GLOST.issuedBy, RDFS.label}


def test_recorded_between_founding_and_now(record: Record) -> None:
    days = {claim.recorded_on for claim in record.claims if claim.recorded_on}
    assert days
    assert all("2019" < day <= date.today().isoformat() for day in days)


def test_each_has_a_guide(folder: Path) -> None:
    guide = (folder / "README.md").read_text(encoding="utf-8")
    assert "glost check" in guide
    assert "CC BY 4.0" in guide
