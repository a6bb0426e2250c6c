"""The collections that questions are put to in these tests, each opened once."""

from pathlib import Path

import pytest

from glost.answer.desk import Desk

HERE = Path(__file__).parent


@pytest.fixture(scope="session")
def little() -> Desk:
    """Two invented potteries in a few rows a table; every answer can be found by hand."""
    return Desk(HERE / "little")


@pytest.fixture(scope="session")
def valley() -> Desk:
    """The example collection."""
    return Desk(HERE.parents[1] / "examples" / "wend-valley")
