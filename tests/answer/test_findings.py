"""Findings: what is found, with what severity, and whose claims are told."""

from datetime import date
from pathlib import Path

import pytest
from rdflib import Literal, URIRef
from rdflib.namespace import OWL, RDF, RDFS

from glost.answer.snapshot import Snapshot
from glost.answer.values import differing
from glost.findings import Finding, Severity, Side
from glost.names import EDTF, GLOST
from glost.record.errors import RecordErrors
from glost.words.labels import label
from glost.words.sentences import sentence
from shelf import write

SHELF = "https://example.org/shelf/"
SHAPES = "shape,pottery,name,begin,source,locator,certainty,recorded_on,claim\n"
ALDER = "alder,harrow,Alder,1908,cat1908,p. 3,certain,2020-01-05,alder-printed\n"
BIRCH = "birch,harrow,Birch,1911,cat1911,p. 2,,2020-01-05,\n"
LATER = "alder,harrow,Alder,{},letter,first page,doubtful,2021-02-03,alder-told\n"
KILNS = "kiln,plant,kind,firing,length,source,locator\n"
PLANTS = "plant,pottery,number,source\nnew,harrow,2,letter\n"


def snapshot(tmp_path: Path, as_of: date | None = None, **tables: str) -> Snapshot:
    return Snapshot(write(tmp_path / "shelf", **tables), as_of)


def found(snapshot: Snapshot, kind: str) -> list[Finding]:
    return [finding for finding in snapshot.findings("shacl") if finding.kind == kind]


def differences(snapshot: Snapshot) -> list[Finding]:
    return list(differing(snapshot.belief, snapshot.graph, snapshot.record.collection.margin))


def test_two_dates_that_share_no_day_are_told_from_both_sides(tmp_path: Path) -> None:
    here = snapshot(tmp_path, shapes=SHAPES + ALDER + LATER.format("1910/1912") + BIRCH)
    (finding,) = found(here, "differing-values")
    assert finding.severity == Severity.CONTRADICTION
    assert finding.about == (f"{SHELF}shape/alder",)
    assert finding.message == "Sources differ on the start of Alder: 1908 or from 1910 to 1912."
    assert finding.sides == (
        Side(
            "Alder began in 1908",
            f"{SHELF}claim/alder-printed",
            "Catalogue No. 4, 1908",
            "p. 3",
            "tables/shapes.csv row 2",
            "certain",
        ),
        Side(
            "Alder began from 1910 to 1912",
            f"{SHELF}claim/alder-told",
            "[Letter of a traveller], 1912",
            "first page",
            "tables/shapes.csv row 3",
            "doubtful",
        ),
    )


@pytest.mark.parametrize("other", ["1908-05", "1905/1908", "190X", "1910~", "1908?"])
def test_dates_that_share_a_day_do_not_differ(tmp_path: Path, other: str) -> None:
    here = snapshot(tmp_path, shapes=SHAPES + ALDER + LATER.format(other) + BIRCH)
    assert differences(here) == []


def test_a_correction_settles_the_matter_from_its_day_on(tmp_path: Path) -> None:
    shapes = SHAPES + ALDER + LATER.format("1912") + BIRCH
    corrections = "withdraws,reason,source,locator,recorded_on\n"
    corrections += "alder-told,the traveller mistook Alder for Birch,cat1908,p. 3,2022-06-01\n"
    here = snapshot(tmp_path, shapes=shapes, corrections=corrections)
    assert differences(here) == []
    then = Snapshot(here.path, date(2022, 5, 31))
    assert len(differences(then)) == 1
    assert differences(Snapshot(here.path, date(2021, 1, 1))) == []


@pytest.mark.parametrize(
    ("one", "other", "differ"),
    [
        ("355 ft", "108.204 m", False),
        ("355 ft", "354 ft 12 in", False),
        ("355 ft", "about 350 ft", False),
        ("355 ft", "355 ft 1 in", True),
        ("355 ft", "108.2 m", True),
    ],
)
def test_lengths_differ_only_if_unequal_in_exact_metres(
    tmp_path: Path, one: str, other: str, differ: bool
) -> None:
    kilns = KILNS + f"long,new,tunnel,bisque,{one},letter,sheet 1\n"
    kilns += f"long,new,tunnel,bisque,{other},cat1911,p. 30\n"
    here = snapshot(tmp_path, plants=PLANTS, kilns=kilns)
    assert [f.severity for f in differences(here)] == [
        Severity.CONTRADICTION for _ in range(differ)
    ]


