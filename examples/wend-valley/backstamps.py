"""Backstamps of this collection."""

from collections.abc import Callable
from zlib import crc32

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Arc, Circle, Ellipse, Polygon, Rectangle
from outlines import SERIF, smooth

GREEN, BLACK, BROWN, RED = "#2f5d43", "#26231f", "#6b3f22", "#9c2f27"


def say(ax: Axes, x: float, y: float, text: str, size: float, colour: str, **more: object) -> None:
    """Write centred text."""
    ax.text(x, y, text, size=size, color=colour, ha="center", va="center", **{**SERIF, **more})


def around(ax: Axes, text: str, radius: float, colour: str, size: float, span: float) -> None:
    """Write text along the upper half of a circle."""
    turns = np.radians(90 + np.linspace(span / 2, -span / 2, len(text)))
    for letter, turn in zip(text, turns, strict=True):
        ax.text(
            radius * np.cos(turn),
            radius * np.sin(turn),
            letter,
            size=size,
            color=colour,
            ha="center",
            va="center",
            rotation=np.degrees(turn) - 90,
            **SERIF,
        )


def ferry(ax: Axes) -> None:
    """Draw a ferry boat under its rope."""
    hull = smooth([(-0.62, 0.18), (-0.45, 0.0), (0.0, -0.05), (0.45, 0.0), (0.62, 0.18)])
    ax.add_patch(Polygon(hull, closed=True, fc=GREEN, ec=GREEN))
    rope = smooth([(-0.85, 0.78), (-0.3, 0.62), (0.3, 0.62), (0.85, 0.78)])
    ax.plot(rope[:, 0], rope[:, 1], color=GREEN, lw=2)
    for x in (-0.3, 0.3):
        ax.plot([x, x], [0.16, 0.62], color=GREEN, lw=2)
    ax.add_patch(Rectangle((-0.2, 0.18), 0.4, 0.2, fc="none", ec=GREEN, lw=2))
    across = np.linspace(-0.75, 0.75, 160)
    for k in range(3):
        ax.plot(
            across * (1 - 0.12 * k),
            -0.12 - 0.09 * k + 0.02 * np.sin(18 * across + k),
            color=GREEN,
            lw=1.4,
        )
    say(ax, 0, -0.52, "O. & T.", 21, GREEN, weight="bold")
    say(ax, 0, -0.80, "SEMI-VITREOUS", 12.5, GREEN)


def ribbon(ax: Axes) -> None:
    """Draw the shape's name in script on a ribbon."""
    wave = smooth([(-0.85, 0.05), (-0.45, 0.24), (0, 0.14), (0.45, 0.04), (0.85, 0.22)])
    low = wave - [0, 0.42]
    for end, fold in ((0, -0.22), (-1, 0.22)):
        tail = [
            low[end],
            low[end] + [fold, -0.12],
            low[end] + [0.45 * fold, 0.08],
            low[end] + [fold, 0.26],
            wave[end] - [0, 0.1],
        ]
        ax.add_patch(Polygon(tail, closed=True, fc="none", ec=BLACK, lw=1.5))
    ax.add_patch(Polygon(np.vstack([wave, low[::-1]]), closed=True, fc="#f2efe6", ec=BLACK, lw=2))
    say(ax, 0, -0.07, "Tamsin", 30, BLACK, style="italic", weight="bold", rotation=-5)
    say(ax, 0, -0.62, "Orrin & Tasker", 16, BLACK)


def ring(ax: Axes) -> None:
    """Draw the general mark: a ring, with the date code across it."""
    for radius, width in ((0.92, 2.4), (0.60, 1.4)):
        ax.add_patch(Circle((0, 0), radius, fc="none", ec=GREEN, lw=width))
    around(ax, "ORRIN & TASKER", 0.76, GREEN, 14, 200)
    say(ax, 0, 0.0, "C23N4", 23, GREEN, weight="bold")
    for x in (-0.24, 0, 0.24):
        ax.add_patch(Circle((x, -0.73 - (0.03 if x == 0 else 0)), 0.035, fc=GREEN, ec="none"))


def octagon(ax: Axes) -> None:
    """Draw a stepped octagon."""
    turn = np.pi / 8 + np.arange(8) * np.pi / 4
    corners = np.column_stack([np.cos(turn), np.sin(turn)])
    for radius, width in ((1.04, 2.6), (0.95, 1.0), (0.86, 1.0)):
        ax.add_patch(Polygon(radius * corners, closed=True, fc="none", ec=BLACK, lw=width))
    say(ax, 0, 0.26, "OCTAVINE", 19, BLACK, weight="bold")
    say(ax, 0, 0.0, "by O. & T.", 14, BLACK, style="italic")
    say(ax, 0, -0.24, "MADE IN U.S.A.", 11.5, BLACK)
    say(ax, 0, -0.50, "C28N4", 14, BLACK)


