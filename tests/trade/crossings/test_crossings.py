"""Crossings worked out by hand: what shows each, every explanation, and how strong it is."""

from pathlib import Path

import pytest
from rdflib import URIRef

from glost.answer.desk import Desk
from glost.answer.questions import Answer
from glost.record.belief import Belief
from glost.record.dates import day_number
from glost.record.record import read
from glost.trade.crossings import Crossing, crossings, decal_life, matrix, support
from glost.trade.crossings.model import kinds, rows, strengths
from shelf import write

BASE = "https://example.org/shelf/"
EXAMPLE = Path(__file__).parents[3] / "examples" / "wend-valley"
SHAPES = "shape,pottery,name,begin,end,source,claim\n"
TREATMENTS = "treatment,pottery,number,decal,shape,begin,source,certainty,claim\n"
TABLES = {
    "shapes": SHAPES
    + "alder,harrow,Alder,1900,{end},letter,alder\nbirch,harrow,Birch,1911,,letter,birch\n"
    "cedar,harrow,Cedar,1908,,letter,cedar\n",
    "treatments": TREATMENTS + "a12,harrow,A12,rose,alder,,cat1908,,a12\n"
    "b7,harrow,B7,{other},birch,,cat1911,,b7\n",
    "decals": "decal,name,source\nrose,Rose,letter\nlily,Lily,letter\n",
    "flatware": "",
    "pieces": "piece,shape,form,treatment\np1,birch,{form},a12\np2,alder,plate,a12\n",
}


def believed(folder: Path, **more: str) -> Belief:
    cells = {"end": "", "other": "lily", "form": "plate"}
    cells |= {name: more.pop(name) for name in list(more) if name in cells}
    filled = {
        name: text.replace("{end}", cells["end"])
        .replace("{other}", cells["other"])
        .replace("{form}", cells["form"])
        for name, text in TABLES.items()
    }
    return read(write(folder / "c", **{**filled, **more})).believed()


def one(belief: Belief) -> Crossing:
    (found,) = crossings(belief)
    return found


def explained(crossing: Crossing) -> list[tuple[str, str, int]]:
    return [(e.kind, e.case, e.strength) for e in crossing.explanations]


def year(number: int) -> tuple[int, int]:
    return day_number(number, 1, 1), day_number(number, 12, 31)


def ids(claims: object) -> set[str]:
    return {claim.id for claim in claims}  # type: ignore[attr-defined]


def test_what_stays_at_home_does_not_cross(tmp_path: Path) -> None:
    belief = believed(tmp_path, pieces="piece,shape,form,treatment\np2,alder,plate,a12\n")
    assert crossings(belief) == ()
    assert matrix((), belief).cells == ()


def test_a_crossing_without_explanation(tmp_path: Path) -> None:
    crossing = one(believed(tmp_path))
    assert [str(t).removeprefix(BASE) for t in (crossing.treatment, crossing.home, crossing.seen_on)] == [
        "treatment/a12", "shape/alder", "shape/birch",
    ]  # fmt: skip
    assert crossing.numbers == ("A12",) and not crossing.by_number
    assert explained(crossing) == [("none", "stated", 0)]
    assert crossing.unexplained == crossing.sightings
    assert ids(crossing.claims) == {"a12"}
    (sighting,) = crossing.sightings
    assert str(sighting.where) == f"{BASE}piece/p1"
    assert {claim.passage.source for claim in sighting.claims} == {sighting.where}


FLAT = "shape,with,source,certainty,claim\n"


@pytest.mark.parametrize(
    ("form", "flatware", "expected"),
    [
        ("plate", "alder,birch,letter,,ab\n", [("shared-flatware", "stated", 3)]),
        ("plate", "birch,alder,letter,,ab\n", [("shared-flatware", "stated", 3)]),
        ("teapot", "alder,birch,letter,,ab\n", [("none", "stated", 0)]),
        ("", "alder,birch,letter,,ab\n", [("shared-if-flatware", "stated", 2)]),
        ("plate", "alder,birch,letter,doubtful,ab\n", [("shared-flatware", "doubted", 1)]),
        (
            "plate",
            "alder,birch,letter,doubtful,ab\nbirch,alder,cat1911,,ba\n",
            [("shared-flatware", "stated", 3)],
        ),
        (
            "plate",
            "alder,cedar,letter,,ac\ncedar,birch,letter,,cb\n",
            [("shared-flatware", "followed", 2)],
        ),
        ("plate", "alder,cedar,letter,,ac\n", [("none", "stated", 0)]),
    ],
)
def test_shared_flatware(
    tmp_path: Path, form: str, flatware: str, expected: list[tuple[str, str, int]]
) -> None:
    crossing = one(believed(tmp_path, form=form, flatware=FLAT + flatware))
    assert explained(crossing) == expected
    if expected[0][0] != "none":
        stated = {row.rsplit(",", 1)[-1] for row in flatware.split()}
        assert ids(crossing.strongest.claims) == stated
        assert stated < ids(support(crossing))


