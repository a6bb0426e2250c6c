"""Who goes with whom, where a list says a thing once: the pairs that together are likeliest."""

import numpy as np
import polars as pl


def one_to_one(scored: pl.DataFrame, least: float) -> pl.DataFrame:
    """Choose pairs so that no record is in two, and their probabilities are greatest together.

    Parameters
    ----------
    scored
        Pairs with ``one``, ``other`` and ``probability``.
    least
        The least probability of a pair that is chosen.

    Returns
    -------
    DataFrame
        The rows chosen, in the order given. Solved as a sparse assignment: R. Jonker and
        A. Volgenant, "A Shortest Augmenting Path Algorithm for Dense and Sparse Linear Assignment
        Problems", Computing 38 (1987), each record of the one list being free to go with nobody.
    """
    likely = scored.filter(pl.col("probability") >= least)
    # A pair neither of whose records stands in another needs no weighing against others.
    alone = pl.all_horizontal(pl.len().over(side) == 1 for side in ("one", "other"))
    free, rest = likely.filter(alone), likely.filter(~alone)
    chosen = free.select("one", "other")
    if not rest.is_empty():
        chosen = pl.concat((chosen, _assigned(rest)))
    return likely.join(chosen, on=["one", "other"], how="semi", maintain_order="left")


def _assigned(likely: pl.DataFrame) -> pl.DataFrame:
    """Assign records that stand in several pairs."""
    from scipy.sparse import csr_array
    from scipy.sparse.csgraph import min_weight_full_bipartite_matching

    ones, rows = np.unique(likely["one"].to_numpy(), return_inverse=True)
    others, columns = np.unique(likely["other"].to_numpy(), return_inverse=True)
    # Going with nobody costs as much as a pair that adds nothing; costs must not be 0.
    nobody = len(others) + np.arange(len(ones))
    costs = np.concatenate((2 - likely["probability"].to_numpy(), np.full(len(ones), 2.0)))
    places = np.concatenate((rows, np.arange(len(ones)))), np.concatenate((columns, nobody))
    graph = csr_array((costs, places), shape=(len(ones), len(others) + len(ones)))
    taken_rows, taken_columns = min_weight_full_bipartite_matching(graph)
    real = taken_columns < len(others)
    return pl.DataFrame(
        {"one": ones[taken_rows[real]], "other": others[taken_columns[real]]},
        schema_overrides={"one": likely["one"].dtype, "other": likely["other"].dtype},
    )
