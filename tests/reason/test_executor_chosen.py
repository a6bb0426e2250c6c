"""Which engine closes facts."""

import sys

import pytest

from glost.reason.executor import DuckDB, chosen
from glost.record.partitioned import MASTER
from glost.usage import UsageError


@pytest.mark.parametrize("setting", ["", None])
def test_duckdb_unless_the_environment_says_otherwise(
    setting: str | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv(MASTER, raising=False)
    if setting is not None:
        monkeypatch.setenv(MASTER, setting)
    assert isinstance(chosen(), DuckDB)


def test_spark_that_is_not_installed_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(MASTER, "local[2]")
    monkeypatch.setitem(sys.modules, "pyspark.sql", None)
    with pytest.raises(UsageError, match=r"GLOST_SPARK is set, but .*pip install glost\[spark\]"):
        chosen()
