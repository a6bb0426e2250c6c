"""What date codes read on pieces say of them, and what they bring to light."""

import pytest

from glost.findings import Finding
from glost.record.belief import Belief
from glost.record.dates import day_number
from glost.trade.codes import piece_dates
from glost.trade.codes.findings import code_findings
from glost.trade.codes.schemes import schemes
from shelf_of_codes import Believe

PIECES = "piece,pottery,shape,form,treatment,number_read,mark,date_code,made,source\n"
FIRST, LAST = day_number(1912, 4, 1), day_number(1912, 4, 30)


def dated(belief: Belief) -> list[tuple[str, str, int | None, int | None]]:
    found = piece_dates(belief, schemes(belief))
    return [(str(d.piece).rsplit("/", 1)[-1], d.point, d.earliest, d.latest) for d in found]


def found(belief: Belief, kind: str = "") -> list[Finding]:
    every = list(code_findings(belief, belief.graph))
    return [f for f in every if not kind or f.kind == kind]


@pytest.mark.parametrize(
    ("mark", "expected"),
    [
        ("under", [("p1", "made", FIRST, LAST)]),
        ("over", [("p1", "decorated", FIRST, LAST)]),
        ("stuck", [("p1", "decorated", None, LAST)]),
        ("bare", [("p1", "made", None, LAST), ("p1", "decorated", FIRST, None)]),
        ("old-works", []),
    ],
)
def test_what_a_code_dates_depends_on_how_its_mark_was_put_on(
    believe: Believe, mark: str, expected: list[tuple[str, str, int | None, int | None]]
) -> None:
    assert dated(believe(pieces=PIECES + f"p1,harrow,birch,,,,{mark},L12Y,,\n")) == expected


def test_a_worn_code_dates_by_all_it_may_be_and_names_their_claims(believe: Believe) -> None:
    belief = believe(
        pieces=PIECES + "p1,harrow,birch,,,,under,?12Y,,\np2,harrow,birch,,,,under,Z,,\n"
    )
    (only,) = piece_dates(belief, schemes(belief))
    assert (only.earliest, only.latest) == (day_number(1912, 3, 1), LAST)
    assert {c.id for c in only.claims} >= {"month-k", "month-l", "year", "works-y"}
    tables = {claim.origin.table for claim in only.claims}
    assert tables == {"pieces", "marks", "code_schemes", "code_parts"}


def test_readings_out_of_force_are_left_out_and_the_claims_for_that_named(believe: Believe) -> None:
    belief = believe(pieces=PIECES + "p1,harrow,birch,,,,under,L?9X,,\n")
    (only,) = piece_dates(belief, schemes(belief))
    assert (only.earliest, only.latest) == (day_number(1909, 4, 1), day_number(1919, 4, 30))
    letter = {c for c in only.claims if c.origin.table == "code_schemes"}
    assert {c.passage.locator for c in letter} == {"third page"}


def test_sound_codes_bring_nothing_to_light(believe: Believe) -> None:
    pieces = (
        PIECES
        + "p1,harrow,birch,plate,b7,B7,under,L12Y,,\np2,harrow,alder,plate,a12,A1?,over,?1?X,,\n"
    )
    assert found(believe(pieces=pieces)) == []


def test_a_number_that_fits_no_scheme(believe: Believe) -> None:
    pieces = PIECES + "p1,harrow,birch,,,C9,under,99,,\n"
    treatments = "treatment,pottery,number,shape,source\nodd,harrow,A-12,alder,cat1908\n"
    belief = believe(pieces=pieces, treatments=treatments)
    messages = [f.message for f in found(belief, "number-fits-no-scheme")]
    assert [m.split(",")[0] for m in messages] == ['"A-12"', '"C9"', '"99"']
    for finding in found(belief, "number-fits-no-scheme"):
        assert finding.sides and finding.remedy


def test_numbers_of_a_pottery_without_schemes_are_left_alone(believe: Believe) -> None:
    potteries = "pottery,name,source\nharrow,Harrow,cat1908\nfell,Fell,cat1908\n"
    treatments = "treatment,pottery,number,source\nodd,fell,??-12,cat1908\n"
    assert found(believe(potteries=potteries, treatments=treatments, pieces="")) == []


