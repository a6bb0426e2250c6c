"""Claims: corrections, what was believed when, and TriG read into the same model."""

from datetime import date
from pathlib import Path

import pytest
from rdflib import URIRef

from glost.names import GLOST
from glost.record.errors import RecordErrors
from glost.record.record import Record, read
from shelf import TABLES, write

BASE = "https://example.org/shelf/"
HOME = URIRef(BASE + "treatment/b7")
CLAIM = URIRef(BASE + "claim/b7-as-printed")

NEW = "b7,harrow,B17,Gold Line,birch,p2,foot,b7-as-seen,2003-05-01\n"
TREATMENTS = (
    TABLES["treatments"]
    .replace("claim\n", "claim,recorded_on\n")
    .replace("p. 9,\n", "p. 9,,1999-01-01\n")
    .replace("as-printed\n", "as-printed,1999-01-01\n")
    + NEW
)
CORRECTIONS = (
    "withdraws,replaced_by,reason,source,locator,recorded_on,claim\n"
    "b7-as-printed,b7-as-seen,The piece shows B17,p2,foot,2003-05-01,first\n"
)


def number(record: Record, day: date | None = None) -> set[str]:
    graph = record.believed(day).graph
    return {str(value) for value in graph.objects(HOME, GLOST.treatmentNumber)}


@pytest.fixture
def corrected(tmp_path: Path) -> Record:
    return read(write(tmp_path / "c", treatments=TREATMENTS, corrections=CORRECTIONS))


def test_a_correction_withdraws_and_replaces_and_keeps_history(corrected: Record) -> None:
    belief = corrected.believed()
    assert number(corrected) == {"B17"}
    assert CLAIM in {claim.iri for claim in corrected.claims}
    assert CLAIM not in {claim.iri for claim in belief.claims}
    assert belief.withdrawn[CLAIM].id == "first"
    assert belief.replaced[URIRef(BASE + "claim/b7-as-seen")] == (CLAIM,)


def test_as_of_goes_back_to_what_was_believed_that_day_inclusive(corrected: Record) -> None:
    assert number(corrected, date(1998, 12, 31)) == set()
    assert number(corrected, date(1999, 1, 1)) == {"B7"}
    assert number(corrected, date(2003, 4, 30)) == {"B7"}
    assert number(corrected, date(2003, 5, 1)) == {"B17"}


def test_a_correction_of_a_correction_restores_the_first_claim(tmp_path: Path) -> None:
    text = CORRECTIONS + "first,,The piece was another,letter,,2004-01-01,second\n"
    record = read(write(tmp_path / "c", treatments=TREATMENTS, corrections=text))
    belief = record.believed()
    assert CLAIM in {claim.iri for claim in belief.claims}
    assert {str(claim).rsplit("/", 1)[1] for claim in belief.withdrawn} == {"first", "b7-as-seen"}
    assert number(record, date(2003, 12, 31)) == {"B17"}


def test_corrections_in_a_ring_are_an_error(tmp_path: Path) -> None:
    text = "withdraws,reason,source,claim\nsecond,no,letter,first\nfirst,no,letter,second\n"
    folder = write(tmp_path / "c", treatments=TREATMENTS, corrections=text)
    with pytest.raises(RecordErrors, match="withdraw one another: first, second"):
        read(folder)


def test_a_correction_of_an_unknown_claim_is_an_error_with_the_nearest_id(tmp_path: Path) -> None:
    text = CORRECTIONS.replace("b7-as-printed", "b7-as-printd")
    folder = write(tmp_path / "c", treatments=TREATMENTS, corrections=text)
    with pytest.raises(RecordErrors, match='did you mean "b7-as-printed"'):
        read(folder)


def test_a_statement_knows_every_claim_that_makes_it(tmp_path: Path) -> None:
    more = TABLES["shapes"] + "alder,harrow,Alder,1908,,letter,,\n"
    belief = read(write(tmp_path / "c", shapes=more)).believed()
    statement = (URIRef(BASE + "shape/alder"), GLOST.madeBy, URIRef(BASE + "pottery/harrow"))
    sources = {str(claim.passage.source).rsplit("/", 1)[1] for claim in belief.rests_on(statement)}
    assert sources == {"cat1908", "letter"}
    assert {c.origin.table for c in belief.about(BASE + "shape/alder")} == {"shapes", "flatware"}


TRIG = """
@prefix glost: <https://w3id.org/glost/ontology#> .
@prefix prov: <http://www.w3.org/ns/prov#> .
@prefix dcterms: <http://purl.org/dc/terms/> .
@prefix rdfs: <http://www.w3.org/2000/01/rdf-schema#> .
@prefix edtf: <http://id.loc.gov/datatypes/edtf/> .

<claim/cedar-1> prov:hadPrimarySource <source/letter> ; glost:locator "third page" ;
    glost:region "xywh=1,2,3,4" ; dcterms:created "2001-02-03" ;
    glost:certainty <https://w3id.org/glost/certainty/possible> .

<claim/cedar-1> {
    <shape/cedar> a glost:Shape ; rdfs:label "Cedar" ; glost:madeBy <pottery/harrow> ;
        glost:run <shape/cedar#run> .
    <shape/cedar#run> <http://www.w3.org/2006/time#hasBeginning> <shape/cedar#begin> .
    <shape/cedar#begin> glost:date "1931?"^^edtf:EDTF .
}
"""


def test_trig_is_read_into_the_same_model(tmp_path: Path) -> None:
    folder = write(tmp_path / "c", shapes=TABLES["shapes"] + "cedar,harrow,Cedar,,,letter,,\n")
    (folder / "extra.trig").write_text(TRIG, encoding="utf-8")
    record = read(folder)
    claim = record.claim("cedar-1")
    assert claim is not None
    assert claim.passage.locator == "third page"
    assert claim.passage.region == "xywh=1,2,3,4"
    assert claim.recorded_on == "2001-02-03"
    assert str(claim.certainty).endswith("/possible")
    assert len(claim.statements) == 6
    assert str(claim.origin) == "extra.trig"


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ("prov:hadPrimarySource <source/letter> ;", "", "the claim names no source"),
        ("source/letter", "source/lettre", 'did you mean "source/letter"?'),
        ("glost:madeBy", "glost:madeFrom", "glost:madeFrom is not a term of the vocabulary"),
        ("pottery/harrow", "pottery/harow", 'did you mean "pottery/harrow"?'),
        ('"1931?"', '"c. 1931"', '"c. 1931" is not an EDTF date'),
        ("<claim/cedar-1> {", "<elsewhere> {", "this graph is not a claim"),
        ("<pottery/harrow>", "[]", "has a blank node; give it an IRI"),
        ("a glost:Shape ;", "a glost:Shape", "extra.trig: line 1"),
    ],
)
def test_spoilt_trig_is_named(tmp_path: Path, old: str, new: str, expected: str) -> None:
    folder = write(tmp_path / "c")
    assert old in TRIG
    (folder / "extra.trig").write_text(TRIG.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(RecordErrors) as caught:
        read(folder)
    assert any(expected in str(error) for error in caught.value.errors), str(caught.value)
