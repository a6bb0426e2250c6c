"""The commands assortment, kiln and plant as their users meet them, and how they end."""

import csv
import io
import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from glost.record.errors import RecordErrors
from glost_cli.main import glost
from printed import statements, tables
from shelf import write

KILNS = """kiln,plant,kind,firing,begin,end,length,cars,car_pitch,push_interval,ware_per_car,cycle,setting,source,locator
long,new,tunnel,bisque,1925,1930,400 ft,58,6 ft,60 min,100 dozen,,,letter,sheet 2
round,new,bottle,bisque,1905,,,,,,,,"2,000 dozen",letter,sheet 3
"""
ZONES = "kiln,zone,order,length,cone,source,locator\nlong,firing,1,50 ft,9,letter,sheet 2\nlong,cooling,2,60 ft,,letter,sheet 2\n"


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write(
        tmp_path_factory.mktemp("shelf") / "c",
        plants="plant,pottery,number,name,begin,end,source\nnew,harrow,2,High Works,1904,1931,letter\n",
        kilns=KILNS,
        kiln_zones=ZONES,
    )


def run(shelf: Path, *words: str) -> Result:
    return CliRunner().invoke(glost, [*words, "-c", str(shelf)])


def plain(ran: Result) -> str:
    return " ".join(ran.output.split())


def test_a_kiln_is_told_with_working_assumptions_findings_and_cautions(shelf: Path) -> None:
    ran = run(shelf, "kiln", "long")
    assert ran.exit_code == 0
    text = plain(ran)
    assert "The sources say" in text
    assert "We reckon" in text
    assert "58 h" in text
    assert "days a year on which it was in use assumed 300 to 365 days" in text
    assert "leave 52 ft of it empty" in text
    assert "confined space" in text
    assert "for the sake of history" in text
    assert "safe" not in text.casefold()


def test_evidence_names_the_row_under_a_figure(shelf: Path) -> None:
    ran = run(shelf, "kiln", "round", "--evidence")
    assert "[tables/kilns.csv row 3" in ran.output


def test_a_kiln_as_csv_and_json_gives_ranges_assumptions_and_claims(shelf: Path) -> None:
    rows = list(csv.DictReader(io.StringIO(run(shelf, "kiln", "round", "--as", "csv").output)))
    (output,) = [row for row in rows if row["figure"] == "output"]
    assert (float(output["low"]), float(output["high"])) == (125, pytest.approx(2000 / 12))
    assert "assumed 12 to 16 days" in output["assumed"]
    assert output["claims"].startswith("https://example.org/shelf/claim/")
    printed = run(shelf, "kiln", "long", "--as", "json").output
    (reckoned,) = tables(printed, "reckoned")
    (speed,) = [row for row in reckoned if row["figure"] == "speed"]
    assert (speed["low"], speed["high"], speed["exact"]) == (6, 6, "6..6")
    assert speed["inputs"].startswith("car pitch 6 ft; push interval 60 min")
    assert json.loads(printed)["cautions"]
    found = [each["status"] for each in statements(printed, "findings")]
    assert found.count("note, length-without-cars") == 1


def test_an_assumption_is_set_and_a_wrong_one_is_refused(shelf: Path) -> None:
    ran = run(shelf, "kiln", "round", "--assume", "cycle=10", "--as", "csv")
    (output,) = [r for r in csv.DictReader(io.StringIO(ran.output)) if r["figure"] == "output"]
    assert float(output["low"]) == 200
    assert "as asked for" in output["assumed"]
    wrong = run(shelf, "kiln", "round", "--assume", "cicle=10")
    assert wrong.exit_code == 2
    assert 'did you mean "cycle"?' in wrong.output


def test_assumptions_are_listed_with_their_grounds(shelf: Path) -> None:
    ran = CliRunner().invoke(glost, ["kiln", "--assumptions"])
    assert ran.exit_code == 0
    assert "days-in-use" in ran.output
    assert "Duncan" in ran.output


def test_cones_are_turned_only_by_a_chart_that_is_named(shelf: Path) -> None:
    assert "rate of cooling" not in run(shelf, "kiln", "long").output
    ran = run(shelf, "kiln", "long", "--cones", "ssb_60")
    assert "rate of cooling" in plain(ran)
    assert "self-supporting regular cones at 60 C/h" in plain(ran)
    assert run(shelf, "kiln", "long", "--cones", "mine").exit_code == 2


