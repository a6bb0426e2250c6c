"""Draws the picture of this collection that the program's README shows.

python examples/wend-valley/make_pictures.py
"""

from pathlib import Path

from glost.answer.snapshot import Snapshot
from glost.publish.pictures.picture import Drawing
from glost.publish.pictures.subjects import draw

HERE = Path(__file__).parent
FILE = HERE / "shapes.svg"


def shapes() -> Drawing:
    """Return the picture: when every shape of the collection ran."""
    return draw(Snapshot(HERE), "runs", "shapes")


if __name__ == "__main__":
    FILE.write_text(shapes().svg(), encoding="utf-8")
