"""Weights of evidence by hand: Fellegi and Sunter 1969."""

import csv
import itertools
import math
import random
from pathlib import Path

import numpy as np
import polars as pl
import pytest

from glost.trade.linking import weighing
from glost.trade.linking.assigning import one_to_one
from glost.trade.linking.weighing import Weighing, blocks, comparisons

FOLDER = Path(weighing.__file__).parent


def lists(*shapes: str) -> pl.DataFrame:
    return pl.DataFrame({"id": range(len(shapes)), "shape": shapes, "number": ["7"] * len(shapes)})


def test_a_rare_name_that_agrees_says_more_than_a_common_one() -> None:
    """Of ten names of both lists eight are one, two another.

    Beside a pair of alders, six of eight others are alders too; beside the pair of birches none is.
    Half a record is added to either, so that what is rare is not impossible: 6.5 and 0.5 of 9.
    """
    one, other = lists("alder", "alder", "alder", "alder", "birch"), lists(*["alder"] * 4, "birch")
    made = Weighing(one, other, "line", 0.8)
    scored = made.scored(made.counted(), made.pairs())
    m = next(c for c in comparisons("line") if c.column == "shape").levels[0].m
    bits = {(a, b): bits for a, b, bits in scored.select("one", "other", "shape_bits").iter_rows()}
    assert bits[0, 0] == pytest.approx(math.log2(m / (6.5 / 9)))
    assert bits[4, 4] == pytest.approx(math.log2(m / (0.5 / 9)))
    assert bits[0, 4] < -5  # both names stand in both lists


def test_what_is_not_given_counts_nothing() -> None:
    one = pl.DataFrame({"id": [0, 1], "shape": ["alder", None], "number": ["7", "7"]})
    made = Weighing(one, one, "line", 0.5)
    scored = made.scored(made.counted(), made.pairs())
    empty = scored.filter((pl.col("one") == 1) | (pl.col("other") == 1))
    assert set(empty["shape"]) == {-1} and set(empty["shape_bits"]) == {0.0}


def test_all_evidence_and_what_was_expected_come_to_a_probability() -> None:
    one = lists("alder", "birch", "cedar", "rowan")
    made = Weighing(one, one, "line", 0.8)
    assert made.prior == pytest.approx(0.8 * 4 / 16)
    for row in made.scored(made.counted(), made.pairs()).iter_rows(named=True):
        bits = row["shape_bits"] + row["number_bits"] + math.log2(made.prior / (1 - made.prior))
        assert row["bits"] == pytest.approx(bits)
        assert row["probability"] == pytest.approx(1 / (1 + 2**-bits))


@pytest.mark.parametrize(
    ("column", "one", "other", "meaning"),
    [
        ("shape", "halewin", "halwein", "nearly the same name of a shape"),
        ("shape", "halewin", "tern", "another shape, which one of the lists has not"),
        ("size", 8.0, 10.0, "a size as measured for that trade size"),
        ("size", 8.0, 10.5, "a size as measured for that trade size"),
        ("size", 8.0, 10.75, "another size"),
        ("price", 100.0, 125.0, "a price within a third of it"),
        ("price", 100.0, 140.0, "another price"),
        ("place", 0.5, 0.53, "at the same place among its shape's lines"),
        ("place", 0.5, 0.6, "near the same place among its shape's lines"),
        ("place", 0.5, 0.7, "at another place"),
    ],
)
def test_levels(column: str, one: object, other: object, meaning: str) -> None:
    first = pl.DataFrame({"id": [0], "number": ["1"], column: [one]})
    second = pl.DataFrame({"id": [0], "number": ["1"], column: [other]})
    made = Weighing(first, second, "line", 0.8)
    comparison = next(c for c in made.comparisons if c.column == column)
    assert comparison.meaning(made.pairs()[column][0]) == meaning


@pytest.mark.parametrize(
    ("column", "one", "other", "meaning"),
    [
        ("years", [1900.0, 1905.0], [1905.0, 1910.0], "dates that may be the same"),
        ("years", [1900.0, 1905.0], [1910.0, 1912.0], "dates within five years of one another"),
        ("years", [1900.0, 1905.0], [1911.0, 1912.0], "dates further apart"),
        ("words", ["made", "by", "orrin"], ["made", "by", "orrin", "ltd"], "mostly the same words"),
        ("words", ["made", "by"], ["by", "orrin", "ltd"], "some of the same words"),
        ("words", ["made"], ["orrin"], "other words"),
    ],
)
def test_levels_of_things(column: str, one: object, other: object, meaning: str) -> None:
    first = pl.DataFrame({"id": [0], "number": ["1"], column: [one]})
    second = pl.DataFrame({"id": [0], "number": ["1"], column: [other]})
    made = Weighing(first, second, "thing", 0.8)
    comparison = next(c for c in made.comparisons if c.column == column)
    assert comparison.meaning(made.pairs()[column][0]) == meaning


