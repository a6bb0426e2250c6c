"""Shapes in production, the line when one came in, and what shows them outside their run.

The questions agree with the chronology for every shape and year, and both with `reckoning`, which
works everything out again from the tables alone.
"""

from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from rdflib import URIRef

from glost.answer.questions import Answer
from glost.answer.snapshot import Snapshot
from reckoning import FAR, Days, Reckoning, verdict
from shelf import write

HERE = Path(__file__).parent
EXAMPLES = HERE.parents[1] / "examples"
BY_CODES = {"pellow"}
"""Shapes on whose bounds date codes and index cards bear, which the tables do not spell out."""


@pytest.fixture(scope="module")
def one_shelf() -> Snapshot:
    return Snapshot(EXAMPLES / "one-shelf")


@pytest.fixture(scope="module")
def alone() -> dict[str, Reckoning]:
    folders = (HERE / "little", EXAMPLES / "one-shelf", EXAMPLES / "wend-valley")
    return {folder.name: Reckoning(folder) for folder in folders}


def shapes(snapshot: Snapshot) -> list[str]:
    return sorted(iri.rsplit("/", 1)[1] for iri in snapshot.answers.asked.things.of("shape"))


def column(answer: Answer, name: str) -> dict[str, str]:
    """Return a column by what the first column names."""
    place = answer.columns.index(name)
    found = {str(r.values[0]).rsplit("/", 1)[1]: str(r.values[place] or "") for r in answer.rows}
    assert len(found) == len({row.values[0] for row in answer.rows})
    return found


def asked(snapshot: Snapshot, year: int) -> dict[str, str]:
    """Return the verdict of every shape; those without a row are ruled out."""
    answer = snapshot.answers.ask("in-production", year=year)
    found = column(answer, "verdict")
    assert set(found.values()) <= {"yes", "possibly", "not known"}
    return {shape: found.get(shape, "no") for shape in shapes(snapshot)}


def reckoned(snapshot: Snapshot, year: int) -> dict[str, str]:
    base = snapshot.record.base
    return {
        shape: snapshot.chronology.in_production(URIRef(f"{base}shape/{shape}"), year).value
        for shape in shapes(snapshot)
    }


@pytest.mark.parametrize("where", ["little", "one_shelf", "valley"])
def test_the_question_and_the_chronology_agree_for_every_shape_and_year(
    where: str, request: pytest.FixtureRequest
) -> None:
    snapshot = request.getfixturevalue(where)
    met = set()
    for year in range(1894, 1945, 2):
        found = asked(snapshot, year)
        assert found == reckoned(snapshot, year), year
        met |= set(found.values())
    assert {"yes", "no", "possibly"} <= met or where == "one_shelf"


@pytest.mark.parametrize("where", ["little", "one_shelf"])
def test_it_agrees_with_the_tables_under_every_reading(
    where: str, request: pytest.FixtureRequest, alone: dict[str, Reckoning]
) -> None:
    snapshot = request.getfixturevalue(where)
    readings = alone[where.replace("_", "-")].readings()
    assert len(readings) > 1
    for year in range(1898, 1924):
        expected = {s: verdict(readings, f"shape/{s}", year) for s in shapes(snapshot)}
        assert asked(snapshot, year) == expected, year


def test_it_agrees_with_the_tables_where_the_valley_is_of_one_mind(
    valley: Snapshot, alone: dict[str, Reckoning]
) -> None:
    tables = alone["wend-valley"]
    sound = tables.bounds(tables.agreeing())
    assert sound is not None
    told = {s for s, how in column(valley.answers.ask("runs-reckoned"), "disputed").items() if how}
    compared = set(shapes(valley)) - told - BY_CODES
    assert len(compared) > 9
    for year in range(1895, 1944, 5):
        found = asked(valley, year)
        for shape in compared:
            assert found[shape] == verdict([sound], f"shape/{shape}", year), (shape, year)


YEARS = st.integers(1900, 1915).map(str)
NAMES = ("alder", "birch", "cedar")
CELLS = st.one_of(st.just(""), YEARS, YEARS.map("{}~".format), YEARS.map("../{}".format))
SHAPE = st.tuples(st.sampled_from(NAMES), CELLS, CELLS).map(
    lambda c: f"{c[0]},harrow,,{c[1]},{c[2]},letter"
)
PIECE = st.tuples(
    st.sampled_from(["p1", "p2"]), st.sampled_from(NAMES), st.one_of(st.just(""), YEARS)
)
RUNS = st.sampled_from(
    ["before", "meets", "overlaps", "during", "starts", "equals", "ran-together"]
)
ENDS = st.sampled_from(["before", "after", "equals"])
POINTS = st.sampled_from(["begin", "end"])


