"""On which articles of a shape a glaze is found, where two sources name different ones alone."""

from pathlib import Path

import pytest

from glost.answer.snapshot import Snapshot
from shelf import write

TABLES = {
    "sources": "source,title\nbook,A Book\nletter,[A letter]\n",
    "potteries": "pottery,name,source\nharrow,Harrow Pottery,book\n",
    "shapes": "shape,pottery,name,source\nash,harrow,Ash,book\n",
    "glazes": "glaze,pottery,name,source\nfen,harrow,Fen green,book\n",
    **dict.fromkeys(("flatware", "treatments", "assortments"), ""),
}
BOTH = "on this, and on others only"
RULED = "a source rules out what another names"
SHOWN = "a piece shows what a source rules out"
LOOK = "a piece of that form with the glaze"


@pytest.mark.parametrize(
    ("rows", "expected"),
    [
        # Each of two sources names one form and no other: neither is silently joined to the other.
        ("fen,ash,teapot,yes,book\nfen,ash,jug,yes,letter\n",
         {("jug", "possibly", BOTH, "0", RULED, LOOK), ("teapot", "yes", BOTH, "1", SHOWN, "")}),
        # Only the one that says "only" rules out what the other names.
        ("fen,ash,teapot,yes,book\nfen,ash,jug,,letter\n",
         {("jug", "possibly", BOTH, "0", RULED, LOOK),
          ("teapot", "yes", "on this and no other", "1", "", "")}),
        # One source may name its forms in two rows, or by a wide form.
        ("fen,ash,teapot,yes,book\nfen,ash,jug,yes,book\n",
         {("jug", "yes", "on this and no other", "0", "", ""),
          ("teapot", "yes", "on this and no other", "1", "", "")}),
        ("fen,ash,hollow-ware,yes,book\nfen,ash,jug,yes,letter\n",
         {("hollow-ware", "possibly", BOTH, "0", RULED, LOOK),
          ("jug", "yes", "on this and no other", "0", "", ""),
          ("teapot", "yes", BOTH, "1", SHOWN, "")}),
    ],
)  # fmt: skip
def test_two_sources_that_name_different_articles(
    tmp_path: Path, rows: str, expected: set[tuple[str, ...]]
) -> None:
    tables = {
        **TABLES,
        "glaze_articles": f"glaze,shape,form,only,source\n{rows}",
        "pieces": "piece,pottery,shape,form,glaze\np,harrow,ash,teapot,fen\n",
    }
    answer = Snapshot(write(tmp_path / "c", **tables)).answers.ask("glazes-and-articles")
    places = [answer.columns.index(c) for c in ("form", "found", "said", "pieces")]
    places += [answer.columns.index(c) for c in ("disputed", "deciding")]
    assert {
        tuple(
            "" if row.values[at] is None else str(row.values[at]).rsplit("/", 1)[-1]
            for at in places
        )
        for row in answer.rows
    } == expected
