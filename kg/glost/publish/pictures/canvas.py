"""A sheet to draw on: points from the top left corner, type that can be measured."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import Any, Literal

from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Circle, PathPatch, Polygon, Rectangle
from matplotlib.path import Path
from matplotlib.text import Text

from glost.publish.pictures.style import INK, LABEL, PAPER, POINTS, face

Point = tuple[float, float]

_FINE = 16
_MEASURED = 1_000
"""Characters that are measured; at the smallest size they are wider than the widest sheet."""


@cache
def width(
    text: str, size: float, bold: bool = False, italic: bool = False, title: bool = False
) -> float:
    """Measure a line of type, in points; one that no sheet has room for by its beginning."""
    if len(text) > _MEASURED:
        beginning = width(text[:_MEASURED], size, bold, italic, title)
        return beginning * len(text) / _MEASURED
    renderer: Any = _measure()
    # Measured large, where rounding to whole dots no longer tells.
    properties = face(text, size, bold=bold, italic=italic, title=title)
    return float(renderer.get_text_width_height_descent(text, properties, False)[0]) / _FINE


@cache
def _measure() -> Any:
    # matplotlib gives its renderers no types.
    renderer: Any = RendererAgg
    return renderer(8, 8, POINTS * _FINE)


def fit(
    text: str,
    size: float,
    room: float,
    *,
    bold: bool = False,
    italic: bool = False,
    title: bool = False,
) -> str:
    """Shorten a text until it fits in so many points; the end goes, an ellipsis takes its place."""
    most = _most(size, room)
    if len(text) <= most and width(text, size, bold, italic, title) <= room:
        return text
    fitting, beyond = 0, min(len(text), most) + 1
    while beyond - fitting > 1:
        middle = (fitting + beyond) // 2
        if width(_cut(text, middle), size, bold, italic, title) <= room:
            fitting = middle
        else:
            beyond = middle
    return _cut(text, fitting) if fitting else ""


def _cut(text: str, length: int) -> str:
    return text[:length].rstrip(" ,;:") + "…"


def _most(size: float, room: float) -> int:
    """Return how many characters can stand in so many points, if all are as narrow as any is."""
    return max(1, int(room / (size * _NARROWEST)) + 1)


_NARROWEST = 0.15
"""Width of the narrowest letter as a share of the size of type; an l has more than a fifth."""


def wrap(text: str, size: float, room: float, *, italic: bool = False) -> list[str]:
    """Break a text into lines that fit in so many points; a word longer than a line is cut."""
    lines: list[str] = []
    line = ""
    for word in text.split():
        longer = f"{line} {word}".strip()
        if line and (len(longer) > _most(size, room) or width(longer, size, False, italic) > room):
            lines.append(line)
            line = fit(word, size, room, italic=italic)
        else:
            line = fit(longer, size, room, italic=italic)
    return [*lines, line] if line else lines


@dataclass
class Canvas:
    """A sheet of a width and a height, in points; y grows downwards.

    Attributes
    ----------
    wide, high
        Its size.
    figure
        What is drawn, for matplotlib to write.
    """

    wide: float
    high: float
    figure: Figure = field(init=False)

    def __post_init__(self) -> None:
        """Lay out an empty sheet."""
        size = (self.wide / POINTS, self.high / POINTS)
        self.figure = Figure(figsize=size, dpi=POINTS, facecolor=PAPER)
        self._axes = self.figure.add_axes((0, 0, 1, 1), frameon=False)
        self._axes.set_axis_off()
        self._axes.set_xlim(0, self.wide)
        self._axes.set_ylim(self.high, 0)
        self._order = 0.0

    def _next(self) -> float:
        """Draw in the order of calls, whatever the kind of artist."""
        self._order += 1.0
        return self._order

    def text(
        self,
        x: float,
        y: float,
        text: str,
        size: float = LABEL,
        *,
        ink: str = INK,
        bold: bool = False,
        italic: bool = False,
        title: bool = False,
        align: Literal["left", "center", "right"] = "left",
        turned: float = 0.0,
        halo: str = "",
    ) -> None:
        """Set a line of type, its middle at height y; what would leave the sheet is cut.

        `align` is ``left``, ``center`` or ``right``; `turned` in degrees, anticlockwise, about
        that end of the base line; `halo`, the ink of the ground, clears the lines behind type
        that is not turned.
        """
        if not turned:
            ends = {"left": self.wide - x, "center": 2 * min(x, self.wide - x), "right": x}
            text = fit(text, size, max(ends[align], 0.0), bold=bold, italic=italic, title=title)
        else:
            text = fit(text, size, max(self.wide, self.high), bold=bold, italic=italic, title=title)
        if halo:
            long = width(text, size, bold, italic, title)
            left = x - long * {"left": 0.0, "center": 0.5, "right": 1.0}[align]
            self.box(left - 1, y - size * 0.54, long + 2, size, fill=halo)
        artist = Text(
            x,
            y,
            text,
            color=ink,
            fontproperties=face(text, size, bold=bold, italic=italic, title=title),
            horizontalalignment=align,
            verticalalignment="center_baseline",
            rotation=turned,
            rotation_mode="anchor",
            parse_math=False,
            zorder=self._next(),
        )
        self._axes.add_artist(artist)

    def line(
        self,
        points: Sequence[Point],
        *,
        ink: str = INK,
        weight: float = 0.8,
        dashes: tuple[float, ...] = (),
    ) -> None:
        """Draw a line through points; `dashes` are lengths on and off in points."""
        artist = Line2D(
            [x for x, _ in points],
            [y for _, y in points],
            color=ink,
            linewidth=weight,
            linestyle=(0.0, tuple(length / weight for length in dashes)) if dashes else "solid",
            dash_capstyle="butt",
            solid_capstyle="butt",
            solid_joinstyle="round",
            zorder=self._next(),
        )
        self._axes.add_artist(artist)

    def box(
        self,
        x: float,
        y: float,
        wide: float,
        high: float,
        *,
        fill: str = "none",
        ink: str = "none",
        weight: float = 0.6,
        hatch: str = "",
        dashes: tuple[float, ...] = (),
    ) -> None:
        """Draw a rectangle from its top left corner; `hatch` as matplotlib writes it, in `ink`."""
        patch = Rectangle((x, y), wide, high, facecolor=fill, edgecolor=ink, linewidth=weight)
        if hatch:
            patch.set_hatch(hatch)
        if dashes:
            patch.set_linestyle((0.0, tuple(length / weight for length in dashes)))
        patch.set_zorder(self._next())
        self._axes.add_artist(patch)

    def shape(
        self, points: Sequence[Point], *, fill: str = INK, ink: str = "none", weight: float = 0.6
    ) -> None:
        """Draw a closed shape."""
        patch = Polygon(list(points), closed=True, facecolor=fill, edgecolor=ink, linewidth=weight)
        patch.set_zorder(self._next())
        self._axes.add_artist(patch)

    def dot(
        self,
        x: float,
        y: float,
        radius: float,
        *,
        fill: str = INK,
        ink: str = "none",
        weight: float = 0.6,
    ) -> None:
        """Draw a disc."""
        patch = Circle((x, y), radius, facecolor=fill, edgecolor=ink, linewidth=weight)
        patch.set_zorder(self._next())
        self._axes.add_artist(patch)

    def curve(
        self,
        start: Point,
        first: Point,
        second: Point,
        end: Point,
        *,
        ink: str = INK,
        weight: float = 0.8,
        dashes: tuple[float, ...] = (),
    ) -> None:
        """Draw a cubic curve by way of two handles."""
        codes = [Path.MOVETO, Path.CURVE4, Path.CURVE4, Path.CURVE4]
        path = Path([start, first, second, end], codes)
        patch = PathPatch(path, facecolor="none", edgecolor=ink, linewidth=weight)
        if dashes:
            patch.set_linestyle((0.0, tuple(length / weight for length in dashes)))
        patch.set_zorder(self._next())
        self._axes.add_artist(patch)
