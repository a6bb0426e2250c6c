"""Which engine closes facts."""

import sys

import pytest
from rdflib import RDF, RDFS, Graph, Namespace

from glost.answer.snapshot import Snapshot
from glost.reason.closure import Closure, close_quads
from glost.reason.coding import Quads, encode
from glost.reason.compiler import Program, compile_rules, vocabulary_rules
from glost.reason.executor import SMALL, DuckDB, SQLite, chosen
from glost.record.partitioned import MASTER
from glost.usage import UsageError


@pytest.mark.parametrize("setting", ["", None])
def test_one_within_this_process_unless_the_environment_says_otherwise(
    setting: str | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv(MASTER, raising=False)
    if setting is not None:
        monkeypatch.setenv(MASTER, setting)
    assert isinstance(chosen(SMALL), DuckDB)
    assert isinstance(chosen(SMALL - 1), SQLite)


def test_spark_that_is_not_installed_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(MASTER, "local[2]")
    monkeypatch.setitem(sys.modules, "pyspark.sql", None)
    with pytest.raises(UsageError, match=r"GLOST_SPARK is set, but .*pip install glost\[spark\]"):
        chosen(1)


def _either(quads: Quads, program: Program) -> tuple[Closure, Closure]:
    return tuple(close_quads(quads, program, executor=kind()) for kind in (DuckDB, SQLite))


def test_the_larger_example_is_closed_alike_by_either(valley: Snapshot) -> None:
    facts = [*valley.belief.statements(), *valley.forms.facts()]
    one, other = _either(encode(facts), vocabulary_rules())
    assert len(one.inferred) > 1000
    assert one.inferred.sorted() == other.inferred.sorted()
    assert one.clashes == other.clashes
    for triple in one.inferred.sorted()[::200]:
        assert one.why(triple) == other.why(triple)


def test_of_very_many_classes_all_that_follows_is_told() -> None:
    """More of them than SQLite puts together in one query."""
    thing, schema = Namespace("https://example.org/"), Graph()
    for number in range(600):
        schema.add((thing[f"c{number}"], RDFS.subClassOf, thing[f"d{number}"]))
    facts = [(thing[f"t{number}"], RDF.type, thing[f"c{number}"]) for number in range(600)]
    for closure in _either(encode(facts), compile_rules(schema)):
        assert set(closure.inferred) == {
            (thing[f"t{number}"], RDF.type, thing[f"d{number}"]) for number in range(600)
        }
