"""Crossings worked out by hand: what shows each, every explanation, and how strong it is."""

import re
from pathlib import Path

import pytest
from rdflib import URIRef

from glost.answer.questions import Answer
from glost.answer.snapshot import Snapshot
from glost.names import SCHEMES
from glost.record.belief import Belief
from glost.record.dates import day_number
from glost.record.record import read
from glost.trade.crossings import STRENGTHS, Crossing, crossings, decal_life, matrix, support
from glost.trade.crossings.model import kinds, rows, strengths
from glost.trade.times.reckoning import chronology
from shelf import TABLES as SHELF
from shelf import write

BASE = "https://example.org/shelf/"
TOP = Path(__file__).parents[3]
EXAMPLE = TOP / "examples" / "wend-valley"
LITTLE = TOP / "tests" / "answer" / "little"
QUESTION = TOP / "kg" / "glost" / "answer" / "questions" / "crossings.rq"
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


def found_in(belief: Belief) -> tuple[Crossing, ...]:
    return crossings(belief, chronology(belief))


def one(belief: Belief) -> Crossing:
    (found,) = found_in(belief)
    return found


def explained(crossing: Crossing) -> list[tuple[str, str, int]]:
    return [(e.kind, e.case, e.strength) for e in crossing.explanations]


def year(number: int) -> tuple[int, int]:
    return day_number(number, 1, 1), day_number(number, 12, 31)


def ids(claims: object) -> set[str]:
    return {claim.id for claim in claims}  # type: ignore[attr-defined]


def test_what_stays_at_home_does_not_cross(tmp_path: Path) -> None:
    belief = believed(tmp_path, pieces="piece,shape,form,treatment\np2,alder,plate,a12\n")
    assert found_in(belief) == ()
    assert matrix((), chronology(belief)).cells == ()


def test_a_crossing_without_explanation(tmp_path: Path) -> None:
    crossing = one(believed(tmp_path))
    assert [str(t).removeprefix(BASE) for t in (crossing.treatment, crossing.home, crossing.seen_on)] == [
        "treatment/a12", "shape/alder", "shape/birch",
    ]  # fmt: skip
    assert crossing.numbers == ("A12",) and not crossing.by_number
    assert explained(crossing) == [("possible-late-reissue", "open", 0)]
    assert [s.explanation.kind for s in crossing.sightings] == ["possible-late-reissue"]
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
        ("teapot", "alder,birch,letter,,ab\n", [("shared-hollow", "stated", 1)]),
        ("teapot", "alder,birch,letter,possible,ab\n", [("shared-hollow", "doubted", 1)]),
        ("", "alder,birch,letter,possible,ab\n", [("shared-if-flatware", "doubted", 1)]),
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
            [("possible-late-reissue", "open", 0)],
        ),
        ("plate", "alder,cedar,letter,,ac\n", [("possible-late-reissue", "open", 0)]),
    ],
)
def test_shared_flatware(
    tmp_path: Path, form: str, flatware: str, expected: list[tuple[str, str, int]]
) -> None:
    crossing = one(believed(tmp_path, form=form, flatware=FLAT + flatware))
    assert explained(crossing) == expected
    if expected[0][2]:
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
    ("end", "late", "kind"),
    [
        ("1910", "yes", "late-reissue"),
        ("1911", "possibly", "possible-late-reissue"),
        ("1910?", "yes", "late-reissue"),
        ("1910~", "possibly", "possible-late-reissue"),
        ("1910/..", "possibly", "possible-late-reissue"),
        ("", "possibly", "possible-late-reissue"),
        ("1925", "no", "none"),
    ],
)
def test_a_late_reissue_by_bounds(tmp_path: Path, end: str, late: str, kind: str) -> None:
    """Alder began in 1900; p1 is of Birch, which began in 1911 and ended in 1920."""
    crossing = one(believed(tmp_path, end=end, shapes=SHAPES_OF_LATE.replace("{end}", end)))
    (sighting,) = crossing.sightings
    assert sighting.timing.late == late
    assert [each for each, _, _ in explained(crossing)] == [kind]
    if late == "yes":
        assert ids(crossing.strongest.claims) == {"alder", "birch"}
    fixed = end[:4] if end in ("1911", "1910?") else ""
    deciding = ("when the home shape ended",) if not fixed else ()
    deciding += ("when the piece was made and decorated",)
    assert sighting.timing.deciding == (deciding if late == "possibly" else ())


