"""Review: what is put before a person, in which order, and what their answers become."""

from dataclasses import replace
from pathlib import Path

import pytest
from rdflib import URIRef

from glost.answer.alike import alike_things
from glost.answer.review import PairAnswer, Reviewed, Sitting, candidates, drafted, entered
from glost.answer.snapshot import Snapshot
from glost.record.entering import take_out
from glost.record.errors import RecordErrors
from glost.record.record import read
from glost.trade.linking.links import LinkKind, Standing, links_in
from shelf import write

BASE = "https://example.org/shelf/"
SHAPES = (
    "shape,pottery,name,begin,description,source,region\n"
    'alder,harrow,Alder,1908,Stepped octagonal rim,cat1908,"xywh=1,2,30,40"\n'
    "alder-2,harrow,Alder,1908,Octagonal stepped rim,letter,\n"
    'birch,harrow,Birch,1911,,cat1911,"p2.png#xywh=5,6,7,8"\n'
    + "".join(
        f"s{n},harrow,{chr(65 + n)}orn {n},{1880 + n},Fluted in {n}00 ways,letter,\n"
        for n in range(24)
    )
)
"""Two of one name and year, among many others: that they agree says something."""
SOURCES = (
    "source,title,kind,date,image\n"
    "cat1908,Catalogue No. 4,catalogue,1908,p 4.png\ncat1911,Catalogue No. 5,catalogue,1911,\n"
    "letter,[Letter of a traveller],letter,1912-03,\n"
)
SITTING = Sitting("Å. Marsh", "2025-03-04")


@pytest.fixture
def snapshot(tmp_path: Path) -> Snapshot:
    return Snapshot(write(tmp_path / "c", shapes=SHAPES, sources=SOURCES))


def shape(name: str) -> URIRef:
    return URIRef(f"{BASE}shape/{name}")


def test_each_candidate_has_its_claims_and_where_it_can_be_seen(snapshot: Snapshot) -> None:
    (one,) = candidates(alike_things(snapshot, "shapes"), snapshot)
    assert one.one.name == "Alder, Harrow Pottery" or one.one.name.startswith("Alder")
    assert [str(claim.origin) for claim in one.one.claims] == [
        "tables/flatware.csv row 2",
        "tables/shapes.csv row 2",
    ]
    assert [(p.file, p.region) for p in one.one.pictures] == [("images/p 4.png", "xywh=1,2,30,40")]
    assert one.other.pictures == ()
    assert "same name" in one.why
    assert one.key == f"{shape('alder')} {shape('alder-2')}"


def test_a_file_named_in_a_region_is_shown(snapshot: Snapshot) -> None:
    (found,) = alike_things(snapshot, "shapes")
    (one,) = candidates([replace(found, other=shape("birch"))], snapshot)
    assert [(p.file, p.region) for p in one.other.pictures] == [("images/p2.png", "xywh=5,6,7,8")]


def test_the_most_uncertain_come_first_and_what_was_left_open_last(snapshot: Snapshot) -> None:
    (found,) = alike_things(snapshot, "shapes")
    given = [
        replace(found, probability=p, standing=standing)
        for p, standing in [
            (0.99, Standing.OPEN),
            (0.5, Standing.UNDECIDED),
            (0.52, Standing.OPEN),
            (0.6, Standing.ACCEPTED),
            (0.6, Standing.DISPUTED),
            (0.6, Standing.REJECTED),
        ]
    ]
    found = [each.match for each in candidates(given, snapshot)]
    assert [each.probability for each in found] == [0.52, 0.99, 0.5]


@pytest.mark.parametrize(
    ("answer", "kind", "standing"),
    [
        (PairAnswer.YES, LinkKind.SAME, Standing.ACCEPTED),
        (PairAnswer.NO, LinkKind.NOT_THE_SAME, Standing.REJECTED),
        (PairAnswer.LATER, LinkKind.UNDECIDED, Standing.UNDECIDED),
    ],
)
def test_an_answer_becomes_a_row_with_who_when_and_on_what(
    snapshot: Snapshot, answer: PairAnswer, kind: LinkKind, standing: Standing
) -> None:
    said = Reviewed(
        shape("alder"), shape("alder-2"), answer, "One rim.", "probable", "In the hand."
    )
    made = entered(snapshot.record, [said], SITTING)
    record = read(snapshot.path)
    links = links_in(record.believed())
    (link,) = links.every
    (claim,) = link.claims
    assert (link.one, link.kind, link.other) == (said.one, kind, said.other)
    assert links.standing(said.other, said.one) is standing
    assert (claim.recorded_by, claim.recorded_on, claim.note) == (
        "Å. Marsh", "2025-03-04", "In the hand.",
    )  # fmt: skip
    assert str(claim.passage.source) == f"{BASE}source/comparison-marsh-2025"
    assert str(claim.certainty).endswith("/probable")
    assert claim.id in made.ids
    (source,) = [c for c in record.claims if c.origin.table == "sources" and c.origin.row == 5]
    assert "[Comparison by Å. Marsh, 2025]" in {str(o) for _, _, o in source.statements}
    assert [f for f in Snapshot(snapshot.path).findings() if "comparison" in str(f.about)] == []
    # Entered like any other row, it is taken out like any other.
    assert links_in(take_out(record, made.ids).believed()).every == ()


def test_the_source_of_a_sitting_is_described_once(snapshot: Snapshot) -> None:
    entered(
        snapshot.record, [Reviewed(shape("alder"), shape("alder-2"), PairAnswer.LATER)], SITTING
    )
    again = read(snapshot.path)
    made = entered(again, [Reviewed(shape("alder"), shape("birch"), PairAnswer.NO)], SITTING)
    assert made.files == ("tables/links.csv",)
    named = Reviewed(shape("birch"), shape("alder-2"), PairAnswer.NO)
    record = entered(made.record, [named], replace(SITTING, source="letter")).record
    assert {str(c.passage.source) for link in links_in(record.believed()).every for c in link.claims} \
        == {f"{BASE}source/letter", f"{BASE}source/comparison-marsh-2025"}  # fmt: skip


def test_things_elsewhere_are_named_by_their_whole_iri(snapshot: Snapshot) -> None:
    far = URIRef("https://b.example/offering/a%2Fb.%C3%A9.8")
    record = entered(
        snapshot.record, [Reviewed(far, shape("alder"), PairAnswer.YES)], SITTING
    ).record
    (link,) = links_in(record.believed()).every
    assert (link.one, link.other) == (far, shape("alder"))


def test_a_source_that_is_named_must_be_described(snapshot: Snapshot) -> None:
    said = [Reviewed(shape("alder"), shape("alder-2"), PairAnswer.YES)]
    made = drafted(snapshot.record, said, replace(SITTING, source="elsewhere"))
    assert [(error.row, error.column) for error in made.errors] == [(1, "source")]


def test_nothing_is_entered_if_anything_is_wrong(snapshot: Snapshot) -> None:
    said = [
        Reviewed(shape("alder"), shape("alder-2"), PairAnswer.YES),
        Reviewed(shape("alder"), shape("nowhere"), PairAnswer.YES, certainty="fairly"),
    ]
    made = drafted(snapshot.record, said, SITTING)
    assert {(e.row, e.column) for e in made.errors} == {(2, "other"), (2, "certainty")}
    with pytest.raises(RecordErrors, match="nothing describes"):
        entered(snapshot.record, said, SITTING)
    assert not (snapshot.path / "tables" / "links.csv").exists()
