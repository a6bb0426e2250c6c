"""Reports of made-up kilns: what sources say kept apart from what is reckoned, and every assumption told."""

from fractions import Fraction
from pathlib import Path

import pytest
from rdflib import URIRef

from glost.answer.snapshot import Snapshot
from glost.findings import Finding, Severity
from glost.trade.kilns.assumptions import AssumptionError, assumptions, usual
from glost.trade.kilns.cones import ConeError, chart, charts
from glost.trade.kilns.findings import kiln_findings
from glost.trade.kilns.kiln import KilnResult, kiln_result
from glost.trade.kilns.reckoned import Reckoned, number, ranged
from shelf import write

PLANTS = "plant,pottery,number,source\nnew,harrow,2,letter\n"
KILNS = (
    "kiln,plant,kind,firing,length,diameter,height,cars,car_pitch,push_interval,ware_per_car,cycle,"
    "setting,output,replaces,source,locator\n"
)
ZONES = "kiln,zone,order,length,temperature,cone,source,locator\n"


def kiln(name: str, kind: str = "tunnel", source: str = "letter", **cells: str) -> str:
    values = {
        "kiln": name,
        "plant": "new",
        "kind": kind,
        "firing": "bisque",
        "source": source,
        **cells,
    }
    return ",".join(f'"{values.get(column, "")}"' for column in KILNS.strip().split(",")) + "\n"


def snapshot(tmp_path: Path, kilns: str, zones: str = "") -> Snapshot:
    zones = ZONES + zones if zones else ""
    return Snapshot(write(tmp_path / "c", plants=PLANTS, kilns=KILNS + kilns, kiln_zones=zones))


def report(here: Snapshot, name: str, *settings: str, by: str = "") -> KilnResult:
    iri = URIRef(f"https://example.org/shelf/kiln/{name}")
    return kiln_result(
        here.belief, here.graph, iri, assumptions(*settings), chart(by) if by else None
    )


def figures(told: KilnResult) -> dict[tuple[str, str], Reckoned]:
    return {(line.of, line.reckoned.name): line.reckoned for line in told.reckoned}


def found(here: Snapshot, kind: str) -> list[Finding]:
    return [f for f in kiln_findings(here.belief, here.graph) if f.kind == kind]


def test_what_sources_say_is_kept_as_written_with_their_claims(tmp_path: Path) -> None:
    here = snapshot(tmp_path, kiln("t", length='12\' 6""', push_interval="55 min", locator="p. 4"))
    said = {each.what: each for each in report(here, "t").said}
    assert said["overall length"].written == "12' 6\""
    assert said["push interval"].claims[0].passage.locator == "p. 4"


def test_two_sources_span_a_range_and_both_are_told(tmp_path: Path) -> None:
    here = snapshot(
        tmp_path,
        kiln("t", cars="40", push_interval="60 min")
        + kiln("t", "", "cat1908", push_interval="1 h 15 min"),
    )
    time = figures(report(here, "t"))["", "time in the kiln"]
    assert (time.low, time.high) == (40, 50)
    assert len(time.claims) == 2
    assert "60 min or 1 h 15 min" in time.words()
    assert time.inputs[1].disputed


def test_about_is_taken_within_five_per_cent_and_said_to_be(tmp_path: Path) -> None:
    here = snapshot(tmp_path, kiln("t", cars="40", push_interval="about 60 min"))
    time = figures(report(here, "t"))["", "time in the kiln"]
    assert (time.low, time.high) == (38, 42)
    assert "within 5 per cent" in time.assumptions[0]
    wider = figures(report(here, "t", "about=90..110"))["", "time in the kiln"]
    assert (wider.low, wider.high) == (36, 44)


def test_cars_are_reckoned_from_the_length_only_with_a_word_said(tmp_path: Path) -> None:
    here = snapshot(tmp_path, kiln("t", length="302 ft", car_pitch="6 ft", push_interval="60 min"))
    told = figures(report(here, "t"))
    time = told["", "time in the kiln"]
    assert (time.low, time.high) == (50, 51)  # 302 / 6 is 50 1/3
    assert time.assumptions
    assert ("", "length taken up by cars") not in told


def test_no_figure_is_reckoned_where_something_is_wanting(tmp_path: Path) -> None:
    here = snapshot(tmp_path, kiln("t", length="300 ft"))
    assert report(here, "t").reckoned == ()


def test_metric_lengths_stay_metric(tmp_path: Path) -> None:
    here = snapshot(tmp_path, kiln("t", car_pitch="1.8 m", push_interval="40 min"))
    assert figures(report(here, "t"))["", "speed"].value() == "2.7 m/h"