SHAPES_OF_LATE = (
    SHAPES
    + "alder,harrow,Alder,1900,{end},letter,alder\nbirch,harrow,Birch,1911,1920,letter,birch\n"
)


def test_a_shape_without_dates_leaves_it_unknown(tmp_path: Path) -> None:
    shapes = SHAPES + "alder,harrow,Alder,,,letter,alder\nbirch,harrow,Birch,1911,,letter,birch\n"
    crossing = one(
        believed(
            tmp_path,
            shapes=shapes,
            pieces="piece,shape,form,treatment\np1,birch,teapot,a12\n",
            potteries="pottery,name,source\nharrow,Harrow Pottery,letter\n",
            assortments="",
        )
    )
    (sighting,) = crossing.sightings
    assert (sighting.timing.late, sighting.timing.deciding) == ("not known", ())
    assert explained(crossing) == [("none", "not-known", 0)]


def test_a_sequence_alone_makes_it_late(tmp_path: Path) -> None:
    order = (
        "thing,thing_point,relation,other,other_point,at_least,source,claim\n"
        "shape/alder,end,before,shape/birch,begin,2,letter,order\n"
    )
    crossing = one(believed(tmp_path, sequences=order))
    assert explained(crossing) == [("late-reissue", "followed", 2)]
    assert ids(crossing.strongest.claims) == {"order", "birch"}


def test_a_piece_made_after_its_home_shape_ended(tmp_path: Path) -> None:
    pieces = "piece,shape,form,treatment,made\np1,cedar,teapot,a12,1913\np3,cedar,teapot,a12,1908\n"
    crossing = one(believed(tmp_path, end="1912", pieces=pieces))
    assert [s.explanation.kind for s in crossing.sightings] == ["late-reissue", "none"]
    assert [s.timing.late for s in crossing.sightings] == ["yes", "no"]


def test_a_blank_that_waited_is_late_if_a_date_says_so(tmp_path: Path) -> None:
    pieces = (
        "piece,shape,form,treatment,made,decorated\np1,cedar,teapot,a12,1910,1913\n"
        "p3,cedar,teapot,a12,1910,1912\np4,cedar,teapot,a12,1910,\n"
    )
    crossing = one(believed(tmp_path, end="1911/1912", pieces=pieces))
    assert [s.timing.late for s in crossing.sightings] == ["yes", "possibly", "no"]


def test_a_list_that_comes_out_late(tmp_path: Path) -> None:
    """A list is dated itself; a book tells of an earlier time."""
    sources = (
        "source,title,kind,date\nletter,L,letter,1912\ncat1908,C,catalogue,1908\n"
        "cat1911,C,catalogue,1911\nold,P,price-list,1908\nlate,P,price-list,1914\nbook,B,book,1950\n"
    )
    listed = "treatment,shape,source\na12,cedar,old\na12,cedar,late\na12,cedar,book\n"
    crossing = one(believed(tmp_path, end="1912", pieces="", sources=sources, appearances=listed))
    told = {str(s.where).rsplit("/", 1)[1]: str(s.timing.late) for s in crossing.sightings}
    assert told == {"old": "no", "late": "yes", "book": "possibly"}


DATED_FLAT = "shape,with,begin,end,source,claim\n"


