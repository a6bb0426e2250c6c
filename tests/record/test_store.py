"""A record looked up on disk is the record that was read from its files."""

import sqlite3
from datetime import date
from pathlib import Path

import pytest
from rdflib import Literal, URIRef
from rdflib.namespace import RDFS

from glost.data import vocabulary
from glost.names import GLOST
from glost.record.belief import Belief
from glost.record.claims import Claim, Triple
from glost.record.record import Record, read
from glost.record.store import StoredInferred, StoredRecord, opened, write, write_inferred
from glost.words.lookup import names_of
from shelf import SETTINGS
from shelf import write as write_shelf

BASE = "https://example.org/shelf/"
ALDER, BIRCH = (URIRef(f"{BASE}shape/{name}") for name in ("alder", "birch"))
CORRECTIONS = (
    "withdraws,columns,reason,source,recorded_on,claim\n"
    "b7-as-printed,,It was misread.,letter,2024-05-01,wrong-number\n"
    "birch-as-printed,end,The year is a guess.,letter,2024-06-01,wrong-end\n"
)
SHAPES = (
    "shape,pottery,name,begin,end,source,locator,certainty,claim,recorded_on,recorded_by,note\n"
    "alder,harrow,Alder,1908,,cat1908,p. 3,certain,alder-as-printed,2024-01-02,A. N. Other,Faint\n"
    "birch,harrow,Birch,1911,1920?,cat1911,p. 2,probable,birch-as-printed,2024-01-02,,\n"
)
ODD = (
    "@prefix prov: <http://www.w3.org/ns/prov#> .\n"
    "@prefix glost: <https://w3id.org/glost/ontology#> .\n"
    "@prefix rdfs: <http://www.w3.org/2000/01/rdf-schema#> .\n"
    "@prefix xsd: <http://www.w3.org/2001/XMLSchema#> .\n"
    "<claim/odd> prov:hadPrimarySource <source/letter> .\n"
    "<claim/odd> { <piece/p9> a glost:Piece ; rdfs:label 'The ninth'@en-GB ;\n"
    "  glost:innerDiameter '01.50'^^xsd:decimal ; rdfs:seeAlso <shape/alder#begin> }\n"
)
DAYS = [None, date(2024, 5, 15), date(2024, 5, 31), date(2024, 6, 1), date(2023, 1, 1)]


@pytest.fixture(scope="module")
def record(tmp_path_factory: pytest.TempPathFactory) -> Record:
    folder = tmp_path_factory.mktemp("shelf") / "c"
    write_shelf(folder, corrections=CORRECTIONS, shapes=SHAPES)
    (folder / "odd.trig").write_text(ODD, encoding="utf-8")
    return read(folder)


def nothing_whole() -> Record:
    raise AssertionError("a look-up reads the whole record")


@pytest.fixture(scope="module", params=DAYS, ids=str)
def both(
    record: Record, tmp_path_factory: pytest.TempPathFactory, request: pytest.FixtureRequest
) -> tuple[Record, StoredRecord, date | None]:
    """The record, and the same on disk, of which nothing may be read as a whole."""
    day: date | None = request.param
    path = tmp_path_factory.mktemp("stored") / "record"
    write(record, path, day, vocabulary(), names_of(record).called)
    return record, StoredRecord(path, record.collection, day, nothing_whole), day


def told(claims: tuple[Claim, ...]) -> list[tuple[Claim, str, tuple[Triple, ...]]]:
    return [(claim, repr(claim.origin), claim.statements) for claim in claims]


def test_what_is_believed_is_the_same(both: tuple[Record, StoredRecord, date | None]) -> None:
    record, stored, day = both
    belief, found = record.believed(day), stored.believed(day)
    assert list(found.graph) == list(dict.fromkeys(belief.statements()))
    assert set(found.worded) == set(belief.worded)
    assert found.withdrawn == belief.withdrawn
    assert found.parts == belief.parts
    for claim in record.claims:
        assert found.kept(claim) == belief.kept(claim)
        assert told(found.bearing(claim.iri)) == told(belief.bearing(claim.iri))
        for statement in claim.statements:
            assert told(found.rests_on(statement)) == told(belief.rests_on(statement))
            for term in (statement[0], statement[2]):
                thing = URIRef(str(term))
                assert told(found.about(thing)) == told(belief.about(thing))
                assert told(found.mentions(thing)) == told(belief.mentions(thing))


def test_patterns_of_every_kind_find_the_same(
    both: tuple[Record, StoredRecord, date | None],
) -> None:
    record, stored, day = both
    made, graph = record.believed(day).worded, stored.believed(day).worded
    for s, p, o in list(record.believed(day).graph):
        for pattern in ((s, p, o), (s, p, None), (s, None, o), (s, None, None), (None, p, o),
                        (None, p, None), (None, None, o)):  # fmt: skip
            assert sorted(graph.triples(pattern)) == sorted(made.triples(pattern))
    assert list(graph.triples((URIRef(f"{BASE}shape/none"), None, None))) == []