@st.composite
def sequence(draw: st.DrawFn) -> str:
    one, other = draw(st.permutations(NAMES))[:2]
    if draw(st.booleans()):
        return f"shape/{one},run,{draw(RUNS)},shape/{other},run,,,letter"
    relation, points = draw(ENDS), (draw(POINTS), draw(POINTS))
    least = draw(st.sampled_from(["", "0", "2", "5"])) if relation != "equals" else ""
    greatest = draw(st.sampled_from(["", "5", "9"])) if relation != "equals" else ""
    return f"shape/{one},{points[0]},{relation},shape/{other},{points[1]},{least},{greatest},letter"


@st.composite
def collections(draw: st.DrawFn) -> dict[str, str]:
    named = [f"{name},harrow,{name.title()},,,letter" for name in NAMES]
    dated = draw(st.lists(SHAPE, max_size=4))
    pieces = [f"{p},{shape},plate,{made}" for p, shape, made in draw(st.lists(PIECE, max_size=2))]
    listed = draw(st.lists(st.sampled_from(NAMES), max_size=1))
    return {
        "potteries": "pottery,name,begin,source\nharrow,Harrow Pottery,,letter\n",
        "shapes": "\n".join(["shape,pottery,name,begin,end,source", *named, *dated, ""]),
        "pieces": "\n".join(["piece,shape,form,made", *pieces, ""]),
        "assortments": "\n".join(
            ["catalogue,shape,form", *(f"cat1908,{shape},plate" for shape in listed), ""]
        ),
        "sequences": "\n".join(
            [
                "thing,thing_point,relation,other,other_point,at_least,at_most,source",
                *draw(st.lists(sequence(), max_size=3, unique=True)),
                "",
            ]
        ),
        "flatware": "",
        "treatments": "",
    }


TWO_CONFLICTS = {
    "potteries": "pottery,name,begin,source\nharrow,Harrow Pottery,,letter\n",
    "shapes": "shape,pottery,name,begin,end,source\nalder,harrow,Alder,,1900,letter\n"
    "birch,harrow,Birch,,,letter\ncedar,harrow,Cedar,,,letter\n",
    "pieces": "piece,shape,form,made\n",
    "assortments": "catalogue,shape,form\ncat1908,alder,plate\n",
    "sequences": "thing,thing_point,relation,other,other_point,at_least,at_most,source\n"
    "shape/alder,run,overlaps,shape/birch,run,,,letter\n"
    "shape/birch,end,before,shape/alder,begin,,5,letter\n"
    "shape/birch,run,before,shape/cedar,run,,,letter\n",
    "flatware": "",
    "treatments": "",
}
"""What bounds the third shape takes a claim from either of two conflicts that share none."""


ACROSS = {
    **TWO_CONFLICTS,
    "shapes": "shape,pottery,name,begin,end,source\nalder,harrow,Alder,,,letter\n"
    "birch,harrow,Birch,,,letter\ncedar,harrow,Cedar,,,letter\n"
    "alder,harrow,,,1900,letter\nbirch,harrow,,,1900,letter\n",
    "sequences": "thing,thing_point,relation,other,other_point,at_least,at_most,source\n"
    "shape/alder,run,before,shape/birch,run,,,letter\n"
    "shape/birch,end,before,shape/alder,begin,0,,letter\n",
}
"""A third contradiction lies across two that share no claim, where the catalogue is believed."""


@settings(max_examples=12)
@given(collections())
@example(TWO_CONFLICTS)
@example(ACROSS)
def test_it_agrees_for_collections_drawn_at_random(tables: dict[str, str]) -> None:
    with TemporaryDirectory() as folder:
        path = write(Path(folder) / "shelf", **tables)
        snapshot, readings = Snapshot(path), Reckoning(path).readings()
        for year in (1899, 1904, 1908, 1916):
            found = asked(snapshot, year)
            assert found == reckoned(snapshot, year)
            for shape, said in found.items():
                expected = verdict(readings, f"shape/{shape}", year)
                loose = len(readings) > 2 or (len(readings) > 1 and expected == "not known")
                assert said == expected or (loose and said == "possibly")
        for came in NAMES:
            line(snapshot, readings, Reckoning(path), came, within=2)


def line(
    snapshot: Snapshot, readings: list[dict[str, Days]], tables: Reckoning, came: str, within: int
) -> None:
    """Hold the line when a shape came in against the tables, where these agree among themselves."""
    if len(readings) > 1 or tables.clash():
        return
    answer = snapshot.answers.ask("line-when-introduced", shape=came, within=within)
    stood, left = column(answer, "stood"), column(answer, "left")
    for other in set(NAMES) - {came}:
        least, most = tables.lapse(f"shape/{came}#begin", f"shape/{other}#begin")
        soonest, latest = tables.lapse(f"shape/{came}#begin", f"shape/{other}#end")
        expected = (
            "no" if least > 0 or latest < 0
            else "yes" if most <= 0 and soonest >= 0
            else "open"
        )  # fmt: skip
        said = stood.get(other, "no")
        assert said == expected or (expected == "open" and said in ("possibly", "not known"))
        said = left.get(other, "no")
        if -365 * within <= soonest and latest <= 365 * within:
            assert said == "yes"
        if soonest > 366 * (within + 1) or latest < -366 * (within + 1):
            assert said == "no"
        if soonest <= 0 <= latest:
            assert said != "no"
        if FAR in (-soonest, latest):
            assert said != "yes"


