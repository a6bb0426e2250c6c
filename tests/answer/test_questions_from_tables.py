"""The named questions on the example archive, worked out a second time from the tables alone.

Nothing but Python's csv module stands between the tables and what is expected here.
"""

import csv
import shutil
from collections import defaultdict
from pathlib import Path

import pytest

from glost.answer.desk import Desk
from glost.answer.parameters import ParameterError
from glost.answer.questions import UnknownQuestion, catalogue, describe_all, question

TOP = Path(__file__).resolve().parents[2]
WEND = TOP / "examples" / "wend-valley"
GIVEN: dict[str, dict[str, str]] = {
    "articles-compared": {"first": "alder", "second": "tamsin"},
    "family": {"thing": "shape/tamsin"},
    "in-production": {"year": "1912"},
    "line-when-introduced": {"shape": "tamsin"},
    "pieces-showing": {"what": "teapot"},
    "pieces-with-feature": {"words": "scroll"},
    "source-supports": {"source": "strand-letter"},
}
PUBLISHED = "https://w3id.org/glost/"


@pytest.fixture(scope="module")
def desk(valley: Desk) -> Desk:
    return valley


def asked(desk: Desk, name: str, **given: str) -> list[dict[str, str]]:
    answer = desk.answers.ask(name, **(given or GIVEN.get(name, {})))
    base = desk.record.base
    short = [
        [str("" if v is None else v).removeprefix(base) for v in row.values] for row in answer.rows
    ]
    return [dict(zip(answer.columns, row, strict=True)) for row in short]


def table(name: str) -> list[dict[str, str]]:
    with (WEND / "tables" / f"{name}.csv").open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


def current(name: str) -> list[dict[str, str]]:
    """Rows of a table that no correction withdraws by id."""
    withdrawn = {row["withdraws"] for row in table("corrections")}
    return [row for row in table(name) if row.get("claim", "") not in withdrawn or not row["claim"]]


def test_there_are_enough_questions_and_each_explains_itself() -> None:
    assert len(catalogue()) >= 18
    for asks in catalogue().values():
        assert asks.text.endswith("?")
        assert asks.header.why
        assert asks.header.columns
        assert asks.header.evidence or asks.header.claims
        assert f"### {asks.name}" in describe_all()


@pytest.mark.parametrize("name", sorted(catalogue()))
def test_every_row_rests_on_claims_of_the_record(desk: Desk, name: str) -> None:
    answer = desk.answers.ask(name, **GIVEN.get(name, {}))
    known = {str(claim.iri) for claim in desk.record.claims}
    assert answer.rows
    for row in answer.rows:
        assert row.claims or question(name).header.unsupported
        assert set(row.claims) <= known


def homes() -> dict[str, str]:
    return {row["treatment"]: row["shape"] for row in current("treatments") if row["shape"]}


def test_crossings_from_the_tables(desk: Desk) -> None:
    home = homes()
    seen = {
        (row["treatment"], row["shape"], f"piece/{row['piece']}")
        for row in current("pieces")
        if row["treatment"] and row["shape"]
    }
    seen |= {
        (row["treatment"], row["shape"], f"source/{row['source']}")
        for row in current("appearances")
    }
    expected = {
        (f"treatment/{t}", f"shape/{home[t]}", f"shape/{shape}", where)
        for t, shape, where in seen
        if t in home and home[t] != shape
    }
    rows = asked(desk, "crossings")
    assert {(r["treatment"], r["home"], r["seen_on"], r["seen_in"]) for r in rows} == expected
    assert {r["explanation"] for r in rows} >= {"shared flatware"}


def components() -> dict[str, set[str]]:
    joined: dict[str, set[str]] = {}
    for row in current("flatware"):
        a = joined.setdefault(row["shape"], {row["shape"]})
        b = joined.setdefault(row["with"], {row["with"]})
        whole = a | b
        for shape in whole:
            joined[shape] = whole
    return joined


def test_shared_flatware_is_the_components_of_what_is_stated(desk: Desk) -> None:
    expected = {
        (f"shape/{a}", f"shape/{b}")
        for whole in components().values()
        for a in whole
        for b in whole
        if a < b
    }
    found = {tuple(sorted((r["shape"], r["with"]))) for r in asked(desk, "shared-flatware")}
    assert found == expected


def test_sharing_explains_only_shapes_that_share(desk: Desk) -> None:
    joined = components()
    rows = [r for r in asked(desk, "crossings") if "shared flatware" in r["explanation"]]
    assert rows
    for row in rows:
        home, seen = row["home"].removeprefix("shape/"), row["seen_on"].removeprefix("shape/")
        assert seen in joined.get(home, set())


def offered() -> dict[tuple[str, str], set[tuple[str, str]]]:
    lists: dict[tuple[str, str], set[tuple[str, str]]] = defaultdict(set)
    for row in table("assortments"):
        lists[row["shape"], row["catalogue"]].add((row["form"], row["trade_size"]))
    return lists


def test_assortments_are_counted_from_the_tables(desk: Desk) -> None:
    lists = offered()
    rows = asked(desk, "assortment-sizes")
    found = {
        (r["shape"].removeprefix("shape/"), r["list"].removeprefix("source/")): int(r["articles"])
        for r in rows
    }
    assert found == {key: len(articles) for key, articles in lists.items()}


