"""A made-up plant's kilns through time, worked out by hand."""

import csv
import io
from fractions import Fraction
from pathlib import Path

import pytest
from rdflib import URIRef

from glost.answer.snapshot import Snapshot
from glost.record.dates import day_number
from glost.trade.kilns.assumptions import assumptions
from glost.trade.kilns.kiln import kiln_result
from glost.trade.kilns.plants import Period, PlantResult, plant_result
from glost.trade.kilns.timeline import Stay, stays
from shelf import write

BASE = "https://example.org/shelf/"
PLANTS = "plant,pottery,begin,end,source\nold,harrow,1900,1930,letter\nopen,harrow,,,letter\n"
KILNS = """kiln,plant,kind,firing,begin,end,push_interval,ware_per_car,cycle,setting,output,source,locator
b1,old,bottle,bisque,1901,1925,,,10 days,"3,000 dozen",,letter,p. 1
b2,old,bottle,bisque,1904~,,,,,,,letter,p. 2
b3,old,bottle,bisque|glost,1910,1920,,,,,,letter,p. 3
g1,old,bottle,glost,1902,1912,,,,"900 saggars",,letter,p. 4
t,old,tunnel,bisque,1925-03,1930-06,60 min,100 dozen,,,,letter,p. 5
u,open,tunnel,glost,,,,,,,"about 1,000 dozen a day",letter,p. 6
"""


@pytest.fixture(scope="module")
def here(tmp_path_factory: pytest.TempPathFactory) -> Snapshot:
    return Snapshot(write(tmp_path_factory.mktemp("plants") / "c", plants=PLANTS, kilns=KILNS))


def report(here: Snapshot, name: str, *settings: str) -> PlantResult:
    plant = URIRef(f"{BASE}plant/{name}")
    return plant_result(here.belief, here.graph, plant, here.chronology, assumptions(*settings))


def of(told: PlantResult, firing: str, year: int) -> Period:
    (found,) = [
        p for p in told.periods if p.firing.endswith(f"/{firing}") and p.first <= year <= p.last
    ]
    return found


def kilns(found: tuple[URIRef, ...]) -> str:
    return " ".join(iri.rsplit("/", 1)[-1] for iri in found)


def test_when_kilns_were_in_use_as_far_as_is_known(here: Snapshot) -> None:
    found: dict[str, Stay] = {
        kilns((stay.kiln,)): stay
        for stay in stays(here.belief, URIRef(f"{BASE}plant/old"), here.chronology)
    }
    assert found["b1"].begin == (day_number(1901, 1, 1), day_number(1901, 12, 31))
    # Nobody says when b2 ended: not before it began, about 1904, nor after its plant.
    assert found["b2"].end == (day_number(1902, 1, 1), day_number(1930, 12, 31))
    assert {str(claim.origin) for claim in found["b2"].claims} == {
        "tables/kilns.csv row 3", "tables/plants.csv row 2",
    }  # fmt: skip
    assert found["t"].certainly(1927)
    assert found["t"].certainly(1925)
    assert not found["t"].possibly(1924)


@pytest.mark.parametrize(
    ("firing", "year", "certain", "possible"),
    [
        ("bisque", 1901, "b1", "b1"),
        ("bisque", 1903, "b1", "b1 b2"),
        ("bisque", 1907, "b1", "b1 b2"),
        ("bisque", 1915, "b1 b3", "b1 b2 b3"),
        ("bisque", 1925, "b1 t", "b1 b2 t"),
        ("bisque", 1927, "t", "b2 t"),
        ("glost", 1905, "g1", "g1"),
        ("glost", 1911, "g1 b3", "g1 b3"),
    ],
)
def test_kilns_certainly_and_possibly_in_use(
    here: Snapshot, firing: str, year: int, certain: str, possible: str
) -> None:
    found = of(report(here, "old"), firing, year)
    assert (kilns(found.certain), kilns(found.possible)) == (certain, possible)