def wreath(ax: Axes) -> None:
    """Draw a retailer's wreath."""
    for side in (-1, 1):
        for k, turn in enumerate(np.linspace(-1.35, 1.15, 15)):
            x, y = side * (0.92 if k % 2 else 0.82) * np.cos(turn), 0.88 * np.sin(turn)
            tilt = np.degrees(np.arctan2(y, x)) + (48 if k % 2 else 132) * side
            ax.add_patch(Ellipse((x, y), 0.24, 0.085, angle=tilt, fc=RED, ec="none"))
    say(ax, 0, 0.26, "TOLLIVER", 18, RED, weight="bold")
    say(ax, 0, 0.0, "& SONS", 15, RED, weight="bold")
    say(ax, 0, -0.28, "made for us", 12.5, RED, style="italic")
    say(ax, 0, -0.48, "by O. & T.", 12.5, RED, style="italic")


def bell(ax: Axes) -> None:
    """Draw a hand-bell."""
    side = smooth([(0.09, 0.42), (0.20, 0.34), (0.25, 0.05), (0.34, -0.18), (0.46, -0.28)])
    ax.add_patch(Polygon(np.vstack([side, side[::-1] * [-1, 1]]), closed=True, fc=BROWN, ec=BROWN))
    ax.add_patch(Rectangle((-0.055, 0.42), 0.11, 0.42, fc="none", ec=BROWN, lw=2.4))
    ax.add_patch(Ellipse((0, 0.88), 0.19, 0.12, fc=BROWN, ec=BROWN))
    ax.add_patch(Circle((0, -0.34), 0.09, fc=BROWN, ec=BROWN))
    for turn in (0, 180):
        for radius in (1.25, 1.45):
            ax.add_patch(
                Arc((0, 0), radius, radius, theta1=turn - 26, theta2=turn + 14, ec=BROWN, lw=1.6)
            )
    say(ax, 0, -0.74, "QUILLAN", 24, BROWN, weight="bold")


def dots(ax: Axes) -> None:
    """Write the firm's name, and the code between two dots."""
    say(ax, 0, 0.18, "Quillan", 40, BLACK, style="italic", weight="bold")
    ax.plot([-0.7, 0.7], [-0.10, -0.10], color=BLACK, lw=1.4)
    say(ax, 0, -0.40, "S E", 24, BLACK)
    for x in (-0.42, 0.42):
        ax.add_patch(Circle((x, -0.40), 0.05, fc=BLACK, ec="none"))


def tern(ax: Axes) -> None:
    """Draw a tern in flight."""
    wing = [(-1.0, 0.62), (-0.5, 0.66), (-0.08, 0.34), (0.10, 0.36), (0.44, 0.84), (0.98, 0.96)]
    under = [(0.98, 0.96), (0.52, 0.66), (0.26, 0.20), (0.0, 0.10), (-0.22, 0.20), (-1.0, 0.62)]
    ax.add_patch(Polygon(np.vstack([smooth(wing), smooth(under)]), closed=True, fc=GREEN, ec=GREEN))
    body = [(-0.34, -0.08), (-0.10, 0.26), (0.14, 0.34), (0.30, 0.26), (0.12, 0.10), (-0.34, -0.08)]
    ax.add_patch(Polygon(smooth(body), closed=True, fc=GREEN, ec=GREEN))
    ax.add_patch(
        Polygon([(-0.22, 0.02), (-0.66, -0.08), (-0.36, -0.06), (-0.52, -0.26)], fc=GREEN, ec=GREEN)
    )
    ax.add_patch(Polygon([(0.27, 0.30), (0.50, 0.17), (0.26, 0.22)], fc=GREEN, ec=GREEN))
    say(ax, 0, -0.50, "S & L", 26, GREEN, weight="bold")
    say(ax, 0, -0.82, "BEND POTTERY", 14, GREEN)


MARKS: dict[str, Callable[[Axes], None]] = {
    "ot-circle": ring,
    "ot-ferry": ferry,
    "ot-octavine": octagon,
    "ot-ribbon": ribbon,
    "ot-tolliver": wreath,
    "qu-bell": bell,
    "qu-dot": dots,
    "sl-bird": tern,
}


def wear(ax: Axes, name: str) -> None:
    """Rub a stamp: specks of glaze over the ink, the same for the same name."""
    chance = np.random.default_rng(crc32(name.encode()))
    x, y, size = (
        chance.uniform(-1, 1, 420),
        chance.uniform(-1, 1, 420),
        chance.uniform(0.2, 3, 420),
    )
    ax.scatter(x, y, s=size, c="#f2efe6", lw=0, zorder=9)
