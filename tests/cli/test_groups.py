"""Commands asked of a group of shapes answer for each member, and say who counts it in."""

import csv
import io
import json
import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from glost.answer.snapshot import Snapshot
from glost.publish.pictures.kinds.assortment import assortment
from glost.publish.pictures.kinds.family import family
from glost.publish.pictures.kinds.runs import runs
from glost.words.lookup import names_of
from glost_cli.main import glost
from printed import claims, tables
from shelf import write

WEND = Path(__file__).resolve().parents[2] / "examples" / "wend-valley"
GROUPS = (
    "group,name,shape,leaves_out,source,claim\n"
    "pair,The pair,alder|birch,,letter,pair-letter\npair,,,birch,cat1908,pair-list\n"
    "none,The lost lines,,,letter,\n"
)
HEADING = """Alder: counted in The pair by [Letter of a traveller]. Birch: counted in The pair by \
[Letter of a traveller]; expressly left out of The pair by Catalogue No. 4."""

pytestmark = pytest.mark.usefixtures("keeping_examples")


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Path:
    pieces = "piece,shape,form,made\np1,alder,plate,1909\np2,birch,saucer,1913\np3,,cup,1914\n"
    return write(tmp_path_factory.mktemp("groups") / "shelf", groups=GROUPS, pieces=pieces)


def told(folder: Path, *words: str, code: int = 0) -> str:
    done = CliRunner().invoke(glost, [*words, "-c", str(folder)])
    assert done.exit_code == code, done.output
    return done.output


def headed(text: str) -> bool:
    words = " ".join(re.sub(r" \[[\d,–]+\]", "", text).split())
    return words.startswith("The pair, a group of 2 shapes ") and HEADING in words


def test_when_tells_the_group_and_then_each_member(shelf: Path) -> None:
    text = told(shelf, "when", "pair", "--year", "1915")
    assert headed(text)
    assert text.index("Alder began") < text.index("Birch began")
    assert text.count("In production in 1915") == 2
    printed = told(shelf, "when", "The pair", "--as", "json")
    plain = json.loads(printed)
    assert plain["iri"].endswith("group/pair")
    assert [claims(m)[0].rsplit("/", 1)[-1] for m in plain["lead"]] == ["pair-letter"] * 2
    alone = [told(shelf, "when", s, "--as", "json") for s in ("alder", "birch")]
    assert tables(printed) == [table for each in alone for table in tables(each)]


def test_assortments_of_a_group_are_those_of_its_members(shelf: Path) -> None:
    both = tables(told(shelf, "assortment", "pair", "--as", "json"))
    alone = [told(shelf, "assortment", s, "--as", "json") for s in ("alder", "birch")]
    assert both == [table for each in alone for table in tables(each)]
    rows = list(csv.DictReader(io.StringIO(told(shelf, "assortment", "pair", "--as", "csv"))))
    assert [(r["shape"], r["form"]) for r in rows] == [
        ("Alder", "dinner plate"), ("Alder", "teapot"), ("Birch", "dinner plate"),
    ]  # fmt: skip
    assert headed(told(shelf, "assortment", "pair"))
    side = told(shelf, "assortment", "pair", "--matrix", "shapes")
    assert "Alder" in side.split("article")[1] and "Birch" in side.split("article")[1]
    assert told(shelf, "assortment", "pair", "--catalogue", "cat1911", "--as", "json")


def test_a_group_is_compared_shape_by_shape_from_either_side(shelf: Path) -> None:
    text = told(shelf, "assortment", "pair", "--against", "alder")
    assert headed(text)
    alone = told(shelf, "assortment", "birch", "--against", "alder").splitlines()
    assert set(alone[alone.index("Article by article") + 1 :]) - {"Taken together"} <= {
        *text.splitlines()
    }
    words = ("assortment", "alder", "--against", "The pair", "--as")
    (articles,) = tables(told(shelf, *words, "json"))
    pair = told(shelf, "assortment", "alder", "--against", "birch", "--as", "json")
    assert [articles] == tables(pair)
    rows = list(csv.DictReader(io.StringIO(told(shelf, *words, "csv"))))
    assert {(row["first"], row["second"]) for row in rows} == {("Alder", "Birch")}
    assert len(rows) == len(articles)


def test_a_piece_is_dated_as_of_each_shape_of_a_group(shelf: Path) -> None:
    text = told(shelf, "date", "--shape", "The pair")
    assert headed(text)
    assert text.index("If it is Alder") < text.index("If it is Birch")
    printed = told(shelf, "date", "--shape", "pair", "--as", "json")
    alone = [tables(told(shelf, "date", "--shape", s, "--as", "json"), "dated")
             for s in ("alder", "birch")]  # fmt: skip
    assert tables(printed, "dated") == [*alone[0], *alone[1]]
    assert alone[0][0] != alone[1][0]


