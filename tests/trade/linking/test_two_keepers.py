"""Candidates across two keepers' collections, against a table written by whoever knows both.

`thurle_truth.csv` says which things of the cabinet at Thurle are which of the Wend valley archive,
and which only seem so, as its tables and those of the archive have it.
"""

import csv
from collections.abc import Iterator
from pathlib import Path

import pytest

from glost.answer.alike import KINDS, alike_things
from glost.answer.snapshot import Snapshot

TRUTH = Path(__file__).with_name("thurle_truth.csv")
Pair = tuple[str, str, str]


def truth(standing: str) -> set[Pair]:
    with TRUTH.open(encoding="utf-8", newline="") as file:
        return {
            (row["kind"], row["thurle"], row["wend"])
            for row in csv.DictReader(file)
            if row["standing"] == standing
        }


@pytest.fixture(scope="session")
def found(thurle: Snapshot, valley: Snapshot) -> dict[Pair, float]:
    def pairs() -> Iterator[tuple[Pair, float]]:
        for kind in KINDS:
            for each in alike_things(thurle, kind, valley):
                names = (str(iri).rsplit("/", 1)[-1] for iri in (each.one, each.other))
                yield (kind, *names), each.probability  # type: ignore[misc]

    return dict(pairs())


def test_nearly_all_candidates_are_right(found: dict[Pair, float]) -> None:
    right = found.keys() & truth("same")
    assert len(right) / len(found) >= 0.98


def test_most_of_what_is_the_same_is_found(found: dict[Pair, float]) -> None:
    same = truth("same")
    assert len(same) > 100
    assert len(found.keys() & same) / len(same) >= 0.85


def test_what_only_seems_the_same_is_not_proposed(found: dict[Pair, float]) -> None:
    seeming = truth("not-the-same")
    assert sum(kind == "shapes" for kind, _, _ in seeming) == 3
    assert not found.keys() & seeming


def test_what_is_said_to_be_sure_is(found: dict[Pair, float]) -> None:
    sure = {pair for pair, probability in found.items() if probability >= 0.9}
    assert len(sure) > 50
    assert len(sure & truth("same")) / len(sure) >= 0.9
