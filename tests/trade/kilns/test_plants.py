"""A made-up plant's kilns through time, worked out by hand."""

from fractions import Fraction
from pathlib import Path

import pytest
from rdflib import URIRef

from glost.answer.desk import Desk
from glost.record.dates import DEFAULT_MARGIN, day_number
from glost.trade.kilns.assumptions import assumptions
from glost.trade.kilns.plants import Period, PlantReport, plant_report
from glost.trade.kilns.timeline import Stay, claimed_bounds, stays
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
def here(tmp_path_factory: pytest.TempPathFactory) -> Desk:
    return Desk(write(tmp_path_factory.mktemp("plants") / "c", plants=PLANTS, kilns=KILNS))


def report(here: Desk, name: str, *settings: str) -> PlantReport:
    bounds = claimed_bounds(here.belief, DEFAULT_MARGIN)
    return plant_report(
        here.belief, here.graph, URIRef(f"{BASE}plant/{name}"), bounds, assumptions(*settings)
    )


def of(told: PlantReport, firing: str, year: int) -> Period:
    (found,) = [
        p for p in told.periods if p.firing.endswith(f"/{firing}") and p.first <= year <= p.last
    ]
    return found


def kilns(found: tuple[URIRef, ...]) -> str:
    return " ".join(iri.rsplit("/", 1)[-1] for iri in found)


def test_when_kilns_were_in_use_as_far_as_is_known(here: Desk) -> None:
    found: dict[str, Stay] = {
        kilns((stay.kiln,)): stay
        for stay in stays(
            here.belief, URIRef(f"{BASE}plant/old"), claimed_bounds(here.belief, DEFAULT_MARGIN)
        )
    }
    assert found["b1"].begin == (day_number(1901, 1, 1), day_number(1901, 12, 31))
    assert not found["b1"].end_assumed
    # Nobody says when b2 ended: not after its plant, which rests on the claim of that.
    assert found["b2"].end == (None, day_number(1930, 12, 31))
    assert found["b2"].end_assumed
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
    here: Desk, firing: str, year: int, certain: str, possible: str
) -> None:
    found = of(report(here, "old"), firing, year)
    assert (kilns(found.certain), kilns(found.possible)) == (certain, possible)


def test_capacity_is_the_least_of_the_certain_and_the_most_of_the_possible(here: Desk) -> None:
    """b1 makes 3,000 dozen in 10 days; b2 is assumed, 280 to 840; the tunnel makes 24 x 100."""
    told = report(here, "old")
    before, after = of(told, "bisque", 1907).capacity, of(told, "bisque", 1927).capacity
    assert before is not None
    assert after is not None
    assert (before.low, before.high) == (300, 300 + 840)
    assert (after.low, after.high) == (2400, 2400 + 840)
    assert any("280 to 840" in text for text in before.assumptions)
    assert [str(c.origin) for c in before.claims] == ["tables/kilns.csv row 2"]


def test_a_kiln_for_two_firings_may_have_made_nothing_of_one(here: Desk) -> None:
    capacity = of(report(here, "old"), "bisque", 1915).capacity
    assert capacity is not None
    assert (capacity.low, capacity.high) == (300, 300 + 840 + 840)


def test_kilns_whose_output_nothing_tells_are_left_out_by_name(here: Desk) -> None:
    found = of(report(here, "old"), "glost", 1911)
    assert found.capacity is None
    assert kilns(found.left_out) == "g1 b3"


def test_an_assumption_may_be_set_otherwise(here: Desk) -> None:
    capacity = of(report(here, "old", "periodic-bisque-output=500"), "bisque", 1907).capacity
    assert capacity is not None
    assert capacity.high == 800


def test_a_plant_without_any_date_has_kilns_and_no_years(here: Desk) -> None:
    told = report(here, "open")
    assert [stay.begin for stay in told.stays] == [(None, None)]
    assert told.periods == ()


def test_a_stated_output_serves_where_nothing_can_be_reckoned(tmp_path: Path) -> None:
    rows = KILNS.replace("u,open,tunnel,glost,,", "u,open,tunnel,glost,1920,1921")
    told = report(Desk(write(tmp_path / "c", plants=PLANTS, kilns=rows)), "open")
    capacity = of(told, "glost", 1920).capacity
    assert capacity is not None
    assert (capacity.low, capacity.high) == (Fraction(950), Fraction(1050))
    assert "about 1,000 dozen a day" in capacity.words()


def test_every_period_names_the_claims_of_its_kilns(here: Desk) -> None:
    for period in report(here, "old").periods:
        rows = {claim.passage.locator for claim in period.claims}
        assert len(rows) >= len(period.possible)


def test_what_is_assumed_of_ends_is_said(here: Desk) -> None:
    assert any("outlasted its plant" in text for text in report(here, "old").assumptions)
