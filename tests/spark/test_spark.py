"""Spark gives what one machine gives: the closure, the statement table and the chronology.

In local mode, and the closure by a master with two workers too.

Not part of the ordinary run, for it needs Java and the extra ``spark``:

    pip install -e '.[dev,spark]' && python -m pytest tests/spark
"""

import os
import random
import signal
import subprocess
import threading
import time
from collections.abc import Iterable, Iterator, Sequence
from functools import partial
from pathlib import Path

import pyspark
import pytest
from pyspark.sql import SparkSession
from rdflib import Graph

from glost.answer import snapshot
from glost.answer.snapshot import Snapshot
from glost.reason.chronology import Network, Solution, solve, solve_apart
from glost.reason.chronology.apart import Share, Solved
from glost.reason.chronology.spread import solved_on, workers_of
from glost.reason.closure import Closure, close_quads
from glost.reason.coding import encode
from glost.reason.compiler import compile_rules
from glost.reason.spark import Spark
from glost.record.columns import columns, made_here
from glost.record.parquet import write_partitions
from glost.record.partitioned import MASTER, SHARED, made_on
from glost.record.record import read
from glost.record.tables import tables
from glost.record.together import begin
from keepers import keeper
from network_draft import Draft
from shelf import TABLES, write

EXAMPLE = Path(__file__).parents[2] / "examples" / "wend-valley"
PREFIXES = """
@prefix : <https://example.org/> .
@prefix owl: <http://www.w3.org/2002/07/owl#> .
@prefix rdfs: <http://www.w3.org/2000/01/rdf-schema#> .
"""

SCHEMA = """
:Shape a owl:Class . :Glazed a owl:Class ; owl:disjointWith :Unglazed . :Unglazed a owl:Class .
:Plain a owl:Class ; rdfs:subClassOf :Glazed .
:after a owl:ObjectProperty, owl:TransitiveProperty ; owl:inverseOf :before .
:before a owl:ObjectProperty .
:sharesWith a owl:ObjectProperty, owl:SymmetricProperty, owl:TransitiveProperty .
:number a owl:ObjectProperty, owl:InverseFunctionalProperty .
:seenOn a owl:ObjectProperty ; owl:propertyChainAxiom ( :shownBy :ofShape ) .
:shownBy a owl:ObjectProperty . :ofShape a owl:ObjectProperty ; rdfs:range :Shape .
"""

DEEP = 40
"""Links of a chain deeper than the rounds after which it is closed as a graph."""

FACTS = (
    " ".join(f":m{n} :after :m{n + 1} ." for n in range(DEEP))
    + """
:a :sharesWith :b . :b :sharesWith :c . :d :sharesWith :e .
:x :number :n1 . :y :number :n1 . :y :number :n2 . :z :number :n2 . :x :shownBy :p .
:p :ofShape :a . :z :shownBy :q . :q :ofShape :d .
:a a :Plain, :Unglazed .
"""
)


def closed(executor: Spark | None = None) -> Closure:
    program = compile_rules(Graph().parse(data=PREFIXES + SCHEMA, format="turtle"))
    facts = Graph().parse(data=PREFIXES + FACTS, format="turtle")
    return close_quads(encode(sorted(facts)), program, executor=executor)


@pytest.fixture(scope="module")
def expected() -> Closure:
    return closed()


def session(master: str) -> SparkSession:
    settings = {
        "spark.ui.enabled": "false",
        "spark.ui.showConsoleProgress": "false",
        "spark.sql.shuffle.partitions": "2",
        "spark.executor.memory": "1g",
        "spark.executor.cores": "1",
        "spark.driver.host": "127.0.0.1",
        "spark.driver.bindAddress": "127.0.0.1",
    }
    builder = SparkSession.builder.master(master).appName("closure")
    for name, value in settings.items():
        builder = builder.config(name, value)
    return builder.getOrCreate()


