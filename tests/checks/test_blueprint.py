"""A tunnel kiln's zones against its overall length.

*Common practice*: zones on a blueprint seldom add up to the whole, because vestibules, rapid cooling
and the ends are left out. The figures are a made-up blueprint's: 355 ft overall, preheating 148 ft,
firing 62 ft, slow cooling 105 ft, so 315 ft accounted for and 40 ft left; with a firing zone of
110 ft the zones come to 363 ft, 8 ft too many.
"""

from fractions import Fraction
from pathlib import Path

import pytest
from rdflib import Literal, URIRef
from rdflib.namespace import XSD

from glost.answer.snapshot import Snapshot
from glost.findings import Finding, Severity
from glost.names import GLOST
from glost.trade.kilns.zones import reckon, sums
from shelf import write

FOOT = Fraction(3048, 10000)
KILN = URIRef("https://example.org/shelf/kiln/long")


def kiln(tmp_path: Path, firing: str, overall: str = "355 ft") -> Snapshot:
    return Snapshot(
        write(
            tmp_path / "c",
            plants="plant,pottery,number,source\nnew,harrow,2,letter\n",
            kilns=f"kiln,plant,kind,firing,length,source,locator\nlong,new,tunnel,bisque,{overall},letter,sheet 1\n",
            kiln_zones="kiln,zone,order,length,source,locator\n"
            "long,preheating,1,148 ft,letter,sheet 1\n"
            f"long,firing,2,{firing},letter,sheet 1\n"
            "long,slow cooling,3,105 ft,letter,sheet 1\n",
        )
    )


def found(snapshot: Snapshot) -> list[Finding]:
    return [
        f for f in snapshot.findings() if f.kind in ("zones-exceed-kiln", "kiln-length-unexplained")
    ]


def test_forty_feet_are_left_unexplained_and_nothing_contradicts(tmp_path: Path) -> None:
    snapshot = kiln(tmp_path, "62 ft")
    (finding,) = found(snapshot)
    assert (finding.kind, finding.severity) == ("kiln-length-unexplained", Severity.NOTE)
    assert "account for 315 ft of 355 ft" in finding.message
    assert "40 ft are left unexplained" in finding.message
    assert not [f for f in snapshot.findings() if f.severity == Severity.CONTRADICTION]
    assert len(finding.sides) == 4
    assert {side.passage for side in finding.sides} == {"sheet 1"}


def test_a_firing_zone_of_110_ft_is_a_contradiction(tmp_path: Path) -> None:
    (finding,) = found(kiln(tmp_path, "110 ft"))
    assert (finding.kind, finding.severity) == ("zones-exceed-kiln", Severity.CONTRADICTION)
    assert "come to 363 ft, 8 ft more than its overall length of 355 ft" in finding.message
    assert "tables/kiln_zones.csv row 3" in {side.read_from for side in finding.sides}


def test_the_arithmetic_is_exact(tmp_path: Path) -> None:
    snapshot = kiln(tmp_path, "62 ft")
    (each,) = sums(snapshot.belief)
    assert each.zones == 315 * FOOT
    assert each.left == 40 * FOOT
    left = Literal("12.192", datatype=XSD.decimal, normalize=False)
    assert (KILN, GLOST.unexplainedLength, left) in reckon(snapshot.belief)


@pytest.mark.parametrize("overall", ["315 ft", "3780 in", "96.012 m"])
def test_nothing_is_said_when_the_zones_make_the_whole(tmp_path: Path, overall: str) -> None:
    assert found(kiln(tmp_path, "62 ft", overall)) == []
