"""Pages are made in forked processes, where nothing may use polars, whose threads are not there."""

import polars as pl
import pytest
from rdflib import URIRef

from glost.answer.snapshot import Snapshot
from glost.record.sequence import ClaimSequence
from glost.report.things import Whole, report_of
from glost.report.things.claim import claim_report
from glost.report.things.full import PAGE
from glost.report.things.said import Said


def test_reports_use_neither_polars_nor_sequences_of_claims_once_all_is_made_ready(
    valley: Snapshot, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A few things of every kind, each public statement among them, and withdrawn claims."""
    basis = Whole(valley, ())
    basis.complete()

    def refused(*_: object, **__: object) -> None:
        raise AssertionError("used where its threads are not there")

    for name in ("only", "of_tables", "__iter__", "at"):
        monkeypatch.setattr(ClaimSequence, name, refused, raising=False)
    for name in ("filter", "select", "join", "rows", "with_columns", "unique", "iter_rows"):
        monkeypatch.setattr(pl.DataFrame, name, refused)
    kinds: dict[str, list[str]] = {}
    for thing in basis.by_thing:
        kinds.setdefault(thing.removeprefix(basis.base).partition("/")[0], []).append(thing)
    said = Said(basis)
    for kind, things in kinds.items():
        for thing in things if kind == "public-statement" else things[:3]:
            assert report_of(basis, URIRef(thing), PAGE, said).claims
    for claim in (*basis.claims[:20], *(basis.by_iri[str(i)] for i in valley.belief.withdrawn)):
        assert claim_report(basis, claim, said).claims
