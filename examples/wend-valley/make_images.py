"""Draw the page images of this collection: python make_images.py [FOLDER].

Pages are drawn from the tables: a row with a region on an image is drawn where the region says,
so that image and record agree. The same tables give the same pictures.
"""

import csv
import re
import sys
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from PIL import Image

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE))
import backstamps  # noqa: E402
import blueprint as drawing  # noqa: E402
import outlines  # noqa: E402
import postcard as view  # noqa: E402
from outlines import INK, PAPER, SERIF, Box  # noqa: E402

Row = dict[str, str]


def rows(table: str) -> list[Row]:
    """Read a table of the collection."""
    with (HERE / "tables" / f"{table}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def box(row: Row) -> Box:
    """Read left, top, width and height out of a row's region."""
    left, top, width, height = re.findall(r"[\d.]+", row["region"].partition("xywh=")[2])
    return float(left), float(top), float(width), float(height)


def sheet(width: int, height: int, colour: str = PAPER) -> tuple[Figure, Axes]:
    """Make a page in pixels, with the origin at the top left."""
    figure = Figure(figsize=(width / 100, height / 100), dpi=100, facecolor=colour)
    ax = figure.add_axes((0, 0, 1, 1))
    ax.set_xlim(0, width)
    ax.set_ylim(height, 0)
    ax.axis("off")
    return figure, ax


def offered(catalogue: str, shape: str) -> list[Row]:
    """Return the rows of a list that have a place on its page."""
    found = [
        row
        for row in rows("assortments")
        if (row["catalogue"], row["shape"]) == (catalogue, shape) and row["region"]
    ]
    if not found:
        raise SystemExit(f"no row of {catalogue} in {shape} has a region")
    return found


def words(row: Row) -> str:
    """Name an article as a list does."""
    form = row["form"].replace("-", " ").capitalize().replace("After dinner", "A. D.")
    size = row["trade_size"]
    return f"{form}, {size} in." if size.isdigit() else f"{form}, {size}" if size else form


def catalogue_page(catalogue: str, shape: str, heading: str, folio: str) -> Figure:
    """Draw a page of cuts with item numbers."""
    figure, ax = sheet(900, 1160)
    ax.plot([50, 850, 850, 50, 50], [40, 40, 1115, 1115, 40], color=INK, lw=1.6)
    ax.plot([56, 844, 844, 56, 56], [46, 46, 1109, 1109, 46], color=INK, lw=0.5)
    ax.text(450, 92, heading, size=25, ha="center", va="center", color=INK, **SERIF)
    ax.plot([330, 570], [124, 124], color=INK, lw=0.8)
    under = "Orrin & Tasker Pottery Co., Sallow Ferry"
    ax.text(450, 144, under, size=11, ha="center", va="center", color=INK, style="italic", **SERIF)
    ax.text(450, 1137, folio, size=11, ha="center", va="center", color=INK, **SERIF)
    for row in offered(catalogue, shape):
        left, top, width, height = box(row)
        cell = figure.add_axes(
            (left / 900, 1 - (top + height - 40) / 1160, width / 900, (height - 40) / 1160)
        )
        outlines.draw(cell, shape, row["form"], row["count"] or row["trade_size"])
        middle = left + width / 2
        foot = {"ha": "center", "color": INK, **SERIF}
        ax.text(middle, top + height - 22, f"No. {row['item']}", size=10.5, weight="bold", **foot)
        ax.text(middle, top + height - 6, words(row), size=9.5, style="italic", **foot)
    return figure


def price_list(catalogue: str, shape: str, heading: tuple[str, str], foot: str) -> Figure:
    """Draw a page of a price list."""
    figure, ax = sheet(700, 1060, "#f3ead2")
    ax.text(350, 62, heading[0], size=20, ha="center", va="center", color=INK, **SERIF)
    ax.text(
        350, 98, heading[1], size=12, ha="center", va="center", color=INK, style="italic", **SERIF
    )
    ax.plot([56, 644], [122, 122], color=INK, lw=1.4)
    ax.plot([56, 644], [126, 126], color=INK, lw=0.5)
    for x, text, side in ((60, shape.upper() + " SHAPE", "left"), (640, "PER DOZ.", "right")):
        ax.text(x, 152, text, size=10, ha=side, va="center", color=INK, weight="bold", **SERIF)
    last = 0.0
    for row in offered(catalogue, shape):
        left, top, width, height = box(row)
        line = top + height / 2
        ax.text(left + 4, line, words(row), size=11, va="center", color=INK, **SERIF)
        ax.plot([left + 235, left + width - 74], [line + 5] * 2, color=INK, lw=0.7, ls=(0, (1, 5)))
        price = row["price"]
        ax.text(left + width - 4, line, price, size=11, ha="right", va="center", color=INK, **SERIF)
        last = top + height
    ax.plot([56, 644], [last + 14] * 2, color=INK, lw=0.5)
    ax.text(350, last + 38, foot, size=10, ha="center", color=INK, style="italic", **SERIF)
    return figure


def blueprint() -> Figure:
    """Draw the sheet of the bisque tunnel kiln from the kiln's and its zones' rows."""
    figure, ax = sheet(1300, 780, "#1d4f86")
    kiln = next(row for row in rows("kilns") if row["claim"] == "length-of-a-original")
    zones = [row for row in rows("kiln_zones") if row["source"] == "ot-bp-1923"]
    drawing.blueprint(
        ax,
        whole=(kiln["length"], box(kiln)),
        zones=[(row["zone"].replace("-", " "), row["length"], box(row)) for row in zones],
        section=(kiln["width"], kiln["height"]),
    )
    return figure


def postcard() -> Figure:
    """Draw the six bottles from the ferry."""
    figure, ax = sheet(800, 500, "#e9dcc0")
    fourth = next(row for row in rows("kilns") if row["source"] == "postcard-1908")
    view.postcard(ax, box(fourth))
    return figure


def mark(name: str) -> Figure:
    """Draw a backstamp."""
    figure, ax = sheet(320, 320, "#f2efe6")
    ax.set_xlim(-1.15, 1.15)
    ax.set_ylim(-1.15, 1.15)
    backstamps.MARKS[name](ax)
    backstamps.wear(ax, name)
    return figure


PICTURES: dict[str, Callable[[], Figure]] = {
    "ot-cat-1906-p11.png": lambda: catalogue_page("ot-cat-1906", "alder", "THE ALDER SHAPE", "11"),
    "ot-cat-1909-p13.png": lambda: catalogue_page("ot-cat-1909", "tamsin", "TAMSIN", "13"),
    "ot-cat-1928-leaf6.png": lambda: catalogue_page("ot-cat-1928", "octavine", "OCTAVINE", ""),
    "ot-pl-1909-p2.png": lambda: price_list(
        "ot-pl-1909",
        "tamsin",
        ("NET PRICE LIST", "Orrin & Tasker Pottery Co.    Spring, 1909"),
        "Packages charged at cost.",
    ),
    "ot-pl-1917-p1.png": lambda: price_list(
        "ot-pl-1917",
        "tamsin",
        ("WAR PRICE LIST No. 3", "Orrin & Tasker Pottery Co.    October, 1917"),
        "Subject to change without notice.",
    ),
    "q-pl-1932-p2.png": lambda: price_list(
        "q-pl-1932",
        "moraine",
        ("REVISED LIST", "Quillan Pottery Company, Marl Landing    Effective May 2nd"),
        "In Old Straw, 10 per cent. additional.  Lesche Blue upon Moraine only.",
    ),
    "ot-bp-1923.png": blueprint,
    "postcard-1908.png": postcard,
    **{f"mark-{name}.png": (lambda name=name: mark(name)) for name in backstamps.MARKS},
}


def save(figure: Figure, path: Path) -> None:
    """Write a small PNG: 24 colours."""
    page = BytesIO()
    figure.savefig(page, format="png", facecolor=figure.get_facecolor())
    image = Image.open(page).convert("RGB")
    image.quantize(24, method=Image.Quantize.MEDIANCUT, dither=Image.Dither.NONE).save(
        path, optimize=True
    )


def main(folder: Path) -> None:
    """Draw every picture into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, make in sorted(PICTURES.items()):
        save(make(), folder / name)


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else HERE / "images")
