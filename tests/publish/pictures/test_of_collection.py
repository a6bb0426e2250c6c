"""Pictures made from a collection: what they say, checked against its tables by hand."""

import io
from pathlib import Path

import pytest
from PIL import Image
from rdflib import URIRef

from glost.answer.snapshot import Snapshot
from glost.publish.pictures.canvas import Canvas
from glost.publish.pictures.kinds.assortment import Mark, assortment, draw_mark
from glost.publish.pictures.kinds.crossings import crossings
from glost.publish.pictures.kinds.family import family
from glost.publish.pictures.kinds.kiln import plan
from glost.publish.pictures.kinds.plant import firing
from glost.publish.pictures.kinds.production import production
from glost.publish.pictures.kinds.runs import runs
from glost.publish.pictures.raster import png
from glost.publish.pictures.subjects import draw, subjects
from glost.record.dates import to_iso
from glost.record.errors import RecordErrors
from shelf import write

BASE = "https://example.org/shelf/"

MORE = {
    "shapes": "shape,pottery,name,begin,end,source,locator\n"
    "alder,harrow,Alder,1908,1920,cat1908,p. 3\n"
    "birch,harrow,Birch,1911,1913/1915,cat1911,p. 2\n"
    "birch,,,1909,,letter,p. 1\n"
    "cedar,,Cedar,,,letter,p. 1\n",
    "lineage": "thing,copied_from,redesigned_from,source,locator,certainty\n"
    "shape/birch,,shape/alder,letter,p. 1,\nshape/cedar,shape/birch,,letter,p. 2,possible\n",
    "pieces": "piece,shape,form,treatment,number_read,made\n"
    "p1,alder,dinner plate,a12,A12,1910-05\np2,birch,saucer,a12,A12,\n",
    "people": "person,name,source,locator\nmoth,Ada Moth,letter,p. 1\n",
    "roles": "person,role,at,work,source,locator\nmoth,designer,harrow,shape/alder,letter,p. 2\n",
    "plants": "plant,pottery,name,begin,end,source,locator\n"
    "old,harrow,Old Works,1900,1930,letter,p. 3\n",
    "kilns": "kiln,plant,kind,firing,number,begin,end,length,source,locator\n"
    "k1,old,bottle,bisque,1,1900,1920,,letter,p. 3\n"
    "k2,old,car-tunnel,bisque,2,1920,1930,100 ft,letter,p. 3\n",
    "kiln_zones": "kiln,zone,order,length,temperature,source,locator\n"
    "k2,preheating,1,40 ft,,letter,p. 3\nk2,firing,2,25 ft,1200 C,letter,p. 3\n",
}


@pytest.fixture
def snapshot(tmp_path: Path) -> Snapshot:
    return Snapshot(write(tmp_path / "shelf", **MORE))


def thing(name: str) -> URIRef:
    return URIRef(BASE + name)


def iso(days: tuple[int | None, int | None]) -> tuple[str, ...]:
    return tuple("" if day is None else to_iso(day) for day in days)


def test_runs_give_the_closest_dates_and_mark_what_clashes(snapshot: Snapshot) -> None:
    chart = runs(snapshot, "shapes")
    bars = {bar.name: bar for bar in chart.bars}
    assert iso(bars["Alder"].life.certain or (None, None)) == ("1908-12-31", "1920-01-01")
    assert not bars["Alder"].life.disputed
    assert bars["Birch"].life.disputed
    assert [bar.group for bar in chart.bars] == [
        "Harrow Pottery",
        "Harrow Pottery",
        "Maker not said",
    ]
    told = [(shown.kind, shown.name, *iso(shown.when)) for shown in bars["Alder"].exhibits]
    assert told == [
        ("piece", "Dinner plate, Alder, A12", "1910-05-01", "1910-05-31"),
        ("list", "Catalogue No. 4", "1908-01-01", "1908-12-31"),
    ]
    assert all(shown.basis.claims for shown in bars["Alder"].exhibits)
    assert bars["Alder"].basis.passages
    assert "2 years" in chart.note


def test_a_family_has_its_lanes_ties_and_designers(snapshot: Snapshot) -> None:
    made = family(snapshot, thing("shape/cedar"))
    assert [member.name for member in made.members] == ["Alder", "Birch", "Cedar"]
    assert [made.lanes[member.lane].name for member in made.members] == [
        "Harrow Pottery",
        "Harrow Pottery",
        "Maker not said",
    ]
    assert made.members[0].note == "designer Ada Moth"
    told = {
        (made.members[tie.later].name, tie.relation, made.members[tie.earlier].name, tie.certainty)
        for tie in made.ties
    }
    assert told == {
        ("Birch", "redesigned", "Alder", ""),
        ("Cedar", "copied", "Birch", "possible"),
        ("Birch", "flatware", "Alder", ""),
    }
    assert all(tie.basis.claims and tie.basis.passages for tie in made.ties)


