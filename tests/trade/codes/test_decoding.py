"""One code read by schemes: every reading, its parts, its days, and the claims under it."""

from dataclasses import replace

import pytest
from rdflib import URIRef

from glost.record.dates import day_number
from glost.trade.codes import CodeError, CodeScheme, Reading, decode, problems
from glost.trade.codes.decoding import Decoded
from glost.trade.codes.lives import life
from glost.trade.codes.schemes import schemes
from shelf_of_codes import Believe

BASE = "https://example.org/shelf/"


def named(known: tuple[CodeScheme, ...], name: str) -> CodeScheme:
    return next(scheme for scheme in known if str(scheme.iri) == f"{BASE}scheme/{name}")


def told(reading: Reading) -> dict[str, str]:
    return {kind: str(thing).removeprefix(BASE) for kind, thing in reading.things.items()}


def claims(reading: Reading) -> set[str]:
    return {claim.id for claim in reading.claims}


def test_a_number_tells_its_home_shape_and_the_claims_for_it(believe: Believe) -> None:
    known = schemes(believe())
    (reading,) = decode(" B207 ", known).readings
    assert told(reading) == {"shape": "shape/birch"}
    assert [(part.name, part.value) for part in reading.parts] == [("line", "B"), ("run", "207")]
    assert (reading.earliest, reading.latest, reading.in_force) == (None, None, "")
    assert {"line-b", "run"} < claims(reading)
    assert "line-a" not in claims(reading)
    assert {c.passage.locator for c in reading.scheme.claims} == {"p. 9"}


def test_a_date_code_tells_inclusive_days_and_the_plant(believe: Believe) -> None:
    (reading,) = decode("L12Y", schemes(believe())).readings
    assert told(reading) == {"plant": "plant/new"}
    assert (reading.earliest, reading.latest) == (day_number(1912, 4, 1), day_number(1912, 4, 30))
    assert reading.in_force == "certainly"
    assert claims(reading) >= {"month-l", "year", "works-y"}


@pytest.mark.parametrize(
    ("code", "force"),
    [
        ("K07X", "no"),
        ("K08X", "possibly"),
        ("K09X", "certainly"),
        ("K20X", "possibly"),
        ("K21X", "no"),
    ],
)
def test_whether_the_scheme_was_in_force(believe: Believe, code: str, force: str) -> None:
    (reading,) = decode(code, schemes(believe())).readings
    assert reading.in_force == force


@pytest.mark.parametrize(
    "code", ["", "C12Y", "L1Y", "L123Y", "LY", "l12y", "L12", "12", "A", "L12YY"]
)
def test_what_does_not_fit_has_no_reading(believe: Believe, code: str) -> None:
    assert decode(code, schemes(believe())).readings == ()


def test_worn_characters_give_the_set_of_readings(believe: Believe) -> None:
    found = decode("?1?X", schemes(believe()))
    assert found.unreadable == ("month", "year")
    assert [reading.code for reading in found.readings if reading.in_force != "no"] == [
        f"{month}1{figure}X" for month in "KL" for figure in range(10)
    ]
    assert found.span == (day_number(1910, 3, 1), day_number(1919, 4, 30))
    assert {reading.unreadable for reading in found.readings} == {("month", "year")}


def test_a_worn_running_number_stays_open(believe: Believe) -> None:
    (reading,) = decode("A1?", schemes(believe())).readings
    assert reading.code == "A1?"
    assert reading.unreadable == ("run",)
    assert told(reading) == {"shape": "shape/alder"}


def test_what_is_too_worn_is_refused_with_a_remedy(believe: Believe) -> None:
    wide = "wide,harrow,date,{year}-{month}-{day},,,letter,\n"
    parts = (
        "wide,year,,year,,,,4 digits,,,letter,,\nwide,month,,month,,,,2 digits,,,letter,,\n"
        "wide,day,,day,,,,2 digits,,,letter,,\n"
    )
    known = schemes(believe(schemes=wide, parts=parts))
    with pytest.raises(CodeError, match="more than 20000 ways; give more of its characters"):
        decode("????-??-??", known)
    assert len(decode("191?-02-29", known).readings) == 2
    assert decode("1912-02-30", known).readings == ()
    assert decode("1912-13-01", known).readings == ()


def test_two_sources_that_differ_give_two_readings(believe: Believe) -> None:
    more = "dates,month,K,month,,,5,,,,cat1908,p. 2,month-k-otherwise\n"
    found = decode("K10X", schemes(believe(parts=more)))
    assert found.differs
    assert sorted((r.earliest or 0, "month-k" in claims(r)) for r in found.readings) == [
        (day_number(1910, 3, 1), True),
        (day_number(1910, 5, 1), False),
    ]