def test_capacity_is_the_least_of_the_certain_and_the_most_of_the_possible(here: Snapshot) -> None:
    """b1 makes 3,000 dozen in 10 days; b2 is assumed, 280 to 840; the tunnel makes 24 x 100."""
    told = report(here, "old")
    before, after = of(told, "bisque", 1907).capacity, of(told, "bisque", 1927).capacity
    assert before is not None
    assert after is not None
    assert (before.low, before.high) == (300, 300 + 840)
    assert (after.low, after.high) == (2400, 2400 + 840)
    assert any("280 to 840" in text for text in before.assumptions)
    assert [str(c.origin) for c in before.claims] == ["tables/kilns.csv row 2"]


def test_a_kiln_for_two_firings_may_have_made_nothing_of_one(here: Snapshot) -> None:
    capacity = of(report(here, "old"), "bisque", 1915).capacity
    assert capacity is not None
    assert (capacity.low, capacity.high) == (300, 300 + 840 + 840)


def test_kilns_whose_output_nothing_tells_are_left_out_by_name(here: Snapshot) -> None:
    found = of(report(here, "old"), "glost", 1911)
    assert found.capacity is None
    assert kilns(found.left_out) == "g1 b3"


def test_an_assumption_may_be_set_otherwise(here: Snapshot) -> None:
    capacity = of(report(here, "old", "periodic-bisque-output=500"), "bisque", 1907).capacity
    assert capacity is not None
    assert capacity.high == 800


def test_a_plant_without_any_date_has_kilns_and_no_years(tmp_path: Path) -> None:
    potteries = "pottery,name,source\nharrow,Harrow Pottery,letter\n"
    tables = {"plants": PLANTS, "kilns": KILNS, "potteries": potteries}
    told = report(Snapshot(write(tmp_path / "c", **tables)), "open")
    assert [stay.begin for stay in told.stays] == [(None, None)]
    assert told.periods == ()
    assert told.change.side_by_side == "not known"
    assert told.change.deciding == ("whether it had a periodic kiln",)


def test_a_stated_output_serves_where_nothing_can_be_reckoned(tmp_path: Path) -> None:
    rows = KILNS.replace("u,open,tunnel,glost,,", "u,open,tunnel,glost,1920,1921")
    told = report(Snapshot(write(tmp_path / "c", plants=PLANTS, kilns=rows)), "open")
    capacity = of(told, "glost", 1920).capacity
    assert capacity is not None
    assert (capacity.low, capacity.high) == (Fraction(950), Fraction(1050))
    assert "about 1,000 dozen a day" in capacity.words()


def test_every_period_names_the_claims_of_its_kilns(here: Snapshot) -> None:
    for period in report(here, "old").periods:
        rows = {claim.passage.locator for claim in period.claims}
        assert len(rows) >= len(period.possible)


def built(folder: Path, kilns: str, sequences: str = "") -> Snapshot:
    plants = "plant,pottery,begin,end,source\nworks,harrow,1900,1940,letter\n"
    return Snapshot(write(folder / "c", plants=plants, kilns=kilns, sequences=sequences))


HEAD = "kiln,plant,kind,firing,begin,end,count,setting,cycle,replaces,source,claim\n"


def test_a_kiln_that_replaces_another_dates_the_change(tmp_path: Path) -> None:
    """Nobody says when b ended; the tunnel that replaced it began in 1925."""
    rows = (
        HEAD
        + "b,works,bottle,bisque,1901,,,,,,letter,b\nt,works,tunnel,bisque,1925,,,,,b,letter,t\n"
    )
    change = report(built(tmp_path, rows), "works").change
    (found,) = change.conversions
    assert (kilns((found.tunnel, found.periodic)), found.basis) == ("t b", "said to replace it")
    assert found.days == (day_number(1925, 1, 1), day_number(1925, 12, 31))
    assert change.side_by_side == "possibly"
    assert change.deciding == ("when the last periodic kiln ended",)


SIDES = [
    ("1930", "1925", "", "yes"),
    ("1924", "1925", "", "no"),
    ("1925", "1925", "", "possibly"),
    ("", "1925", "", "possibly"),
    ("1925-03", "1925-09", "", "no"),
    ("1925-09", "1925-03", "", "yes"),
    ("", "", "kiln/b,end,before,kiln/t,begin", "no"),
    ("", "", "kiln/t,begin,after,kiln/b,end", "no"),
    ("", "", "kiln/b,end,equals,kiln/t,begin", "no"),
    ("", "", "kiln/b,run,meets,kiln/t,run", "no"),
    ("", "", "kiln/t,run,met-by,kiln/b,run", "no"),
    ("", "", "kiln/b,begin,before,kiln/t,begin", "possibly"),
    ("", "1925", "kiln/b,end,after,kiln/t,begin,2", "yes"),
]