def test_the_lineage_of_a_group_is_that_of_each_member() -> None:
    text = told(WEND, "lineage", "octagonals")
    assert text.startswith("The octagonals, a group of 3 shapes\n")
    assert "much like Octavine (possible)" in text
    rows = list(csv.DictReader(io.StringIO(told(WEND, "lineage", "octagonals", "--as", "csv"))))
    alone = [
        row
        for shape in ("cullis", "octavine", "tern")
        for row in csv.DictReader(io.StringIO(told(WEND, "lineage", shape, "--as", "csv")))
    ]
    assert rows == alone


def test_crossings_can_be_kept_to_the_shapes_of_a_group() -> None:
    def rows(*words: str) -> list[dict[str, str]]:
        return list(csv.DictReader(io.StringIO(told(WEND, "crossings", "--as", "csv", *words))))

    names = ("Octavine", "Cullis", "Tern")
    expected = [
        r
        for r in rows()
        if r["seen on"] in names or r["home"].removesuffix(" (by its number)") in names
    ]
    assert expected
    assert rows("--shape", "octagonals") == expected
    assert rows("--shape", "cullis") == [
        r
        for r in expected
        if "Cullis" in (r["seen on"], r["home"].removesuffix(" (by its number)"))
    ]


def test_the_spread_of_a_group_takes_the_pieces_of_its_members(shelf: Path) -> None:
    assert "The group has 2 pieces." in told(shelf, "spread", "--of", "pair")


def test_pictures_of_a_group_show_its_members(shelf: Path) -> None:
    snapshot = Snapshot(shelf)
    group = next(iter(names_of(snapshot.record).find("pair")))
    made = runs(snapshot, "shapes", snapshot.belief.graph.resource(group).identifier)
    assert [bar.name for bar in made.bars] == ["Alder", "Birch"]
    assert made.title == "The pair: A shelf"
    one, two = (
        snapshot.belief.graph.resource(f"{snapshot.record.base}shape/{s}").identifier
        for s in ("alder", "birch")
    )
    assert assortment(snapshot, one, two).title == "Forms by shapes: Alder and Birch"
    assert family(snapshot, one, two).title == "The family of Alder and Birch"
    for what in ("runs", "assortment", "family"):
        assert "Alder" in told(shelf, "draw", what, "pair", "--words")


@pytest.mark.parametrize(
    "words",
    [("when", "none"), ("assortment", "none"), ("lineage", "none"), ("spread", "--of", "none"),
     ("draw", "runs", "none"), ("crossings", "--shape", "none")],
)  # fmt: skip
def test_a_group_without_members_is_refused_with_the_reason(
    words: tuple[str, ...], shelf: Path
) -> None:
    done = CliRunner().invoke(glost, [*words, "-c", str(shelf)])
    assert done.exit_code == 1
    text = " ".join(f"{done.output} {done.exception}".split())
    assert "the group none has no members; name the shapes a source counts in it" in text


def test_when_of_a_shape_tells_when_its_articles_were_redesigned() -> None:
    (points,) = tables(told(WEND, "when", "sedgewater", "--as", "json"), "points")
    assert [(p["point"], p["not_before"], p["not_after"]) for p in points[2:]] == [
        ("Sedgewater lids with sunk finial began", "1923-01-01", "1923-12-31"),
        ("Sedgewater lids with sunk finial ended", "1924-01-01", "1924-12-31"),
        ("Sedgewater teapot with raised spout began", "1926-01-01", "1926-12-31"),
        ("Sedgewater teapot with raised spout ended", "1926-01-01", "1926-12-31"),
    ]
    assert "Sedgewater teapot with raised spout began" in told(WEND, "when", "sedgewater")
    assert len(tables(told(WEND, "when", "octavine", "--as", "json"), "points")[0]) == 2


def test_a_piece_of_the_older_form_is_dated_by_the_redesign() -> None:
    """Its mark is recorded until 1925; the finial on a stalk was last made in 1924."""
    text = " ".join(told(WEND, "date", "wv-072").split())
    assert "Made: between 1920 and 1924" in text
    assert "the end of Sedgewater lids with sunk finial" in text
    newer = " ".join(told(WEND, "date", "wv-075").split())
    assert "made no earlier than 1926: the start of Sedgewater teapot with raised spout" in newer
