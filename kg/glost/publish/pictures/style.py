"""The house style: page, type and ink, the same for every picture.

Everything that matters is told apart by pattern, line or letter as well as by colour, so that a
picture printed in black loses nothing.
"""

from functools import cache
from pathlib import Path
from typing import Any

import matplotlib as mpl
import matplotlib.mathtext  # it is what turns on what is turned off below
from matplotlib.font_manager import FontProperties
from matplotlib.ft2font import FT2Font
from pyparsing import ParserElement

# matplotlib has every parser of the process remember what it tried. Those of SPARQL are three times
# as slow by it, and no picture has a formula.
ParserElement.disable_memoization()

POINTS = 72.0
"""Points to the inch; pictures are laid out in points."""

LONG, SHORT = 9.6 * POINTS, 7.1 * POINTS
"""Sides of what can be printed on A4 and on US Letter alike, with margins of half an inch."""

MARGIN = 14.0

TITLE, LABEL, SMALL, TINY = 14.0, 8.6, 7.4, 6.6
"""Sizes of type in points."""

INK = "#1c1b19"
QUIET = "#5f5a52"
RULE = "#cfc8bb"
PAPER = "#ffffff"
BAND = "#f4f1ea"
COBALT = "#1f4a80"
PALE = "#e3ebf4"
RUST = "#b5471d"
BLUSH = "#f8e4da"

RELATION_INK = {
    "copied": "#1f4a80",
    "redesigned": "#bd2804",
    "reissued": "#574629",
    "derived": "#1d7f77",
    "succeeded": "#1c1b19",
    "moulds": "#cc31c6",
    "flatware": "#6d8840",
    "like": "#9944f6",
    "hardly": "#4d05a3",
    "instead": "#3d06fe",
}
"""Ink of each kind of tie; its letter says the same. Any two stay apart to every kind of eye."""

DARK = {
    INK: "#ece7dc",
    QUIET: "#b5ae9f",
    RULE: "#4a4d55",
    PAPER: "#1e2127",
    BAND: "#282c33",
    COBALT: "#8fb4ea",
    PALE: "#22304a",
    RUST: "#f0a284",
    BLUSH: "#47281c",
    RELATION_INK["redesigned"]: "#e55a75",
    RELATION_INK["reissued"]: "#eedb24",
    RELATION_INK["derived"]: "#20e184",
    RELATION_INK["moulds"]: "#bf74b5",
    RELATION_INK["flatware"]: "#abfa7f",
    RELATION_INK["like"]: "#d546ff",
    RELATION_INK["hardly"]: "#beb0c2",
    RELATION_INK["instead"]: "#9e77d7",
}
"""What becomes of every ink on a dark screen; all that is told apart in light is in dark."""

_FACES = {
    (False, False): "DejaVuSans.ttf",
    (True, False): "DejaVuSans-Bold.ttf",
    (False, True): "DejaVuSans-Oblique.ttf",
    (True, True): "DejaVuSans-BoldOblique.ttf",
}
_TITLES = "STIXGeneralBol.ttf"
_PLAINEST = ("DejaVuSans.ttf", "LastResortHE-Regular.ttf")


SANS = "'DejaVu Sans', Verdana, Geneva, sans-serif"
"""What an SVG asks for where `face` gives DejaVu Sans; Verdana is as wide (Bitstream Vera)."""

TITLING = "STIXGeneral, 'STIX Two Text', 'Times New Roman', Times, serif"
"""What an SVG asks for where `face` gives STIX, whose letters are as wide as those of Times."""

HALO = 2.4
"""How wide the ground about type with a halo is cleared, in points, half of it on either side."""


def settings() -> dict[str, Any]:
    """Return matplotlib's settings while a picture is drawn and written."""
    return {
        "hatch.linewidth": 0.55,
        "text.parse_math": False,
        "text.usetex": False,
        "path.simplify": False,
        "path.sketch": None,
        "axes.unicode_minus": True,
        "font.enable_last_resort": True,
    }


def face(
    text: str, size: float, *, bold: bool = False, italic: bool = False, title: bool = False
) -> FontProperties:
    """Choose a face that matplotlib ships and that has every letter of the text.

    Parameters
    ----------
    text
        What will be set in it.
    size
        In points.
    bold, italic, title
        How it should look; given up for a plainer face if a letter is wanting.
    """
    wanted = (_TITLES,) if title else ()
    for name in (*wanted, _FACES[bold, italic], *_PLAINEST):
        if all(ord(letter) in _letters(name) for letter in text if not letter.isspace()):
            break
    return FontProperties(fname=str(_folder() / name), size=size)


def _folder() -> Path:
    return Path(mpl.get_data_path()) / "fonts" / "ttf"


@cache
def _letters(name: str) -> frozenset[int]:
    return frozenset(FT2Font(str(_folder() / name)).get_charmap())
