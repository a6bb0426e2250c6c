"""``glost review``: pair by pair with one key each, and by way of a sheet; and ``glost together``."""

import csv
import io
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from commands import glost_ends
from glost.record.record import read
from glost.trade.linking.links import links_in
from keepers import keeper

SHAPES = "shape,pottery,name,begin,source\n" + "".join(
    f"s{n},harrow,{chr(65 + n)}orn,{1880 + n},letter\n" for n in range(8)
)
BY = ("--by", "E. Marsh", "--on", "2025-03-04")


Run = Callable[..., str]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    def run_(*words: object, keys: str = "", code: int = 0) -> str:
        monkeypatch.setattr(sys, "stdin", io.StringIO(keys))
        ended = glost_ends(*map(str, words))
        told = "".join(capsys.readouterr())
        assert ended == code, told
        return told

    return run_


@pytest.fixture
def both(run: Run, tmp_path: Path) -> Path:
    for name in ("ash", "elm"):
        keeper(tmp_path, name, shapes=SHAPES)
    made = run("together", tmp_path / "both", tmp_path / "ash", tmp_path / "elm",
               "--base", "https://both.example/")  # fmt: skip
    assert made.startswith("Wrote 3 files")
    return tmp_path / "both"


def kinds(folder: Path) -> list[str]:
    return [str(link.kind) for link in links_in(read(folder).believed()).every]


def test_each_answer_is_entered_with_one_key(run: Run, both: Path) -> None:
    told = run("review", "shapes", "-c", both, *BY, keys="y\nn\nl\nq\n")
    assert "1 of 8:" in told and "3 of 8:" in told
    assert "Entered 1 yes, 1 no, 1 later; 5 pairs left unanswered." in told
    assert sorted(kinds(both)) == ["not-the-same", "same", "undecided"]
    again = run("review", "shapes", "-c", both, *BY, keys="q\n")
    assert "1 of 6:" in again  # the one left for later is among them, and comes last
    assert "7 pairs" in run("match", "shapes", "-c", both)


def test_an_answer_is_undone(run: Run, both: Path) -> None:
    told = run("review", "shapes", "-c", both, *BY, keys="u\ny\nu\nn\nq\n")
    assert "There is nothing to undo." in told
    assert "Entered 0 yes, 1 no, 0 later" in told
    assert kinds(both) == ["not-the-same"]


def test_by_way_of_a_sheet(run: Run, both: Path, tmp_path: Path) -> None:
    pairs = tmp_path / "pairs.csv"
    assert "Wrote 8 pairs" in run("review", "shapes", "-c", both, *BY, "--sheet", pairs)
    with pairs.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    rows[0]["answer"], rows[1]["answer"] = "yes", "nope"
    with pairs.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
    told = run("review", "shapes", "-c", both, *BY, "--read", pairs, code=1)
    assert 'pairs.csv, row 3, column answer: "nope" is no answer' in told
    assert kinds(both) == []
    pairs.write_text(pairs.read_text(encoding="utf-8").replace("nope", "no"), encoding="utf-8")
    told = run("review", "shapes", "-c", both, *BY, "--read", pairs)
    assert "Entered 1 yes, 1 no, 0 later; 6 pairs left unanswered." in told
    told = run("review", "shapes", "-c", both, *BY, "--read", pairs)
    assert "Entered 0 yes, 0 no, 0 later; 2 on record already" in told


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("teapots",), "is no kind"),
        (("shapes", "--sheet", "a.csv", "--read", __file__), "give one of them"),
        (("a", "b", "--with", "."), "--with looks for things of a kind"),
    ],
)
def test_what_is_refused(run: Run, words: tuple[str, ...], says: str) -> None:
    assert says in run("review", *words, *BY, code=2)