def test_rates_go_from_temperature_to_temperature(tmp_path: Path) -> None:
    """Pitch 5 ft, push 30 min: 10 ft/h. Preheating 100 ft to 900 C, firing 50 ft at 1220 C, rapid cooling
    20 ft, slow cooling 80 ft from 720 C.
    """
    rows = [("preheating", "100 ft", "900 C"), ("firing", "50 ft", "1220 C"), ("rapid-cooling", "20 ft", ""),
            ("slow-cooling", "80 ft", "720 C")]  # fmt: skip
    zones = "".join(
        f"t,{z},{n},{length},{heat},,letter,\n" for n, (z, length, heat) in enumerate(rows, 1)
    )
    here = snapshot(
        tmp_path, kiln("t", length="250 ft", car_pitch="5 ft", push_interval="30 min"), zones
    )
    told = figures(report(here, "t", "entry-temperature=20", "exit-temperature=80"))
    heating = told["preheating zone", "average rate of heating"]
    assert heating.low == heating.high == 88  # 880 C in 10 h
    assert told["rapid-cooling zone", "average rate of cooling"].low == -250  # 500 C in 2 h
    assert told["slow-cooling zone", "average rate of cooling"].low == -80  # 640 C in 8 h
    assert told["firing zone", "time in the zone"].low == 5
    assert told["firing zone", "share of the overall length"].low == 20


def test_rates_are_told_as_the_bounds_they_are(tmp_path: Path) -> None:
    """Pitch 5 ft, push 30 min: 10 ft/h. Preheating 100 ft, firing 50 ft at 1220 C, cooling 95 ft.

    The ware may come to 1220 C at the start of the firing zone or only at its end: between 1200 C in
    10 h and in 15 h. It leaves the firing zone at 1220 C at the most: 1140 C in 9.5 h at the most.
    """
    zones = "t,preheating,1,100 ft,,,letter,\nt,firing,2,50 ft,1220 C,,letter,\nt,cooling,3,95 ft,,,letter,\n"
    here = snapshot(
        tmp_path, kiln("t", length="250 ft", car_pitch="5 ft", push_interval="30 min"), zones
    )
    told = figures(report(here, "t", "entry-temperature=20", "exit-temperature=80"))
    upper = told["preheating zone", "average rate of heating"]
    assert upper.value() == "no faster than 120 C/h"
    assert (
        "an upper figure, for the highest temperature may be reached only within" in upper.words()
    )
    both = "preheating zone, firing zone"
    lower = told[both, "average rate of heating up to the highest temperature"]
    assert lower.value() == "no slower than 80 C/h"
    assert "a lower figure, for the highest temperature is reached by the end" in lower.words()
    cooling = told["cooling zone", "average rate of cooling"]
    assert cooling.value() == "no faster than -120 C/h"
    assert (
        "an upper figure, for the ware may begin to cool within the firing zone" in cooling.words()
    )
    assert lower.limit == "no slower than"


def test_a_zone_with_a_temperature_of_its_own_has_a_plain_rate(tmp_path: Path) -> None:
    zones = "t,preheating,1,100 ft,900 C,,letter,\nt,firing,2,50 ft,1220 C,,letter,\n"
    here = snapshot(tmp_path, kiln("t", car_pitch="5 ft", push_interval="30 min"), zones)
    told = figures(report(here, "t", "entry-temperature=20"))
    assert told["preheating zone", "average rate of heating"].value() == "88 C/h"


def test_two_blueprints_are_never_added_up(tmp_path: Path) -> None:
    zones = "t,firing,1,60 ft,,,letter,\nt,firing,1,50 ft,,,cat1908,\n"
    here = snapshot(tmp_path, kiln("t", length="300 ft"), zones)
    shares = sorted(line.reckoned.low for line in report(here, "t").reckoned)
    assert shares == [Fraction(50, 3), 20]
    assert {line.of for line in report(here, "t").reckoned} == {
        "firing zone by Catalogue No. 4", "firing zone by [Letter of a traveller]",
    }  # fmt: skip


def test_cones_stay_cones_unless_a_chart_is_named(tmp_path: Path) -> None:
    zones = "t,preheating,1,100 ft,,,letter,\nt,firing,2,50 ft,,018,letter,\n"
    here = snapshot(tmp_path, kiln("t", car_pitch="5 ft", push_interval="30 min"), zones)
    told = report(here, "t")
    assert ("cone", "018") in {(each.what, each.written) for each in told.said}
    assert not any("rate" in name for _, name in figures(told))
    for name, end in (("large_150_older", 717), ("ssb_150", 734)):
        rate = figures(report(here, "t", "entry-temperature=17", by=name))[
            "preheating zone", "average rate of heating"
        ]
        assert rate.low == Fraction(end - 17, 10)
        assert "150 C/h" in " ".join(rate.assumptions)
        assert rate.inputs[1].given == ("cone 018",)


