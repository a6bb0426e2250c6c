"""Weights of evidence that two records are of one thing.

I. P. Fellegi and A. B. Sunter, "A Theory for Record Linkage", Journal of the American Statistical
Association 64 (1969): a pair is compared column by column; a level that pairs of one thing reach
with probability m, and other pairs with probability u, adds log2(m / u) bits. m is given, with its
reason, in `comparisons.csv`; u is counted from pairs drawn at random from the two lists. Of what
is equal, u is the share of other records that have that very value, so that a rare name says more
than a common one. What is not given in both counts nothing. DuckDB compares, numpy counts.
"""

import csv
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import duckdb
import numpy as np
import polars as pl
from numpy.typing import NDArray
from polars._typing import PolarsDataType

Numbers = NDArray[np.float64]

HERE = Path(__file__).parent
"""Where `comparisons.csv` and `blocks.csv` stand that Glost compares by."""

DRAWN = 700
"""How many records of each list are drawn; each of one list is held against each of the other."""

CROWD = 50
"""How many records of a list may have a block's value in common, or it is passed over there: what
so many share tells little, and pairs grow no faster than lists."""

_SHOWS = 20
"""Lists of fewer records than this together are taken to be drawn from as many."""

_UNGIVEN = -1

_TESTS = {
    "equal": "{l} = {r}",
    "other": "list_has_any({l}s, {r}s)",
    "alike": "jaro_winkler_similarity({l}, {r}) >= {least}",
    "agree": "{l} = {r}",
    "near": (
        "list_max(list_transform(l.names, lambda x: list_max(list_transform(r.names,"
        " lambda y: jaro_winkler_similarity(x, y))))) >= {least}"
    ),
    "initial": (
        "list_max(list_transform(l.short, lambda x: list_max(list_transform(r.short,"
        " lambda y: CASE WHEN left(x, 1) = left(y, 1) THEN jaro_winkler_similarity(x, y) END"
        ")))) >= {least}"
    ),
    "rare": (
        "list_max(list_transform(l.rare, lambda x: list_max(list_transform(r.rare,"
        " lambda y: jaro_winkler_similarity(x, y))))) >= {least}"
    ),
    "figures": (
        "regexp_replace({l}, '[^0-9]', '', 'g') = regexp_replace({r}, '[^0-9]', '', 'g')"
        " AND regexp_matches({l}, '[0-9]')"
    ),
    "shared_names": "list_has_any(l.names, r.names)",
    "shared": "len(list_intersect({l}, {r})) >= {least}",
    "seldom": "list_has_any(l.seldom, r.seldom)",
    "inside": (
        "len(list_intersect({l}, {r})) >= 2 AND"
        " len(list_intersect({l}, {r})) >= {least} * least(len({l}), len({r}))"
    ),
    "word": "list_has_any(string_split({l}, ' '), string_split({r}, ' '))",
    "respelt": "NOT ({l}_there AND {r}_there) AND jaro_winkler_similarity({l}, {r}) >= {least}",
    "unknown": "NOT {l}_there AND NOT {r}_there",
    "renamed": "NOT ({l}_there AND {r}_there)",
    "class": "{l}_class = {r}_class",
    "within": "abs({l} - {r}) <= {least}",
    "ratio": "greatest({l}, {r}) <= (1 + {least}) * least({l}, {r})",
    "overlap": "{l}[1] - {least} <= {r}[2] AND {r}[1] - {least} <= {l}[2]",
    "common": "len(list_intersect({l}, {r})) >= {least} * len(list_distinct({l} || {r}))",
}
"""What reaches a level, by the name it has in `comparisons.csv`, as SQL on two cells."""

