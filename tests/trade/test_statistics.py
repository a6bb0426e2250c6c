"""Statistics of dates, with figures from outside in `tests/checks/`.

* S. South, Method and Theory in Historical Archaeology, 1977: formula verified, figures exact
  arithmetic, 192137 / 109.
* J. H. Ratcliffe, International Journal of Geographical Information Science 14, 2000, doi
  10.1080/136588100424963: the method; worked figures verified in a stored copy of another's text.
"""

import csv
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from glost.trade.statistics import (
    aoristic,
    in_production,
    mean_ceramic_date,
    median_date,
    possible_counts,
)

CHECKS = Path(__file__).parents[1] / "checks"


def table(name: str) -> list[list[float]]:
    with (CHECKS / name).open(encoding="utf-8", newline="") as file:
        return [[float(cell) for cell in row] for row in list(csv.reader(file))[1:]]


def test_souths_formula() -> None:
    groups = [(count, median) for count, median in table("mean_ceramic_date.csv")]
    assert len(groups) == 3
    assert mean_ceramic_date(groups) == pytest.approx(float(Fraction(192137, 109)))
    assert round(mean_ceramic_date(groups), 4) == 1762.7248


def test_ratcliffes_weights() -> None:
    spans = [(start, end) for start, end in table("aoristic.csv")]
    bins = table("aoristic_bins.csv")
    edges = [bins[0][0], *(row[1] for row in bins)]
    weights = aoristic(spans, edges)
    assert [round(weight, 4) for weight in weights.tolist()] == [row[2] for row in bins]
    assert weights.sum() == pytest.approx(4)
    assert possible_counts(spans, edges).tolist() == [row[3] for row in bins]


spans = st.lists(
    st.tuples(st.integers(0, 100), st.integers(0, 100)).map(lambda s: (min(s), max(s))), max_size=8
)


@given(spans, st.lists(st.integers(1, 99), unique=True, max_size=5))
def test_weights_add_up_however_the_periods_are_cut(
    given_spans: list[tuple[int, int]], cuts: list[int]
) -> None:
    edges = [0, *sorted(cuts), 101]
    weights = aoristic(given_spans, edges)
    assert weights.sum() == pytest.approx(len(given_spans))
    assert (weights <= possible_counts(given_spans, edges) + 1e-9).all()


def test_a_moment_counts_where_it_falls() -> None:
    assert aoristic([(10, 10)], [0, 10, 20]).tolist() == [0, 1]
    assert possible_counts([(10, 10)], [0, 10, 20]).tolist() == [0, 1]


def test_the_median_is_the_middle() -> None:
    assert median_date((1908, 1911)) == 1909.5


@pytest.mark.parametrize("groups", [[], [(0, 1900)], [(-1, 1900), (3, 1900)]])
def test_a_mean_needs_pieces(groups: list[tuple[float, float]]) -> None:
    with pytest.raises(ValueError, match="at least one piece"):
        mean_ceramic_date(groups)


@pytest.mark.parametrize(
    ("given_spans", "edges", "message"),
    [
        ([(1, 2)], [0], "two edges"),
        ([(1, 2)], [0, 5, 5], "later than the one before"),
        ([(2, 1)], [0, 5], "ends before it starts"),
        ([(1, float("inf"))], [0, 5], "without a start or an end"),
    ],
)
def test_unsound_spans_are_refused(
    given_spans: list[tuple[float, float]], edges: list[float], message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        aoristic(given_spans, edges)


def test_production_is_certain_or_possible() -> None:
    far = float("inf")
    runs = [((10, 20), (40, 50)), ((-far, 30), (30, far)), ((60, 70), (80, far))]
    assert in_production(runs, [(0, 9), (10, 15), (25, 35), (45, 55), (75, 75)]) == [
        (0, 1),
        (0, 2),
        (2, 2),
        (0, 2),
        (1, 2),
    ]
