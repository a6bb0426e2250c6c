"""What was first of its kind where sources differ on when it began."""

from pathlib import Path

import pytest

from glost.answer.snapshot import Snapshot
from glost.trade.lineage.graph import lineage
from glost.trade.lineage.kinds import first_lines
from shelf import TABLES, write


@pytest.mark.parametrize(
    ("other", "expected"),
    [
        # Alder began in 1908 or in 1913: first only if the one is right.
        ("1910", {("Alder", "first shape: possibly; when it began is in dispute", False),
                  ("Birch", "first shape: possibly", False)}),
        ("1914", {("Alder", "first shape: yes; when it began is in dispute", True)}),
        ("1905", {("Birch", "first shape: yes", True)}),
    ],
)  # fmt: skip
def test_it_is_judged_however_the_dispute_is_settled(
    tmp_path: Path, other: str, expected: set[tuple[str, str, bool]]
) -> None:
    tables = {
        **dict.fromkeys(TABLES, ""),
        "sources": "source,title\nbook,A Book\nletter,[A letter]\n",
        "shapes": "shape,name,begin,source,claim\nalder,Alder,1908,book,early\n"
        f"alder,Alder,1913,letter,late\nbirch,Birch,{other},book,other\n",
    }
    snapshot = Snapshot(write(tmp_path / "c", **tables))
    whole = lineage(snapshot.belief)
    lines = first_lines(whole, snapshot.chronology, "shape")
    assert {(whole.name(line.thing), line.words, line.sure) for line in lines} == expected
    claims = {claim.id for line in lines for claim in line.claims}
    assert claims == {"late" if other == "1914" else "early", "other"}