@pytest.mark.parametrize(("other", "differs"), [("No. 2", True), (" 2 ", False)])
def test_words_that_differ_are_a_warning(tmp_path: Path, other: str, differs: bool) -> None:
    here = snapshot(tmp_path, plants=PLANTS + f"new,harrow,{other},cat1911\n")
    assert [f.severity for f in differences(here)] == [Severity.WARNING for _ in range(differs)]


def test_words_that_differ_by_case_and_spaces_alone_do_not_differ(tmp_path: Path) -> None:
    plants = PLANTS.replace("harrow,2,", "harrow,No. 2,") + "new,harrow,NO.  2,cat1911\n"
    assert differences(snapshot(tmp_path, plants=plants)) == []


def test_one_source_that_gives_two_values_is_told_as_one(tmp_path: Path) -> None:
    here = snapshot(tmp_path, plants=PLANTS + "new,harrow,3,letter\n")
    (finding,) = differences(here)
    assert (
        finding.message
        == "One source gives different values on the plant number of Plant no. 2 or 3, Harrow Pottery: 2 or 3."
    )


@pytest.mark.parametrize(("one", "other"), [("plate", "dinner plate"), ("cup", "teacup")])
def test_a_form_and_a_narrower_one_do_not_differ(tmp_path: Path, one: str, other: str) -> None:
    pieces = f"piece,form\np1,{one}\np1,{other}\np2,{one}\np2,jug\n"
    here = snapshot(tmp_path, pieces=pieces)
    assert [finding.about for finding in differences(here)] == [(f"{SHELF}piece/p2",)]


def test_a_length_that_cannot_be_read_is_kept_and_told(tmp_path: Path) -> None:
    kilns = KILNS + "long,new,tunnel,bisque,fifty paces,letter,sheet 1\n"
    (finding,) = found(snapshot(tmp_path, plants=PLANTS, kilns=kilns), "length-not-understood")
    assert '"fifty paces"' in finding.message
    assert [side.read_from for side in finding.sides] == ["tables/kilns.csv row 2"]


def test_two_blueprints_are_not_added_up(tmp_path: Path) -> None:
    kilns = KILNS + "long,new,tunnel,bisque,100 ft,letter,sheet 1\n"
    zones = "kiln,zone,length,source,locator\n"
    zones += "long,preheating,60 ft,letter,sheet 1\nlong,firing,40 ft,letter,sheet 1\n"
    zones += "long,preheating,60 ft,cat1911,p. 30\nlong,slow cooling,30 ft,cat1911,p. 30\n"
    here = snapshot(tmp_path, plants=PLANTS, kilns=kilns, kiln_zones=zones)
    assert found(here, "zones-exceed-kiln") == []
    (finding,) = found(here, "kiln-length-unexplained")
    assert "account for 90 ft of 100 ft; 10 ft are left" in finding.message
    assert {side.source for side in finding.sides} == {
        "Catalogue No. 5, 1911",
        "[Letter of a traveller], 1912",
    }


def test_a_broken_constraint_names_the_claims_on_either_side(tmp_path: Path) -> None:
    potteries = "pottery,name,source,locator\nharrow,Harrow Pottery,cat1908,p. 1\n"
    potteries += "other,Other Pottery,letter,p. 2\n"
    treatments = "treatment,pottery,number,shape,trim,source,locator\n"
    treatments += "a12,other,A12,alder,gold line,cat1908,p. 9\n"
    pieces = "piece,shape,treatment\np1,birch,\n"
    here = snapshot(tmp_path, potteries=potteries, treatments=treatments, pieces=pieces)
    (finding,) = found(here, "home-shape-of-another-pottery")
    assert finding.message.startswith("A12: The home shape of the treatment is of another pottery")
    assert [(side.says, side.read_from) for side in finding.sides] == [
        ("Alder: made by Harrow Pottery", "tables/shapes.csv row 2"),
        ("A12: home shape Alder, issued by Other Pottery", "tables/treatments.csv row 2"),
    ]