def test_every_weight_has_its_reason_and_levels_of_a_column_make_one() -> None:
    for name in ("comparisons.csv", "blocks.csv"):
        with (FOLDER / name).open(encoding="utf-8", newline="") as file:
            rows = list(csv.DictReader(file))
        assert rows and all(row["reason"] and None not in row for row in rows)
    for of in ("line", "thing"):
        assert comparisons(of) and blocks(of)
        for comparison in comparisons(of):
            assert comparison.m.sum() == pytest.approx(1)
            assert [each.level for each in comparison.levels][-1] == 0


def test_a_table_of_weights_that_does_not_add_up_is_refused(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    rows = [{"of": "line", "column": "shape", "level": "0", "meaning": "x", "test": "", "least": "",
             "m": "0.5", "reason": "r"}]  # fmt: skip
    monkeypatch.setattr(weighing, "_read", lambda name, of: rows)
    with pytest.raises(ValueError, match="the shares of line shape are not 1 together"):
        comparisons.__wrapped__("line")
    rows[0] |= {"m": "1", "test": "smells"}
    with pytest.raises(ValueError, match="no test 'smells'"):
        comparisons.__wrapped__("line")


def test_each_record_goes_with_one_other_at_most_and_the_best_go_together() -> None:
    """0 goes best with 0, but then 1 would go with nobody: 0-1 and 1-0 are more together."""
    scored = pl.DataFrame(
        {
            "one": [0, 0, 1, 2],
            "other": [0, 1, 0, 5],
            "probability": [0.9, 0.8, 0.85, 0.2],
        }
    )
    chosen = one_to_one(scored, 0.3)
    assert chosen.select("one", "other").rows() == [(0, 1), (1, 0)]
    assert one_to_one(scored, 0.1).height == 3
    assert one_to_one(scored, 0.95).height == 0


def test_chosen_pairs_are_likeliest_together_of_all_ways_to_pair() -> None:
    """Against every way to give each of five records one of five others or nobody, by trying."""
    chance = random.Random(7)
    for _ in range(30):
        pairs = [(a, b) for a in range(5) for b in range(5) if chance.random() < 0.35]
        likely = {pair: chance.choice([0.5, 0.6, 0.75, 0.9]) for pair in pairs}
        frame = {"one": [a for a, _ in pairs], "other": [b for _, b in pairs],
                 "probability": [likely[pair] for pair in pairs]}  # fmt: skip
        types = {"one": pl.Int64, "other": pl.Int64, "probability": pl.Float64}
        chosen = one_to_one(pl.DataFrame(frame, schema=types), 0.3).select("one", "other").rows()
        best = max(
            sum(likely.get((a, b), 0) for a, b in enumerate(others))
            for others in itertools.permutations(range(5))
        )
        assert sum(likely[pair] for pair in chosen) == pytest.approx(best)
        assert all(len(set(side)) == len(chosen) for side in zip(*chosen, strict=True))


def test_what_a_crowd_shares_pairs_nobody_and_what_few_share_does() -> None:
    """Fifty may share a shape and the beginning of a form, fifty-one may not."""
    for many, pairs in ((50, 50 * 50), (51, 51)):
        one = pl.DataFrame(
            {"id": range(many), "shape": ["alder"] * many, "form": ["plate"] * many, "form_class": ["flat"] * many,
             "number": [str(at) for at in range(many)]}
        )  # fmt: skip
        assert Weighing(one, one, "line", 0.8).pairs().height == pairs


def test_comparisons_may_stand_in_another_folder(tmp_path: Path) -> None:
    head = "of,column,level,meaning,test,least,m,reason\n"
    rows = "boat,name,1,same,equal,,0.9,x\nboat,name,0,other,,,0.1,x\n"
    (tmp_path / "comparisons.csv").write_text(head + rows, encoding="utf-8")
    (tmp_path / "blocks.csv").write_text('of,agree,reason\nboat,"port, name",x\n', encoding="utf-8")
    boats = pl.DataFrame({"id": [0, 1], "name": ["tern", "tern"], "port": ["north", "south"]})
    pairs = Weighing(boats, boats, "boat", 1, tmp_path).pairs()
    assert pairs.select("one", "other", "name").rows() == [(0, 0, 1), (1, 1, 1)]


def test_within_lists_what_agrees_more_never_tells_less() -> None:
    """Of few records some levels are reached by chance; what they tell rises all the same."""
    one = pl.DataFrame(
        {
            "id": [0, 1, 2],
            "years": [[1900.0, 1900.0], [1903.0, 1903.0], [1950.0, 1950.0]],
            "across": [4.0, 4.1, 4.2],
        }
    )
    made = Weighing(one, one, "kept", 0.6, apart=True, every=100)
    for weights in made.counted():
        assert all(np.diff(weights.bits) > 0)
        assert weights.bits[-1] < math.log2(20)  # so few records show nothing rarer


def test_all_pairs_of_short_lists_are_compared_however_little_they_agree() -> None:
    one = pl.DataFrame({"id": [0, 1], "number": ["1", "2"]})
    other = pl.DataFrame({"id": [0], "number": ["3"]})
    for every, many in ((2, 2), (1, 0)):
        assert Weighing(one, other, "kept", 0.6, apart=True, every=every).pairs().height == many
