"""A list in which other records are looked up, each by itself, as a file of names is."""

import threading
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import polars as pl
from numpy.typing import NDArray

from glost.trade.linking.weighing import HERE, Weighing, as_query

CROWD = 500
"""How many records may have a block's value in common before it finds none of them."""


_ALSO = "SELECT unnest(?::BIGINT[]), unnest(?::BIGINT[])"


class Register(Weighing):
    """Records in which others are looked up, weighed as two lists are.

    What an agreement says is counted from the register held against itself: other records agree in
    it as often as those of the register do with one another. A record that is looked up is one of
    the register's at most, so its candidates share one probability. What is looked up together is
    weighed apart.

    Parameters
    ----------
    records
        The register's records, as for `Weighing`.
    of
        Of which kind they are.
    expected
        The share of what is looked up that is expected to stand in the register.
    folder
        Where the comparisons and blocks stand as data.
    """

    def __init__(
        self, records: pl.DataFrame, of: str, expected: float, folder: Path = HERE
    ) -> None:
        super().__init__(records, records, of, 1.0, folder, crowd=CROWD)
        self._weights = self.counted()
        self.prior = min(expected / max(records.height, 1), 0.5)
        self._turn = threading.Lock()
        self._prepare()

    def _prepare(self) -> None:
        """Hold what is looked up, and what else it is weighed against, in tables that stay."""
        self._db.execute("DROP TABLE t_one_keys")
        self._db.execute(f"CREATE VIEW t_one_keys AS {self._keyed('t_one')}")
        self._db.execute("DELETE FROM t_one")
        self._db.execute("CREATE TABLE t_also (one BIGINT, other BIGINT)")

    def look_up(
        self,
        asked: pl.DataFrame,
        among: Sequence[NDArray[np.bool_] | None],
        also: Sequence[tuple[int, int]] = (),
    ) -> pl.DataFrame:
        """Weigh records against the register's.

        Parameters
        ----------
        asked
            The records, numbered from 0 as ``id``, with the register's columns.
        among
            For each of them which of the register's records it may be; None for any.
        also
            Pairs that are weighed however little they agree: a record looked up and one of these.

        Returns
        -------
        DataFrame
            The candidates, as `Weighing.scored` gives them; ``probability`` is of being the one
            that is meant, among all candidates and that there is none.
        """
        with self._turn:
            self._db.execute("DELETE FROM t_one")
            self._db.execute("DELETE FROM t_also")
            cells = [asked[column].to_list() for column in asked.columns]
            self._db.execute(f"INSERT INTO t_one {as_query(asked)}", cells)
            if also:
                ends = [list(ids) for ids in zip(*also, strict=True)]
                self._db.execute(f"INSERT INTO t_also {_ALSO}", ends)
            pairs = self._frame(self._comparing("SELECT * FROM t_also"))
        scored = self.scored(self._weights, pairs)
        one, other = scored["one"].to_numpy(), scored["other"].to_numpy()
        odds = np.exp2(np.clip(scored["bits"].to_numpy(), -500, 500))
        for at, which in enumerate(among):
            if which is not None:
                # Fewer are expected elsewhere: what it may not be takes none of what was expected.
                share = max(int(which.sum()), 1) / len(which)
                odds = np.where(one == at, np.where(which[other], odds / share, 0.0), odds)
        total = 1 + np.bincount(one, weights=odds, minlength=len(among))
        told = scored.with_columns(probability=pl.Series(odds / total[one]))
        return told if odds.all() else told.filter(pl.Series(odds > 0))
