"""What the dates of a group of pieces come to: mean ceramic date, aoristic weights, production.

Dates here are any numbers that grow with time, years or day numbers, as long as one call keeps to
one kind. A span runs from its start up to, and not including, its end.
"""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

Span = tuple[float, float]


def mean_ceramic_date(groups: Sequence[tuple[float, float]]) -> float:
    """Reckon the mean date of a group of pieces from the middles of what their types ran.

    Parameters
    ----------
    groups
        For each type, how many pieces and the median date of its manufacture.

    Returns
    -------
    float
        The sum of count times median over the sum of counts.

    Raises
    ------
    ValueError
        If a count is negative or there are no pieces at all.

    References
    ----------
    S. South, Method and Theory in Historical Archaeology, 1977.
    """
    total = sum(count for count, _ in groups)
    if any(count < 0 for count, _ in groups) or not total > 0:
        raise ValueError("a mean date needs counts of 0 or more, and at least one piece")
    return sum(count * median for count, median in groups) / total


def median_date(span: Span) -> float:
    """Return the middle of a span, the median that `mean_ceramic_date` wants."""
    return (span[0] + span[1]) / 2


def aoristic(spans: Sequence[Span], edges: Sequence[float]) -> NDArray[np.float64]:
    """Spread pieces over periods in proportion to the share of their span that falls in each.

    A piece is taken to be as likely of any one time in its span as of any other. One whose span
    has no length counts in the period that holds it.

    Parameters
    ----------
    spans
        For each piece, when it was made at the earliest and latest.
    edges
        Where the periods begin and the last one ends, in order.

    Returns
    -------
    numpy.ndarray
        The weight of each period. Their sum is the number of pieces, less what falls outside.

    Raises
    ------
    ValueError
        If the edges do not rise, or a span ends before it starts.

    References
    ----------
    J. H. Ratcliffe, "Aoristic analysis: the spatial interpretation of unspecific temporal events",
    International Journal of Geographical Information Science 14, 2000.
    """
    starts, ends, bounds = _checked(spans, edges)
    width = ends - starts
    momentary = width == 0
    low, high = bounds[:-1, None], bounds[1:, None]
    shared = np.clip(np.minimum(ends, high) - np.maximum(starts, low), 0, None)
    weights = shared / np.where(momentary, 1, width)
    weights[:, momentary] = (starts >= low)[:, momentary] & (starts < high)[:, momentary]
    total: NDArray[np.float64] = weights.sum(axis=1)
    return total


def possible_counts(spans: Sequence[Span], edges: Sequence[float]) -> NDArray[np.int64]:
    """Count the pieces that may be of each period, each piece in every period its span meets.

    Parameters and errors are those of `aoristic`.
    """
    starts, ends, bounds = _checked(spans, edges)
    low, high = bounds[:-1, None], bounds[1:, None]
    meets = (starts < high) & ((ends > low) | ((starts == ends) & (starts >= low)))
    counts: NDArray[np.int64] = meets.sum(axis=1)
    return counts


def _checked(
    spans: Sequence[Span], edges: Sequence[float]
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    if len(edges) < 2 or any(a >= b for a, b in pairwise(edges)):
        raise ValueError("periods need two edges or more, each later than the one before")
    if any(start > end for start, end in spans):
        raise ValueError("a span ends before it starts")
    table = np.array(spans, dtype=np.float64).reshape(-1, 2)
    if not np.isfinite(table).all():
        raise ValueError("a span without a start or an end cannot be spread over periods")
    return table[:, 0], table[:, 1], np.array(edges, dtype=np.float64)


def in_production(
    runs: Sequence[tuple[Span, Span]], years: Sequence[Span]
) -> list[tuple[int, int]]:
    """Count the runs in production in each of some periods, certainly and possibly.

    Parameters
    ----------
    runs
        For each run, the earliest and latest first day and the earliest and latest last day, all
        inclusive; infinite where nothing is known.
    years
        First and last day of each period, inclusive.

    Returns
    -------
    list
        For each period how many runs were certainly and how many possibly, those that certainly
        were included, in production on some day of it.
    """
    counts = []
    for first, last in years:
        certain = sum(begin[1] <= last and end[0] >= first for begin, end in runs)
        possible = sum(begin[0] <= last and end[1] >= first for begin, end in runs)
        counts.append((certain, possible))
    return counts
