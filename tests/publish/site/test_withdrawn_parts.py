"""Pages and data of a claim of which a part was withdrawn tell what stands and what does not."""

from pathlib import Path

import pyoxigraph as ox
import pytest

from glost.answer.snapshot import Snapshot
from glost.publish.site.publish import publish
from glost.record.record import read
from shelf import TABLES, write

BASE = "https://example.org/shelf/"
NUMBER = "https://w3id.org/glost/ontology#treatmentNumber"
CORRECTIONS = (
    "withdraws,columns,replaced_by,kind,reason,source,recorded_on,claim\n"
    "b7-as-printed,number,seen,new-evidence,It is a 9 on the foot.,p2,2024-01-01,by-the-foot\n"
)


SHAPES = (
    "shape,name,begin,source,claim\n"
    "alder,Alder,1908,cat1908,by-the-list\nalder,Alder,1910,letter,by-the-letter\n"
    "birch,Birch,,cat1911,\n"
)
REMARKS = "remark,on,text,source\nr1,by-the-letter|by-the-list,Wait for the list of 1912.,cat1911\n"


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    top = tmp_path_factory.mktemp("parts")
    rows = TABLES["treatments"].replace("claim\n", "claim,partial\n").replace("p. 9,\n", "p. 9,,\n")
    rows = rows.replace("printed\n", "printed,\n") + "b7,,B9,,,p2,foot,seen,yes\n"
    collection = write(
        top / "shelf", treatments=rows, corrections=CORRECTIONS, shapes=SHAPES, remarks=REMARKS
    )
    publish(Snapshot(collection), top / "public")
    return top / "public"


def test_the_page_of_the_claim_tells_the_part_its_reason_and_the_correction(site: Path) -> None:
    page = (site / "claim" / "b7-as-printed.html").read_text(encoding="utf-8")
    assert "A part of it was withdrawn; the rest stands." in page
    assert "What was withdrawn of it" in page
    assert "Withdrawn: It is a 9 on the foot." in page
    assert "claim/by-the-foot" in page or "by-the-foot.html" in page
    says = page.partition('class="lead"')[2].partition("</p>")[0]
    assert "Gold Line" in says and ">B7<" not in says


def test_the_page_of_the_thing_tells_the_value_that_is_withdrawn_apart(site: Path) -> None:
    page = (site / "treatment" / "b7.html").read_text(encoding="utf-8")
    said = page.partition('id="said"')[2].partition("</section>")[0]
    assert "B9" in said and ">B7<" not in said and "Gold Line" in said
    marked = page.partition('id="withdrawn"')[2].partition("</section>")[0]
    assert "treatment number B7." in marked and "st withdrawn" in marked
    assert "It is a 9 on the foot." in marked


def test_the_data_of_the_claim_part_what_stands_from_what_does_not(site: Path) -> None:
    data = (site / "claim" / "b7-as-printed.nq").read_bytes()
    quads = list(ox.parse(data, format=ox.RdfFormat.N_QUADS))
    holding = {q.graph_name.value for q in quads if q.predicate.value == NUMBER}  # type: ignore[union-attr]
    assert holding == {f"{BASE}claim/b7-as-printed#withdrawn-by-the-foot"}
    withdrawn = {
        q.subject.value  # type: ignore[union-attr]
        for q in quads
        if q.predicate.value == "https://w3id.org/glost/ontology#withdrawnByClaim"
    }
    assert withdrawn == holding


def test_the_whole_of_the_data_is_read_back_as_it_was(site: Path, tmp_path: Path) -> None:
    before = read(site.parent / "shelf")
    folder = write(tmp_path / "back", **dict.fromkeys(TABLES, ""))
    text = ox.serialize(
        ox.parse(path=str(site / "data" / "dataset.nq"), format=ox.RdfFormat.N_QUADS),
        format=ox.RdfFormat.TRIG,
    )
    named = [f"<{BASE}{name}>" for name in ("record",)]
    assert text is not None and all(name.encode() in text for name in named)
    (folder / "all.trig").write_bytes(text)
    after = read(folder)
    assert set(after.believed().statements()) == set(before.believed().statements())
    assert {c.iri: set(c.statements) for c in after.claims} == {
        c.iri: set(c.statements) for c in before.claims
    }


@pytest.mark.parametrize(
    ("claim", "lead"),
    [
        ("a12-typed", "It was written down wrongly"),
        ("seen", "It belongs to a correction that was taken back."),
        ("by-the-foot", "It belongs to a correction that was taken back."),
        ("gone", "It was withdrawn on evidence"),
        ("b7-as-printed", ""),
    ],
)
def test_the_page_of_a_claim_says_how_it_came_to_be_withdrawn(
    undone: Path, claim: str, lead: str
) -> None:
    page = (undone / "claim" / f"{claim}.html").read_text(encoding="utf-8")
    leads = (
        "It was written down", "It belongs to a correction", "It was withdrawn on",
    )  # fmt: skip
    assert lead in page
    assert [each for each in leads if each in page] == [
        e for e in leads if lead and lead.startswith(e)
    ]


@pytest.fixture(scope="module")
def undone(tmp_path_factory: pytest.TempPathFactory) -> Path:
    top = tmp_path_factory.mktemp("undone")
    rows = TABLES["treatments"].replace("claim\n", "claim,partial\n").replace("p. 9,\n", "p. 9,,\n")
    rows = rows.replace("printed\n", "printed,\n")
    rows += "a12,harrow,A21,Blue Rim,alder,cat1908,p. 9,a12-typed,\n"
    rows += "a12,harrow,A13,Blue Rim,alder,letter,p. 1,gone,\n"
    corrections = CORRECTIONS + (
        "by-the-foot,,,undoing,another plate,p2,2024-02-01,back\n"
        "a12-typed,,,transcription,A21 for A12,cat1908,2024-02-02,slip\n"
        "gone,,,,It is the next line,cat1908,2024-02-03,next\n"
    )
    later = "treatment,number,source,locator,claim,partial,recorded_on\n"
    later += "b7,B9,p2,foot,seen,yes,2024-01-01\n"
    tables = {"treatments": rows, "treatments-later": later, "corrections": corrections}
    publish(Snapshot(write(top / "shelf", **tables)), top / "public")
    return top / "public"


def test_what_was_noted_of_a_conflict_stands_on_its_page_and_on_no_other(site: Path) -> None:
    pages = [
        each.read_text(encoding="utf-8") for each in sorted((site / "findings").glob("*.html"))
    ]
    noted = [page for page in pages if "Left open: Wait for the list of 1912." in page]
    assert noted and all("1908 or 1910" in page or "1910" in page for page in noted)
    assert all("by-the-list" in page and "by-the-letter" in page for page in noted)
    assert len(noted) < len(pages)
