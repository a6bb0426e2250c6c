"""Places and institutions as things: described, named; and nothing is made one by its name."""

from pathlib import Path

import pytest
from rdflib import Graph, Literal, URIRef
from rdflib.namespace import RDF, SKOS

from glost.answer.snapshot import Snapshot
from glost.names import CRM, GLOST
from glost.publish.data.crm import crm_turtle
from glost.publish.site.holdings import SiteContents
from glost.record.errors import RecordErrors
from glost.record.record import read
from shelf import write

BASE = "https://example.org/shelf/"
TABLES = {
    "places": "place,name,other_names,within,source\n"
    "ferry,Ferry,The Ferry,vale,letter\nferry-2,Ferry,,,letter\nvale,Vale,,,letter\n",
    "institutions": "institution,name,in_place,source\nsociety,Vale Society,ferry,letter\n",
    "potteries": "pottery,name,place,in_place,source\n"
    "harrow,Harrow Pottery,Ferry,ferry,letter\nother,Other Pottery,Ferry,,letter\n",
    "sources": "source,title,kind,date,held_by,kept_by\n"
    "letter,[Letter],letter,1912-03,Vale Soc.,society\n"
    "cat1908,C,catalogue,1908,Vale Society,\ncat1911,D,catalogue,1911,,\n",
}


def iri(name: str) -> URIRef:
    return URIRef(BASE + name)


@pytest.fixture
def shelf(tmp_path: Path) -> Path:
    return write(tmp_path / "shelf", **TABLES)


def test_places_and_institutions_are_things_and_words_stay(shelf: Path) -> None:
    graph = read(shelf).believed().graph
    assert set(graph.subjects(RDF.type, GLOST.Place)) == {
        iri(f"place/{each}") for each in ("ferry", "ferry-2", "vale")
    }
    assert set(graph.subject_objects(GLOST.inPlace)) == {
        (iri("pottery/harrow"), iri("place/ferry")), (iri("institution/society"), iri("place/ferry")),
    }  # fmt: skip
    assert set(graph.objects(None, GLOST.place)) == {Literal("Ferry")}
    assert set(graph.subject_objects(GLOST.keptBy)) == {
        (iri("source/letter"), iri("institution/society"))
    }
    assert set(graph.objects(None, GLOST.heldBy)) == {Literal("Vale Soc."), Literal("Vale Society")}


def test_what_goes_by_one_name_is_told_apart_and_made_one_by_nobody(shelf: Path) -> None:
    """A pottery whose source says Ferry is in neither of the two places of that name."""
    snapshot = Snapshot(shelf)
    labels = {snapshot.words.label(iri(f"place/{each}")) for each in ("ferry", "ferry-2")}
    assert len(labels) == 2
    every = {*snapshot.belief.graph, *snapshot.contents.inferred, *snapshot.contents.reckoned}
    assert not {t for t in every if t[0] == iri("pottery/other") and t[1] == GLOST.inPlace}


def test_a_place_is_matched_to_a_gazetteer(tmp_path: Path) -> None:
    there = "https://gazetteer.example.org/17"
    matches = (
        f"thing,relation,match,evidence,source\nplace/ferry,exact,{there},One landing.,letter\n"
    )
    snapshot = Snapshot(write(tmp_path / "shelf", **TABLES, matches=matches))
    assert (iri("place/ferry"), SKOS.exactMatch, URIRef(there)) in snapshot.contents.reckoned
    assert not [each for each in snapshot.findings() if "place/ferry" in str(each.about)]


def test_the_crm_has_one_place_where_the_record_has_one(shelf: Path) -> None:
    told = Graph().parse(data=crm_turtle(SiteContents(Snapshot(shelf), ())), format="turtle")
    home = CRM.P74_has_current_or_former_residence
    assert set(told.subjects(home, iri("place/ferry"))) == {
        iri("pottery/harrow"), iri("institution/society"),
    }  # fmt: skip
    assert (iri("place/ferry"), CRM.P89_falls_within, iri("place/vale")) in told
    assert (iri("place/ferry"), RDF.type, CRM.E53_Place) in told
    keepers = set(told.objects(iri("source/letter#carrier"), CRM.P50_has_current_keeper))
    assert iri("institution/society") in keepers


def test_a_place_that_nobody_describes_is_an_error(tmp_path: Path) -> None:
    wrong = TABLES["potteries"].replace(",ferry,letter", ",fery,letter")
    tables = {**TABLES, "potteries": wrong}
    with pytest.raises(RecordErrors, match=r'potteries\.csv, row 2, column in_place: .*"fery"'):
        read(write(tmp_path / "shelf", **tables))
