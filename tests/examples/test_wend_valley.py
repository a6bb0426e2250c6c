"""The large example holds what it promises: size, uneven cover and honest disagreements."""

from collections.abc import Callable
from fractions import Fraction

import pytest

from glost.record.dates import read as read_date

Rows = Callable[[str], list[dict[str, str]]]


@pytest.mark.parametrize(
    ("table", "column", "least"),
    [
        ("potteries", "pottery", 3),
        ("shapes", "shape", 14),
        ("decals", "decal", 40),
        ("treatments", "treatment", 120),
        ("marks", "mark", 30),
        ("pieces", "piece", 150),
        ("sources", "source", 25),
        ("sources", "kind", 8),
        ("plants", "plant", 5),
        ("kilns", "kiln", 24),
        ("corrections", "withdraws", 4),
        ("assortments", "catalogue", 10),
    ],
)
def test_how_much_there_is(rows: Rows, table: str, column: str, least: int) -> None:
    assert len({row[column] for row in rows(table)} - {""}) >= least


def test_six_hundred_offers_over_forty_years(rows: Rows) -> None:
    assert len(rows("assortments")) >= 600
    years = [read_date(row["begin"]).earliest for row in rows("shapes") if row["begin"]]
    ends = [read_date(row["end"]).latest for row in rows("shapes") if row["end"]]
    known = [day for day in [*years, *ends] if day is not None]
    assert (max(known) - min(known)) / 365.25 >= 40


def test_no_offer_is_listed_twice(rows: Rows) -> None:
    keys = [
        tuple(row[name] for name in ("catalogue", "shape", "form", "trade_size", "variant", "item"))
        for row in rows("assortments")
    ]
    assert len(keys) == len(set(keys))


def test_assortments_shrink(rows: Rows) -> None:
    def size(catalogue: str, shape: str) -> int:
        found = [
            r for r in rows("assortments") if (r["catalogue"], r["shape"]) == (catalogue, shape)
        ]
        return len(found)

    for shape, lists in {
        "tamsin": ("ot-cat-1909", "ot-cat-1914", "ot-pl-1917"),
        "octavine": ("ot-cat-1928", "ot-pl-1931", "ot-cat-1936"),
        "ansty": ("q-cat-1904", "q-cat-1911"),
    }.items():
        sizes = [size(catalogue, shape) for catalogue in lists]
        assert sizes == sorted(sizes, reverse=True)
        assert sizes[-1] > 0


def test_complete_and_incomplete_lists(rows: Rows) -> None:
    lists = {row["catalogue"] for row in rows("assortments")}
    says = {row["complete"] for row in rows("sources") if row["source"] in lists}
    assert says == {"yes", "no", ""}


def test_uneven_cover(rows: Rows) -> None:
    cover: dict[str, set[str]] = {}
    for row in rows("assortments"):
        cover.setdefault(row["shape"], set()).add(row["catalogue"])
    assert len(cover["tamsin"]) >= 3
    assert "pellow" not in cover
    assert sum(row["shape"] == "pellow" for row in rows("pieces")) == 5


def test_two_sources_give_different_dates(rows: Rows) -> None:
    begins = {row["source"]: row["begin"] for row in rows("shapes") if row["shape"] == "alder"}
    assert begins["ot-cat-1899"] != begins["garrow-1961"]


def test_a_later_book_repeats_an_earlier_one(rows: Rows) -> None:
    repeats = {row["source"]: row["repeats"] for row in rows("sources") if row["repeats"]}
    assert repeats == {"minshull-1979": "garrow-1961"}


def test_the_list_of_a_year_contradicts_its_catalogue(rows: Rows) -> None:
    of = {
        row["catalogue"]: row["count"]
        for row in rows("assortments")
        if (row["shape"], row["form"]) == ("tamsin", "sugar")
    }
    assert of["ot-cat-1909"] == "30s"
    counts = {
        row["source"]: row["count"]
        for row in rows("articles")
        if (row["shape"], row["form"]) == ("tamsin", "sugar")
    }
    assert counts == {"ot-cat-1909": "30s", "ot-pl-1909": "36s"}
    shapes_of = {row["shape"] for row in rows("assortments") if row["catalogue"] == "ot-cat-1909"}
    assert "alder" not in shapes_of
    assert any(
        row["shape"] == "alder" for row in rows("assortments") if row["catalogue"] == "ot-pl-1909"
    )


