"""Claims are made when they are asked for, and are the same however they are asked for."""

from dataclasses import replace
from pathlib import Path

import pytest
from rdflib import URIRef

from glost.record import rows
from glost.record.claims import Claim
from glost.record.record import Record, read
from glost.record.sequence import ClaimSequence
from shelf import write

EXAMPLE = Path(__file__).parents[2] / "examples" / "wend-valley"


@pytest.fixture
def record(tmp_path: Path) -> Record:
    """A small collection with a claim in TriG."""
    folder = write(tmp_path / "c")
    (folder / "odd.trig").write_text(
        "@prefix prov: <http://www.w3.org/ns/prov#> .\n"
        "@prefix glost: <https://w3id.org/glost/ontology#> .\n"
        "<claim/odd> prov:hadPrimarySource <source/letter> .\n"
        "<claim/odd> { <piece/p9> a glost:Piece }\n",
        encoding="utf-8",
    )
    return read(folder)


def test_in_the_order_of_iris_each_once(record: Record) -> None:
    iris = [claim.iri for claim in record.claims]
    assert iris == sorted(set(iris))
    assert URIRef(f"{record.base}claim/odd") in iris
    assert len(record.claims) == len(iris)


def test_one_claim_makes_no_other(record: Record, monkeypatch: pytest.MonkeyPatch) -> None:
    made = []

    def counting(*parts: object) -> Claim:
        made.append(parts)
        return Claim(*parts)  # type: ignore[arg-type]

    monkeypatch.setattr(rows, "Claim", counting)
    last = record.claims[-1]
    assert record.claims[len(record.claims) - 1] is last
    assert len(made) <= 1
    every = tuple(record.claims)
    assert every[-1] is last
    assert every == tuple(record.claims[place] for place in range(len(every)))


def test_alone_and_among_all_a_claim_is_the_same() -> None:
    alone, among = read(EXAMPLE).claims, read(EXAMPLE).claims
    for one, other in zip((alone[at] for at in range(len(alone))), among, strict=True):
        assert (one, one.origin, one.statements) == (other, other.origin, other.statements)


def test_statements_are_held_unless_there_are_very_many(monkeypatch: pytest.MonkeyPatch) -> None:
    held = read(EXAMPLE).claims
    some = frozenset(str(verb) for claim in held for _, verb, _ in claim.statements[1:3])
    first = [(claim.statements, claim.saying(some)) for claim in held]
    assert all(c.statements is stated for c, (stated, _) in zip(held, first, strict=True))
    monkeypatch.setattr(rows, "_FEW", 0)
    anew = read(EXAMPLE).claims
    assert first == [(claim.statements, claim.saying(some)) for claim in anew]
    of_rows = [claim for claim in anew if claim.origin.table]
    assert not any(claim.statements is claim.statements for claim in of_rows)


def test_parted_by_iri_table_and_day() -> None:
    claims = read(EXAMPLE).claims
    every = tuple(claims)
    some = {claim.iri for claim in every[::7]}
    assert tuple(claims.only(some)) == tuple(c for c in every if c.iri in some)
    assert tuple(claims.without(some)) == tuple(c for c in every if c.iri not in some)
    assert claims.places(some) == {str(c.iri): at for at, c in enumerate(every) if c.iri in some}
    tables = ("", "corrections", "marks")
    assert tuple(claims.of_tables("corrections", "marks")) == tuple(
        c for c in every if c.origin.table in tables
    )
    days = sorted({c.recorded_on for c in every})
    for day in days:
        assert tuple(claims.until(day)) == tuple(c for c in every if c.recorded_on <= day)
    assert len({len(claims.until(day)) for day in days}) > 2
    rest = claims.without(some)
    assert tuple(rest.until(days[2])) == tuple(c for c in rest if c.recorded_on <= days[2])
    assert rest.find(str(every[0].iri)) is None
    assert claims.find(str(every[0].iri)) == every[0]


def test_parts_are_the_rows_and_what_is_no_row(record: Record) -> None:
    half = record.claims.without(claim.iri for claim in tuple(record.claims)[::2])
    parts, others = half.parts()
    told = {
        int(place): (part.rows, int(at))
        for part in parts
        for at, place in zip(part.at, part.places, strict=True)
    }
    for place, claim in enumerate(half):
        if place in others:
            assert not claim.origin.table
        else:
            rows_, at = told[place]
            assert claim.statements == rows_.statements(at)
    assert len(told) + len(others) == len(half)


def test_claims_in_hand_keep_their_order(record: Record) -> None:
    backwards = tuple(record.claims)[::-1]
    held = ClaimSequence.given(backwards)
    assert held == backwards
    assert hash(held) == hash(backwards)
    assert held != list(backwards)
    assert held[1:3] == backwards[1:3]
    assert ClaimSequence.given(held) is held
    assert not ClaimSequence.given(())


def test_by_source_by_day_and_the_latest_also_where_rows_were_put_in_place_of_others() -> None:
    """A claim that stands in place of a row is told by what it says, not by what the row said."""
    given = read(EXAMPLE).claims
    rest = list(given)
    old, other, gone = rest[5], rest[9], rest[3]
    new = replace(old, recorded_on="2031-01-02", passage=other.passage)
    claims = given.changed([new], [gone.iri])
    rest[5] = new
    del rest[3]
    for source in (str(old.passage.source), str(other.passage.source), "https://nowhere.example/"):
        expected = [c for c in rest if str(c.passage.source) == source]
        assert list(claims.resting_on(source)) == expected
    day = sorted(c.recorded_on for c in rest)[len(rest) // 2]
    assert list(claims.until(day)) == [c for c in rest if c.recorded_on <= day]
    dated = [c for c in rest if c.recorded_on]
    expected = sorted(dated, key=lambda c: (c.recorded_on, c.iri), reverse=True)[:40]
    assert claims.latest(40) == expected
    assert claims.latest(1) == [new]
    assert given.latest(len(given) + 1)[-1].recorded_on


def test_two_that_grow_from_one_know_nothing_of_each_other(record: Record) -> None:
    """A change, taken back, and another: each has its own claims, and all have the same rows."""
    before = record.claims
    first = before[0]
    one, other, third = (
        replace(first, iri=URIRef(f"{record.base}claim/grown-{n}")) for n in range(3)
    )
    left = before.changed([one], []).changed([third], [])
    right = before.changed([other], [])
    assert set(left.iris()) == {*before.iris(), str(one.iri), str(third.iri)}
    assert set(right.iris()) == {*before.iris(), str(other.iri)}
    assert (left.at(one.iri), left.at(third.iri), left.at(other.iri)) == (one, third, None)
    assert (right.at(one.iri), right.at(third.iri), right.at(other.iri)) == (None, None, other)
    assert list(right.only([str(one.iri), str(other.iri)])) == [other]
    assert left.at(first.iri) is right.at(first.iri) is before.at(first.iri)
    again = right.changed([one], [other.iri])
    assert set(again.iris()) == {*before.iris(), str(one.iri)}
