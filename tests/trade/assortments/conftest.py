"""A pottery of a few tables, written anew for each test."""

from collections.abc import Callable
from pathlib import Path

import pytest

from glost.answer.desk import Desk
from shelf import write

Collect = Callable[..., Desk]


@pytest.fixture
def collect(tmp_path: Path) -> Collect:
    """Open a collection of the tables given, with one pottery and a letter to cite."""

    def make(**tables: str) -> Desk:
        sources = "source,title,kind,date,complete\nletter,[A letter],letter,1950,\n"
        given = {
            "potteries": "pottery,name,source\nharrow,Harrow Pottery,letter\n",
            **dict.fromkeys(("flatware", "treatments", "pieces", "assortments"), ""),
            **tables,
            "sources": sources + tables.get("sources", ""),
        }
        return Desk(write(tmp_path / "c", **given))

    return make