def test_two_sources_that_agree_stand_under_one_reading(believe: Believe) -> None:
    more = "dates,month,K,month,,,3,,,,cat1908,p. 2,month-k-again\n"
    (reading,) = decode("K10X", schemes(believe(parts=more))).readings
    assert {"month-k", "month-k-again"} < claims(reading)


def test_a_row_that_gives_no_meaning_supports_the_one_that_does(believe: Believe) -> None:
    more = "dates,works,X,plant,,,,,,,cat1908,p. 2,works-x-seen\n"
    (reading,) = decode("K10X", schemes(believe(parts=more))).readings
    assert {"works-x", "works-x-seen"} < claims(reading)


def test_two_patterns_claimed_for_one_scheme_are_both_tried(believe: Believe) -> None:
    other = "dates,harrow,date,{year}{month}{works},,,cat1908,p. 4\n"
    known = schemes(believe(schemes=other))
    assert [s.pattern for s in known if str(s.iri).endswith("/dates")] == [
        "{month}{year}{works}",
        "{year}{month}{works}",
    ]
    (reading,) = decode("12LY", known).readings
    assert {c.passage.locator for c in reading.scheme.claims} == {"p. 4"}


def test_schemes_overlap_in_the_year_of_change(believe: Believe) -> None:
    later = "later,harrow,date,{month}{year}{works},1920,1930,letter,\n"
    parts = (
        "later,month,K,month,,,11,,,,letter,,\nlater,year,,year,,1900,,2 digits,,,letter,,\n"
        "later,works,X,plant,plant/old,,,,,,letter,,\n"
    )
    known = schemes(believe(schemes=later, parts=parts))
    both = decode("K20X", known)
    assert both.differs
    assert {str(r.scheme.iri).rsplit("/", 1)[-1] for r in both.possible} == {"dates", "later"}
    assert both.span == (day_number(1920, 3, 1), day_number(1920, 11, 30))
    after = decode("K25X", known)
    assert not after.differs
    assert [r.in_force for r in after.readings] == ["certainly", "no"]
    assert after.span == (day_number(1925, 11, 1), day_number(1925, 11, 30))
    assert {c.id for c in after.claims} >= {c.id for c in named(known, "dates").life}


def test_when_a_number_was_written_says_which_scheme_was_in_force(believe: Believe) -> None:
    later = "later,harrow,treatment-number,{line}{run},1921,,letter,\n"
    parts = "later,line,B,shape,shape/alder,,,,,,letter,,\nlater,run,,running-number,,,,digits,,,letter,,\n"
    known = schemes(believe(schemes=later, parts=parts))
    assert decode("B7", known).differs
    early = decode("B7", known, (None, day_number(1919, 12, 31)))
    assert [told(r)["shape"] for r in early.possible] == ["shape/birch"]


def test_an_exception_stands_in_place_of_the_ordinary(believe: Believe) -> None:
    more = "numbers,line,B,shape,shape/alder,,,,B77,,letter,p. 5,line-b-77\n"
    known = schemes(believe(parts=more))
    (exception,) = decode("B77", known).readings
    assert told(exception) == {"shape": "shape/alder"}
    assert "line-b-77" in claims(exception) and "line-b" not in claims(exception)
    (ordinary,) = decode("B78", known).readings
    assert told(ordinary) == {"shape": "shape/birch"}
    worn = decode("B7?", known)
    assert {told(r)["shape"] for r in worn.readings} == {"shape/alder", "shape/birch"}


def test_an_exception_may_leave_the_ordinary_possible(believe: Believe) -> None:
    more = "dates,month,K,month,,,5,,year=10..12 works=X,yes,letter,p. 5,k-also\n"
    known = schemes(believe(parts=more))
    assert sorted(r.latest or 0 for r in decode("K11X", known).readings) == [
        day_number(1911, 3, 31),
        day_number(1911, 5, 31),
    ]
    assert len(decode("K11Y", known).readings) == len(decode("K13X", known).readings) == 1


def test_a_value_that_is_known_as_an_exception_only(believe: Believe) -> None:
    more = "dates,works,Z,plant,plant/new,,,,month=K,,letter,p. 5,\n"
    known = schemes(believe(parts=more))
    assert len(decode("K11Z", known).readings) == 1
    assert decode("L11Z", known).readings == ()