def feet(length: str) -> Fraction:
    """Read feet and inches."""
    whole, _, rest = length.partition(" ft")
    return Fraction(whole) + Fraction(rest.replace("in", "").strip() or 0) / 12


def test_zones_fall_short_of_the_whole_or_exceed_it(rows: Rows) -> None:
    def left(kiln: str, source: str) -> Fraction:
        current = [
            row["length"]
            for row in rows("kilns")
            if (row["kiln"], row["source"]) == (kiln, source)
            and row["length"]
            and row["claim"] != "length-of-a-first-reading"
        ]
        zones = [
            row["length"]
            for row in rows("kiln_zones")
            if (row["kiln"], row["source"]) == (kiln, source)
        ]
        assert len(current) == 1
        assert zones
        return feet(current[0]) - sum(map(feet, zones))

    assert left("ot-4-a", "ot-bp-1923") == 44
    assert left("ot-4-g", "ot-bp-1923-glost") == 24
    assert left("qu-e-t", "ft-1929-06") == -10


def test_a_stated_output_is_more_than_the_cars_carry(rows: Rows) -> None:
    def given(kiln: str, column: str) -> Fraction:
        (text,) = {row[column] for row in rows("kilns") if row["kiln"] == kiln} - {""}
        return Fraction("".join(c for c in text if c.isdigit()))

    def carried(kiln: str) -> Fraction:
        return 1440 / given(kiln, "push_interval") * given(kiln, "ware_per_car")

    assert given("qu-e-t", "output") > carried("qu-e-t") * Fraction(11, 10)
    assert abs(given("ot-4-a", "output") / carried("ot-4-a") - 1) < Fraction(1, 20)


def test_a_piece_later_than_the_end_of_its_shape(rows: Rows) -> None:
    ends = {row["end"] for row in rows("shapes") if row["shape"] == "halewin"} - {""}
    made = {row["made"] for row in rows("pieces") if row["piece"] == "wv-056"}
    assert ends == {"1927"}
    assert "1933-04" in made


def test_worn_figures_marriages_and_unknown_readings(rows: Rows) -> None:
    assert sum("?" in row["number_read"] for row in rows("pieces")) >= 8
    assert any("?" in row["date_code"] for row in rows("pieces"))
    assert sum("marriage" in row["features"] for row in rows("pieces")) >= 2
    assert {row["part"] for row in rows("pieces")} >= {"lid", "body"}


def test_one_name_for_two_decals_and_one_man_in_two_spellings(rows: Rows) -> None:
    named = [row["decal"] for row in rows("decals") if row["name"] == "Ferry Rose"]
    assert len(named) == 2
    names = {row["name"] for row in rows("people") if row["person"] == "strand"}
    assert len(names - {""}) == 2


def test_a_plant_number_skips(rows: Rows) -> None:
    numbers = {row["number"] for row in rows("plants") if row["pottery"] == "orrin"}
    assert numbers == {"1", "2", "4"}


def test_a_copy_older_than_its_model(rows: Rows) -> None:
    copy = next(row["begin"] for row in rows("shapes") if row["shape"] == "moraine")
    model = {row["source"]: row["begin"] for row in rows("shapes") if row["shape"] == "bretelle"}
    assert copy[:4] < model["minshull-1979"]
    assert copy[:4] > model["orvaux-1931"]


def test_treatments_seen_away_from_home(rows: Rows) -> None:
    """Some are explained by shared flatware, some by a reissued decal, some by nothing yet."""
    home = {row["treatment"]: row["shape"] for row in rows("treatments")}
    decals = {
        row["treatment"]: set(row["decal"].split("|")) for row in rows("treatments") if row["decal"]
    }
    shared = [{row["shape"], row["with"]} for row in rows("flatware")]
    away = {
        (row["treatment"], row["shape"])
        for row in [*rows("pieces"), *rows("appearances")]
        if row["treatment"] and row["shape"] and home[row["treatment"]] != row["shape"]
    }
    away.discard(("t-304", "vellacott"))  # the reading that was withdrawn
    reissued = {
        (treatment, shape)
        for treatment, shape in away
        if any(
            shape == home[other] and decals[other] & decals.get(treatment, set())
            for other in decals
        )
    }
    by_flatware = {(t, shape) for t, shape in away if {home[t], shape} in shared}
    assert by_flatware - reissued
    assert reissued - by_flatware
    assert ("v-219", "octavine") in away - reissued - by_flatware
