"""Outlines of ware for the catalogue pages: profiles turned on an axis, handles, spouts, lids.

Everything is drawn in a box one unit high standing on y = 0, x = 0 being the axis.
"""

from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Ellipse, Polygon
from numpy.typing import NDArray

INK = "#2a2622"
PAPER = "#f6f1e4"

SERIF = {"fontfamily": "STIXGeneral"}

Points = list[tuple[float, float]]
Box = tuple[float, float, float, float]

# half-profiles from foot to rim: radius, height
BODIES: dict[str, Points] = {
    "sugar": [(0.24, 0), (0.22, 0.05), (0.40, 0.16), (0.47, 0.34), (0.42, 0.52), (0.37, 0.60)],
    "cream": [(0.20, 0), (0.18, 0.05), (0.34, 0.18), (0.37, 0.34), (0.29, 0.52), (0.31, 0.66)],
    "teapot": [(0.26, 0), (0.24, 0.05), (0.46, 0.20), (0.52, 0.38), (0.40, 0.57), (0.26, 0.63)],
    "coffee-pot": [(0.25, 0), (0.22, 0.05), (0.33, 0.20), (0.32, 0.50), (0.25, 0.72), (0.22, 0.80)],
    "jug": [(0.25, 0), (0.23, 0.04), (0.38, 0.20), (0.40, 0.38), (0.28, 0.66), (0.31, 0.82)],
    "covered-dish": [(0.34, 0), (0.32, 0.05), (0.62, 0.16), (0.68, 0.28), (0.70, 0.34)],
    "egg-cup": [(0.22, 0), (0.10, 0.10), (0.08, 0.22), (0.22, 0.38), (0.24, 0.58)],
    "egg-cup double": [(0.20, 0), (0.22, 0.14), (0.10, 0.32), (0.26, 0.52), (0.29, 0.76)],
    "bowl": [(0.24, 0), (0.22, 0.06), (0.42, 0.22), (0.50, 0.44)],
    "slop-bowl": [(0.24, 0), (0.22, 0.06), (0.44, 0.20), (0.47, 0.34), (0.52, 0.44)],
    "teacup": [(0.20, 0), (0.18, 0.05), (0.34, 0.18), (0.40, 0.36), (0.44, 0.44)],
    "after-dinner-cup": [(0.16, 0), (0.14, 0.05), (0.24, 0.18), (0.27, 0.38), (0.29, 0.44)],
    "cream-soup": [(0.22, 0), (0.20, 0.05), (0.44, 0.16), (0.52, 0.34)],
}
# plan views: width, depth, well as a part of the width
FLATS: dict[str, tuple[float, float, float]] = {
    "saucer": (1.15, 0.50, 0.40),
    "after-dinner-saucer": (0.92, 0.40, 0.42),
    "chop-plate": (1.50, 0.64, 0.66),
    "pickle-dish": (1.40, 0.46, 0.62),
}
LIDDED = {"sugar", "teapot", "coffee-pot", "covered-dish"}
SPOUTED = {"teapot", "coffee-pot"}
LIPPED = {"cream", "jug"}
BOTH_HANDLES = {"sugar", "covered-dish", "cream-soup"}
NO_HANDLE = {"bowl", "slop-bowl", "egg-cup", "egg-cup double"}
# how much smaller the potter's count makes a piece
COUNTS = {"6s": 1.0, "12s": 0.9, "24s": 0.8, "30s": 0.72, "36s": 0.64, "42s": 0.57, "48s": 0.5}


@dataclass(frozen=True, slots=True)
class Manner:
    """What tells one shape from another.

    Attributes
    ----------
    facets
        True for an octagonal body with flat panels.
    rim
        ``scroll``, ``plain`` or ``step``.
    handle
        ``ear``, ``round`` or ``square``.
    finial
        ``loop``, ``button`` or ``pyramid``.
    """

    facets: bool
    rim: str
    handle: str
    finial: str


