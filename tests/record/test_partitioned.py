"""What workers of a cluster give is what this machine gives; here with workers that are no processes.

`tests/spark` does the same with Spark itself.
"""

from collections.abc import Callable, Iterable
from functools import partial
from pathlib import Path

import pytest

from glost.answer.snapshot import Snapshot
from glost.reason.chronology import solve
from glost.reason.chronology.spread import solved_on
from glost.record import partitioned
from glost.record.columns import columns, made_here
from glost.record.errors import RecordErrors
from glost.record.parquet import write_partitions
from glost.record.partitioned import MASTER, made_on, packed, unpacked
from glost.record.record import Record, read
from glost.record.schemes import published
from glost.record.tables import tables
from glost.record.together import begin
from keepers import keeper
from network_draft import Draft


class Held:
    """Things in the hands of workers; each task is done twice, as one is whose worker was lost."""

    def __init__(self, sent: list[object], tasks: int) -> None:
        assert all(isinstance(each, bytes) for each in sent)
        assert 0 < tasks <= len(sent)
        self._sent = sent

    def map(self, do: Callable[[object], object]) -> "Held":
        again = list(map(do, self._sent))
        done = list(map(do, self._sent))
        assert len(again) == len(done)
        return Held(done, 1)

    def collect(self) -> Iterable[object]:
        return self._sent


class Context:
    defaultParallelism = 2  # noqa: N815 - as Spark calls it

    @staticmethod
    def parallelize(sent: list[object], tasks: int) -> Held:
        return Held(sent, tasks)


class Session:
    sparkContext = Context()  # noqa: N815 - as Spark calls it


@pytest.fixture
def spark(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Session:
    monkeypatch.setenv(MASTER, "local[2]")
    monkeypatch.setenv(partitioned.SHARED, str(tmp_path))
    monkeypatch.setattr(partitioned, "session", lambda _: Session())
    return Session()


@pytest.fixture
def both(tmp_path: Path) -> Path:
    terms = "scheme,term,name,source\nform,egg-stand,Egg stand,letter\n"
    treatments = "treatment,pottery,number,source\na-1,harrow,A 1,letter\n"
    folders = [keeper(tmp_path, "ash", terms=terms), keeper(tmp_path, "elm", treatments=treatments)]
    begin(tmp_path / "both", "Both", "https://both.example/", folders)
    return tmp_path / "both"


def said(record: Record) -> list[object]:
    return [(c.iri, c.passage, c.origin, c.statements) for c in record.claims]


def test_collections_are_read_by_workers(
    both: Path, monkeypatch: pytest.MonkeyPatch, spark: Session
) -> None:
    found = read(both)
    monkeypatch.setenv(MASTER, "")
    expected = read(both)
    assert said(found) == said(expected)
    assert found.members["ash"].schemes == expected.members["ash"].schemes != published()
    assert found.members["ash"].ids == expected.members["ash"].ids


def test_what_is_wrong_is_told_by_workers_too(both: Path, tmp_path: Path, spark: Session) -> None:
    for name in ("ash", "elm"):
        shapes = tmp_path / name / "tables" / "shapes.csv"
        shapes.write_text("shape,pottery,name,source\nalder,nobody,A,cat1908\n", encoding="utf-8")
    with pytest.raises(RecordErrors) as told:
        read(both)
    assert [e.file for e in told.value.errors] == [
        "ash: tables/shapes.csv",
        "elm: tables/shapes.csv",
    ]


def test_partitions_are_written_by_workers(
    both: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, spark: Session
) -> None:
    there = write_partitions(both, tmp_path / "there")
    monkeypatch.setenv(MASTER, "")
    here = write_partitions(both, tmp_path / "here")
    assert there == here
    files = {p.relative_to(tmp_path / "here"): p.read_bytes() for p in (tmp_path / "here").rglob("*.*")
             if p.is_file()}  # fmt: skip
    assert len(files) > 8
    assert files == {p: (tmp_path / "there" / p).read_bytes() for p in files}


def test_statements_are_made_by_workers(
    valley: Snapshot, both: Path, spark: Session, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Slices of several sheets, and a sheet cut in several slices."""
    monkeypatch.setattr(partitioned, "_ROWS", 7)
    properties = frozenset(c.property for table in tables().values() for c in table.giving)
    for claims in (read(both).claims, valley.record.claims[:60]):
        found = columns(claims, properties, partial(made_on, spark))
        expected = columns(claims, properties, made_here)
        assert sum(frame.height for frame in expected.values()) > 40
        for name, frame in expected.items():
            assert found[name].sort(frame.columns).equals(frame.sort(frame.columns)), name
    assert not [path for path in tmp_path.iterdir() if path.name.startswith("glost-")]


def test_bounds_are_reckoned_by_workers() -> None:
    draft = Draft(9)
    for first in (1, 3, 5, 7):  # four collections; in the last a day comes before an earlier one
        draft.at_most(first + 1, first, 0, [first])
        draft.not_before(first, 700 + first, [first + 1])
    draft.at_most(0, 8, 500, [99])
    network = draft.network()
    found, expected = solved_on(Session())(network, lambda _: 1.0), solve(network)
    assert found.bounds.earliest.tolist() == expected.bounds.earliest.tolist()
    assert found.conflicts == expected.conflicts != ()


def test_what_every_process_has_is_not_sent() -> None:
    table, scheme = tables()["shapes"], published()["form"]
    assert len(packed([table, scheme, scheme.iris])) < 200
    found = unpacked(packed([table, table.giving[0], scheme, scheme.iris, "else"]))
    assert found[0] is table and found[1] is table.giving[0]
    assert found[2] is scheme and found[3] is scheme.iris and found[4] == "else"
