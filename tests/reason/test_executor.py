"""The executor: tables of whole numbers, on DuckDB and on SQLite alike."""

import numpy as np
import pytest

from glost.reason.executor import DuckDB, SqlDatabase, SQLite


def column(*values: int) -> np.ndarray:
    """Make a column."""
    return np.array(values, np.int32)


@pytest.fixture(params=[DuckDB, SQLite])
def executor(request):
    made = request.param()
    made.create("p_q", ("s", "o", "step", "base"))
    made.load("rows", {"s": column(1, 2, 3), "o": column(2, 3, 4)})
    made.append("p_q", ("s", "o", "step", "base"), "SELECT s, o, 1, true FROM rows")
    yield made
    made.close()


def rows(executor: SqlDatabase) -> list[tuple]:
    """Read the table."""
    found = executor.read("SELECT s, o, step, base FROM p_q ORDER BY s, o")
    return list(zip(*(c.tolist() for c in found.values()), strict=True))


def test_append_tells_how_many(executor):
    more = "SELECT o AS s, s AS o, 2, false FROM rows WHERE s > 1"
    assert executor.append("p_q", ("s", "o", "step", "base"), more) == 2
    assert (3, 2, 2, False) in rows(executor)
    assert len(rows(executor)) == 5


def test_remove_tells_how_many(executor):
    executor.load("gone", {"s": column(1, 1, 9), "o": column(2, 7, 9)})
    assert executor.remove("p_q", ("s", "o"), "gone") == 1
    assert [row[:2] for row in rows(executor)] == [(2, 3), (3, 4)]


def test_rename_rewrites_and_keeps_what_was_there(executor):
    executor.load("renamed", {"old": column(3), "new": column(2)})
    assert executor.rename("p_q", ("s", "o"), "renamed", 5) == 3
    assert rows(executor) == [(1, 2, 1, True), (2, 2, 5, True), (2, 4, 5, True)]


def test_two_rows_renamed_alike_become_one(executor):
    executor.load("renamed", {"old": column(3, 4), "new": column(2, 3)})
    assert executor.rename("p_q", ("s", "o"), "renamed", 5) == 3
    executor.load("renamed", {"old": column(2, 3), "new": column(1, 1)})
    assert executor.rename("p_q", ("s", "o"), "renamed", 6) == 1
    assert rows(executor) == [(1, 1, 6, True)]


@pytest.mark.parametrize("told", ["append", "remove", "rename"])
def test_a_table_can_be_loaded_right_after_a_number_is_told(executor, told):
    executor.load("other", {"old": column(8), "new": column(9), "s": column(8), "o": column(9)})
    if told == "append":
        executor.append("p_q", ("s", "o", "step", "base"), "SELECT 8, 9, 2, true")
    elif told == "remove":
        executor.remove("p_q", ("s", "o"), "other")
    else:
        executor.rename("p_q", ("s", "o"), "other", 2)
    executor.load("after", {"s": column(1)})
    assert executor.read("SELECT s FROM after")["s"].tolist() == [1]


def test_dropping_what_is_not_there_does_nothing(executor):
    executor.drop("never_made")
    executor.drop("p_q")
    executor.create("p_q", ("s", "step"))
    assert executor.read("SELECT s FROM p_q")["s"].tolist() == []