@pytest.mark.parametrize(
    ("lineage", "case", "strength"),
    [("", "followed", 2), ("treatment/b7,treatment/a12,letter,,again\n", "stated", 3),
     ("treatment/b7,treatment/a12,letter,possible,again\n", "doubted", 1)],
)  # fmt: skip
def test_the_decal_reissued(tmp_path: Path, lineage: str, case: str, strength: int) -> None:
    header = "thing,reissue_of,source,certainty,claim\n"
    tables = {"lineage": header + lineage} if lineage else {}
    crossing = one(believed(tmp_path, other="rose", **tables))
    assert explained(crossing) == [("decal-reissued", case, strength)]
    assert str(crossing.strongest.reissue) == f"{BASE}treatment/b7"
    assert ids(crossing.strongest.claims) == {"a12", "b7"} | ({"again"} if lineage else set())


@pytest.mark.parametrize(
    ("end", "late"),
    [
        ("1910", True),
        ("1911", False),
        ("1910?", True),
        ("1910~", False),
        ("1910/..", False),
        ("", False),
    ],
)
def test_a_late_reissue_by_dates(tmp_path: Path, end: str, late: bool) -> None:
    crossing = one(believed(tmp_path, end=end))
    assert [kind for kind, _, _ in explained(crossing)] == ["late-reissue" if late else "none"]
    if late:
        assert ids(crossing.strongest.claims) == {"alder", "birch"}


def test_a_piece_made_after_its_home_shape_ended(tmp_path: Path) -> None:
    pieces = "piece,shape,form,treatment,made\np1,cedar,teapot,a12,1913\np3,cedar,teapot,a12,1908\n"
    crossing = one(believed(tmp_path, end="1912", pieces=pieces))
    assert [s.explanation.kind for s in crossing.sightings] == ["late-reissue", "none"]
    assert len(crossing.unexplained) == 1


def test_a_source_shows_a_crossing_too(tmp_path: Path) -> None:
    listed = "treatment,shape,source,locator\na12,birch,cat1911,p. 2\na12,alder,cat1911,p. 3\n"
    crossing = one(believed(tmp_path, appearances=listed))
    assert [str(s.where).removeprefix(BASE) for s in crossing.sightings] == [
        "piece/p1",
        "source/cat1911",
    ]
    assert crossing.sightings[1].form is None


def test_a_home_known_by_the_number_only(tmp_path: Path) -> None:
    tables = {
        "code_schemes": "scheme,pottery,codes,pattern,source,claim\nn,harrow,treatment-number,{line}{run},letter,scheme\n",
        "code_parts": "scheme,part,value,means,thing,source,claim\nn,line,A,shape,shape/alder,letter,line-a\n"
        "n,run,,running-number,,letter,run\n",
        "treatments": "treatment,pottery,number,source,claim\na12,harrow,A12,cat1908,a12\n",
    }
    crossing = one(believed(tmp_path, **tables))
    assert crossing.by_number
    assert ids(crossing.claims) == {"a12", "scheme", "line-a", "run"}


def test_the_matrix_counts_by_home_and_other_shape(tmp_path: Path) -> None:
    pieces = "piece,shape,form,treatment\np1,birch,plate,a12\np2,birch,teapot,a12\np3,alder,plate,b7\np4,cedar,plate,b7\n"
    belief = believed(tmp_path, pieces=pieces)
    found = matrix(crossings(belief), belief)
    assert [str(s).rsplit("/", 1)[-1] for s in found.shapes] == ["alder", "cedar", "birch"]
    told = [
        (str(c.home).rsplit("/", 1)[-1], str(c.seen_on).rsplit("/", 1)[-1], c.sightings, c.strength)
        for c in found.cells
    ]
    assert told == [("alder", "birch", 2, 0), ("birch", "alder", 1, 0), ("birch", "cedar", 1, 0)]