@pytest.mark.parametrize(
    ("begin", "end", "made", "then", "case"),
    [
        ("1912", "1915", "1913", "yes", "stated"),
        ("1912", "1915", "1916", "no", "outside"),
        ("1912", "1915", "1911", "no", "outside"),
        ("1912", "1915", "1915", "yes", "stated"),
        ("1912", "1915", "1912", "yes", "stated"),
        ("1912", "", "1913", "possibly", "stated"),
        ("", "1915", "1916", "no", "outside"),
        ("1912", "1915", "1911/1913", "possibly", "stated"),
        ("1912", "1915", "", "possibly", "stated"),
        ("", "", "1913", "not known", "stated"),
    ],
)
@pytest.mark.parametrize(
    ("form", "kind"),
    [("plate", "shared-flatware"), ("teapot", "shared-hollow"), ("", "shared-if-flatware")],
)
def test_the_dates_of_sharing(
    tmp_path: Path, begin: str, end: str, made: str, then: str, case: str, form: str, kind: str
) -> None:
    flatware = DATED_FLAT + f"birch,alder,{begin},{end},letter,ab\n"
    pieces = f"piece,shape,form,treatment,made\np1,birch,{form},a12,{made}\n"
    shapes = (
        SHAPES
        + "alder,harrow,Alder,1900,1930,letter,alder\nbirch,harrow,Birch,1911,1930,letter,birch\n"
    )
    crossing = one(believed(tmp_path, flatware=flatware, pieces=pieces, shapes=shapes))
    (sighting,) = crossing.sightings
    assert sighting.timing.sharing == then
    assert [each[:2] for each in explained(crossing)] == [(kind, case)]
    assert ("when the two shared flatware" in sighting.timing.deciding) == (then == "possibly")


def test_two_times_of_sharing(tmp_path: Path) -> None:
    flatware = DATED_FLAT + "birch,alder,1912,1913,letter,ba\nalder,birch,1916,1917,letter,ab\n"
    pieces = "piece,shape,form,treatment,made\n" + "".join(
        f"p{year},birch,plate,a12,{year}\n" for year in (1911, 1913, 1914, 1916, 1918)
    )
    shapes = (
        SHAPES
        + "alder,harrow,Alder,1900,1930,letter,alder\nbirch,harrow,Birch,1911,1930,letter,birch\n"
    )
    crossing = one(believed(tmp_path, flatware=flatware, pieces=pieces, shapes=shapes))
    assert [str(s.timing.sharing) for s in crossing.sightings] == ["no", "yes", "no", "yes", "no"]


def test_every_reissue_is_given_beside_shared_flatware(tmp_path: Path) -> None:
    treatments = TREATMENTS + (
        "a12,harrow,A12,rose,alder,,cat1908,,a12\nb7,harrow,B7,rose,birch,,cat1911,,b7\n"
        "b9,harrow,B9,rose,birch,,cat1911,,b9\n"
    )
    flatware = FLAT + "alder,birch,letter,,ab\n"
    crossing = one(believed(tmp_path, form="teapot", treatments=treatments, flatware=flatware))
    told = [(e.kind, str(e.reissue or "").removeprefix(BASE)) for e in crossing.explanations]
    assert told == [
        ("decal-reissued", "treatment/b7"), ("decal-reissued", "treatment/b9"), ("shared-hollow", ""),
    ]  # fmt: skip


def test_a_form_of_the_collection_may_be_flatware(tmp_path: Path) -> None:
    terms = "scheme,term,name,broader,source\nform,whimsey,Whimsey,flatware,letter\n"
    flatware = FLAT + "alder,birch,letter,,ab\n"
    crossing = one(believed(tmp_path, form="whimsey", flatware=flatware, terms=terms))
    assert explained(crossing) == [("shared-flatware", "stated", 3)]


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
    (row,) = Snapshot(next(tmp_path.iterdir())).answers.ask("crossings").rows
    assert str(row.values[-1]) == "number"
    assert {"a12", "scheme", "line-a", "run"} < {c.rsplit("/", 1)[-1] for c in row.claims}


def test_the_matrix_counts_by_home_and_other_shape(tmp_path: Path) -> None:
    pieces = "piece,shape,form,treatment\np1,birch,plate,a12\np2,birch,teapot,a12\np3,alder,plate,b7\np4,cedar,plate,b7\n"
    belief = believed(tmp_path, pieces=pieces)
    found = matrix(found_in(belief), chronology(belief))
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
def answer(valley: Snapshot) -> Answer:
    return valley.answers.ask("crossings")