def test_two_cones_of_a_zone_span_a_range(tmp_path: Path) -> None:
    zones = "t,preheating,1,100 ft,,,letter,\nt,firing,2,50 ft,,018,letter,\nt,firing,2,,,017,cat1908,\n"
    here = snapshot(tmp_path, kiln("t", car_pitch="5 ft", push_interval="30 min"), zones)
    told = figures(report(here, "t", "entry-temperature=17", by="large_150_older"))
    rate = told["preheating zone", "average rate of heating"]
    assert (rate.low, rate.high) == (70, 73)  # 717 and 747 C
    assert set(rate.inputs[1].given) == {"cone 017", "cone 018"}
    cone = told["firing zone", "temperature of its cone"]
    assert cone.value() == "717 to 747 C"
    assert "an older chart" in cone.assumptions[0]


def test_a_cone_no_chart_holds_is_refused() -> None:
    with pytest.raises(ConeError, match='no cone "13"'):
        chart("ssb_60").temperature("13")
    with pytest.raises(ConeError, match="did you mean"):
        chart("ssb_16")
    assert chart("ssb_60").temperature("Cone 8").low == 1249
    for each in charts().values():
        assert each.standing
        assert each.ends


def test_assumptions_may_be_set_and_mistakes_in_them_are_told() -> None:
    assert assumptions("days-in-use=350")["days-in-use"].low == 350
    assert usual()["days-in-use"].low == 300
    for wrong, word in (("day-in-use=3", "days-in-use"), ("cycle=9..3", "no range"), ("cycle=x", "cycle=12..16"),
                        ("cycle=0", "no range")):  # fmt: skip
        with pytest.raises(AssumptionError, match=word):
            assumptions(wrong)
    for each in usual().values():
        assert each.ground
        assert each.low <= each.high


def test_every_figure_that_rests_on_an_assumption_is_a_range_or_was_set(tmp_path: Path) -> None:
    here = snapshot(tmp_path, kiln("b", "bottle", diameter="16 ft", setting="1,900 saggars"))
    told = report(here, "b")
    assert {name for _, name in figures(told)} == {
        "firings a year", "output", "output of a year", "room in the chamber",
    }  # fmt: skip
    for each in figures(told).values():
        assert each.low < each.high
        assert each.assumptions
        assert all(text in each.words() for text in each.assumptions)


def test_output_is_told_in_the_unit_ware_was_counted_in(tmp_path: Path) -> None:
    here = snapshot(tmp_path, kiln("b", "bottle", cycle="10 days", setting="1,900 saggars"))
    assert figures(report(here, "b"))["", "output"].value() == "190 saggars a day"


def test_kilns_that_would_make_as_much_by_the_figures_of_the_one_replaced(tmp_path: Path) -> None:
    old = kiln("b", "bottle", cycle="14 days", setting="2,800 dozen")
    new = kiln("t", push_interval="60 min", ware_per_car="100 dozen", replaces="b")
    many = figures(report(snapshot(tmp_path, old + new), "t"))[
        "", "periodic kilns that would make as much"
    ]
    assert (many.low, many.high) == (12, 12)
    assert not many.assumptions
    assert len(many.claims) == 2


def test_cars_that_do_not_go_into_the_kiln_are_a_contradiction(tmp_path: Path) -> None:
    here = snapshot(
        tmp_path, kiln("t", length="300 ft", cars="58", car_pitch="6 ft", locator="sheet 2")
    )
    (finding,) = found(here, "cars-exceed-kiln")
    assert finding.severity == Severity.CONTRADICTION
    assert "58 cars of 6 ft come to 348 ft" in finding.message
    assert [side.passage for side in finding.sides] == ["sheet 2"]


@pytest.mark.parametrize(("length", "notes"), [("342 ft", 0), ("354 ft", 0), ("355 ft", 1)])
def test_a_cars_length_either_way_is_let_pass(tmp_path: Path, length: str, notes: int) -> None:
    here = snapshot(tmp_path, kiln("t", length=length, cars="58", car_pitch="6 ft"))
    assert found(here, "cars-exceed-kiln") == []
    assert len(found(here, "length-without-cars")) == notes


def test_a_setting_larger_than_its_chamber_is_a_contradiction(tmp_path: Path) -> None:
    """1,000 round saggars of 12 by 12 in take 785 cubic ft; a chamber 8 ft across and 9.6 high holds 483."""
    here = snapshot(
        tmp_path, kiln("b", "bottle", diameter="8 ft", setting="1,000 round saggars 12 in x 12 in")
    )
    (finding,) = found(here, "setting-exceeds-chamber")
    assert "785.4 cubic ft" in finding.message
    assert "482.55" in finding.message