@pytest.mark.parametrize(("end", "begin", "order", "side"), SIDES)
def test_both_kinds_side_by_side(
    tmp_path: Path, end: str, begin: str, order: str, side: str
) -> None:
    """The question and the plant's report say the same, whether dates or an order says it."""
    rows = (
        HEAD
        + f"b,works,bottle,bisque,1901,{end},,,,,letter,b\nt,works,tunnel,bisque,{begin},,,,,,letter,t\n"
    )
    names = "thing,thing_point,relation,other,other_point,at_least,source\n"
    order += "," * (6 - order.count(",")) + "letter" if order else ""
    snapshot = built(tmp_path, rows, f"{names}{order}\n" if order else "")
    change = report(snapshot, "works").change
    assert change.side_by_side == side
    assert bool(change.deciding) == (side == "possibly")
    assert [c.basis for c in change.conversions] == (["set against it in time"] if order else [])
    (row,) = snapshot.answers.ask("periodic-to-tunnel").rows
    assert str(row.values[7]) == side
    assert str(row.values[8]) == "; ".join(change.deciding)


SEVERAL = (
    HEAD
    + "row,works,bottle,bisque,1901,1930,several,,,,letter,row\n"
    + "six,works,bottle,glost,1901,1930,6,100 dozen,10 days,,letter,six\n"
    + "g,works,bottle,glost,1901,1930,,100 dozen,10 days,,letter,g\n"
    + "t,works,tunnel,bisque,1925,1930,,,,row,letter,t\n"
)


def test_several_uncounted_are_never_one(tmp_path: Path) -> None:
    """Six and one glost kilns are six at least, for the one may be of the six, and seven at most."""
    told = report(built(tmp_path, SEVERAL), "works")
    assert told.number == "8 kilns and several, number not stated"
    bisque, glost = of(told, "bisque", 1910), of(told, "glost", 1910)
    assert (bisque.at_least, bisque.at_most, bisque.number) == (2, None, "2 or more")
    assert (glost.at_least, glost.at_most, glost.number) == (6, 7, "6 to 7")
    assert bisque.capacity is not None and glost.capacity is not None
    assert (bisque.capacity.low, bisque.capacity.value()) == (560, "at least 560 dozen a day")
    assert (glost.capacity.low, glost.capacity.high) == (60, 70)
    assert "row" in {
        kilns((stay.kiln,)) for stay in told.stays if stay.count.words.startswith("several")
    }
    assert {str(claim.id) for claim in bisque.claims} >= {"row"}


def test_what_a_tunnel_replaced_is_at_most_its_share(tmp_path: Path) -> None:
    rows = SEVERAL.replace("t,works,tunnel,bisque,1925,1930,,,,row,letter,t\n", "")
    push = (
        "kiln,plant,kind,firing,begin,end,push_interval,ware_per_car,replaces,source\n"
        "t,works,tunnel,bisque,1925,1930,60 min,100 dozen,row|six|g,letter\n"
    )
    merged = _merged(rows, push)
    snapshot = built(tmp_path, merged)
    lines = kiln_result(snapshot.belief, snapshot.graph, URIRef(f"{BASE}kiln/t")).reckoned
    (share,) = [
        line.reckoned
        for line in lines
        if line.reckoned.name.startswith("output of each kiln it replaced")
    ]
    # 2,400 dozen a day over two, six and one kilns, nine at the least.
    assert share.value() == "at most 266.67 dozen a day"
    assert "at least 9, several, number not stated" in share.words()


def _merged(*texts: str) -> str:
    """Put rows of several headers under one."""
    rows = [row for text in texts for row in csv.DictReader(io.StringIO(text))]
    names = list(dict.fromkeys(name for row in rows for name in row))
    out = io.StringIO()
    writer = csv.DictWriter(out, names, restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()
