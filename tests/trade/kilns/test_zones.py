"""Zones against the overall length of a kiln, sums made by hand."""

from fractions import Fraction
from pathlib import Path

import pytest
from rdflib import URIRef

import shelf
from glost.answer.snapshot import Snapshot
from glost.data import vocabulary
from glost.names import GLOST, QUDT, UNIT
from glost.record.belief import Belief
from glost.record.record import read
from glost.trade.kilns.amounts import read_temperature
from glost.trade.kilns.figures import READERS
from glost.trade.kilns.measures import measured, numbers
from glost.trade.kilns.zones import reckon, sums, zone_findings

BASE = "https://example.org/shelf/"
FOOT = Fraction(3048, 10000)

# Of each kiln two zones: its overall length, the source of that, the zones, the source of these.
KILNS = {
    "whole": ("300 ft", "book", "100 ft", "200 ft", "book"),
    "short": ("300 ft", "book", "100 ft", "180 ft", "book"),
    "over": ("300 ft", "book", "100 ft", "210 ft", "book"),
    "about": ("about 300 ft", "book", "100 ft", "210 ft", "book"),
    "about-short": ("about 300 ft", "book", "100 ft", "180 ft", "book"),
    "elsewhere": ("300 ft", "book", "100 ft", "180 ft", "letter"),
    "twice": ("300 ft", "book", "90 ft", "180 ft", "book"),
}


@pytest.fixture(scope="module")
def kilns(tmp_path_factory: pytest.TempPathFactory) -> Belief:
    lengths = "".join(f"{k},p,tunnel,{v[0]},{v[1]}\n" for k, v in KILNS.items())
    zones = "".join(
        f"{k},{at},{kind},{v[1 + at]},{v[4]}\n"
        for k, v in KILNS.items()
        for at, kind in ((1, "preheating"), (2, "firing"))
    )
    empty = dict.fromkeys(shelf.TABLES, "")
    tables = {
        "sources": "source,title,kind\nbook,A book,book\nletter,A letter,letter\n",
        "potteries": "pottery,name,source\nloam,Loam,book\n",
        "plants": "plant,pottery,source\np,loam,book\n",
        # Of two-lengths each source gives another, and no zones.
        "kilns": "kiln,plant,kind,length,source\n" + lengths
        + "two-lengths,p,tunnel,300 ft,book\ntwo-lengths,p,tunnel,310 ft,letter\n",
        # One zone of twice has two lengths from one source.
        "kiln_zones": "kiln,order,zone,length,source\n" + zones + "twice,1,preheating,100 ft,book\n",
    }  # fmt: skip
    return read(
        shelf.write(tmp_path_factory.mktemp("zones") / "shelf", **{**empty, **tables})
    ).believed()


def kiln(name: str) -> URIRef:
    return URIRef(f"{BASE}kiln/{name}")


@pytest.mark.parametrize(
    ("name", "left", "told"),
    [
        ("whole", 0, []),
        ("short", 20, ["kiln-length-unexplained"]),
        ("over", -10, ["zones-exceed-kiln"]),
        ("about", -10, []),  # about 300 ft may be 310
        ("about-short", 20, ["kiln-length-unexplained"]),
        ("elsewhere", 20, ["kiln-length-unexplained"]),  # of another source, for want of its own
        ("twice", 20, ["kiln-length-unexplained"]),  # a zone counts once, by the first as texts go
    ],
)
def test_what_no_zone_accounts_for(kilns: Belief, name: str, left: int, told: list[str]) -> None:
    (found,) = sums(kilns, kiln(name))
    assert found.left == left * FOOT
    assert [f.kind for f in zone_findings(kilns, kilns.worded, kiln(name))] == told


def test_lengths_in_metres_where_sources_agree_and_what_is_left_where_any_is(kilns: Belief) -> None:
    graph = reckon(kilns)
    metres = {name: [str(v) for v in graph.objects(kiln(name), GLOST.lengthInMetres)]
              for name in ("whole", "two-lengths")}  # fmt: skip
    assert metres == {"whole": ["91.44"], "two-lengths": []}
    left = {name: [str(v) for v in graph.objects(kiln(name), GLOST.unexplainedLength)]
            for name in KILNS}  # fmt: skip
    assert left == {
        "whole": [], "short": ["6.096"], "over": [], "about": [], "about-short": ["6.096"],
        "elsewhere": ["6.096"], "twice": ["6.096"],
    }  # fmt: skip


def test_every_measure_has_a_number_in_a_unit_of_qudt() -> None:
    """All lengths of kilns and zones in metres, temperatures in degrees Celsius."""
    words = vocabulary()
    assert set(numbers()) == {
        each
        for each in READERS
        if READERS[each][1] in (READERS[GLOST.innerWidth][1], read_temperature)
    }
    units = {words.value(number, QUDT.hasUnit) for number in numbers().values()}
    assert units == {UNIT.M, UNIT.DEG_C}


def test_measures_as_numbers(tmp_path: Path) -> None:
    """A foot is 0.3048 m; 2250 F is (2250 - 32) / 1.8 C. Neither a range nor a cone is a number."""
    bare = dict.fromkeys(shelf.TABLES, "") | {k: shelf.TABLES[k] for k in ("sources", "potteries")}
    here = shelf.write(
        tmp_path / "c",
        **bare,
        kilns="kiln,kind,length,diameter,height,width,car_pitch,source\n"
        "round,periodic,,18 ft,22 ft,,,letter\nlong,tunnel,355 ft,,,5 ft,6 ft,letter\n",
        kiln_zones="kiln,order,zone,length,temperature,cone,source\n"
        "long,1,firing,62 ft,2250 F,,letter\nlong,2,slow-cooling,10 m,800 to 900 C,,letter\n"
        "long,3,exit,20 ft,,8,letter\n",
    )
    told = {
        (str(s).partition("kiln/")[2] or str(s).rpartition(".")[2], str(p).rpartition("#")[2]): str(
            o
        )
        for s, p, o in measured(Snapshot(here).belief)
    }
    assert told == {
        ("round", "innerDiameterInMetres"): "5.4864",
        ("round", "innerHeightInMetres"): "6.7056",
        ("long", "lengthInMetres"): "108.204",
        ("long", "innerWidthInMetres"): "1.524",
        ("long", "carPitchInMetres"): "1.8288",
        ("firing", "lengthInMetres"): "18.8976",
        ("firing", "temperatureInCelsius"): "1232.2",
        ("slow-cooling", "lengthInMetres"): "10.0",
        ("exit", "lengthInMetres"): "6.096",
    }