@pytest.mark.parametrize(
    ("stated", "wrong"),
    [("2,400 dozen a day", 0), ("2,500 dozen a day", 0), ("2,600 dozen a day", 1), ("over 2,000 dozen a day", 0),
     ("up to 3,000 dozen a day", 0), ("about 2,000 dozen a day", 1), ("900 saggars a day", 0)],
)  # fmt: skip
def test_a_stated_output_is_set_against_the_one_reckoned(
    tmp_path: Path, stated: str, wrong: int
) -> None:
    """24 cars of 100 dozen make 2,400 dozen a day."""
    here = snapshot(
        tmp_path, kiln("t", push_interval="60 min", ware_per_car="100 dozen", output=stated)
    )
    assert len(found(here, "output-disagrees")) == wrong


def test_texts_that_are_no_figures_are_found_and_kept(tmp_path: Path) -> None:
    here = snapshot(tmp_path, kiln("t", push_interval="now and then", ware_per_car="a good deal"))
    assert {f.message.split('"')[1] for f in found(here, "amount-not-understood")} == {
        "now and then",
        "a good deal",
    }
    assert report(here, "t").reckoned == ()


def test_a_slip_of_the_pen_does_not_pass_unseen(tmp_path: Path) -> None:
    here = snapshot(
        tmp_path, kiln("t", push_interval="550 min"), "t,firing,1,50 ft,12150 C,,letter,sheet 3\n"
    )
    messages = sorted(f.message for f in found(here, "figure-unusual"))
    assert len(messages) == 2
    assert "12150 C" in messages[0]
    assert "550 min" in messages[1]


def test_reports_carry_the_cautions_and_never_call_a_kiln_fit(tmp_path: Path) -> None:
    told = report(snapshot(tmp_path, kiln("t", length="300 ft")), "t")
    text = " ".join(caution.text for caution in told.cautions)
    for word in ("confined space", "fall", "silica", "asbestos", "local codes", "history"):
        assert word in text
    assert "safe" not in str(told).casefold()


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (Fraction(288, 11), "26.18"),
        (Fraction(80064, 11), "7,278.5"),
        (Fraction(12232), "12,232"),
        (Fraction(1, 300), "0.0033"),
        (Fraction(0), "0"),
    ],
)
def test_figures_are_written_short(value: Fraction, text: str) -> None:
    assert number(value) == text


def test_ranges_are_written_with_their_unit() -> None:
    assert ranged(Fraction(1), Fraction(2), "degC") == "1 to 2 C"
    assert ranged(Fraction(1), Fraction(1), "saggar a day") == "1 saggars a day"


def test_the_length_taken_up_needs_cars_and_pitch_from_a_source(tmp_path: Path) -> None:
    """A pitch that follows from the length takes up the whole of it, which tells nothing."""
    rows = kiln("t", cars="50", length="300 ft", push_interval="60 min")
    rows += kiln("u", cars="45", length="300 ft", push_interval="60 min", car_pitch="6 ft")
    here = snapshot(tmp_path, rows)
    assert ("", "length taken up by cars") not in figures(report(here, "t"))
    assert figures(report(here, "u"))["", "length taken up by cars"].low == 90


def test_a_kiln_measured_in_feet_anywhere_is_reckoned_in_feet(tmp_path: Path) -> None:
    here = snapshot(tmp_path, kiln("t", length="90 m", car_pitch="6 ft", push_interval="60 min"))
    assert figures(report(here, "t"))["", "speed"].value() == "6 ft/h"


def test_what_is_assumed_of_bottle_kilns_is_assumed_of_no_other(tmp_path: Path) -> None:
    """*Common practice*: cycle and height of a bottle kiln are known roughly; of others not."""
    cells = {"diameter": "8 ft", "setting": "1,000 round saggars 12 in x 12 in"}
    here = snapshot(tmp_path, kiln("b", "bottle", **cells) + kiln("m", "muffle", **cells))
    names = {"firings a year", "room in the chamber", "output"}
    assert names <= {name for _, name in figures(report(here, "b"))}
    assert not names & {name for _, name in figures(report(here, "m"))}


def test_two_settings_take_from_the_room_of_the_one_to_that_of_the_other(tmp_path: Path) -> None:
    """100 square saggars of a cubic foot each by one source, 120 by another."""
    rows = kiln("b", "bottle", setting="100 square saggars 12 x 12 x 12 in")
    rows += kiln("b", "", "cat1908", setting="120 square saggars 12 x 12 x 12 in")
    room = figures(report(snapshot(tmp_path, rows), "b"))["", "room the setting takes"]
    assert (room.low, room.high) == (100, 120)
