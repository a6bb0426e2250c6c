"""A pottery of a few tables, written anew for each test."""

from collections.abc import Callable
from pathlib import Path

import pytest

from glost.answer.snapshot import Snapshot
from shelf import write

Collect = Callable[..., Snapshot]


@pytest.fixture
def collect(tmp_path: Path) -> Collect:
    """Open a collection of the tables given, with one pottery and a letter to cite."""

    def make(**tables: str) -> Snapshot:
        sources = "source,title,kind,date,complete\nletter,[A letter],letter,1950,\n"
        given = {
            "potteries": "pottery,name,source\nharrow,Harrow Pottery,letter\n",
            **dict.fromkeys(("flatware", "treatments", "pieces", "assortments"), ""),
            **tables,
            "sources": sources + tables.get("sources", ""),
        }
        return Snapshot(write(tmp_path / "c", **given))

    return make
