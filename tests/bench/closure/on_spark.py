"""The closure on Spark against the closure on DuckDB: counts and two checksums.

    python tests/bench/closure/on_spark.py MASTER FOLDER TRIPLES [TRIPLES ...]

MASTER is ``local[2]`` or ``spark://host:port``; FOLDER is on storage that driver and workers share.
Kill a worker of a standalone master while it runs: the sums must come out the same.
"""

import shutil
import sys
import time
from pathlib import Path
from typing import TYPE_CHECKING

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), str(HERE.parents[2] / "kg")]

from collection import coded  # noqa: E402
from rdflib import Graph  # noqa: E402
from worker import ONTOLOGY  # noqa: E402

from glost.reason.closure import Closure, close_quads  # noqa: E402
from glost.reason.compiler import compile_rules  # noqa: E402
from glost.reason.spark import Spark  # noqa: E402

if TYPE_CHECKING:  # the sums are those of other benches too, on one machine
    from pyspark.sql import SparkSession

SUMS = (
    "SELECT count(*) AS n, "
    "sum((CAST(s AS BIGINT) * 1000003 + CAST(p AS BIGINT) * 10007 + o) % 2147483647) AS a, "
    "sum((CAST(o AS BIGINT) * 998244353 + CAST(p AS BIGINT) * 31 + s) % 1000000007) AS b FROM ({}) i"
)


def sums(closure: Closure) -> tuple[int, ...]:
    """Return the count and two checksums of what was inferred."""
    found = closure.engine.executor.read(SUMS.format(closure.inferred_sql()))
    return tuple(int(found[column][0]) for column in ("n", "a", "b"))


def session(master: str) -> "SparkSession":
    """Open a session that keeps quiet."""
    from pyspark.sql import SparkSession

    settings = {
        "spark.ui.enabled": "false",
        "spark.ui.showConsoleProgress": "false",
        "spark.sql.shuffle.partitions": "4",
        "spark.driver.memory": "3g",
        "spark.executor.memory": "3g",
        "spark.executor.cores": "1",
        "spark.driver.host": "127.0.0.1",
        "spark.driver.bindAddress": "127.0.0.1",
    }
    builder = SparkSession.builder.master(master).appName("closure")
    for name, value in settings.items():
        builder = builder.config(name, value)
    opened = builder.getOrCreate()
    opened.sparkContext.setLogLevel("ERROR")
    return opened


def main(master: str, folder: Path, sizes: list[int]) -> None:
    """Close collections of each size both ways and compare."""
    spark = session(master)
    program = compile_rules(Graph().parse(ONTOLOGY))
    for triples in sizes:
        quads = coded(triples)
        start = time.perf_counter()
        here = close_quads(quads, program)
        expected, between = sums(here), time.perf_counter()
        shutil.rmtree(folder, ignore_errors=True)
        there = close_quads(quads, program, executor=Spark(spark, folder))
        found, end = sums(there), time.perf_counter()
        there.engine.executor.close()
        print(
            f"{len(quads.s):,} triples, {found[0]:,} inferred; DuckDB {between - start:.1f} s, "
            f"Spark on {master} {end - between:.1f} s; checksums {found[1:]}"
            f" {'equal' if found == expected else f'DIFFER FROM {expected[1:]}'}",
            flush=True,
        )
        if found != expected:
            raise SystemExit(1)
    spark.stop()


if __name__ == "__main__":
    main(sys.argv[1], Path(sys.argv[2]), [int(n) for n in sys.argv[3:]])
