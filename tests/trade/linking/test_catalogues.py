"""How often links between two catalogues are right, where the truth is known.

Precision is the share of links found that are right, recall that of true links that are found.
"""

from functools import cache

import polars as pl
import pytest

from catalogue_pairs import Row, frame, pair
from glost.trade.linking.assigning import one_to_one
from glost.trade.linking.candidates import AGAIN, LEAST
from glost.trade.linking.estimating import NotStableError, estimated
from glost.trade.linking.weighing import Weighing


def seeds(lines: int) -> range:
    """Return seeds that were not looked at when weights were chosen, more where lists are short."""
    return range(11, 11 + max(3, 1800 // lines))


@cache
def made(lines: int, seed: int, series: int) -> tuple[tuple[list[Row], list[Row]], pl.DataFrame]:
    """Return two lists and their pairs, weighed."""
    lists = pair(lines, seed, series)
    return lists, weighed(lists)


def weighed(lists: tuple[list[Row], list[Row]]) -> pl.DataFrame:
    weighing = Weighing(frame(lists[0]), frame(lists[1]), "line", AGAIN)
    return weighing.scored(weighing.counted(), weighing.pairs())


def right(lists: tuple[list[Row], list[Row]], found: pl.DataFrame) -> int:
    one, other = lists
    return sum(one[a][0] == other[b][0] for a, b in found.select("one", "other").iter_rows())


KINDS = [(150, 1), (600, 1), (3000, 1), (150, 17), (600, 17), (3000, 17)]
"""So many lines, and how often a shape's name comes, told apart by a number."""


@pytest.mark.parametrize(("lines", "series"), KINDS)
def test_links_are_right_and_few_are_missed(lines: int, series: int) -> None:
    found = true = good = 0
    for seed in seeds(lines):
        lists, scored = made(lines, seed, series)
        links = one_to_one(scored, LEAST)
        found += links.height
        true += len(lists[1])
        good += right(lists, links)
    assert good / found >= 0.995
    assert good / true >= 0.88


@pytest.mark.parametrize(("lines", "series"), KINDS)
def test_of_links_said_with_nine_in_ten_nine_in_ten_are_right(lines: int, series: int) -> None:
    for seed in seeds(lines):
        lists, scored = made(lines, seed, series)
        for least in (0.9, 0.99):
            sure = scored.filter(pl.col("probability") >= least)
            assert right(lists, sure) / sure.height >= least - (least > 0.9) * 0.02, (seed, least)


def test_it_finds_the_same_every_time() -> None:
    lists = pair(600, 5)
    assert weighed(lists).equals(weighed(lists))


def test_two_lists_of_other_ware_share_nothing() -> None:
    one, other = pair(150, 21)[0], pair(150, 99)[1]
    assert not {row[1] for row in one} & {row[1] for row in other}
    links = one_to_one(weighed((one, other)), 0.9)
    assert links.height == 0


def test_weights_are_estimated_or_refused_and_never_wrongly_sure() -> None:
    """Where estimates go astray (near lines abound) they are refused, and it is said why."""
    refused = set()
    for lines, series in ((150, 1), (600, 1), (600, 17), (3000, 17)):
        lists = pair(lines, 11, series)
        weighing = Weighing(frame(lists[0]), frame(lists[1]), "line", AGAIN)
        pairs = weighing.pairs()
        try:
            weights = estimated(weighing, pairs)
        except NotStableError as bad:
            refused.add(str(bad))
            continue
        links = one_to_one(weighing.scored(weights, pairs), 0.9)
        assert right(lists, links) / links.height >= 0.9, (lines, series)
    assert refused
    assert all(said.endswith("use the weights given") for said in refused)