def test_articles_shared_gained_and_lost_from_the_tables(desk: Desk) -> None:
    forms: dict[str, set[str]] = defaultdict(set)
    complete: dict[str, bool] = defaultdict(bool)
    stated = {row["source"] for row in table("sources") if row["complete"] == "yes"}
    for (shape, catalogue_), articles in offered().items():
        forms[shape] |= {form for form, _ in articles}
        complete[shape] |= catalogue_ in stated
    rows = asked(desk, "articles-compared", first="alder", second="tamsin")
    for row in rows:
        form = row["form"].removeprefix(PUBLISHED + "form/")
        if row["standing"] == "in both":
            assert form in forms["alder"] & forms["tamsin"]
        elif row["standing"] in ("lost", "gained"):
            lacking = "tamsin" if row["standing"] == "lost" else "alder"
            assert complete[lacking]
    named = {row["form"].removeprefix(PUBLISHED + "form/") for row in rows}
    assert named >= forms["alder"] | forms["tamsin"]


def test_decal_numbers_from_the_tables(desk: Desk) -> None:
    decals: dict[str, set[str]] = defaultdict(set)
    numbers: dict[str, set[str]] = defaultdict(set)
    for row in current("treatments"):
        decals[row["treatment"]] |= {d.strip() for d in row["decal"].split("|")} - {""}
        numbers[row["treatment"]] |= {row["number"]} - {""}
    expected = {
        (f"decal/{decal}", f"treatment/{treatment}", number)
        for treatment, used in decals.items()
        for decal in used
        for number in numbers[treatment]
    }
    found = {
        (r["decal"], r["treatment"], r["number"])
        for r in asked(desk, "decal-numbers")
        if r["number"]
    }
    assert found == expected


def test_pieces_showing_a_form_from_the_tables(desk: Desk) -> None:
    expected = {f"piece/{row['piece']}" for row in current("pieces") if row["form"] == "teapot"}
    assert {r["piece"] for r in asked(desk, "pieces-showing", what="teapot")} == expected


def test_marks_that_name_a_shape_from_the_tables(desk: Desk) -> None:
    expected = {
        (f"mark/{r['mark']}", f"shape/{r['names_shape']}")
        for r in current("marks")
        if r["names_shape"]
    }
    assert {(r["mark"], r["shape"]) for r in asked(desk, "marks-naming-shapes")} == expected


def test_kilns_from_the_tables(desk: Desk) -> None:
    expected = {f"kiln/{row['kiln']}" for row in current("kilns")}
    assert {r["kiln"] for r in asked(desk, "kilns")} == expected


def test_corrections_are_those_of_the_tables_and_trig(desk: Desk) -> None:
    trig = (WEND / "garrow-index-cards.trig").read_text(encoding="utf-8")
    expected = {f"correction/{row['withdraws']}" for row in table("corrections")}
    assert expected <= {r["correction"] for r in asked(desk, "corrections")}
    assert any(row["withdraws"] in trig for row in table("corrections"))


def test_a_source_supports_what_its_rows_say(desk: Desk) -> None:
    answer = desk.answers.ask("source-supports", source="strand-letter")
    rows = [
        (name.stem, i)
        for name in (WEND / "tables").glob("*.csv")
        for i, row in enumerate(table(name.stem), 2)
        if row.get("source") == "strand-letter"
    ]
    claims = {str(c.iri): (c.origin.table, c.origin.row) for c in desk.record.claims}
    assert {claims[iri] for row in answer.rows for iri in row.claims} == set(rows)


def test_without_the_flatware_the_explanation_falls(desk: Desk, tmp_path: Path) -> None:
    shutil.copytree(WEND, tmp_path / "c", ignore=shutil.ignore_patterns("images", "*.py"))
    (tmp_path / "c" / "tables" / "flatware.csv").unlink()
    without = Desk(tmp_path / "c")
    before = {r["seen_in"] + r["treatment"]: r["explanation"] for r in asked(desk, "crossings")}
    after = {r["seen_in"] + r["treatment"]: r["explanation"] for r in asked(without, "crossings")}
    assert set(before) == set(after)
    assert any("shared flatware" in text for text in before.values())
    assert not any("shared flatware" in text for text in after.values())


def test_what_is_withdrawn_is_not_believed(desk: Desk) -> None:
    numbers = {(r["treatment"], r["number"]) for r in asked(desk, "decal-numbers")}
    old = {row["claim"]: row for row in table("treatments") if row["claim"]}
    for correction in table("corrections"):
        row = old.get(correction["withdraws"])
        if row and row["number"]:
            others = {
                r["number"] for r in current("treatments") if r["treatment"] == row["treatment"]
            }
            if row["number"] not in others:
                assert (f"treatment/{row['treatment']}", row["number"]) not in numbers


@pytest.mark.parametrize(
    ("name", "given", "expected"),
    [
        ("in-production", {"year": "soon"}, "year"),
        ("in-production", {"yaer": "1912"}, "yaer"),
        ("pieces-showing", {}, "what"),
        ("articles-compared", {"first": "aldre", "second": "tamsin"}, "did you mean"),
        ("in-production", {"year": "1912 } INSERT { ?s ?p ?o"}, "year"),
    ],
)
def test_bad_parameters_are_named(
    desk: Desk, name: str, given: dict[str, str], expected: str
) -> None:
    with pytest.raises(ParameterError, match=expected):
        desk.answers.ask(name, **given)


@pytest.mark.parametrize("text", ['"', "\\", '" . } #', "a\nb", "?x", "{{{", "' OR '1'='1"])
def test_a_text_parameter_is_only_a_text(desk: Desk, text: str) -> None:
    assert len(desk.answers.ask("pieces-with-feature", words=text).rows) == 0


def test_an_unknown_question_says_which_is_nearest() -> None:
    with pytest.raises(UnknownQuestion, match="crossings"):
        question("crosings")
