"""Matches to authorities: what is believed of them, and what stays out while it is not settled."""

from pathlib import Path

from rdflib import URIRef
from rdflib.namespace import SKOS

from glost.answer.snapshot import Snapshot
from glost.names import SCHEMES
from glost.trade.linking.links import links_in
from glost.trade.linking.matches import MatchRelation, mappings, matches_in
from shelf import write

HERE, THERE = "https://example.org/shelf/", "https://names.example.org/"
HEAD = "thing,relation,match,name_there,evidence,source,certainty,recorded_by,claim\n"


def shelf(folder: Path, *rows: str) -> Snapshot:
    text = HEAD + "".join(f"{row}\n" for row in rows)
    terms = "scheme,term,name,broader,source\nform,whimsey,Whimsey,flatware,letter\n"
    return Snapshot(write(folder / "c", matches=text, terms=terms))


def test_each_relation_is_one_of_skos_and_none_is_denied(tmp_path: Path) -> None:
    """SKOS Reference (W3C 2009), section 10, names the mapping relations."""
    names = ["exact", "close", "broad", "narrow", "related", "no-match"]
    rows = [f"shape/alder,{name},{THERE}n/{at},,x,letter,,," for at, name in enumerate(names)]
    snapshot = shelf(tmp_path, *rows)
    alder = URIRef(f"{HERE}shape/alder")
    properties = [SKOS.exactMatch, SKOS.closeMatch, SKOS.broadMatch, SKOS.narrowMatch,
                  SKOS.relatedMatch]  # fmt: skip
    expected = {(alder, p, URIRef(f"{THERE}n/{at}")) for at, p in enumerate(properties)}
    assert set(mappings(snapshot.belief)) == expected
    found = matches_in(snapshot.belief)
    assert [str(each.relation) for each in found] == names
    assert [each.relation.denied for each in found] == [False] * 5 + [True]
    assert {relation.iri for relation in MatchRelation} == {
        URIRef(f"{SCHEMES}match-relation/{name}") for name in names
    }


def test_what_two_recorders_see_otherwise_is_found_and_maps_nothing(tmp_path: Path) -> None:
    snapshot = shelf(
        tmp_path,
        f"shape/alder,exact,{THERE}n/1,Alder,The rim.,cat1908,,A. One,first",
        f"shape/alder,no-match,{THERE}n/1,Alder,Another firm's.,letter,,B. Two,second",
        f"shape/birch,close,{THERE}n/2,,x,letter,,,third",
        f"shape/birch,close,{THERE}n/2,,y,cat1911,,,fourth",
    )
    assert [str(o) for _, _, o in mappings(snapshot.belief)] == [f"{THERE}n/2"]
    (birch,) = matches_in(snapshot.belief)
    assert sorted(claim.id for claim in birch.claims) == ["fourth", "third"]
    told = [f for f in snapshot.findings() if "relations of which one at most" in f.message]
    assert len(told) == 1
    assert set(told[0].claims) == {f"{HERE}claim/first", f"{HERE}claim/second"}


def test_a_match_may_be_of_a_term_of_the_collection_and_of_nothing_that_is_not_there(
    tmp_path: Path,
) -> None:
    snapshot = shelf(tmp_path, f"form/whimsey,broad,{THERE}n/1,,x,letter,,,")
    assert [str(each.thing) for each in matches_in(snapshot.belief)] == [f"{HERE}form/whimsey"]


def test_a_mapping_is_in_the_dataset_and_rests_on_what_the_match_says(tmp_path: Path) -> None:
    snapshot = shelf(tmp_path, f"shape/alder,exact,{THERE}n/1,,x,letter,,,")
    (mapping,) = mappings(snapshot.belief)
    assert mapping in set(snapshot.contents.reckoned)
    why = set(snapshot.contents.why(mapping))
    claims = {claim.id for fact in why for claim in snapshot.belief.rests_on(fact)}
    (match,) = matches_in(snapshot.belief)
    assert why == set(match.statements) and claims == {match.claims[0].id}


def test_matches_are_no_links_of_things_described_apart(tmp_path: Path) -> None:
    snapshot = shelf(tmp_path, f"shape/alder,exact,{THERE}n/1,,x,letter,,,")
    assert not links_in(snapshot.belief).of(URIRef(f"{HERE}shape/alder"))


def test_an_identifier_is_one_however_its_letters_are_encoded(tmp_path: Path) -> None:
    snapshot = shelf(
        tmp_path,
        f"shape/alder,exact,{THERE}n%C3%A9/1,,x,letter,,,",
        f"shape/alder,exact,{THERE}né/1,,x,cat1908,,,",
    )
    (match,) = matches_in(snapshot.belief)
    assert len(match.claims) == 2