def as_reckoned(snapshot: Snapshot) -> set[tuple[str, ...]]:
    return {
        (
            str(c.treatment), str(c.home), str(c.seen_on), str(s.form or ""), str(s.where),
            e.words, STRENGTHS[e.strength], str(e.reissue or ""),
            str(s.timing.sharing or ""), str(s.timing.late),
            "; ".join(s.timing.deciding), "; ".join(s.timing.disputed),
            "number" if c.by_number else "",
        )
        for c in crossings(snapshot.belief, snapshot.chronology)
        for s in c.sightings
        for e in s.explanations
    }  # fmt: skip


def as_asked(answer: Answer) -> set[tuple[str, ...]]:
    places = [place for place, name in enumerate(answer.columns) if name != "number"]
    return {tuple(str(r.values[p] or "") for p in places) for r in answer.rows}


def test_the_named_question_and_the_reckoning_agree(valley: Snapshot, answer: Answer) -> None:
    assert len(as_asked(answer)) > 20
    assert as_reckoned(valley) == as_asked(answer)


@pytest.mark.parametrize("folder", [EXAMPLE.parent / "one-shelf", LITTLE])
def test_they_agree_on_small_collections(folder: Path) -> None:
    snapshot = Snapshot(folder)
    assert as_reckoned(snapshot) == as_asked(snapshot.answers.ask("crossings"))


def test_the_question_holds_the_same_table() -> None:
    text = QUESTION.read_text(encoding="utf-8")
    words = {kind: says for kind, (_, says) in kinds().items()}
    expected = {
        f'("{words[kind]}" "{case}" "{STRENGTHS[rank]}")'
        for (kind, case), (rank, _) in strengths().items()
    }
    assert set(re.findall(r'\("[^"]+" "[^"]+" "[^"]+"\)', text)) == expected
    own_time = {f"<{SCHEMES}source-kind/{row['kind']}>" for row in rows("shown_in.csv")}
    assert set(re.findall(r"<\S+source-kind/\S+>", text)) == own_time


def test_the_claims_of_the_question_are_among_those_of_the_reckoning(
    valley: Snapshot, answer: Answer
) -> None:
    found = {
        (str(c.treatment), str(c.home), str(c.seen_on)): {str(x.iri) for x in support(c)}
        for c in crossings(valley.belief, valley.chronology)
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


def test_a_decal_in_the_example_with_reckoned_days(valley: Snapshot) -> None:
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


def test_of_one_thing_are_those_of_all_in_which_it_takes_part(tmp_path: Path) -> None:
    pieces = (
        "piece,shape,form,treatment\np1,elm,plate,t1\np2,fir,bowl,t1\n"
        "p3,alder,plate,t2\np4,fir,plate,t2\n"
    )
    treatments = (
        "treatment,pottery,number,name,shape,source,locator\n"
        "t1,oak,T-1,One,alder,cat,p. 1\nt2,oak,T-2,Two,elm,cat,p. 1\n"
    )
    shapes = (
        "shape,pottery,name,source,locator\nalder,oak,Alder,cat,p. 1\nelm,oak,Elm,cat,p. 1\n"
        "fir,oak,Fir,cat,p. 1\n"
    )
    sources = "source,title,kind,date\ncat,A list,catalogue,1908\n"
    potteries = "pottery,name,source,locator\noak,Oak,cat,p. 1\n"
    tables = {
        "potteries": potteries,
        "pieces": pieces,
        "treatments": treatments,
        "shapes": shapes,
        "sources": sources,
    }
    record = read(write(tmp_path / "c", **{**dict.fromkeys(SHELF, ""), **tables}))
    belief = record.believed()
    times = chronology(belief)
    every = crossings(belief, times)
    base = record.base
    assert [(c.treatment[-2:], c.seen_on.rsplit("/")[-1]) for c in every] == [
        ("t1", "elm"), ("t1", "fir"), ("t2", "alder"), ("t2", "fir"),
    ]  # fmt: skip
    for thing, expected in (
        ("treatment/t1", every[:2]), ("shape/alder", every[:3]), ("shape/fir", every[1::2]),
        ("shape/elm", (every[0], *every[2:])), ("shape/oak", ()),
    ):  # fmt: skip
        assert crossings(belief, times, base + thing) == expected
