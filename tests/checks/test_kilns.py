"""Kilns and plants against published figures.

Each published figure names its source beside it; *verified* means that it was read in a copy, *derived*
that it is arithmetic on such figures. Names of potteries and kilns are made up.
"""

from fractions import Fraction
from pathlib import Path

import pytest
from rdflib import URIRef

from glost.answer.snapshot import Snapshot
from glost.trade.kilns.amounts import convert
from glost.trade.kilns.assumptions import assumptions
from glost.trade.kilns.findings import kiln_findings
from glost.trade.kilns.kiln import KilnResult, kiln_result
from glost.trade.kilns.reckoned import Reckoned
from glost.trade.kilns.settings import read_setting
from shelf import write

PLANTS = "plant,pottery,number,source\nnew,harrow,2,letter\n"
BASE = "https://example.org/shelf/kiln/"


def snapshot(tmp_path: Path, kilns: str, zones: str = "") -> Snapshot:
    return Snapshot(write(tmp_path / "c", plants=PLANTS, kilns=kilns, kiln_zones=zones))


def report(here: Snapshot, name: str, *settings: str) -> KilnResult:
    return kiln_result(here.belief, here.graph, URIRef(BASE + name), assumptions(*settings))


def figure(told: KilnResult, name: str, of: str = "") -> Reckoned:
    (found,) = [
        line.reckoned for line in told.reckoned if (line.of, line.reckoned.name) == (of, name)
    ]
    return found


def exactly(found: Reckoned) -> Fraction:
    assert found.low == found.high
    return found.low


@pytest.fixture
def harrop(tmp_path: Path) -> Snapshot:
    """A direct-fired bisque tunnel kiln that replaced 13 periodic kilns: 44 cars, 278 dozen to the car, one
    pushed every 55 minutes; "over 7200 dozen per 24 hours".

    C. B. Harrop, Journal of the American Ceramic Society, 1921, doi 10.1111/j.1151-2916.1921.tb17367.x,
    abstract. Verified; the products are derived.
    """
    old = [f"p{number}" for number in range(1, 14)]
    header = "kiln,plant,kind,firing,cars,push_interval,ware_per_car,output,replaces,source\n"
    rows = [f"{name},new,bottle,bisque,,,,,,letter\n" for name in old]
    tunnel = "t,new,car tunnel kiln,bisque,44,55 min,278 dozen,over 7200 dozen per 24 hours,"
    return snapshot(tmp_path, header + "".join(rows) + tunnel + "|".join(old) + ",letter\n")


def test_harrops_kiln_puts_out_over_7200_dozen_a_day(harrop: Snapshot) -> None:
    told = report(harrop, "t")
    assert round(exactly(figure(told, "cars a day")), 2) == Fraction(2618, 100)
    output = exactly(figure(told, "output"))
    assert output == Fraction(1440, 55) * 278
    assert round(output, 1) == Fraction(72785, 10)
    assert not [f for f in told.findings if f.kind == "output-disagrees"]


def test_residence_of_harrops_cars(harrop: Snapshot) -> None:
    hours = exactly(figure(report(harrop, "t"), "time in the kiln"))
    assert round(hours, 2) == Fraction(4033, 100)


def test_littles_law_holds_of_harrops_kiln(harrop: Snapshot) -> None:
    """What is in a system is what passes through it times how long it stays (J. D. C. Little, 1961; from
    memory): 12,232 dozen both ways, derived.
    """
    told = report(harrop, "t")
    held = exactly(figure(told, "ware in the kiln"))
    days = exactly(figure(told, "time in the kiln")) / 24
    assert held == exactly(figure(told, "output")) * days == 12232


def test_each_of_the_thirteen_kilns_it_replaced_came_to_560_dozen(harrop: Snapshot) -> None:
    each = figure(
        report(harrop, "t"), "output of each kiln it replaced, had they made as much together"
    )
    assert round(exactly(each), 1) == Fraction(5599, 10)
    many = figure(
        report(harrop, "t", "periodic-bisque-output=559.888"),
        "periodic kilns that would make as much",
    )
    assert round(many.low) == round(many.high) == 13


def test_another_output_than_harrops_disagrees(tmp_path: Path) -> None:
    kilns = "kiln,plant,kind,firing,push_interval,ware_per_car,output,source\n"
    row = "t,new,tunnel,bisque,55 min,178 dozen,over 7200 dozen per 24 hours,letter\n"
    (found,) = [
        f
        for f in report(snapshot(tmp_path, kilns + row), "t").findings
        if f.kind == "output-disagrees"
    ]
    assert "over 7200 dozen per 24 hours" in found.message
    assert "4,660.4 dozen a day" in found.message


