"""After random changes and undos everything is as from nothing; the long walks are by hand.

``tests/attack/long_walks.py`` takes many more steps.
"""

from pathlib import Path

import pytest

from glost.record.record import Record, read
from walks import walk

TOP = Path(__file__).parents[3]


@pytest.fixture(scope="module")
def shelf() -> Record:
    return read(TOP / "examples" / "one-shelf")


@pytest.mark.parametrize("seed", range(3))
def test_a_walk_on_the_small_example_ends_as_from_nothing(shelf: Record, seed: int) -> None:
    assert walk(shelf, seed, steps=8, every=8) == []


def test_a_walk_on_two_potteries_ends_as_from_nothing() -> None:
    assert walk(read(TOP / "tests" / "answer" / "little"), 1, steps=6, every=6) == []


def test_a_walk_on_the_large_example_ends_as_from_nothing() -> None:
    assert walk(read(TOP / "examples" / "wend-valley"), 1, steps=2, every=2) == []