@pytest.fixture
def cluster(tmp_path: Path) -> Iterator[tuple[str, list["subprocess.Popen[bytes]"]]]:
    """Start a master and two workers of one core each, from the installed package."""
    home = Path(pyspark.__file__).parent
    environment = {**os.environ, "SPARK_HOME": str(home), "SPARK_LOCAL_IP": "127.0.0.1"}
    run = [str(home / "bin" / "spark-class")]
    place = "org.apache.spark.deploy."
    port = "7178"
    url = f"spark://127.0.0.1:{port}"
    master = [*run, f"{place}master.Master", "--host", "127.0.0.1", "--port", port]
    worker = [*run, f"{place}worker.Worker", "--cores", "1", "--memory", "1g"]
    log = (tmp_path / "log").open("wb")
    started = [
        subprocess.Popen([*master, "--webui-port", "0"], env=environment, stdout=log, stderr=log)
    ]
    for number in (1, 2):
        folder = ["--work-dir", str(tmp_path / f"worker{number}"), "--webui-port", "0", url]
        started.append(
            subprocess.Popen([*worker, *folder], env=environment, stdout=log, stderr=log)
        )
    _until(lambda: (tmp_path / "log").read_bytes().count(b"Registering worker") == 2)
    yield url, started
    for process in started:
        process.send_signal(signal.SIGKILL)
        process.wait()
    log.close()


def _until(true: "object", seconds: float = 120) -> None:
    end = time.monotonic() + seconds
    while not true():  # type: ignore[operator]
        assert time.monotonic() < end, "it did not come about"
        time.sleep(0.2)


def same(found: Closure, expected: Closure) -> None:
    assert found.inferred.sorted() == expected.inferred.sorted()
    assert found.clashes == expected.clashes
    assert found.clashes


def test_local_mode_gives_what_duckdb_gives(tmp_path: Path, expected: Closure) -> None:
    spark = session("local[2]")
    found = closed(Spark(spark, tmp_path / "slices"))
    same(found, expected)
    triple = found.inferred.sorted()[0]
    assert found.why(triple) == expected.why(triple)
    found.engine.executor.close()
    assert not (tmp_path / "slices").exists()
    spark.stop()


def test_a_worker_killed_midway_changes_nothing(
    tmp_path: Path, expected: Closure, cluster: tuple[str, list["subprocess.Popen[bytes]"]]
) -> None:
    url, processes = cluster
    spark = session(url)
    folder = tmp_path / "slices"

    def kill() -> None:
        _until(lambda: folder.is_dir() and len(list(folder.iterdir())) > 10)
        processes[1].send_signal(signal.SIGKILL)

    killer = threading.Thread(target=kill)
    killer.start()
    found = closed(Spark(spark, folder))
    killer.join()
    assert processes[1].wait() == -signal.SIGKILL
    same(found, expected)
    found.engine.executor.close()
    spark.stop()


def test_a_collection_is_closed_on_spark_where_the_environment_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("GLOST_CACHE", "")
    shelf = write(tmp_path / "shelf")
    expected = Snapshot(shelf).closure.inferred.sorted()
    monkeypatch.setenv(MASTER, "local[2]")
    monkeypatch.setenv(SHARED, str(tmp_path))
    found = Snapshot(shelf)
    assert isinstance(found.closure.engine.executor, Spark)
    assert found.closure.inferred.sorted() == expected
    assert found.findings() == Snapshot(shelf).findings()