def test_a_plant_is_told_through_time(shelf: Path) -> None:
    ran = run(shelf, "plant", "High Works")
    assert ran.exit_code == 0
    text = plain(ran)
    assert "1905" in text
    assert "1925 to 1930 1 to 2 2,400 to 2,566.7 dozen a day" in text
    assert "Both kinds in use at one time, of the kilns on record:" in text
    assert "local codes" in text
    rows = list(csv.DictReader(io.StringIO(run(shelf, "plant", "new", "--as", "csv").output)))
    assert {row["firing"] for row in rows} == {"bisque firing"}
    assert all(row["claims"] for row in rows)
    (capacity,) = tables(run(shelf, "plant", "new", "--as", "json").output, "capacity")
    assert capacity[-1]["inputs"] and 2400 in [row["capacity_low"] for row in capacity]


def test_a_plant_without_kilns_says_so(tmp_path: Path) -> None:
    plants = "plant,pottery,name,source\nnew,harrow,High Works,letter\n"
    ran = run(write(tmp_path / "c", plants=plants), "plant", "new")
    assert ran.exit_code == 0
    assert "No kiln is recorded in it." in ran.output


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("kiln", "alder"), '"alder" is Alder (shape/alder); name a kiln'),
        (
            ("kiln", "lung"),
            'no kiln is called "lung"; nearest: Bisque tunnel kiln, High Works (kiln/long)',
        ),
        (("plant", "round"), "name a plant"),
        (("assortment", "long"), "name a shape"),
        (("assortment", "alder", "--catalogue", "letter"), "lists that do: cat1908"),
        (("assortment", "alder", "--against", "nowhere"), 'no shape is called "nowhere"'),
    ],
)
def test_another_thing_is_refused_with_a_remedy(
    shelf: Path, words: tuple[str, ...], message: str
) -> None:
    ran = run(shelf, *words)
    assert isinstance(ran.exception, RecordErrors)
    assert message in str(ran.exception)


def test_an_assortment_is_told_list_by_list(shelf: Path) -> None:
    ran = run(shelf, "assortment", "alder", "--evidence")
    assert ran.exit_code == 0
    text = plain(ran)
    assert "Catalogue No. 4 1908 yes 2 2 1 1" in text
    assert "[tables/assortments.csv row 2" in text
    (lists,) = tables(run(shelf, "assortment", "alder", "--as", "json").output, "lists")
    assert (lists[0]["flatware"], lists[0]["hollow ware"]) == (1, 1)
    assert lists[0]["claims"]


def test_two_shapes_are_compared(shelf: Path) -> None:
    ran = run(shelf, "assortment", "alder", "--against", "birch")
    text = plain(ran)
    assert "1 in both; 1 not seen in the second." in text
    assert "0.500 of all (Jaccard)" in text
    assert "as far as these lists show" in text
    assert "said to share flatware" in text
    rows = list(
        csv.DictReader(
            io.StringIO(
                run(shelf, "assortment", "alder", "--against", "birch", "--as", "csv").output
            )
        )
    )
    assert [row["standing"] for row in rows] == ["in both", "not seen in the second"]


def test_the_matrix_is_printed(shelf: Path) -> None:
    ran = run(shelf, "assortment", "alder", "--matrix", "shapes", "--as", "csv")
    rows = {(row["form"], row["shape"]): row for row in csv.DictReader(io.StringIO(ran.output))}
    assert rows["teapot", "Birch"]["status"] == "not seen"
    assert rows["dinner plate", "Alder"]["status"] == "offered"
    assert "offered" in run(shelf, "assortment", "alder", "--matrix", "lists").output
    assert (
        run(shelf, "assortment", "alder", "--matrix", "lists", "--against", "birch").exit_code == 2
    )


def test_a_shape_in_no_list_says_so(tmp_path: Path) -> None:
    ran = run(write(tmp_path / "c", assortments=""), "assortment", "birch")
    assert ran.exit_code == 0
    assert "No list on record offers anything in it." in ran.output


def test_help_teaches() -> None:
    for command in ("assortment", "kiln", "plant"):
        ran = CliRunner().invoke(glost, [command, "--help"])
        assert ran.exit_code == 0
        assert len(ran.output.splitlines()) > 15
