"""The data of a small collection: what stands in each file, worked out from the rows."""

import json
import re
from collections import Counter
from datetime import date
from pathlib import Path

import pytest
from rdflib import Dataset, Graph, Literal, Namespace, URIRef
from rdflib.namespace import DCAT, DCTERMS, FOAF, RDF, RDFS, VOID, XSD

import shelf
from glost.answer.snapshot import Snapshot
from glost.findings import Finding, Severity
from glost.names import CRM, GLOST
from glost.publish.data import whole
from glost.publish.data.described import Described
from glost.publish.data.descriptions import void_and_dcat
from glost.publish.data.facts import StatementCounts
from glost.publish.data.quality import DQV
from glost.publish.data.whole import crm_turtle, data_files
from glost.publish.site.drawings import Drawings
from glost.publish.site.frame import PageFrame
from glost.publish.site.holdings import SiteContents
from glost.publish.site.images import Images
from glost.publish.site.noted import Looks

BASE = "https://example.org/shelf/"
SD = Namespace("http://www.w3.org/ns/sparql-service-description#")
LICENCE = "https://creativecommons.org/licenses/by/4.0/"
SETTINGS = f'licence = "{LICENCE}"\npublisher = "A keeper"\ndescription = "Two shapes."\n'
TABLES = {
    "sources": "source,title,kind,date\ncat,Catalogue,catalogue,1908\nletter,A letter,letter,1912\n",
    "potteries": "pottery,name,source\nharrow,Harrow,letter\n",
    "shapes": "shape,pottery,name,begin,source,locator,recorded_on,claim\n"
    "alder,harrow,Alder,1908,cat,p. 3,2020-01-05,alder-said\n"
    "birch,harrow,Birch,1911,letter,,2021-02-03,\n",
    "flatware": "shape,with,source\nalder,birch,letter\n",
    "pieces": "piece,shape,form\np1,alder,dinner plate\n",
    "corrections": "withdraws,columns,reason,source,recorded_on\n"
    "alder-said,begin,Misread.,letter,2022-03-04\n",
}
GIVEN = """
@base <https://example.org/shelf/> .
@prefix glost: <https://w3id.org/glost/ontology#> .
@prefix prov: <http://www.w3.org/ns/prov#> .
@prefix rdfs: <http://www.w3.org/2000/01/rdf-schema#> .
<claim/given> a glost:Claim ; prov:hadPrimarySource <source/letter> .
<claim/given> { <shape/birch> rdfs:label "Birke"@de . }
"""


