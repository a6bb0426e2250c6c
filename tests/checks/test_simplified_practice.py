"""Reductions and dozens against published figures.

*Verified* means that the figure was read in a copy, *memory* that no copy was at hand; figures from memory
are never the only check.
"""

from fractions import Fraction
from pathlib import Path

import pytest

from glost.answer.snapshot import Snapshot
from glost.trade.assortments.compare import ComparedSide, compare
from glost.trade.assortments.counts import dozens, read_count, reduction
from glost.trade.assortments.lists import Lists
from shelf import write


@pytest.mark.parametrize(
    ("before", "after", "per_cent"),
    [
        # Paving bricks: Annual Report of the Secretary of Commerce, 1925; verified.
        (66, 5, "92.4"),
        # Hotel chinaware, cafeteria and hospital ware: Simplified Practice Recommendations R5, R33 and
        # R40; memory.
        (700, 160, "77.1"),
        (668, 177, "73.5"),
        (700, 113, "83.9"),
    ],
)
def test_reductions_of_simplified_practice(before: int, after: int, per_cent: str) -> None:
    found = reduction(before, after)
    assert found is not None
    assert f"{float(found):.1f}" == per_cent


def test_the_reduction_of_paving_bricks_from_two_lists(tmp_path: Path) -> None:
    """66 varieties before 1921 and 5 in 1924 (the same report), written out as two lists of one shape."""
    header = "catalogue,shape,form,trade_size\n"
    before = "".join(f"cat1908,alder,plate,{size}\n" for size in range(1, 67))
    after = "".join(f"cat1911,alder,plate,{size}\n" for size in range(1, 6))
    snapshot = Snapshot(write(tmp_path / "c", assortments=header + before + after))
    lists = Lists(snapshot.belief)
    first, second = lists.all
    found = compare(
        ComparedSide(first.shape, (first,)), ComparedSide(first.shape, (second,)), lists
    )
    assert found.reduction == Fraction(6100, 66)
    assert round(found.reduction, 1) == Fraction(924, 10)
    assert found.carried == 5


@pytest.mark.parametrize(
    ("pieces", "count", "number"), [(72, "36s", 2), (72, "12s", 6), (72, "6s", 12)]
)
def test_the_potters_dozen(pieces: int, count: str, number: int) -> None:
    """Dozens are pieces over count: R. Copeland, Manufacturing Processes of Tableware, appendix, as
    summarised elsewhere; verified at second hand.
    """
    to_the_dozen = read_count(count)
    assert to_the_dozen is not None
    assert dozens(pieces, to_the_dozen) == number