_KEYS = {
    "form_begins": "form[1:3]",
    "shape_begins": "shape[1:2]",
    "shape_begins_long": "shape[1:4]",
    "shape_ends": "shape[-3:]",
    "name_begins": "name[1:3]",
    "name_begins_long": "name[1:5]",
    "name_ends": "name[-4:]",
    "any_name": "unnest(names)",
    "any_word": "unnest(words)",
    "any_seldom": "unnest(seldom)",
    "any_rare": "unnest(rare)",
    "any_short": "unnest(short)",
}
"""What pairs agree in beside whole columns, by the name it has in `blocks.csv`, as SQL."""


_SQL: dict[PolarsDataType, str] = {
    pl.Int64(): "BIGINT",
    pl.Float64(): "DOUBLE",
    pl.String(): "VARCHAR",
    pl.Boolean(): "BOOLEAN",
    pl.List(pl.String): "VARCHAR[]",
    pl.List(pl.Float64): "DOUBLE[]",
}


@dataclass(frozen=True, slots=True)
class Level:
    """A level of agreement.

    Attributes
    ----------
    level
        Its number, the greater the more agrees; 0 is what is left.
    meaning
        In words.
    test, least
        The condition that reaches it, a key of the tests, with its bound; empty for level 0.
    m
        The share of pairs of one thing that reach it.
    reason
        Why that share.
    """

    level: int
    meaning: str
    test: str
    least: str
    m: float
    reason: str


@dataclass(frozen=True, slots=True)
class ColumnComparison:
    """How a column of two records is compared: levels, the best first, level 0 last."""

    column: str
    levels: tuple[Level, ...]

    @property
    def tests(self) -> tuple[tuple[Level, str], ...]:
        """The levels that have a test, with it as SQL on records l and r, the best first."""
        left, right = f"l.{self.column}", f"r.{self.column}"
        return tuple(
            (each, _TESTS[each.test].format(l=left, r=right, least=each.least))
            for each in self.levels
            if each.test
        )

    @property
    def sql(self) -> str:
        """The level that records l and r reach, as SQL; -1 where either cell is empty."""
        cases = " ".join(f"WHEN {test} THEN {each.level}" for each, test in self.tests)
        empty = f"l.{self.column} IS NULL OR r.{self.column} IS NULL"
        return f"CASE WHEN {empty} THEN {_UNGIVEN} {cases} ELSE 0 END AS {self.column}"

    @property
    def m(self) -> Numbers:
        """The share of pairs of one thing that reach each level, by its number."""
        found = np.zeros(self.levels[0].level + 1)
        for each in self.levels:
            found[each.level] = each.m
        return found

    @property
    def counts_values(self) -> bool:
        """Whether its best level is of equal values, which may be rare or common."""
        return self.levels[0].test == "equal"

    def meaning(self, level: int) -> str:
        """Return a level in words."""
        return next((each.meaning for each in self.levels if each.level == level), "not given")


@cache
def comparisons(of: str, folder: Path = HERE) -> tuple[ColumnComparison, ...]:
    """Read how records of a kind (``line``, ``thing``) are compared.

    Parameters
    ----------
    of
        The kind.
    folder
        Where `comparisons.csv` stands.

    Raises
    ------
    ValueError
        If a level's test does not exist, or the shares of a column's levels are not 1 together.
    """
    found: dict[str, list[Level]] = {}
    for row in _read(folder / "comparisons.csv", of):
        if row["test"] and row["test"] not in _TESTS:
            raise ValueError(f"comparisons.csv: {of} {row['column']}: no test {row['test']!r}")
        level = Level(
            int(row["level"]), row["meaning"], row["test"], row["least"], float(row["m"]),
            row["reason"],
        )  # fmt: skip
        found.setdefault(row["column"], []).append(level)
    for column, levels in found.items():
        if abs(sum(each.m for each in levels) - 1) > 1e-9:
            raise ValueError(f"comparisons.csv: the shares of {of} {column} are not 1 together")
    return tuple(ColumnComparison(column, tuple(levels)) for column, levels in found.items())