def test_what_is_ruled_out_is_counted(valley: Snapshot) -> None:
    answer = valley.answers.ask("in-production", year=1912)
    (note,) = [note.text(str) for note in answer.notes]
    assert len(answer.rows) == 7
    assert note.startswith("Ruled out, and left out below: 11 of 18 shapes,")
    nobody = valley.answers.ask("in-production", year=1850, pottery="orvaux")
    assert not nobody.rows
    (counted,) = [note.text(str) for note in nobody.notes]
    assert counted.startswith("Ruled out, and left out below: 1")


def test_the_open_sides_say_what_would_decide(valley: Snapshot) -> None:
    answer = valley.answers.ask("in-production", year=1912)
    deciding, disputed = column(answer, "deciding"), column(answer, "disputed")
    assert deciding["vellacott"] == "something dated 1912 or later that shows it"
    assert deciding["wicket"] == ""
    assert deciding["octavine"].startswith(
        "which of the sources that contradict one another is right"
    )
    # Cullis, disputed too, began in 1922 or came of Octavine: in 1926 at the earliest.
    assert {shape for shape, how in disputed.items() if how} == {"tamsin", "halewin", "octavine"}
    later = column(valley.answers.ask("in-production", year=1917), "deciding")
    assert later["pellow"] == "something dated 1917 or later that shows it"


def told(snapshot: Snapshot, came: str, **given: int) -> dict[str, tuple[str, str]]:
    answer = snapshot.answers.ask("line-when-introduced", shape=came, **given)
    stood, left = column(answer, "stood"), column(answer, "left")
    return {other: (stood[other], left[other]) for other in stood}


BARE = "shape,pottery,name,begin,end,source\n" + "".join(
    f"{name},harrow,{name.title()},,,letter\n" for name in NAMES
)
NONE = {
    "potteries": "pottery,name,source\nharrow,Harrow Pottery,letter\n",
    **dict.fromkeys(["pieces", "assortments", "flatware", "treatments"], ""),
}
HEAD = "thing,thing_point,relation,other,other_point,at_least,at_most,source\n"


def shelf(folder: Path, sequences: str, shapes: str = BARE) -> Snapshot:
    return Snapshot(write(folder / "shelf", shapes=shapes, sequences=HEAD + sequences, **NONE))


@pytest.mark.parametrize(
    ("row", "within", "expected"),
    [
        # the one's end is the other's begin, in a year that nobody gives
        ("shape/alder,end,equals,shape/birch,begin,,,letter", 0, ("yes", "yes")),
        ("shape/alder,run,meets,shape/birch,run,,,letter", 1, ("no", "yes")),
        ("shape/alder,run,overlaps,shape/birch,run,,,letter", 1, ("yes", "possibly")),
        ("shape/alder,run,ran-together,shape/birch,run,,,letter", 1, ("possibly", "possibly")),
        ("shape/alder,end,before,shape/birch,begin,5,,letter", 1, ("no", "no")),
        ("shape/alder,end,before,shape/birch,begin,5,,letter", 9, ("no", "possibly")),
        ("shape/alder,end,before,shape/birch,begin,,3,letter", 4, ("no", "yes")),
        ("shape/alder,end,before,shape/birch,begin,,3,letter", 2, ("no", "possibly")),
        ("shape/alder,end,after,shape/birch,begin,6,,letter", 2, ("possibly", "no")),
        ("shape/birch,begin,before,shape/alder,begin,,,letter", 1, ("no", "possibly")),
    ],
)
def test_the_order_of_events_alone_decides(
    row: str, within: int, expected: tuple[str, str], tmp_path: Path
) -> None:
    found = told(shelf(tmp_path, row + "\n"), "birch", within=within)
    assert found["alder"] == expected
    assert found["cedar"] == ("not known", "not known")


