"""The commands when and settle as their users meet them, and how they end."""

from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from glost.record.errors import RecordErrors
from glost_cli.main import glost
from printed import statements, tables
from shelf import write

PIECES = "piece,shape,form,made\np1,alder,plate,1925\n"
SHAPES = (
    "shape,pottery,name,begin,end,source,locator,certainty\n"
    "alder,harrow,Alder,1908,{},letter,p. 1,possible\nbirch,harrow,Birch,1911,1920,letter,p. 1,\n"
)
REST = {"flatware": "", "treatments": "", "assortments": ""}


@pytest.fixture(scope="module")
def clashing(tmp_path_factory: pytest.TempPathFactory) -> Path:
    top = tmp_path_factory.mktemp("shelf") / "c"
    return write(top, pieces=PIECES, shapes=SHAPES.format("1920"), **REST)


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Path:
    top = tmp_path_factory.mktemp("shelf") / "c"
    return write(top, pieces=PIECES, shapes=SHAPES.format(""), **REST)


def run(shelf: Path, *words: str) -> Result:
    return CliRunner().invoke(glost, [*words, "-c", str(shelf)])


def plain(ran: Result) -> str:
    return " ".join(ran.output.split())


def test_when_gives_bounds_with_arguments_production_and_relations(sound: Path) -> None:
    ran = run(sound, "when", "alder", "--year", "1915", "--with", "birch")
    assert ran.exit_code == 0
    text = plain(ran)
    assert "Alder began in 1908" in text
    assert "Alder ended no earlier than 1925, because Plate, Alder was made in 1925" in text
    assert "A piece is made while its shape is in production." in text
    assert "[tables/pieces.csv row 2; claim" in text
    assert "In production in 1915: yes" in text
    assert "contains: Alder began before the other and ended after it" in text
    assert "overlaps:" not in text


def test_when_as_json_has_every_claim(sound: Path) -> None:
    ran = run(sound, "when", "p1", "--as", "json")
    (points,) = tables(ran.output, "points")
    assert [point["point"] for point in points] == [
        "Plate, Alder was made",
        "Plate, Alder was decorated",
    ]
    assert points[0]["not_before"] == "1925-01-01"
    found = next(each for each in statements(ran.output) if "no earlier" in each["text"])
    (cited,) = [ground for ground in found["grounds"] if ground["type"] == "passage"]
    assert [claim["read_from"] for claim in cited["claims"]] == ["tables/pieces.csv row 2"]


def test_settle_words_the_clash_what_would_do_and_what_would_follow(clashing: Path) -> None:
    ran = run(clashing, "settle")
    assert ran.exit_code == 1
    text = plain(ran)
    assert "1. 1 contradiction" in text
    assert (
        "Alder ended no later than 1920, because Alder ended in 1920 (shapes.csv row 2). Yet"
        in text
    )
    assert "Least costly to set aside (cost 0.5) - Alder ended in 1920 (shapes.csv row 2)" in text
    assert "no earlier than 1925 and no later than 1920, which cannot be" in text
    assert "(in dispute; in any case " in plain(run(clashing, "when", "alder"))


def test_settle_as_json(clashing: Path) -> None:
    printed = run(clashing, "settle", "--as", "json").output
    told = [each["text"] for each in statements(printed, "settling")]
    assert told[-1].startswith("Alder ended in 1920 (shapes.csv row 2) (claims ")


def test_settle_is_content_where_nothing_clashes(sound: Path) -> None:
    ran = run(sound, "settle")
    assert (ran.exit_code, ran.output) == (0, "Conflicts of dates\n\nNo dates clash.\n")


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("when", "aldr"), 'nothing here is called "aldr"; nearest: Alder (shape/alder)'),
        (("when", "p1", "--year", "1920"), "Plate, Alder has no beginning and end"),
        (("when", "alder", "--with", "p1"), "Plate, Alder has no beginning and end"),
        (("when", "alder", "--with", "brch"), 'nothing here is called "brch"'),
    ],
)
def test_what_cannot_be_answered_is_named(
    words: tuple[str, ...], message: str, sound: Path
) -> None:
    ran = run(sound, *words)
    assert isinstance(ran.exception, RecordErrors)
    assert message in str(ran.exception).replace("\n", " ")


def test_a_year_that_is_none_is_misuse(sound: Path) -> None:
    ran = run(sound, "when", "alder", "--year", "soon")
    assert ran.exit_code == 2
    assert "'soon' is not a valid integer" in ran.output
