"""The small collection that questions are put to in these tests, opened once."""

from pathlib import Path

import pytest

from glost.answer.desk import Desk

HERE = Path(__file__).parent


@pytest.fixture(scope="session")
def little() -> Desk:
    """Two invented potteries in a few rows a table; every answer can be found by hand."""
    return Desk(HERE / "little")