def test_absence_is_drawn_only_from_a_list_that_says_it_is_complete(snapshot: Snapshot) -> None:
    made = assortment(snapshot, thing("pottery/harrow"))
    rows = {row.name: at for at, row in enumerate(made.rows)}
    columns = {column.name: at for at, column in enumerate(made.columns)}
    cells = {(cell.row, cell.column): cell for cell in made.cells}
    teapot = rows["teapot"]
    assert cells[teapot, columns["Alder"]].mark == Mark.OFFERED
    assert cells[teapot, columns["Birch"]].mark == Mark.NOT_SEEN
    saucer = rows["saucer"]
    assert cells[saucer, columns["Alder"]].mark == Mark.ABSENT
    assert cells[saucer, columns["Alder"]].basis.passages
    assert cells[saucer, columns["Birch"]].mark == Mark.SHOWN


def test_every_mark_of_a_matrix_is_drawn_otherwise_without_colour() -> None:
    drawn = set()
    for mark in Mark:
        canvas = Canvas(20, 20)
        draw_mark(canvas, mark, 10, 10)
        grey = Image.open(io.BytesIO(png(canvas, 288, {}))).convert("L")
        drawn.add(grey.point(lambda light: 255 if light < 200 else 0).tobytes())
    assert len(drawn) == len(Mark)


def test_a_crossing_is_counted_from_home_to_where_it_was_seen(snapshot: Snapshot) -> None:
    made = crossings(snapshot)
    assert [shape.name for shape in made.shapes] == ["Alder", "Birch"]
    crossed = made.crossings[0]
    assert (len(made.crossings), crossed.home, crossed.seen, crossed.count) == (1, 0, 1, 1)
    assert crossed.explanations == ("shared flatware",)
    assert crossed.explained == 1
    assert crossed.basis.claims


def test_production_counts_what_certainly_and_possibly_ran(snapshot: Snapshot) -> None:
    made = production(snapshot, thing("pottery/harrow"))
    at = {year: place for place, year in enumerate(made.years)}
    assert made.certain[at[1910]] >= 1
    assert (made.certain[at[1918]], made.possible[at[1918]]) == (1, 1)
    assert all(low <= high for low, high in zip(made.certain, made.possible, strict=True))
    whole = sum(made.pieces)
    assert whole == pytest.approx(2 - made.undated, abs=1e-9)
    assert all(basis.claims for basis in made.bases)


def test_a_plants_kilns_stand_under_what_they_fired(snapshot: Snapshot) -> None:
    made = firing(snapshot, thing("plant/old"))
    assert [kiln.name for kiln in made.kilns] == ["No. 1", "No. 2"]
    assert {kiln.group for kiln in made.kilns} == {"bisque firing"}
    reckoned = [step for step in made.capacity if step.high is not None]
    assert reckoned
    assert all((step.low or 0) <= (step.high or 0) for step in reckoned)
    assert made.assumptions


def test_zones_are_drawn_as_long_as_they_are_written(snapshot: Snapshot) -> None:
    made = plan(snapshot, thing("kiln/k2"))
    strip = made.strips[0]
    assert (strip.written, strip.metres) == ("100 ft", pytest.approx(30.48))
    assert [(zone.written, zone.metres) for zone in strip.zones] == [
        ("40 ft", pytest.approx(12.192)),
        ("25 ft", pytest.approx(7.62)),
    ]
    assert strip.zones[1].remark == "1200 C"


def test_every_subject_can_be_drawn(snapshot: Snapshot) -> None:
    of = {"plant": "old", "kiln": "k2", "assortment": "alder", "runs": "marks"}
    for what in subjects():
        picture = draw(snapshot, what, of.get(what, ""))
        assert picture.svg().startswith("<svg ")
        assert picture.words.summary


@pytest.mark.parametrize(
    ("what", "of", "says"),
    [
        ("runs", "shape", 'there are no runs of "shape"; did you mean "shapes"'),
        ("plant", "", "plant is drawn of a plant; name it"),
        (
            "plant",
            "k2",
            '"k2" is Bisque straight car tunnel kiln 2, Old Works (kiln/k2); name a plant',
        ),
        (
            "kiln",
            "k1",
            "no source gives lengths of Bisque bottle kiln 1, Old Works that can be drawn",
        ),
        ("assortment", "old", '"old" is Old Works (plant/old); name a shape or pottery'),
        ("production", "alder", '"alder" is Alder (shape/alder); name a pottery'),
        ("family", "aldr", 'is called "aldr"; nearest: Alder (shape/alder)'),
    ],
)
def test_what_cannot_be_drawn_is_said_with_what_can(
    snapshot: Snapshot, what: str, of: str, says: str
) -> None:
    with pytest.raises(RecordErrors) as bad:
        draw(snapshot, what, of)
    assert len(bad.value.errors) == 1
    assert says in str(bad.value)