def test_every_case_of_the_scale_has_a_reason() -> None:
    assert {kind for kind, _ in strengths()} == set(kinds())
    assert all(why.endswith(".") and 0 <= rank <= 3 for rank, why in strengths().values())
    assert len(rows("strengths.csv")) == len(strengths())


@pytest.fixture(scope="module")
def valley() -> Desk:
    return Desk(EXAMPLE)


@pytest.fixture(scope="module")
def answer(valley: Desk) -> Answer:
    return valley.answers.ask("crossings")


def test_the_named_question_and_the_reckoning_agree(valley: Desk, answer: Answer) -> None:
    asked = {
        (str(r[0]), str(r[2]), str(r[3]), str(r[4] or ""), str(r[5]), str(r[6]))
        for r in (row.values for row in answer.rows)
    }
    reckoned = {
        (
            str(c.treatment),
            str(c.home),
            str(c.seen_on),
            str(s.form or ""),
            str(s.where),
            s.explanation.words,
        )
        for c in crossings(valley.belief, valley.record.collection.margin)
        for s in c.sightings
    }
    assert len(asked) > 20
    assert reckoned == asked


def test_the_claims_of_the_question_are_among_those_of_the_reckoning(
    valley: Desk, answer: Answer
) -> None:
    found = {
        (str(c.treatment), str(c.home), str(c.seen_on)): {str(x.iri) for x in support(c)}
        for c in crossings(valley.belief, valley.record.collection.margin)
    }
    for row in answer.rows:
        key = (str(row.values[0]), str(row.values[2]), str(row.values[3]))
        seen = {claim for claim in row.claims if claim in found[key]}
        assert seen


def test_the_life_of_a_decal_across_shapes_and_numbers(tmp_path: Path) -> None:
    marks = "mark,pottery,wording,applied,scheme,source\nm,harrow,H,overglaze,d,letter\n"
    schemes = "scheme,pottery,codes,pattern,source\nd,harrow,date,{year},letter\n"
    parts = "scheme,part,value,means,year,digits,source\nd,year,,year,1900,2 digits,letter\n"
    pieces = (
        "piece,shape,form,treatment,decal,mark,date_code,made,decorated\n"
        "p1,birch,plate,a12,,m,13,,\np2,cedar,plate,,rose,,,1915,\np3,birch,plate,b7,,,,,1912-05\n"
    )
    belief = believed(
        tmp_path, other="rose", pieces=pieces, marks=marks, code_schemes=schemes, code_parts=parts
    )
    life = decal_life(belief, URIRef(f"{BASE}decal/rose"))
    told = [
        (
            use.numbers,
            [str(s).rsplit("/", 1)[-1] for s in use.seen_on],
            [(e.how, e.days) for e in use.evidence],
        )
        for use in life.uses
    ]
    assert told == [
        (("A12",), ["birch"], [("list", year(1908)), ("code", year(1913))]),
        (
            ("B7",),
            ["birch"],
            [
                ("list", year(1911)),
                ("decorated", (day_number(1912, 5, 1), day_number(1912, 5, 31))),
            ],
        ),
        ((), ["cedar"], [("made", (day_number(1915, 1, 1), None))]),
    ]
    assert life.earliest is not None and life.latest is not None
    assert str(life.earliest.where) == f"{BASE}source/cat1908"
    assert str(life.latest.where) == f"{BASE}piece/p2"
    assert all(e.claims for use in life.uses for e in use.evidence)


def test_a_decal_in_the_example_with_reckoned_days(valley: Desk) -> None:
    base = valley.record.base
    life = decal_life(
        valley.belief,
        URIRef(f"{base}decal/spindle"),
        valley.record.collection.margin,
        valley.chronology,
    )
    assert [use.numbers for use in life.uses] == [("H-427",), ("S-604",), ("S-622",), ("OV-731",)]
    assert life.earliest is not None and str(life.earliest.where) == f"{base}source/ot-cat-1923"
    assert life.latest is not None and life.latest.days[0] == day_number(1931, 8, 1)
    assert {e.how for use in life.uses for e in use.evidence} >= {
        "list",
        "code",
        "reckoned",
        "begin",
    }