def test_claims_about_a_thing_and_those_that_name_it(
    both: tuple[Record, StoredRecord, date | None],
) -> None:
    record, stored, day = both
    things = {URIRef(f"{BASE}{kind}/{name}") for kind in record.ids for name in record.ids[kind]}
    for thing in sorted(things | {claim.iri for claim in record.claims}):
        own, named = stored.speaking_of(thing, day)
        made, naming = record.speaking_of(thing, day)
        assert told(tuple(own)) == told(tuple(made))
        assert told(tuple(named)) == told(tuple(naming))


def test_names_and_ids_are_the_same(both: tuple[Record, StoredRecord, date | None]) -> None:
    record, stored, _ = both
    assert {kind: set(ids) for kind, ids in stored.ids.items()} == record.ids
    assert "alder" in stored.ids["shape"]
    assert "elder" not in stored.ids["shape"]
    assert len(stored.ids["shape"]) == 2
    assert names_of(stored).called == names_of(record).called
    assert names_of(stored).find("blue rim") == (f"{BASE}treatment/a12",)
    assert stored.claim("odd") == record.claim("odd")
    assert stored.claim(f"{BASE}claim/odd") == record.claim("odd")
    assert stored.claim("none") is None


def test_lexical_forms_stay_as_written(both: tuple[Record, StoredRecord, date | None]) -> None:
    claim = both[1].claim("odd")
    assert claim is not None
    literals = [value for _, _, value in claim.statements if isinstance(value, Literal)]
    assert sorted((str(x), str(x.datatype or ""), x.language or "") for x in literals) == [
        ("01.50", "http://www.w3.org/2001/XMLSchema#decimal", ""),
        ("The ninth", "", "en-gb"),  # RDF 1.1: language tags are compared in lower case
    ]


def test_what_follows_is_found_from_either_end(tmp_path: Path) -> None:
    fact, other = (BIRCH, GLOST.sharesFlatwareWith, ALDER), (BIRCH, RDFS.label, Literal("Birch"))
    write_inferred([fact, other], tmp_path / "inferred")
    stored = StoredInferred(tmp_path / "inferred")
    assert list(stored) == [fact, other]
    assert list(stored.following(ALDER)) == [fact]
    assert list(stored.following(BIRCH)) == [fact, other]
    assert list(stored.following(URIRef(f"{BASE}piece/p1"))) == []


def test_a_withdrawn_statement_is_not_believed(record: Record, tmp_path: Path) -> None:
    """Worked out from the tables: the end of Birch was withdrawn on the 1st of June 2024."""
    end = (URIRef(f"{BIRCH}#end"), GLOST.date)
    for day, ends in ((date(2024, 5, 31), ["1920?"]), (date(2024, 6, 1), []), (None, [])):
        path = tmp_path / f"record-{day}"
        write(record, path, day)
        stored = StoredRecord(path, record.collection, day, nothing_whole).believed(day)
        assert [str(value) for value in stored.graph.objects(*end)] == ends
        assert [str(n) for n in stored.graph.objects(BIRCH, RDFS.label)] == ["Birch"]
        parts = stored.parts.get(URIRef(f"{BASE}claim/birch-as-printed"), ())
        assert [part.correction.id for part in parts] == ["wrong-end"] * (not ends)


def test_another_day_is_asked_of_the_record(record: Record, tmp_path: Path) -> None:
    write(record, tmp_path / "record")
    stored = StoredRecord(tmp_path / "record", record.collection, None, lambda: record)
    day = date(2024, 5, 15)
    assert stored.believed(day) is record.believed(day)
    assert len(stored.believed().claims) == len(record.believed().claims)
    assert stored.believed().replaced == record.believed().replaced


def test_what_is_looked_up_cannot_be_changed(record: Record, tmp_path: Path) -> None:
    write(record, tmp_path / "record")
    with pytest.raises(sqlite3.OperationalError):
        opened(tmp_path / "record").execute("DELETE FROM statement")
    assert SETTINGS.count(BASE) == 1


def test_columns_of_statements_are_the_same(
    both: tuple[Record, StoredRecord, date | None],
) -> None:
    record, stored, day = both
    properties = frozenset(str(p) for p in set(record.believed(day).graph.predicates()))

    def rows(belief: Belief) -> list[tuple[object, ...]]:
        table = belief.table(properties)
        return sorted(
            (name, subject, value, literal or "", table.claims[at].iri, table.claims[at].statements)
            for name, frame in table.of.items()
            for subject, value, literal, at in frame.rows()
        )

    found = rows(stored.believed(day))
    assert len(found) > 20
    assert found == rows(record.believed(day))
    table = stored.believed(day).table(properties)
    iri = str(table.claims[0].iri)
    assert table.claims.places([iri, f"{BASE}claim/none"]) == {iri: 0}
    assert len(table.claims) == len(record.claims)
