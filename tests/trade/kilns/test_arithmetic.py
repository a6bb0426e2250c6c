"""The arithmetic of tunnel kilns against `pint`, which carries the units along by itself."""

from fractions import Fraction
from pathlib import Path

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st
from rdflib import URIRef

from glost.answer.snapshot import Snapshot
from glost.trade.kilns.assumptions import assumptions
from glost.trade.kilns.kiln import kiln_result
from glost.trade.kilns.reckoned import Input, Reckoned, reckon
from shelf import write


@pytest.fixture(scope="module")
def units() -> pint.UnitRegistry:
    return pint.UnitRegistry()


@pytest.mark.parametrize(
    ("cars", "pitch", "push", "ware", "zone", "heat"),
    [(44, "6.25 ft", 55, 278, "90 ft", 1200), (61, "1.93 m", 37, 144, "31.5 m", 1260)],
)
def test_a_tunnel_kiln_with_units_carried_along(
    tmp_path: Path,
    units: pint.UnitRegistry,
    cars: int,
    pitch: str,
    push: int,
    ware: int,
    zone: str,
    heat: int,
) -> None:
    here = Snapshot(
        write(
            tmp_path / "c",
            plants="plant,pottery,source\nnew,harrow,letter\n",
            kilns="kiln,plant,kind,firing,cars,car_pitch,push_interval,ware_per_car,source\n"
            f"t,new,tunnel,bisque,{cars},{pitch},{push} min,{ware} dozen,letter\n",
            kiln_zones="kiln,zone,order,length,temperature,source\n"
            f"t,preheating,1,{zone},,letter\nt,firing,2,10 ft,{heat} C,letter\n",
        )
    )
    kiln = URIRef("https://example.org/shelf/kiln/t")
    told = kiln_result(here.belief, here.graph, kiln, assumptions("entry-temperature=15"))
    found = {(line.of, line.reckoned.name): line.reckoned for line in told.reckoned}
    speed = units(pitch) / units.Quantity(push, "minute")
    through = (units(zone) / speed).to("hour")
    expected = {
        ("", "speed"): speed.to("ft/hour" if "ft" in pitch else "m/hour"),
        ("", "time in the kiln"): units.Quantity(cars * push, "minute").to("hour"),
        ("", "output"): units.Quantity(ware / push, "1/minute").to("1/day"),
        ("preheating zone", "time in the zone"): through,
        ("preheating zone", "average rate of heating"): (heat - 15) / through,
    }
    for name, value in expected.items():
        assert float(found[name].low) == pytest.approx(value.magnitude, rel=1e-12)


numbers = st.fractions(min_value=Fraction(1, 100), max_value=1000, max_denominator=1000)


@given(ends=st.lists(st.tuples(numbers, numbers), min_size=3, max_size=3), at=st.data())
def test_a_range_holds_every_value_its_inputs_allow(
    ends: list[tuple[Fraction, Fraction]], at: st.DataObject
) -> None:
    inputs = [Input(str(n), min(pair), max(pair), "") for n, pair in enumerate(ends)]
    found: Reckoned = reckon("", "", "", lambda a, b, c: a * b / c, *inputs)
    inside = [
        each.low + (each.high - each.low) * at.draw(st.fractions(0, 1, max_denominator=100))
        for each in inputs
    ]
    assert found.low <= inside[0] * inside[1] / inside[2] <= found.high