def test_a_value_in_the_table_goes_before_counting(believe: Believe) -> None:
    more = (
        "dates,year,00,year,,1920,,,,,letter,p. 5,\ndates,year,13,year,,1914,,,month=L,,letter,,\n"
    )
    known = schemes(believe(parts=more))
    years = {
        code: decode(code, known).readings[0].parts[1].year for code in ("K00X", "L13X", "K13X")
    }
    assert years == {"K00X": 1920, "L13X": 1914, "K13X": 1913}


def test_letters_count_from_one_and_run_on_past_z(believe: Believe) -> None:
    counted = "counted,harrow,date,{year},,,letter,\n"
    parts = "counted,year,,year,,1900,,letters,,,letter,,\n"
    scheme = named(schemes(believe(schemes=counted, parts=parts)), "counted")
    assert [scheme.decode(t)[0].parts[0].year for t in ("A", "Z", "AA")] == [1901, 1926, 1927]


def test_a_quarter_is_three_months_and_a_split_may_be_made_in_two_ways(believe: Believe) -> None:
    more = "quarters,harrow,date,{quarter}{year},,,letter,\n"
    parts = (
        "quarters,quarter,,quarter,,,,digits,,,letter,,\nquarters,quarter,1b,quarter,,,10,,,,letter,,\n"
        "quarters,year,,year,,1900,,1-2 digits,,,letter,,\nquarters,year,b7,year,,1950,,,,,letter,,\n"
    )
    scheme = named(schemes(believe(schemes=more, parts=parts)), "quarters")
    (reading,) = scheme.decode("212")
    assert (reading.earliest, reading.latest) == (day_number(1912, 4, 1), day_number(1912, 6, 30))
    assert scheme.decode("207") == ()
    spans = [(r.earliest, r.latest) for r in scheme.decode("1b7")]
    assert sorted(spans) == [
        (day_number(1907, 10, 1), day_number(1907, 12, 31)),
        (day_number(1950, 1, 1), day_number(1950, 3, 31)),
    ]


@pytest.mark.parametrize("pattern", ["{line}{line}", "{line", "line}", "{}{run}", "plain"])
def test_a_pattern_that_cannot_be_understood_is_a_problem(believe: Believe, pattern: str) -> None:
    belief = believe(schemes=f"odd,harrow,date,{pattern},,,letter,\n")
    assert all(not str(scheme.iri).endswith("/odd") for scheme in schemes(belief))
    (problem,) = problems(belief)
    assert str(problem.about).endswith("/odd") and pattern in problem.message


def test_a_part_that_cannot_be_understood_is_a_problem_and_the_rest_is_read(
    believe: Believe,
) -> None:
    more = (
        "dates,works,,series,,,,three figures,,,letter,,\n"
        "dates,works,W,plant,plant/old,,,,year=,,letter,,\n"
        "dates,works,V,plant,plant/old,,,,;,,letter,,\n"
    )
    belief = believe(parts=more)
    assert [p.statement[2].toPython() for p in problems(belief)] == ["three figures", ";", "year="]
    assert len(decode("K11X", schemes(belief)).readings) == 1


@pytest.mark.parametrize("side", ["earliest", "latest"])
def test_a_reading_open_on_one_side_leaves_the_span_open(believe: Believe, side: str) -> None:
    (reading,) = decode("L12Y", schemes(believe())).readings
    whole, open_ = Decoded("L12Y", (reading,)), replace(reading, **{side: None})
    assert whole.span == (day_number(1912, 4, 1), day_number(1912, 4, 30))
    assert Decoded("L12Y", (reading, open_)).span == (None, None)


@pytest.mark.parametrize(
    ("begins", "ends", "expected"),
    [
        ("1908 1910", "1920 1922", (day_number(1908, 1, 1), day_number(1922, 12, 31))),
        ("1908 ../1910", "1920 1922", (None, day_number(1922, 12, 31))),
        ("1908 1910", "1920 1922/..", (day_number(1908, 1, 1), None)),
    ],
)
def test_a_life_is_as_long_as_any_source_lets_it_be(
    believe: Believe, begins: str, ends: str, expected: tuple[int | None, int | None]
) -> None:
    rows = "shape,pottery,name,begin,end,source,locator\n" + "".join(
        f"oak,harrow,Oak,{begin},{end},letter,p. {at}\n"
        for at, (begin, end) in enumerate(zip(begins.split(), ends.split(), strict=True))
    )
    belief = believe(shapes=rows, flatware="", treatments="", pieces="", assortments="",
                     code_schemes="", code_parts="", marks="")  # fmt: skip
    assert life(belief, URIRef(f"{BASE}shape/oak")) == expected