MANNERS = {
    "alder": Manner(False, "scroll", "ear", "loop"),
    "tamsin": Manner(False, "plain", "round", "button"),
    "octavine": Manner(True, "step", "square", "pyramid"),
}
HANDLES: dict[str, Points] = {
    "ear": [(0, 0.0), (0.16, 0.10), (0.30, 0.02), (0.26, -0.18), (0.10, -0.30), (0, -0.34)],
    "round": [(0, 0.0), (0.16, 0.04), (0.25, -0.08), (0.20, -0.24), (0, -0.32)],
    "square": [(0, 0.0), (0.24, 0.02), (0.24, -0.22), (0, -0.32)],
}


def smooth(points: Points, facets: bool = False, steps: int = 14) -> NDArray[np.float64]:
    """Run a Catmull-Rom curve through the points, or straight lines for a faceted body."""
    p = np.array(points, dtype=float)
    if facets:
        return p
    q = np.vstack([2 * p[0] - p[1], p, 2 * p[-1] - p[-2]])
    t = np.linspace(0, 1, steps, endpoint=False)[:, None]
    parts = []
    for a, b, c, d in zip(q, q[1:], q[2:], q[3:], strict=False):
        parts.append(
            0.5 * (2 * b + (c - a) * t + (2 * a - 5 * b + 4 * c - d) * t**2)
            + 0.5 * (3 * b - 3 * c + d - a) * t**3
        )
    return np.vstack([*parts, p[-1:]])


def tube(ax: Axes, line: NDArray[np.float64], width: float) -> None:
    """Draw a handle: a line with a lighter line upon it."""
    style = {"solid_capstyle": "butt", "solid_joinstyle": "round"}
    ax.plot(line[:, 0], line[:, 1], color=INK, lw=width, **style)
    ax.plot(line[:, 0], line[:, 1], color=PAPER, lw=width - 1.7, **style)
    ax.plot(line[:, 0] + 0.008, line[:, 1] - 0.008, color=INK, lw=0.35, **style)


def shade(ax: Axes, profile: NDArray[np.float64], facets: bool) -> None:
    """Lay engraver's lines on the right of a turned body, or on the panels of a faceted one."""
    heights = np.linspace(profile[0, 1] + 0.01, profile[-1, 1] - 0.03, 26)
    radii = np.interp(heights, profile[:, 1], profile[:, 0])
    if facets:
        for part in (-0.42, 0.42):
            ax.plot(part * profile[:, 0], profile[:, 1], color=INK, lw=0.7)
        for height, radius in zip(heights, radii, strict=True):
            ax.plot([0.46 * radius, 0.95 * radius], [height, height + 0.012], color=INK, lw=0.35)
        return
    for i, (height, radius) in enumerate(zip(heights, radii, strict=True)):
        for start, width in ((0.88 if i % 2 else 0.62, 0.5), (0.30 + 0.22 * (i % 3), 0.22)):
            turn = np.linspace(np.arccos(start), 0.06, 14)
            ax.plot(
                radius * np.cos(turn), height - 0.11 * radius * np.sin(turn), color=INK, lw=width
            )
        turn = np.linspace(np.pi - 0.06, np.pi - np.arccos(0.93), 6)
        ax.plot(radius * np.cos(turn), height - 0.11 * radius * np.sin(turn), color=INK, lw=0.25)