@pytest.mark.parametrize(
    ("dates", "birch"),
    [
        # neither began after the other had ended; nothing says which began or ended first
        (",1920", [None, "1920-12-31", None, None]),
        ("1915,", [None, None, "1915-01-01", None]),
        ("1915,1920", [None, "1920-12-31", "1915-01-01", None]),
    ],
)
def test_what_ran_together_overlaps_in_the_wide_sense(
    dates: str, birch: list[str | None], tmp_path: Path
) -> None:
    shapes = f"shape,pottery,name,begin,end,source\nalder,harrow,Alder,{dates},letter\n"
    shapes += "birch,harrow,Birch,,,letter\n"
    row = "shape/alder,run,ran-together,shape/birch,run,,,letter\n"
    rows = shelf(tmp_path, row, shapes).answers.ask("runs-reckoned").rows
    values = {str(row.values[0]).rsplit("/", 1)[1]: row.values[1:5] for row in rows}
    assert [None if day is None else str(day) for day in values["birch"]] == birch


def test_the_line_in_the_valley(valley: Snapshot) -> None:
    assert told(valley, "new-dorrance") == {
        "cullis": ("possibly", "no"),
        "dorrance": ("no", "yes"),
    }
    sedgewater = told(valley, "sedgewater")
    assert sedgewater["tamsin"] == ("yes", "yes")
    assert sedgewater["vellacott"] == ("no", "no")
    assert sedgewater["halewin"] == ("yes", "no")
    assert "brindle" not in sedgewater
    answer = valley.answers.ask("line-when-introduced", shape="new-dorrance")
    row = next(row for row in answer.rows if str(row.values[0]).endswith("/dorrance"))
    assert "crewe-1958" in {str(p.source).rsplit("/", 1)[1] for p in row.passages}


def test_a_shape_alone_says_so(valley: Snapshot) -> None:
    answer = valley.answers.ask("line-when-introduced", shape="tern")
    assert [note.text(str) for note in answer.notes] == [
        "No other shape of https://example.org/wend/pottery/stallard is on record."
    ]


SHOWN = {("alder", "ot-pl-1909", "after the end", "1908", "yes")}


def test_what_shows_a_shape_outside_its_run(valley: Snapshot) -> None:
    rows = {
        (
            *(str(v).rsplit("/", 1)[1] for v in row.values[:2]),
            *(str(row.values[place]) for place in (4, 5, 6)),
        )
        for row in valley.answers.ask("outside-the-run").rows
    }
    assert {row for row in rows if row[-1] == "yes"} == SHOWN
    assert ("halewin", "wv-056", "after the end", "1927", "possibly") in rows
    assert {row[0] for row in rows} == {"alder", "halewin", "cullis"}
    assert {row[4] for row in rows if row[0] == "cullis"} == {"possibly"}


@pytest.mark.parametrize(
    ("made", "begin", "end", "expected"),
    [
        ("1925", "", "1920", ("after the end", "1920", "yes")),
        ("1925", "1930", "", ("before the beginning", "1930", "yes")),
        ("1925", "1925", "1925", None),
        ("1920/1930", "", "1925", None),
        ("", "", "1920", None),
    ],
)
def test_a_piece_lies_outside_a_run(
    made: str, begin: str, end: str, expected: tuple[str, ...] | None, tmp_path: Path
) -> None:
    tables = {
        **NONE,
        "shapes": f"shape,pottery,name,begin,end,source\nalder,harrow,Alder,{begin},{end},letter\n",
        "pieces": f"piece,shape,form,made\np1,alder,plate,{made}\n",
    }
    answer = Snapshot(write(tmp_path / "shelf", **tables)).answers.ask("outside-the-run")
    found = [tuple(str(row.values[place]) for place in (4, 5, 6)) for row in answer.rows]
    assert found == ([expected] if expected else [])


def test_an_order_of_events_bounds_the_run_that_a_piece_lies_outside(tmp_path: Path) -> None:
    """Alder ended before Birch began, which was in 1911; no source dates Alder's end itself."""
    tables = {
        **NONE,
        "shapes": BARE + "birch,harrow,,1911,,letter\n",
        "sequences": HEAD + "shape/alder,end,before,shape/birch,begin,,,letter\n",
        "pieces": "piece,shape,form,made\np1,alder,plate,1925\n",
    }
    answer = Snapshot(write(tmp_path / "shelf", **tables)).answers.ask("outside-the-run")
    ((shape, piece, *_, outside, limit, verdict_, disputed, _),) = [r.values for r in answer.rows]
    assert str(shape).endswith("/alder")
    assert str(piece).endswith("/p1")
    assert [str(each or "") for each in (outside, limit, verdict_, disputed)] == [
        "after the end", "1911", "yes", "",
    ]  # fmt: skip
    assert {claim.origin.table for claim in answer.rows[0].support} >= {
        "sequences",
        "shapes",
        "pieces",
    }


def test_a_shape_without_bounds_has_no_outside(tmp_path: Path) -> None:
    answer = shelf(tmp_path, "", BARE.replace("harrow", "")).answers.ask("outside-the-run")
    assert not answer.rows
    assert len(answer.notes) == len(NAMES)