@cache
def blocks(of: str, folder: Path = HERE) -> tuple[tuple[str, ...], ...]:
    """Read in what pairs must agree to be compared at all, any one of these, as SQL."""
    return tuple(
        tuple(_KEYS.get(word, word) for word in row["agree"].split(", "))
        for row in _read(folder / "blocks.csv", of)
    )


def _read(file: Path, of: str) -> list[dict[str, str]]:
    text = file.read_text(encoding="utf-8")
    return [row for row in csv.DictReader(text.splitlines()) if row["of"] == of]


@dataclass(frozen=True, slots=True)
class LevelWeights:
    """What each level of a comparison adds.

    Attributes
    ----------
    m, u
        The share of pairs of one thing, and of others, that reach each level, by its number.
    """

    m: Numbers
    u: Numbers

    @property
    def bits(self) -> Numbers:
        """What each level adds, in bits."""
        found: Numbers = np.log2(np.maximum(self.m, 1e-6) / self.u)
        return found


class Weighing:
    """Two lists of records, held against one another.

    Parameters
    ----------
    one, other
        The records: a column ``id`` (an integer) and those that are compared, of a type that suits
        their tests (text, numbers, lists of text or of two years); null where nothing is given.
        ``COLUMN_there`` says whether the other list would have a value under the same name; if it
        is not given, whether it has.
    of
        Of which kind they are: ``line`` or ``thing``.
    expected
        The share of the shorter list that is expected to stand in the other.
    folder
        Where the comparisons and blocks stand as data.
    crowd
        How many records of a list may have a block's value in common.
    drawn
        How many records of each list are drawn.
    every
        So few pairs are compared all, however little they agree.
    apart
        Whether each list says a thing once, so that u is counted from pairs within a list, and what
        agrees more never tells less, as it may seem to where few pairs are drawn.

    Attributes
    ----------
    comparisons
        How they are compared.
    sizes
        How many records each list has.
    prior
        The share of all pairs that is expected to be of one thing.
    """

    def __init__(
        self,
        one: pl.DataFrame,
        other: pl.DataFrame,
        of: str,
        expected: float,
        folder: Path = HERE,
        *,
        crowd: int = CROWD,
        drawn: int = DRAWN,
        every: int = 0,
        apart: bool = False,
    ) -> None:
        compared = comparisons(of, folder)
        self.comparisons = tuple(c for c in compared if c.column in one.columns)
        self.sizes = one.height, other.height
        self.prior = min(expected * min(self.sizes) / max(one.height * other.height, 1), 0.5)
        self._columns = frozenset(one.columns)
        self._ways = [way for way in blocks(of, folder) if _used(way) <= self._columns]
        self._crowd, self._drawn, self._every, self._apart = crowd, drawn, every, apart
        self._db = duckdb.connect(config={"threads": 1})  # in one order, so the same every time
        self._load("t_one", one)
        self._load("t_other", other)
        for comparison in self.comparisons:
            told = f"{comparison.column}_there" in self._columns
            if not told and any(each.test in ("renamed", "unknown") for each in comparison.levels):
                self._say_which_stand_in_both(comparison.column)
            if comparison.counts_values:
                self._count_values(comparison.column)

    def _load(self, name: str, records: pl.DataFrame) -> None:
        cells = [records[column].to_list() for column in records.columns]
        self._db.execute(f"CREATE TABLE {name} AS {as_query(records)}", cells)
        self._db.execute(f"CREATE TABLE {name}_keys AS {self._keyed(name)}")

    def _keyed(self, name: str) -> str:
        """Return the keys of a list's records in every block as SQL, but for what crowds share."""
        keyed = " UNION ALL ".join(_keys(at, way, name) for at, way in enumerate(self._ways))
        return (
            f"SELECT * FROM ({keyed or _NO_KEYS})"
            f" QUALIFY count(*) OVER (PARTITION BY way, key) <= {self._crowd}"
        )

    def _say_which_stand_in_both(self, column: str) -> None:
        for name, across in (("t_one", "t_other"), ("t_other", "t_one")):
            self._db.execute(f"ALTER TABLE {name} ADD COLUMN {column}_there BOOLEAN")
            self._db.execute(
                f"UPDATE {name} SET {column}_there = {column} IN (SELECT {column} FROM {across})"
            )

    def _count_values(self, column: str) -> None:
        """Keep beside every value of the second list which share of the other records has it."""
        # Of the other records, as many as have it: the pair itself says nothing of how rare it is.
        self._db.execute(f"ALTER TABLE t_other ADD COLUMN {column}_share DOUBLE")
        self._db.execute(
            f"UPDATE t_other SET {column}_share = (others - 1.5) / (given - 1) FROM"
            f" (SELECT {column} AS k, count(*) AS others, sum(count(*)) OVER () AS given FROM"
            f" (SELECT {column} FROM t_one UNION ALL SELECT {column} FROM t_other)"
            f" WHERE {column} IS NOT NULL GROUP BY {column}) WHERE others > 1 AND k = {column}"
        )

    def _frame(self, query: str) -> pl.DataFrame:
        return pl.DataFrame(self._db.execute(query).fetchnumpy())

    def counted(self) -> list[LevelWeights]:
        """Return what each level of each comparison adds, u counted from pairs drawn at random."""
        # Records at equal steps, so that the same are drawn every time.
        one, other = (
            f"(SELECT * FROM {name} WHERE rowid % {max(size // self._drawn, 1)} = 0)"
            for name, size in zip(("t_one", "t_other"), self.sizes, strict=True)
        )
        levels = ", ".join(c.sql for c in self.comparisons)
        if self._apart:
            within = (f"SELECT {levels} FROM {x} l, {x} r WHERE l.id < r.id" for x in (one, other))
            found = self._frame(" UNION ALL ".join(within))
            # A list of so many records shows nothing that is rarer than once in as many.
            least = 1 / max(_SHOWS, sum(min(size, self._drawn) for size in self.sizes))
            counted = ((c.m, _shares(found[c.column].to_numpy(), c.m, 0)) for c in self.comparisons)
            return [LevelWeights(*_rising(m, np.maximum(u, least))) for m, u in counted]
        found = self._frame(f"SELECT {levels} FROM {one} l, {other} r")
        return [
            LevelWeights(each.m, _shares(found[each.column].to_numpy(), each.m, self.prior))
            for each in self.comparisons
        ]

    def pairs(self, also: Sequence[tuple[int, int]] = ()) -> pl.DataFrame:
        """Compare the pairs that agree in at least one way; return the levels they reach.

        Parameters
        ----------
        also
            Pairs that are compared however little they agree, by their ids.

        Returns
        -------
        DataFrame
            ``one`` and ``other``, the ids; a column of levels for each comparison; for those that
            count values, ``COLUMN_share``, the share of other records that have the other's value.
        """
        more = f"VALUES {', '.join(f'({one}, {other})' for one, other in also)}" if also else ""
        return self._frame(self._comparing(more))

    def _comparing(self, more: str) -> str:
        """Return as SQL what compares the pairs of blocks, and of a further query."""
        few = self.sizes[0] * self.sizes[1] <= self._every
        joined = [_CROSSED if few else _JOINED, *([more] if more else [])]
        columns = [c.sql for c in self.comparisons]
        columns += [f"r.{c.column}_share" for c in self.comparisons if c.counts_values]
        agreeing = f"SELECT DISTINCT * FROM ({' UNION ALL '.join(joined)})"
        return (
            f"SELECT p.one, p.other, {', '.join(columns)} FROM ({agreeing}) p"
            " JOIN t_one l ON l.id = p.one JOIN t_other r ON r.id = p.other"
            " ORDER BY p.one, p.other"
        )

    def scored(self, weights: Sequence[LevelWeights], pairs: pl.DataFrame) -> pl.DataFrame:
        """Weigh compared pairs.

        Returns
        -------
        DataFrame
            The pairs with their levels; for each comparison its bits in ``COLUMN_bits``; ``bits``,
            all of them with those of what was expected; ``probability``.
        """
        added: dict[str, Numbers] = {}
        for comparison, own in zip(self.comparisons, weights, strict=True):
            column, bits = comparison.column, own.bits
            level = pairs[column].to_numpy()
            found = np.where(level < 0, 0.0, bits[np.maximum(level, 0)])
            if comparison.counts_values:
                best = len(own.m) - 1
                share = pairs[f"{column}_share"].fill_null(1.0).fill_nan(1.0).to_numpy()
                found = np.where(level == best, np.log2(own.m[best] / share), found)
            added[f"{column}_bits"] = found
        total = np.full(pairs.height, np.log2(self.prior / (1 - self.prior)))
        total += np.sum(list(added.values()), axis=0) if added else 0
        probability = 1 / (1 + np.exp2(-np.clip(total, -500, 500)))
        levels = {
            name: pairs[name] for name in ("one", "other", *(c.column for c in self.comparisons))
        }
        return pl.DataFrame({**levels, **added, "bits": total, "probability": probability})


