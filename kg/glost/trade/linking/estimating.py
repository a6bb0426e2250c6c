"""Weights estimated from the lists themselves, and refused where that cannot be relied on.

Expectation and maximisation over compared pairs learns whatever parts them best. Where near lines
abound that is not "of one thing", and what it then says with 0.9 is right once in ten. So it is
tried from two starts and on two halves of the pairs; where these differ, or more pairs are taken
for one thing than the lists can hold, it is refused.
"""

from collections.abc import Sequence

import numpy as np
import polars as pl
from numpy.typing import NDArray

from glost.trade.linking.weighing import ColumnComparison, LevelWeights, Numbers, Weighing

_ROUNDS = 200
_APART = 0.1
"""How far two estimates of a share may lie apart."""


class NotStableError(ValueError):
    """Raised where weights cannot be estimated from the lists; the message says why."""


def estimated(weighing: Weighing, pairs: pl.DataFrame) -> list[LevelWeights]:
    """Estimate what each level adds from compared pairs.

    Parameters
    ----------
    weighing
        The two lists.
    pairs
        Its compared pairs.

    Raises
    ------
    NotStableError
        If the estimate depends on where it starts or on which half of the pairs it sees, or takes
        more pairs for one thing than the shorter list has records.
    """
    compared = weighing.comparisons
    levels = pairs.select(each.column for each in compared).to_numpy()
    given = [each.u for each in weighing.counted()]
    tries = [
        _estimate(levels, compared, given, 0.9),
        _estimate(levels, compared, given, 0.6),
        _estimate(levels[::2], compared, given, 0.9),
        _estimate(levels[1::2], compared, given, 0.9),
    ]
    first, share = tries[0]
    for other, _ in tries[1:]:
        for comparison, one, two in zip(compared, first, other, strict=True):
            apart = float(np.abs(one - two).max())
            if apart > _APART:
                raise NotStableError(
                    f"estimates of {comparison.column} differ by {apart:.2f}, depending on where "
                    "they start; use the weights given"
                )
    most = min(weighing.sizes)
    if share * len(levels) > most:
        raise NotStableError(
            f"{share * len(levels):,.0f} pairs were taken for one thing, and there can be "
            f"{most:,} at most; use the weights given"
        )
    return [LevelWeights(m, u) for m, u in zip(first, given, strict=True)]


def _estimate(
    levels: NDArray[np.int64],
    compared: Sequence[ColumnComparison],
    u: Sequence[Numbers],
    start: float,
) -> tuple[list[Numbers], float]:
    """Return the share of pairs of one thing at each level, and of all pairs."""
    patterns, counts = np.unique(levels, axis=0, return_counts=True)
    m = [np.full(len(each.m), (1 - start) / max(len(each.m) - 1, 1)) for each in compared]
    for own in m:
        own[-1] = start
    share = 0.2
    for _ in range(_ROUNDS):
        odds = np.full(len(patterns), np.log(share / (1 - share)))
        for at, column in enumerate(patterns.T):
            known = column >= 0
            odds[known] += np.log(m[at] / u[at])[column[known]]
        p = 1 / (1 + np.exp(-odds))
        share = float(np.clip((p * counts).sum() / counts.sum(), 1e-9, 1 - 1e-9))
        for at, column in enumerate(patterns.T):
            known = column >= 0
            reached = np.bincount(column[known], weights=(p * counts)[known], minlength=len(m[at]))
            m[at] = (reached + 0.01) / (reached + 0.01).sum()
    return m, share
