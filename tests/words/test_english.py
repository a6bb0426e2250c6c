"""Counts and lists in plain English."""

import pytest

from glost.words.english import count, joined


@pytest.mark.parametrize(
    ("number", "expected"),
    [(0, "0 claims"), (1, "1 claim"), (2, "2 claims"), (1204, "1,204 claims")],
)
def test_a_count(number: int, expected: str) -> None:
    assert count(number, "claim") == expected


def test_a_count_of_what_has_another_plural() -> None:
    assert [count(number, "copy", "copies") for number in (1, 3)] == ["1 copy", "3 copies"]


@pytest.mark.parametrize(
    ("names", "most", "expected"),
    [
        ("", None, ""),
        ("A", None, "A"),
        ("AB", None, "A and B"),
        ("ABC", None, "A, B and C"),
        ("ABC", 3, "A, B and C"),
        ("ABCD", 3, "A, B, C and 1 more"),
        ("ABCD", 1, "A and 3 more"),
    ],
)
def test_names_joined(names: str, most: int | None, expected: str) -> None:
    assert joined(names, most) == expected


def test_what_joins_the_last_is_given() -> None:
    assert joined("ABC", last="or") == "A, B or C"
