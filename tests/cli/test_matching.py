"""``glost match``: pairs in words, as CSV and as JSON, and what it refuses."""

import csv
import io
from pathlib import Path

import pytest

from commands import glost_ends
from printed import tables

EXAMPLE = str(Path(__file__).resolve().parents[2] / "examples" / "wend-valley")
LISTS = ("match", "ot-cat-1914", "ot-cat-1923", "-c", EXAMPLE)

pytestmark = pytest.mark.usefixtures("keeping_examples")


@pytest.fixture
def glost(capsys: pytest.CaptureFixture[str]):  # type: ignore[no-untyped-def]
    def run(*words: str) -> tuple[int, str, str]:
        return (glost_ends(*words), *capsys.readouterr())

    return run


def test_the_same_pairs_in_three_forms(glost) -> None:  # type: ignore[no-untyped-def]
    code, text, _ = glost(*LISTS)
    assert code == 0 and text.rstrip().endswith("none is entered until somebody accepts it.")
    code, told, _ = glost(*LISTS, "--as", "csv")
    rows = list(csv.DictReader(io.StringIO(told)))
    code, told, _ = glost(*LISTS, "--as", "json")
    (pairs,) = tables(told, "pairs")
    names = ("one_iri", "other_iri", "why", "would_decide")
    assert [[each[name] for name in names] for each in pairs] == [
        [row[name] for name in names] for row in rows
    ]
    assert f"{len(pairs)} pairs" in text


def test_evidence_says_what_is_compared(glost) -> None:  # type: ignore[no-untyped-def]
    code, text, _ = glost(*LISTS, "--evidence")
    assert code == 0
    assert "same form" in text and "Would decide:" in text


def test_a_collection_with_itself_is_the_same_throughout(glost) -> None:  # type: ignore[no-untyped-def]
    code, told, _ = glost("match", "shapes", "--with", EXAMPLE, "-c", EXAMPLE, "--as", "csv")
    rows = list(csv.DictReader(io.StringIO(told)))
    assert code == 0 and len(rows) > 12
    assert all(row["one_iri"] == row["other_iri"] for row in rows)


@pytest.mark.parametrize(
    ("words", "code", "says"),
    [
        (("match", "teapots", "-c", EXAMPLE), 2, '"teapots" is no kind; name two lists, or one of'),
        (("match", "ot-cat-1914", "nowhere", "-c", EXAMPLE), 1, "nowhere"),
        (("match", "a", "b", "--with", EXAMPLE, "-c", EXAMPLE), 2, "--with looks for things of a"),
    ],
)
def test_what_it_refuses(glost, words: tuple[str, ...], code: int, says: str) -> None:  # type: ignore[no-untyped-def]
    ended, _, err = glost(*words)
    assert ended == code
    assert says in err