def test_a_constraint_on_the_record_itself_names_its_claims(tmp_path: Path) -> None:
    flatware = 'shape,with,source,locator,region\nalder,birch,letter,p. 2,"xywh=1,2,30,40"\n'
    (finding,) = found(snapshot(tmp_path, flatware=flatware), "region-without-image")
    assert [side.read_from for side in finding.sides] == ["tables/flatware.csv row 2"]
    assert finding.sides[0].passage == "p. 2, xywh=1,2,30,40"


def test_what_is_missing_is_told_with_a_few_claims_about_the_thing(tmp_path: Path) -> None:
    rows = [f"cat1908,alder,teapot,{n},{n if n > 1 else ''},p. 3" for n in range(1, 13)]
    table = "catalogue,shape,form,trade_size,item,locator\n" + "\n".join(rows) + "\n"
    (finding,) = found(snapshot(tmp_path, assortments=table), "items-partly-numbered")
    assert finding.severity == Severity.NOTE
    assert 1 <= len(finding.sides) <= 5


@pytest.mark.parametrize(
    ("rows", "rule", "claims"),
    [
        ("shape/alder,shape/alder,letter,p. 1\n", "prp-irp", ["row 2"]),
        (
            "shape/alder,shape/birch,letter,p. 1\nshape/birch,shape/alder,cat1911,p. 2\n",
            "prp-asyp",
            ["row 2", "row 3"],
        ),
    ],
)
def test_a_clash_of_logic_names_every_claim_behind_it(
    tmp_path: Path, rows: str, rule: str, claims: list[str]
) -> None:
    here = snapshot(tmp_path, lineage="thing,copied_from,source,locator\n" + rows)
    clashes = found(here, rule)
    assert clashes
    assert {f.severity for f in clashes} == {Severity.CONTRADICTION}
    assert sorted({s.read_from for f in clashes for s in f.sides}) == [
        f"tables/lineage.csv {row}" for row in claims
    ]


def test_findings_come_worst_first_and_always_in_one_order(tmp_path: Path) -> None:
    shapes = SHAPES + ALDER + LATER.format("1912") + BIRCH + "rowan,,Rowan,,letter,p. 1,,,\n"
    path = write(tmp_path / "shelf", shapes=shapes)
    findings = Snapshot(path).findings()
    ranks = [list(Severity).index(finding.severity) for finding in findings]
    assert len(set(ranks)) == 3
    assert ranks == sorted(ranks)
    assert Snapshot(path).findings() == findings
    assert Snapshot(path).findings("shacl") == findings


def test_what_each_part_of_the_program_finds_is_among_the_findings(tmp_path: Path) -> None:
    """One row for each part that looks for something of its own."""
    here = snapshot(
        tmp_path,
        shapes=SHAPES
        + ALDER
        + LATER.format("1912")
        + BIRCH
        + "ash,harrow,\u0430sh,1911,letter,,,,\nash,harrow,Ash,1920,cat1908,,,,\n",
        pieces="piece,shape,form,treatment,image\np1,alder,dinner plate,a12,gone.png\n",
        code_schemes="scheme,pottery,codes,pattern,source\nn,harrow,treatment-number,{line},letter\n",
        code_parts="scheme,part,value,means,thing,source\nn,line,Z,shape,shape/ash,letter\n",
        assortments="catalogue,shape,form,trade_size,item,count,locator\n"
        "cat1908,alder,teapot,,101,as many as will go,p. 4\n",
        absences="of,lacks,form,source\nshape/alder,article,teapot,letter\n",
        plants=PLANTS,
        kilns=KILNS + "k,new,tunnel,,long,letter,\nz,new,tunnel,,300 ft,letter,\n",
        kiln_zones="kiln,order,zone,length,source\nz,1,firing,400 ft,letter\n",
        lineage="thing,copied_from,source\nshape/alder,shape/birch,letter\n"
        "shape/birch,shape/alder,letter\n",
        public_statements="public_statement,said_in,wording,uses,used_columns\n"
        "s,letter,Alder began then.,alder-printed,colour\nt,letter,It began in 1912.,alder-told,begin\n",
        corrections="withdraws,reason,source\nalder-told,A slip.,cat1908\n",
    )
    kinds = {finding.kind for finding in here.findings("shacl")}
    assert kinds >= {
        "mixed-scripts",  # in the record as it was read
        "prp-asyp",  # a clash of logic
        "differing-values",
        "length-not-understood",
        "zones-exceed-kiln",
        "older-than-model",  # of lineage
        "count-not-understood",  # of assortments
        "stated-absence-not-borne-out",
        "number-fits-no-scheme",  # of codes
        "dates-clash",
        "image-not-shown",
        "erratum-not-published",
        "used-column-unknown",
        "kiln-without-firing",  # a constraint
    }