def hollow(ax: Axes, form: str, manner: Manner) -> None:
    """Draw a hollow piece."""
    profile = smooth(BODIES[form], manner.facets)
    radius, top = (float(v) for v in profile[-1])
    middle = float(np.interp(0.7 * top, profile[:, 1], profile[:, 0]))
    if form not in NO_HANDLE:
        handles(ax, form, manner, middle, top)
    if form in SPOUTED:
        spout(ax, profile, top)
    outline = np.vstack([profile * [-1, 1], profile[::-1]])
    ax.add_patch(Polygon(outline, closed=True, fc=PAPER, ec="none"))
    shade(ax, profile, manner.facets)
    for side in (-1, 1):
        ax.plot(side * profile[:, 0], profile[:, 1], color=INK, lw=1.3)
    foot = float(profile[0, 0])
    turn = np.linspace(np.pi, 2 * np.pi, 40)
    ax.plot(foot * np.cos(turn), 0.09 * foot * np.sin(turn), color=INK, lw=1.3)
    if form in LIDDED:
        lid(ax, radius, top, manner)
    else:
        mouth(ax, radius, top, form in LIPPED)
    if manner.rim == "scroll":
        across = np.linspace(-0.92, 0.92, 120)
        level = 0.86 * top
        wide = float(np.interp(level, profile[:, 1], profile[:, 0]))
        sag = 0.11 * wide * np.sqrt(1 - across**2)
        ax.plot(wide * across, level - sag + 0.014 * np.sin(34 * across), color=INK, lw=0.6)
        ax.plot(wide * across, level - sag - 0.03, color=INK, lw=0.35)


def mouth(ax: Axes, radius: float, top: float, lip: bool) -> None:
    """Draw the open mouth, with a lip to the left if it pours."""
    ax.add_patch(Ellipse((0, top), 2 * radius, 0.24 * radius, fc=PAPER, ec=INK, lw=1.2))
    ax.add_patch(Ellipse((0, top), 1.86 * radius, 0.19 * radius, fc="#ded6c4", ec=INK, lw=0.5))
    if lip:
        line = smooth(
            [
                (-0.78 * radius, top - 0.14),
                (-1.05 * radius, top - 0.03),
                (-1.36 * radius, top + 0.08),
                (-0.95 * radius, top + 0.04),
                (-0.55 * radius, top + 0.075 * radius),
            ]
        )
        ax.add_patch(Polygon(line, closed=True, fc=PAPER, ec="none"))
        ax.plot(line[:, 0], line[:, 1], color=INK, lw=1.2)


def handles(ax: Axes, form: str, manner: Manner, at: float, top: float) -> None:
    """Draw one handle, or one on either side."""
    scale = 1.25 * top if top > 0.5 else 0.62
    if form in ("covered-dish", "cream-soup"):
        scale = 0.5
    line = smooth(HANDLES[manner.handle], manner.handle == "square") * scale
    line += [0.94 * at, 0.84 * top if top > 0.5 else 0.88 * top]
    tube(ax, line, 5.5 if top > 0.5 else 4.2)
    if form in BOTH_HANDLES:
        tube(ax, line * [-1, 1], 5.5 if top > 0.5 else 4.2)


def spout(ax: Axes, profile: NDArray[np.float64], top: float) -> None:
    """Draw a spout to the left."""
    low = float(np.interp(0.35 * top, profile[:, 1], profile[:, 0]))
    under = [(0.05, 0.22), (-0.10, 0.30), (-0.20, 0.62), (-0.30, 0.92), (-0.40, 1.02)]
    over = [(-0.27, 1.06), (-0.19, 0.94), (-0.10, 0.78), (0.0, 0.66), (0.14, 0.62)]
    under, over = (smooth([(x - low, y * top) for x, y in side]) for side in (under, over))
    shape = np.vstack([under, over])
    ax.add_patch(Polygon(shape, closed=True, fc=PAPER, ec=INK, lw=1.2))
    for k in range(7):
        x, y = under[8 + 6 * k]
        ax.plot([x, x + 0.05], [y, y + 0.03], color=INK, lw=0.35)