def test_a_number_two_schemes_in_force_read_differently(believe: Believe) -> None:
    later = "later,harrow,treatment-number,{line}{run},1921,,letter,\n"
    parts = "later,line,B,shape,shape/alder,,,,,,letter,,\nlater,run,,running-number,,,,digits,,,letter,,\n"
    treatments = "treatment,pottery,number,begin,end,source\nb7,harrow,B7,,{},cat1908\n"
    both = believe(schemes=later, parts=parts, treatments=treatments.format(""), pieces="")
    (finding,) = found(both)
    assert finding.kind == "number-read-differently"
    assert "in 2 ways by schemes in force at the same time" in finding.message
    assert {side.source for side in finding.sides} == {
        "Catalogue No. 4, 1908",
        "[Letter of a traveller], 1912",
    }


def test_a_scheme_that_came_later_does_not_read_an_earlier_number(believe: Believe) -> None:
    later = "later,harrow,treatment-number,{line}{run},1921,,letter,\n"
    parts = "later,line,B,shape,shape/alder,,,,,,letter,,\nlater,run,,running-number,,,,digits,,,letter,,\n"
    treatments = "treatment,pottery,number,begin,end,source\nb7,harrow,B7,,1915,cat1908\n"
    assert found(believe(schemes=later, parts=parts, treatments=treatments, pieces="")) == []


def test_a_code_from_before_its_scheme(believe: Believe) -> None:
    (finding,) = found(
        believe(pieces=PIECES + "p1,harrow,birch,,,,under,L07X,,\n"), "code-out-of-force"
    )
    assert "tells 1907-04, when its scheme is said not to have been in use" in finding.message


def test_a_home_shape_that_is_not_what_the_number_says(believe: Believe) -> None:
    treatments = "treatment,pottery,number,shape,source\nx,harrow,A1,birch,cat1908\n"
    (finding,) = found(believe(treatments=treatments, pieces=""))
    assert (finding.kind, finding.message) == (
        "decoded-otherwise",
        '"A1" of A1 tells the shape Alder, but Birch is claimed.',
    )


def test_a_plant_that_is_not_what_another_mark_says(believe: Believe) -> None:
    pieces = PIECES + "p1,harrow,birch,,,,under|old-works,{},,\n"
    (finding,) = found(believe(pieces=pieces.format("L12Y")))
    assert (
        finding.kind == "decoded-otherwise"
        and "tells the plant Plant no. 2, Harrow Pottery" in finding.message
    )


def test_a_number_of_another_shape_where_no_treatment_is_named(believe: Believe) -> None:
    pieces = PIECES + "p1,harrow,birch,plate,,A9,,,,\np2,harrow,birch,plate,a12,A9,,,,\n"
    (finding,) = found(believe(pieces=pieces))
    assert finding.about[0].endswith("/p1")


@pytest.mark.parametrize(
    ("cells", "outside"),
    [
        ("p1,harrow,birch,,,,under,L12Y,1912,", ""),
        ("p1,harrow,birch,,,,under,L12Y,1913,", "date of making of Birch piece 1913"),
        ("p1,harrow,birch,,,,under,L10Y,,", "start of Birch 1911"),
        ("p1,harrow,birch,,,,over,L10Y,,", "start of Birch 1911"),
    ],
)
def test_a_code_outside_the_life_of_what_bears_it(
    believe: Believe, cells: str, outside: str
) -> None:
    every = found(believe(pieces=PIECES + cells + "\n"), "decoded-outside-life")
    assert [f.message.rsplit("life: ", 1)[-1].rstrip(".") for f in every] == [outside] * bool(
        outside
    )
    for finding in every:
        assert len(finding.sides) >= 6


@pytest.mark.parametrize(("mark", "kinds"), [("under", ["decoded-outside-life"]), ("over", [])])
def test_blanks_may_be_decorated_after_their_shape_ended(
    believe: Believe, mark: str, kinds: list[str]
) -> None:
    shapes = (
        "shape,pottery,name,begin,end,source\nbirch,harrow,Birch,1908,1911,letter\n"
        "alder,harrow,Alder,,,letter\n"
    )
    belief = believe(shapes=shapes, pieces=PIECES + f"p1,harrow,birch,,,,{mark},L12Y,,\n")
    assert [f.kind for f in found(belief)] == kinds


def test_an_exception_about_a_part_there_is_not(believe: Believe) -> None:
    belief = believe(parts="dates,works,X,plant,plant/new,,,,yaer=12,,letter,,\n", pieces="")
    (finding,) = found(belief)
    assert finding.kind == "scheme-not-understood" and "yaer" in finding.message


def test_a_pattern_not_understood_is_found(believe: Believe) -> None:
    (finding,) = found(believe(schemes="odd,harrow,date,{line,,,letter,\n", pieces=""))
    assert finding.kind == "scheme-not-understood" and finding.sides