def test_finding_leaves_the_record_as_it_was(tmp_path: Path) -> None:
    here = snapshot(tmp_path)
    before, following = set(here.belief.graph), set(here.closure.inferred)
    here.findings()
    assert set(here.belief.graph) == before
    assert set(here.closure.inferred) == following


def test_things_and_statements_are_told_in_words(tmp_path: Path) -> None:
    graph = snapshot(tmp_path).graph
    alder, a12 = URIRef(f"{SHELF}shape/alder"), URIRef(f"{SHELF}treatment/a12")
    assert label(alder, graph) == "Alder"
    assert label(a12, graph) == "A12 (Blue Rim)"
    assert label(URIRef(f"{alder}#begin"), graph) == "start of Alder"
    assert label(URIRef(f"{SHELF}piece/p1"), graph) == "Dinner plate, Alder, A12"
    assert label(GLOST.Shape, graph) == "shape"
    date_of = (URIRef(f"{alder}#begin"), GLOST.date, Literal("1908~", datatype=EDTF))
    assert sentence(date_of, graph) == "Alder began about 1908"
    assert sentence((a12, GLOST.homeShape, alder), graph) == "A12 (Blue Rim): home shape Alder"
    assert sentence((alder, RDF.type, GLOST.Shape), graph) == "Alder: is of kind shape"


def test_two_treatments_numbered_alike_by_two_sources_stay_two_and_are_found(
    tmp_path: Path,
) -> None:
    here = snapshot(
        tmp_path,
        treatments="treatment,pottery,number,name,shape,source,locator\n"
        "poppy,harrow,A12,Poppy,alder,cat1908,p. 9\n"
        "vetch,harrow,A12,Vetch,birch,letter,second sheet\n",
        pieces="piece,shape,treatment\np1,alder,poppy\n",
    )
    (finding,) = found(here, "treatment-number-twice")
    assert finding.severity == Severity.WARNING
    assert {side.source for side in finding.sides} == {
        "Catalogue No. 4, 1908",
        "[Letter of a traveller], 1912",
    }
    poppy, vetch = (URIRef(f"{SHELF}treatment/{name}") for name in ("poppy", "vetch"))
    alder, birch = (URIRef(f"{SHELF}shape/{name}") for name in ("alder", "birch"))
    for one, shape, other in ((poppy, alder, vetch), (vetch, birch, poppy)):
        assert (one, OWL.sameAs, other) not in here.closure
        assert (one, GLOST.homeShape, shape) in here.closure
        assert (other, GLOST.homeShape, shape) not in here.closure
        (name,) = here.belief.graph.objects(one, RDFS.label)
        assert (other, RDFS.label, name) not in here.closure


def test_names_made_one_in_trig_are_refused(tmp_path: Path) -> None:
    folder = write(tmp_path / "shelf")
    (folder / "more.trig").write_text(
        "@base <https://example.org/shelf/> . @prefix owl: <http://www.w3.org/2002/07/owl#> .\n"
        "@prefix prov: <http://www.w3.org/ns/prov#> .\n"
        "<claim/one> { <shape/alder> owl:sameAs <shape/birch> }\n"
        "<claim/one> prov:hadPrimarySource <source/letter> .\n",
        encoding="utf-8",
    )
    with pytest.raises(RecordErrors, match=r"would make two things of the record one.*closeMatch"):
        _ = Snapshot(folder).record