def as_query(records: pl.DataFrame) -> str:
    """Return records as a query that takes their columns as lists, in the order of the columns."""
    types = {column: _SQL[dtype] for column, dtype in records.schema.items()}
    return "SELECT " + ", ".join(f"unnest(?::{kind}[]) AS {name}" for name, kind in types.items())


_JOINED = "SELECT l.id AS one, r.id AS other FROM t_one_keys l JOIN t_other_keys r USING (way, key)"
_CROSSED = "SELECT l.id AS one, r.id AS other FROM t_one l, t_other r"
_NO_KEYS = "SELECT 0 AS way, 0 AS id, hash(0) AS key WHERE false"


def _keys(at: int, way: Sequence[str], name: str) -> str:
    """Return the keys of a list's records in one block as SQL."""
    made = ", ".join(f"{key} AS k{number}" for number, key in enumerate(way))
    keys = [f"k{number}" for number in range(len(way))]
    given = " AND ".join(f"{key} IS NOT NULL" for key in keys)
    return (
        f"SELECT {at} AS way, id, hash({', '.join(keys)}) AS key"
        f" FROM (SELECT id, {made} FROM {name}) WHERE {given}"
    )


def _used(way: Sequence[str]) -> set[str]:
    """Return the columns that a block's keys look at."""
    return {re.sub(r"unnest\(|\[.*|\)", "", key) for key in way}


