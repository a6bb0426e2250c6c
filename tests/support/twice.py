"""A small collection of which two editions were made, with a change between them."""

from datetime import date
from pathlib import Path

import shelf
from glost.answer.snapshot import Snapshot
from glost.publish.editions.making import make

FIRST, SECOND = date(2020, 1, 31), date(2021, 2, 28)
CHANGED = {
    "shapes": shelf.TABLES["shapes"].replace("Alder,1908,", "Alder,1906,"),
    "pieces": shelf.TABLES["pieces"] + "p3,birch,cup,b7,B7,,\n",
}
"""The tables that are others in the second: Alder begins two years sooner, and there is a cup."""


def write(folder: Path) -> Path:
    """Write the collection and make its editions, ``one`` and ``two``."""
    shelf.write(folder)
    make(Snapshot(folder), "one", FIRST)
    for name, text in CHANGED.items():
        (folder / "tables" / f"{name}.csv").write_text(text, encoding="utf-8")
    make(Snapshot(folder), "two", SECOND, "With a cup.")
    return folder