def test_the_statement_table_is_the_same_from_either_maker(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Quoted cells, partial rows and many values among them; every property of every table."""
    monkeypatch.setenv(SHARED, str(tmp_path))
    claims = read(EXAMPLE).claims
    properties = frozenset(c.property for table in tables().values() for c in table.giving)
    spark = session("local[2]")
    found = columns(claims, properties, partial(made_on, spark))
    expected = columns(claims, properties, made_here)
    assert set(found) == set(expected) == properties
    assert sum(frame.height for frame in expected.values()) > 10_000
    for name, frame in expected.items():
        assert found[name].sort(frame.columns).equals(frame.sort(frame.columns)), name
    assert list(tmp_path.iterdir()) == []
    spark.stop()


def collections(count: int, claims: int) -> Network:
    """Make dates and orders of events, so many in each collection; some contradict one another."""
    chance = random.Random(18)
    each = max(2, claims // 3)
    draft = Draft(1 + count * each)
    for number in range(count):
        first = 1 + number * each
        for claim in range(claims):
            behind = frozenset([number * claims + claim])
            one, other = (first + chance.randrange(each) for _ in "12")
            if claim % 3 or one == other:
                ends = (0, one) if claim % 2 else (one, 0)
                day = 700_000 + chance.randrange(20_000)
                draft.at_most(*ends, day if claim % 2 else 10_000 - day, behind)
            else:
                draft.at_most(min(one, other), max(one, other), chance.randrange(4_000), behind)
    return draft.network()


def told(solution: Solution) -> tuple[object, ...]:
    bounds = (solution.recorded, solution.bounds)
    days = [side.tolist() for each in bounds for side in (each.earliest, each.latest)]
    return days, solution.disputed.tolist(), solution.conflicts, solution.choices


def test_a_worker_killed_midway_changes_no_date(
    tmp_path: Path, cluster: tuple[str, list["subprocess.Popen[bytes]"]]
) -> None:
    url, processes = cluster
    network = collections(40, 60)
    spark = session(url)
    begun = tmp_path / "begun"

    def noted(do: object, share: Share) -> Solved:
        with begun.open("a") as notes:
            notes.write(".")
        time.sleep(0.5)
        return do(share)  # type: ignore[operator]

    def slowly(do: object, shares: Sequence[Share], /) -> Iterable[Solved]:
        return workers_of(spark)(partial(noted, do), shares)

    def kill() -> None:
        while not begun.exists() or begun.stat().st_size < 4:
            threading.Event().wait(0.05)
        processes[1].send_signal(signal.SIGKILL)

    killer = threading.Thread(target=kill)
    killer.start()
    found = solve_apart(network, shares=16, everywhere=slowly)
    killer.join()
    assert processes[1].wait() == -signal.SIGKILL
    expected = solve(network)
    assert expected.conflicts
    assert told(found) == told(expected)
    assert told(solved_on(spark)(network, lambda _: 1.0)) == told(expected)
    spark.stop()


def test_from_tables_to_bounds_with_a_worker_killed_midway(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    cluster: tuple[str, list["subprocess.Popen[bytes]"]],
) -> None:
    """Tables of several keepers into Parquet, read from it, closed and reckoned, all by workers."""
    monkeypatch.setenv("GLOST_CACHE", "")
    monkeypatch.setattr(snapshot, "LARGE", 0)
    folders = [keeper(tmp_path, f"k{n}", shapes=TABLES["shapes"]) for n in range(6)]
    begin(tmp_path / "all", "All", "https://all.example/", folders)
    written = write_partitions(tmp_path / "all", tmp_path / "here")
    expected = Snapshot(tmp_path / "here")
    facts, told_ = expected.closure.inferred.sorted(), told(expected.chronology._solution)
    url, processes = cluster
    spark = session(url)
    monkeypatch.setenv(MASTER, url)
    monkeypatch.setenv(SHARED, str(tmp_path))
    assert write_partitions(tmp_path / "all", tmp_path / "there") == written
    found = Snapshot(tmp_path / "there")
    assert [c.iri for c in found.record.claims] == [c.iri for c in expected.record.claims]

    def kill() -> None:
        _until(lambda: len(list(tmp_path.glob("glost-*/tables/*"))) > 5)
        processes[1].send_signal(signal.SIGKILL)

    killer = threading.Thread(target=kill)
    killer.start()
    assert found.closure.inferred.sorted() == facts
    killer.join()
    assert processes[1].wait() == -signal.SIGKILL
    assert told(found.chronology._solution) == told_
    spark.stop()


def test_a_collection_is_reckoned_on_spark_where_the_environment_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("GLOST_CACHE", "")
    shelf = write(tmp_path / "shelf")
    expected = Snapshot(shelf).chronology
    monkeypatch.setenv(MASTER, "local[2]")
    found = Snapshot(shelf).chronology
    assert told(found._solution) == told(expected._solution)
    session("local[2]").stop()