def test_three_hundred_feet_of_cars_six_feet_long(tmp_path: Path) -> None:
    """Made-up figures, exact arithmetic: 300 ft, pitch 6 ft, a push every 60 min, zones of 40, 20 and 40
    per cent, 20 to 1200 C in the first and 1200 to 60 C in the last.
    """
    here = snapshot(
        tmp_path,
        "kiln,plant,kind,firing,length,car_pitch,push_interval,source\n"
        "t,new,tunnel,bisque,300 ft,6 ft,60 min,letter\n",
        "kiln,zone,order,length,temperature,source\nt,preheating,1,120 ft,,letter\n"
        "t,firing,2,60 ft,1200 C,letter\nt,cooling,3,120 ft,,letter\n",
    )
    told = report(here, "t", "entry-temperature=20", "exit-temperature=60")
    assert exactly(figure(told, "speed")) == 6
    residence = figure(told, "time in the kiln")
    assert exactly(residence) == 50
    assert "stand over the whole of 300 ft" in residence.inputs[0].assumed
    assert residence.inputs[0].low == 50
    for zone, share, hours in (("preheating", 40, 20), ("firing", 20, 10), ("cooling", 40, 20)):
        assert exactly(figure(told, "share of the overall length", f"{zone} zone")) == share
        assert exactly(figure(told, "time in the zone", f"{zone} zone")) == hours
    assert exactly(figure(told, "average rate of heating", "preheating zone")) == 59
    assert exactly(figure(told, "average rate of cooling", "cooling zone")) == -57


def test_a_bottle_oven_fired_every_fourteen_days_is_fired_26_times_a_year(tmp_path: Path) -> None:
    """Fill 6 days, fire 3, soak and cool 3, empty 1, repair 1: J. A. T. Duncan, "Firing the Biscuit Bottle
    Oven". Verified; 365/14 is derived.
    """
    days = 6 + 3 + 3 + 1 + 1
    kilns = f"kiln,plant,kind,firing,cycle,source\nb,new,bottle,bisque,{days} days,letter\n"
    told = report(snapshot(tmp_path, kilns), "b", "days-in-use=365")
    assert round(exactly(figure(told, "firings a year")), 2) == Fraction(2607, 100)


SETTING = "694 oval saggars 9 x 18 x 12 in and 480 round, 11 in across x 12 in"


def test_the_setting_of_a_last_firing(tmp_path: Path) -> None:
    """Log of a last bottle-oven firing, 1978: verified. 1174 saggars and 930 cubic feet, ovals taken as
    ellipses, are derived.
    """
    parts = read_setting(SETTING)
    assert sum(part.count for part in parts) == 1174
    metres = sum((part.volume for part in parts), Fraction(0))
    assert round(convert(metres, "meter**3", "foot**3")) == 930
    kilns = f'kiln,plant,kind,firing,cycle,setting,source\nb,new,bottle,bisque,14 days,"{SETTING}",letter\n'
    told = report(snapshot(tmp_path, kilns), "b")
    assert round(exactly(figure(told, "room the setting takes"))) == 930
    assert exactly(figure(told, "output")) == Fraction(1174, 14)


@pytest.mark.parametrize(
    ("diameter", "unusual"), [("9 ft", 1), ("10 ft", 0), ("22 ft", 0), ("23 ft", 1)]
)
def test_ovens_were_ten_to_twenty_two_feet_across(
    tmp_path: Path, diameter: str, unusual: int
) -> None:
    """Encyclopaedia Britannica, 11th ed., "Ceramics": verified."""
    kilns = f"kiln,plant,kind,firing,diameter,source\nb,new,bottle,bisque,{diameter},letter\n"
    here = snapshot(tmp_path, kilns)
    found = [f for f in kiln_findings(here.belief, here.graph) if f.kind == "figure-unusual"]
    assert len(found) == unusual


def test_ovens_were_about_as_high_as_wide(tmp_path: Path) -> None:
    """The same; how far "about" goes is our allowance, and is told as assumed."""
    kilns = "kiln,plant,kind,firing,diameter,source\nb,new,bottle,bisque,16 ft,letter\n"
    room = figure(report(snapshot(tmp_path, kilns), "b"), "room in the chamber")
    assert room.low < Fraction(355, 113) * 64 * 16 < room.high
    assert "Britannica" in room.assumptions[0]
