"""A sheet as dots: drawn by matplotlib, for PNG."""

import io
from functools import singledispatch
from typing import Literal

import matplotlib as mpl
from matplotlib.artist import Artist
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Circle, Patch, PathPatch, Polygon
from matplotlib.patches import Rectangle as Oblong
from matplotlib.path import Path
from matplotlib.patheffects import withStroke
from matplotlib.text import Text

from glost.publish.pictures.canvas import (
    Area,
    Canvas,
    Curve,
    Disc,
    Drawn,
    Lettering,
    Pen,
    Rectangle,
    Stroke,
)
from glost.publish.pictures.style import HALO, PAPER, POINTS, face, settings


def png(canvas: Canvas, dpi: float, said: dict[str, str]) -> bytes:
    """Return a sheet as PNG, the same bytes every time.

    Parameters
    ----------
    canvas
        The sheet.
    dpi
        Dots to the inch.
    said
        What the file says of itself: `Title`, `Description`.
    """
    out = io.BytesIO()
    with mpl.rc_context(settings()):  # type: ignore[arg-type]
        figure(canvas).savefig(out, format="png", dpi=dpi, metadata={"Software": None, **said})
    return out.getvalue()


def figure(canvas: Canvas) -> Figure:
    """Return a sheet as matplotlib has it, to be written under `style.settings`."""
    size = (canvas.wide / POINTS, canvas.high / POINTS)
    made = Figure(figsize=size, dpi=POINTS, facecolor=PAPER)
    axes = made.add_axes((0, 0, 1, 1), frameon=False)
    axes.set_axis_off()
    axes.set_xlim(0, canvas.wide)
    axes.set_ylim(canvas.high, 0)
    drawn = (each for part in canvas.parts for each in part.drawn)
    for order, each in enumerate(drawn, 1):
        artist = _artist(each)
        # In the order in which they were drawn, whatever the kind of artist.
        artist.set_zorder(order)
        axes.add_artist(artist)
    return made


@singledispatch
def _artist(drawn: Drawn) -> Artist:
    raise TypeError(f"nothing draws a {type(drawn).__name__}")


@_artist.register
def _(drawn: Lettering) -> Artist:
    made = Text(
        drawn.x,
        drawn.y,
        drawn.text,
        color=drawn.ink,
        fontproperties=face(
            drawn.text, drawn.size, bold=drawn.bold, italic=drawn.italic, title=drawn.title
        ),
        horizontalalignment=drawn.align,
        verticalalignment="center_baseline",
        rotation=drawn.turned,
        rotation_mode="anchor",
        parse_math=False,
    )
    if drawn.halo:
        made.set_path_effects([withStroke(linewidth=HALO, foreground=drawn.halo)])
    return made


@_artist.register
def _(drawn: Stroke) -> Artist:
    pen = drawn.pen
    return Line2D(
        [x for x, _ in drawn.points],
        [y for _, y in drawn.points],
        color=pen.ink,
        linewidth=pen.weight,
        linestyle=_dashes(pen),
        dash_capstyle="butt",
        solid_capstyle="butt",
        solid_joinstyle="round",
    )


@_artist.register
def _(drawn: Rectangle) -> Artist:
    made = Oblong((drawn.x, drawn.y), drawn.wide, drawn.high)
    if drawn.hatch:
        made.set_hatch(drawn.hatch)
    return _filled(made, drawn.fill, drawn.pen)


@_artist.register
def _(drawn: Area) -> Artist:
    return _filled(Polygon(list(drawn.points), closed=True), drawn.fill, drawn.pen)


@_artist.register
def _(drawn: Disc) -> Artist:
    return _filled(Circle((drawn.x, drawn.y), drawn.radius), drawn.fill, drawn.pen)


@_artist.register
def _(drawn: Curve) -> Artist:
    codes = [Path.MOVETO, Path.CURVE4, Path.CURVE4, Path.CURVE4]
    return _filled(PathPatch(Path(drawn.points, codes)), "none", drawn.pen)


def _filled(patch: Patch, fill: str, pen: Pen) -> Patch:
    patch.set_facecolor(fill)
    patch.set_edgecolor(pen.ink)
    patch.set_linewidth(pen.weight)
    patch.set_linestyle(_dashes(pen))
    return patch


def _dashes(pen: Pen) -> tuple[float, tuple[float, ...]] | Literal["solid"]:
    """Return a line's dashes as matplotlib counts them: in widths of the line."""
    if not pen.dashes:
        return "solid"
    return 0.0, tuple(length / pen.weight for length in pen.dashes)