def made(folder: Path, given: str = "", **tables: str) -> Path:
    empty = dict.fromkeys(shelf.TABLES, "")
    shelf.write(folder, **{**empty, **TABLES, **tables})
    with (folder / "collection.toml").open("a", encoding="utf-8") as settings:
        settings.write(SETTINGS)
    if given:
        (folder / "more.trig").write_text(given, encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def held(tmp_path_factory: pytest.TempPathFactory) -> SiteContents:
    return SiteContents(Snapshot(made(tmp_path_factory.mktemp("data") / "shelf", GIVEN)), ())


@pytest.fixture(scope="module")
def files(held: SiteContents) -> dict[str, bytes]:
    return dict(data_files(held, PageFrame.of(held), Images(held)))


@pytest.fixture(scope="module")
def described(held: SiteContents) -> dict[str, bytes]:
    names = ("shape/alder", "shape/birch", "claim/alder-said", "inferred")
    images = Images(held)
    looks = Looks(held, images, Drawings(held, PageFrame.of(held)))
    described = Described(held, looks)
    return dict(file for name in names for file in described.files(BASE + name))


def turtle(content: bytes) -> Graph:
    return Graph().parse(data=content, format="turtle")


def named(name: str) -> URIRef:
    return URIRef(BASE + name)


# -- each identifier -----------------------------------------------------------------------------


def test_a_claim_stands_with_what_was_withdrawn_of_it_and_where_it_is_from(
    described: dict[str, bytes],
) -> None:
    """The shape, its name and maker stand in the claim's graph; its beginning in that of the part."""
    found = Dataset().parse(data=described["claim/alder-said.nq"], format="nquads")
    graphs = Counter(str(g).removeprefix(BASE) for _, _, _, g in found.quads() if g is not None)
    (part,) = (g for g in graphs if g.startswith("claim/alder-said#withdrawn-"))
    assert graphs[part] == 3  # a run, that it has a beginning, and the date of that
    assert graphs["claim/alder-said"] == 3
    assert (None, GLOST.locator, Literal("p. 3"), None) in found
    assert (named(part), GLOST.withdrawnByClaim, None, None) in found
    assert (None, DCTERMS.created, Literal("2022-03-04", datatype=XSD.date), None) in found


def test_a_thing_stands_with_what_follows_and_what_was_worked_out(
    described: dict[str, bytes],
) -> None:
    found = turtle(described["shape/birch.ttl"])
    birch, alder = named("shape/birch"), named("shape/alder")
    assert (birch, GLOST.sharesFlatwareWith, alder) in found  # said of Alder, and so of both
    assert (birch, RDF.type, GLOST.Design) in found
    day = Literal("1911-01-01", datatype=XSD.date)
    assert (URIRef(f"{birch}#begin"), GLOST.notBefore, day) in found


def test_json_ld_has_types_languages_and_a_context_that_is_found(
    described: dict[str, bytes],
) -> None:
    told = json.loads(described["shape/birch.jsonld"])
    assert told["@context"] == "../data/context.jsonld"
    (birch,) = [n for n in told["@graph"] if n["@id"] == named("shape/birch").toPython()]
    assert sorted(birch["@type"]) == ["glost:Design", "glost:Shape"]
    names = [(each["@value"], each.get("@language")) for each in birch["rdfs:label"]]
    assert sorted(names, key=str) == [("Birch", None), ("Birke", "de")]
    assert json.loads(described["inferred.jsonld"])["@context"] == "data/context.jsonld"


# -- the whole -----------------------------------------------------------------------------------


def test_void_counts_what_there_is_and_dcat_what_each_file_holds(files: dict[str, bytes]) -> None:
    graph, dataset = turtle(files["data/void.ttl"]), named("data/dataset")
    lines = files["data/dataset.nq"].splitlines()
    assert graph.value(dataset, VOID.triples).toPython() == len(lines)  # type: ignore[union-attr]
    parts = {graph.value(p, VOID["class"]): graph.value(p, VOID.entities).toPython()  # type: ignore[union-attr]
             for p in graph.objects(dataset, VOID.classPartition)}  # fmt: skip
    assert {kind: parts[kind] for kind in (GLOST.Shape, GLOST.Piece, GLOST.Source)} == {
        GLOST.Shape: 2, GLOST.Piece: 1, GLOST.Source: 2,
    }  # fmt: skip
    everything = Dataset().parse(data=files["data/dataset.nq"], format="nquads")
    held = Counter(str(g) for _, _, _, g in everything.quads() if g is not None)
    for name in ("inferred", "reckoned", "record"):
        (of_graph,) = graph.subjects(SD.name, named(name))
        told = graph.value(graph.value(of_graph, SD.graph), VOID.triples)
        assert int(str(told)) == held[BASE + name]
    in_claims = sum(n for name, n in held.items() if name.startswith(f"{BASE}claim/"))
    assert int(str(graph.value(named("data/dataset#claims"), VOID.triples))) == in_claims
    told = graph.value(named("data/dataset#property=rdfs:label"), VOID.triples)
    labels = set(everything.default_graph.subject_objects(RDFS.label))
    assert int(str(told)) == len(labels)
    sizes = {
        str(place).removeprefix(BASE): int(str(graph.value(place, DCAT.byteSize)))
        for place in graph.objects(dataset, DCAT.distribution)
    }
    assert sizes == {file: len(files[file]) for file in sizes}
    assert {"data/dataset.nq", "data/dataset.trig", "data/crm.ttl"} < set(sizes)
    for each in (dataset, named("data/catalogue")):
        assert graph.value(each, DCTERMS.license) == URIRef(LICENCE)
        assert graph.value(graph.value(each, DCTERMS.publisher), FOAF.name) == Literal("A keeper")
        assert str(graph.value(each, DCTERMS.modified)) == "2022-03-04"  # the last row recorded
    assert str(graph.value(dataset, DCTERMS.description)) == "Two shapes."


def test_things_without_a_name_are_labelled_alike_in_every_run(files: dict[str, bytes]) -> None:
    """The labels are those of RDF Dataset Canonicalization, whichever way round a node stands."""
    nameless = re.findall(rb"_:[A-Za-z0-9]+", files["data/dataset.nq"])
    assert nameless
    assert all(label.startswith(b"_:c14n") for label in nameless)


def test_the_collection_as_of_a_day_is_described_by_that_day(held: SiteContents) -> None:
    then = SiteContents(Snapshot(held.snapshot.path, date(2021, 6, 7)), ())
    told = turtle(void_and_dcat(then, PageFrame.of(then), (), StatementCounts()))
    assert str(told.value(named("data/dataset"), DCTERMS.modified)) == "2021-06-07"


def test_claims_that_no_table_holds_are_given_beside_the_tables(
    files: dict[str, bytes], tmp_path: Path
) -> None:
    claims = Dataset(default_union=True)
    claims.parse(data=files["data/tables/claims.trig"], format="trig")
    assert (named("shape/birch"), RDFS.label, Literal("Birke", "de")) in claims
    held = SiteContents(Snapshot(made(tmp_path / "tables")), ())
    assert "data/tables/claims.trig" not in dict(data_files(held, PageFrame.of(held), Images(held)))


def test_own_tables_are_given_as_they_are_and_nothing_else_of_the_folder(
    held: SiteContents, files: dict[str, bytes]
) -> None:
    own = {file: content for file, content in files.items() if file.startswith("tables/")}
    assert sorted(own) == [f"tables/{name}.csv" for name in sorted(TABLES)]
    assert all(content == (held.snapshot.path / file).read_bytes() for file, content in own.items())
    assert "more.trig" not in files


@pytest.mark.parametrize(
    ("octets", "told"), [(1, "1 kB"), (1499, "1 kB"), (999_000, "999 kB"), (1_000_000, "1.0 MB")]
)
def test_sizes_are_told_in_words(octets: int, told: str) -> None:
    assert whole._octets(octets) == told


def test_the_quality_report_counts_findings_by_severity_and_by_check(held: SiteContents) -> None:
    """The Data Quality Vocabulary (W3C Working Group Note, 2016): a measurement for each metric."""
    found = [
        Finding("no-end", Severity.WARNING, (), "One."), Finding("no-end", Severity.NOTE, (), "Two."),
        Finding("cax-dw", Severity.CONTRADICTION, (), "Three."),
    ]  # fmt: skip
    with_findings = SiteContents(held.snapshot, tuple(found))
    text = void_and_dcat(with_findings, PageFrame.of(held), (), StatementCounts())
    told, dataset = turtle(text), named("data/dataset")
    values = {}
    for made in told.objects(dataset, DQV.hasQualityMeasurement):
        assert told.value(made, DQV.computedOn) == dataset
        metric = told.value(made, DQV.isMeasurementOf)
        assert (metric, RDF.type, DQV.Metric) in told
        values[str(metric).rpartition("#")[2]] = int(str(told.value(made, DQV.value)))
    assert values == {
        "severity-contradiction": 1, "severity-warning": 1, "severity-note": 1,
        "check-no-end": 2, "check-cax-dw": 1,
    }  # fmt: skip


# -- CIDOC CRM -----------------------------------------------------------------------------------


def test_cidoc_crm_has_names_and_classes_and_what_follows(held: SiteContents) -> None:
    graph = turtle(crm_turtle(held))
    alder, birch, piece = named("shape/alder"), named("shape/birch"), named("piece/p1")
    assert (alder, RDFS.label, Literal("Alder")) in graph
    assert (piece, RDF.type, CRM["E22_Human-Made_Object"]) in graph
    assert (piece, CRM.P2_has_type, alder) in graph
    plates = {
        frozenset(graph.objects(each, CRM.P127_has_broader_term))
        for each in graph.subjects(RDF.type, CRM.E99_Product_Type)
    }
    assert plates == {frozenset((alder, birch))}


def test_cidoc_crm_has_the_time_of_a_run_as_moments(held: SiteContents) -> None:
    """Birch began in 1911, and nothing says when it ended."""
    graph = turtle(crm_turtle(held))
    (made,) = graph.subjects(CRM.P21_had_general_purpose, named("shape/birch"))
    assert graph.value(made, CRM.P14_carried_out_by) == named("pottery/harrow")
    span = graph.value(made, CRM["P4_has_time-span"])
    bounds = {
        p: graph.value(span, CRM[p]) for p in ("P82a_begin_of_the_begin", "P82b_end_of_the_end")
    }
    assert bounds == {
        "P82a_begin_of_the_begin": Literal("1911-01-01T00:00:00Z", datatype=XSD.dateTime),
        "P82b_end_of_the_end": None,
    }


def test_cidoc_crm_assigns_what_a_claim_says_and_marks_what_was_withdrawn_of_it(
    held: SiteContents,
) -> None:
    """Of the claim three statements stood, one of them the kind; its date was withdrawn."""
    graph = turtle(crm_turtle(held))
    claim, believed = (
        named("claim/alder-said"),
        URIRef("https://w3id.org/glost/claim-status/believed"),
    )
    assert graph.value(claim, CRM.P2_has_type) == believed
    (recording,) = (
        each for each in graph.subjects(CRM.P16_used_specific_object, named("source/cat"))
        if str(each).startswith(str(claim))
    )  # fmt: skip
    told = {
        (
            graph.value(each, CRM.P177_assigned_property_of_type),
            str(graph.value(each, CRM.P2_has_type)).rpartition("/")[2],
        )
        for each in graph.objects(recording, CRM.P9_consists_of)
    }
    assert told == {(RDFS.label, "believed"), (GLOST.madeBy, "believed"), (GLOST.date, "withdrawn")}
