"""Statements given as columns have the terms that statements given one by one have."""

from pathlib import Path

import pytest
from rdflib import Literal, URIRef
from rdflib.namespace import RDFS, XSD

from glost.answer import snapshot
from glost.answer.snapshot import Snapshot
from glost.reason.coding import Quads, encode, encode_columns
from glost.record.columns import SCHEMA, every_statement
from shelf import write


def triples(quads: Quads) -> list[tuple[str, ...]]:
    rows = zip(quads.s.tolist(), quads.p.tolist(), quads.o.tolist(), strict=True)
    return sorted(tuple(quads.terms.term(code).n3() for code in row) for row in rows)


def test_columns_and_statements_are_the_same_facts(valley: Snapshot) -> None:
    claims = valley.belief.claims
    more = [(URIRef("x:a"), RDFS.label, Literal("a")), (URIRef("x:a"), RDFS.label, Literal("a"))]
    said, others = every_statement(claims)
    found = triples(encode_columns(said, [*others, *more]))
    facts = {*more, *(each for claim in claims for each in claim.statements)}
    assert len(found) > 15_000
    assert found == triples(encode(facts))


def test_terms_that_look_alike_stay_apart() -> None:
    import polars as pl

    rows = [
        ("x:s", "x", None, 0), ("x:s", "x", "", 1), ("x:s", "x", "@en", 2), ("x:s", "x", "", 3),
        ("x:s", "007", f"^^{XSD.integer}", 4), ("x:s", "7", f"^^{XSD.integer}", 5), ("x:s", "x", None, 6),
    ]  # fmt: skip
    frame = pl.DataFrame(rows, schema=SCHEMA, orient="row")
    quads = encode_columns([("x:p", frame), ("x:q", frame[:1])], [])
    assert triples(quads) == sorted(
        [("<x:s>", "<x:p>", o) for o in (
            "<x>", '"x"', '"x"@en', f'"007"^^<{XSD.integer}>', f'"7"^^<{XSD.integer}>'
        )] + [("<x:s>", "<x:q>", "<x>")]
    )  # fmt: skip
    assert (quads.o < 0).sum() == 4


def test_nothing_is_no_fact() -> None:
    assert triples(encode_columns([], [])) == []


def test_a_large_collection_is_closed_alike(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Own terms, of which what is flatware follows, and claims that are no rows among them."""
    shelf = write(
        tmp_path / "shelf",
        terms="scheme,term,name,broader,source\nform,egg-tray,Egg tray,flatware,letter\n",
        pieces="piece,shape,form\np1,alder,egg tray\n",
    )
    (shelf / "more.trig").write_text(
        "@prefix prov: <http://www.w3.org/ns/prov#> .\n@prefix glost: <https://w3id.org/glost/ontology#> .\n"
        "<claim/x> prov:hadPrimarySource <source/letter> . "
        "<claim/x> { <piece/p9> a glost:Piece ; glost:ofShape <shape/birch> }\n",
        encoding="utf-8",
    )
    expected = Snapshot(shelf).closure
    monkeypatch.setattr(snapshot, "LARGE", 0)
    found = Snapshot(shelf).closure
    assert found.inferred.sorted() == expected.inferred.sorted() != []
    assert found.clashes == expected.clashes
