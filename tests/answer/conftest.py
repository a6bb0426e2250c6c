"""The small collection that questions are put to in these tests, opened once."""

from pathlib import Path

import pytest

from glost.answer.snapshot import Snapshot

HERE = Path(__file__).parent


@pytest.fixture(scope="session")
def little() -> Snapshot:
    """Two invented potteries in a few rows a table; every answer can be found by hand."""
    return Snapshot(HERE / "little")