def _shares(levels: NDArray[np.int64], m: Numbers, prior: float) -> Numbers:
    """Return the share of other pairs at each level; one that none reached is rare, not impossible.

    Pairs of one thing are among those drawn: as many as are expected are taken off.
    """
    counts = np.bincount(levels[levels >= 0], minlength=len(m)).astype(float)
    others = np.maximum(counts - prior * counts.sum() * m, 0.5)
    shares: Numbers = others / others.sum()
    return shares


def _rising(m: Numbers, u: Numbers) -> tuple[Numbers, Numbers]:
    """Pool levels whose evidence would fall while agreement rises; half a bit parts them then.

    Pool-adjacent-violators: M. Ayer and others, "An Empirical Distribution Function for Sampling
    with Incomplete Information", Annals of Mathematical Statistics 26 (1955).
    """
    pools: list[tuple[float, float, int]] = []
    for pair in zip(m.tolist(), u.tolist(), strict=True):
        mass, others, many = *pair, 1
        while pools and mass * pools[-1][1] < pools[-1][0] * others:
            before = pools.pop()
            mass, others, many = mass + before[0], others + before[1], many + before[2]
        pools.append((mass, others, many))
    ratios = [
        mass / others * np.exp2((np.arange(many) - (many - 1) / 2) / 2)
        for mass, others, many in pools
    ]
    return m, m / np.concatenate(ratios)
