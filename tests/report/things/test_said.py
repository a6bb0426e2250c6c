"""How claims are cited."""

from rdflib import URIRef

from glost.answer.snapshot import Snapshot
from glost.report.things.basis import Kept
from glost.report.things.said import Said


def test_a_claim_is_cited_in_the_same_words_whichever_page_cites_it_first(valley: Snapshot) -> None:
    """A correction rests on wv-017, which its own page cites as seen; other pages name it."""
    piece = f"{valley.record.base}piece/wv-017"
    claim = valley.record.claim("shape-of-017-photograph")
    assert claim is not None
    of_the_piece, of_others = Said(Kept(valley)), Said(Kept(valley))
    of_the_piece.about = piece
    first = of_the_piece.cited(claim)
    assert "wv-017" in first.withdrawn
    assert first == of_others.cited(claim)
    assert of_the_piece.source(URIRef(piece)).text != of_others.source(URIRef(piece)).text