def lid(ax: Axes, radius: float, top: float, manner: Manner) -> None:
    """Draw a lid and its finial."""
    rise = 0.20 if radius > 0.5 else 0.15
    if manner.facets:
        half = np.array(
            [(radius * 1.04, top), (radius * 0.8, top + 0.6 * rise), (0.10, top + rise)]
        )
    else:
        half = smooth(
            [(radius * 1.02, top), (radius * 0.78, top + 0.62 * rise), (0.06, top + rise)]
        )
    outline = np.vstack([half, half[::-1] * [-1, 1]])
    ax.add_patch(Polygon(outline, closed=True, fc=PAPER, ec=INK, lw=1.2))
    ax.add_patch(Ellipse((0, top), 2.06 * radius, 0.10 * radius, fc="none", ec=INK, lw=0.8))
    for k in range(5):
        part = 0.35 + 0.12 * k
        y = top + rise * (0.95 - part)
        right = float(np.interp(y, half[:, 1], half[:, 0]))
        ax.plot([0.45 * right, 0.93 * right], [y, y + 0.008], color=INK, lw=0.4)
    y = top + rise
    if manner.finial == "loop":
        ring = np.linspace(-0.5, np.pi + 0.5, 30)
        tube(ax, np.column_stack([0.07 * np.cos(ring), y + 0.05 + 0.07 * np.sin(ring)]), 3.6)
    elif manner.finial == "button":
        ax.add_patch(
            Polygon(
                [(-0.03, y - 0.01), (0.03, y - 0.01), (0.03, y + 0.04), (-0.03, y + 0.04)],
                fc=PAPER,
                ec=INK,
                lw=0.9,
            )
        )
        ax.add_patch(Ellipse((0, y + 0.055), 0.17, 0.06, fc=PAPER, ec=INK, lw=1.1))
    else:
        ax.add_patch(
            Polygon([(-0.08, y - 0.01), (0.08, y - 0.01), (0, y + 0.14)], fc=PAPER, ec=INK, lw=1.1)
        )
        ax.plot([0.02, 0.0], [y - 0.01, y + 0.14], color=INK, lw=0.5)


def flat(ax: Axes, form: str, manner: Manner) -> None:
    """Draw a flat piece seen a little from above."""
    width, depth, well = FLATS[form]
    for part, lw in ((1.0, 1.3), (0.965, 0.5), (well + 0.07, 0.5), (well, 0.9)):
        if manner.facets:
            turn = np.pi / 8 + np.arange(8) * np.pi / 4
            corners = np.column_stack([np.cos(turn), np.sin(turn)]) / np.cos(np.pi / 8)
            ring = corners * [0.5 * width * part, 0.5 * depth * part] + [0, 0.32]
        else:
            turn = np.linspace(0, 2 * np.pi, 120)
            ring = np.column_stack([np.cos(turn), np.sin(turn)])
            ring = ring * [0.5 * width * part, 0.5 * depth * part] + [0, 0.32]
        ax.add_patch(Polygon(ring, closed=True, fc=PAPER, ec=INK, lw=lw))
    for turn in np.linspace(-1.1, 1.1, int(40 * width)):
        inner, outer = (well + 0.10 + 0.06 * np.cos(7 * turn), 0.945)
        across, along = 0.5 * width * np.cos(turn), 0.5 * depth * np.sin(turn)
        ax.plot(
            [inner * across, outer * across],
            [0.32 + inner * along, 0.32 + outer * along],
            color=INK,
            lw=0.3,
        )
    for step in np.linspace(-0.7, 0.7, 11):
        half = 0.5 * width * well * np.sqrt(1 - step**2) * 0.86
        ax.plot([0.35 * half, half], [0.32 + 0.5 * depth * well * step] * 2, color=INK, lw=0.25)


def draw(ax: Axes, shape: str, form: str, size: str) -> None:
    """Draw an article of a shape in the axes, larger or smaller by its potter's count."""
    manner = MANNERS[shape]
    if form == "egg-cup" and size == "double":
        form = "egg-cup double"
    if form in FLATS:
        flat(ax, form, manner)
    else:
        hollow(ax, form, manner)
    scale = COUNTS.get(size, 0.8) if form in ("jug", "sugar", "teapot", "cream") else 0.8
    reach = 0.68 / scale
    ax.set_xlim(-1.13 * reach, 1.13 * reach)
    ax.set_ylim(-0.10, -0.10 + 1.62 * reach)
    ax.set_aspect("equal")
    ax.axis("off")
