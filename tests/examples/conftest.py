"""The example collections, as rows and as records."""

import csv
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest

from glost.record.record import Record, read

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"

Rows = Callable[[str], list[dict[str, str]]]


@cache
def _rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.fixture(scope="session", params=["one-shelf", "wend-valley"])
def folder(request: pytest.FixtureRequest) -> Path:
    """Each example collection in turn."""
    return EXAMPLES / request.param


@pytest.fixture(scope="session")
def valley() -> Path:
    """Return the folder of the large example."""
    return EXAMPLES / "wend-valley"


@pytest.fixture(scope="session")
def rows(valley: Path) -> Rows:
    """Rows of a table of the large example, read with the standard library alone."""
    return lambda table: _rows(valley / "tables" / f"{table}.csv")


@pytest.fixture(scope="session")
def record(folder: Path) -> Record:
    """Read each example collection."""
    return read(folder)
