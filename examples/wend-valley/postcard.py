"""The postcard of this collection: six bottle kilns from the ferry."""

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Circle, Ellipse, Polygon, Rectangle
from outlines import SERIF, Box, smooth


def bottle(ax: Axes, left: float, top: float, width: float, height: float, lean: float = 0) -> None:
    """Draw a bottle kiln in the box, its neck leaning so many pixels."""
    base, middle = top + height, left + width / 2
    half = [
        (0.50, 0),
        (0.50, 0.16),
        (0.44, 0.42),
        (0.27, 0.66),
        (0.15, 0.82),
        (0.13, 0.97),
        (0.17, 1),
    ]
    curve = smooth(half)
    y = base - height * curve[:, 1]
    shift = lean * curve[:, 1] ** 3
    right, other = middle + width * curve[:, 0] + shift, middle - width * curve[:, 0] + shift
    outline = np.vstack([np.column_stack([other, y]), np.column_stack([right, y])[::-1]])
    ax.add_patch(Polygon(outline, closed=True, fc="#9a6f4e", ec="#4a3423", lw=1.2))
    dark = np.vstack(
        [np.column_stack([middle + 0.35 * (right - middle), y]), np.column_stack([right, y])[::-1]]
    )
    ax.add_patch(Polygon(dark, closed=True, fc="#7c563a", ec="none"))
    for part in np.linspace(0.05, 0.95, 22):
        k = int(part * (len(y) - 1))
        ax.plot([other[k], right[k]], [y[k]] * 2, color="#5d412c", lw=0.4)


def postcard(ax: Axes, fourth: Box) -> None:
    """Draw the river, the sheds and six bottles; the fourth stands where its record says."""
    shades = np.linspace(0, 1, 12)
    for k, shade in enumerate(shades):
        ax.add_patch(
            Rectangle(
                (22, 22 + 24 * k),
                756,
                25,
                fc=(0.93 - 0.03 * shade, 0.87 + 0.01 * shade, 0.74 + 0.04 * shade),
                ec="none",
            )
        )
    across = np.linspace(22, 778, 200)
    for level, colour in ((212, "#c9b48f"), (246, "#b39c76")):
        hill = level + 16 * np.sin(across / 90 + level) + 9 * np.sin(across / 37)
        ax.fill_between(across, hill, 330, color=colour, lw=0)
    sky = Rectangle((22, 22), 756, 404, fc="none", ec="none")
    ax.add_patch(sky)
    left, top, width, height = fourth
    for k in range(6):
        x = left + (k - 3) * (width + 16) + (6 if k > 3 else 0)
        if k != 3:
            smoke(ax, x + width / 2, top + 14 * (k % 2), k, sky)
        bottle(
            ax,
            x,
            top if k == 3 else top + 14 * (k % 2),
            width,
            height - (0 if k == 3 else 14 * (k % 2)),
            9 if k == 3 else 0,
        )
    for x, w, h in ((30, 148, 52), (190, 150, 44), (352, 160, 48), (520, 120, 56), (652, 120, 46)):
        shed(ax, x, 344 - h, w, h)
    ax.add_patch(Rectangle((22, 344), 756, 82, fc="#a3987f", ec="none"))
    for k in range(26):
        y = 350 + 3 * k
        start = 30 + (k * 137) % 520
        ax.plot(
            [start, start + 90 + (k * 53) % 160],
            [y, y],
            color="#cfc4a8" if k % 3 else "#847a64",
            lw=0.9,
        )
    for line in ax.lines:
        line.set_zorder(1)  # what comes later covers it
    ax.plot([22, 778], [300, 372], color="#3d3326", lw=0.8)
    ax.add_patch(
        Polygon([(470, 372), (622, 372), (604, 394), (488, 394)], fc="#5a4632", ec="#2e241a")
    )
    for x in (500, 524, 556, 580):
        ax.plot([x, x], [372, 352], color="#2e241a", lw=2.2)
        ax.add_patch(Circle((x, 348), 4, fc="#2e241a", ec="none"))
    ax.plot([22, 778, 778, 22, 22], [22, 22, 426, 426, 22], color="#6e5d43", lw=1)
    ax.text(
        30,
        455,
        "The Potteries from the Ferry, Sallow Ferry.",
        size=15,
        style="italic",
        color="#5b3a2a",
        va="center",
        **SERIF,
    )
    ax.text(770, 480, "Lumley, Photo.", size=9, ha="right", va="center", color="#5b3a2a", **SERIF)


def smoke(ax: Axes, x: float, y: float, turn: int, sky: Rectangle) -> None:
    """Draw smoke drifting to the right."""
    for k in range(9):
        size = 12 + 6.5 * k
        puff = Ellipse(
            (x + 9 * k + 5 * (turn % 3), y - 6 - 8 * k),
            1.7 * size,
            0.75 * size,
            fc="#8c8170",
            ec="none",
            alpha=0.20,
        )
        ax.add_patch(puff)
        puff.set_clip_path(sky)


def shed(ax: Axes, left: float, top: float, width: float, height: float) -> None:
    """Draw a workshop with a pitched roof and a row of windows."""
    ax.add_patch(Rectangle((left, top), width, height, fc="#8a6a4d", ec="#4a3423", lw=0.8))
    ax.add_patch(
        Polygon(
            [
                (left - 5, top),
                (left + width + 5, top),
                (left + width - 14, top - 20),
                (left + 14, top - 20),
            ],
            fc="#6a5648",
            ec="#4a3423",
            lw=0.8,
        )
    )
    for k in range(int(width // 22)):
        ax.add_patch(
            Rectangle((left + 9 + 22 * k, top + 10), 10, 14, fc="#d9cba8", ec="#4a3423", lw=0.6)
        )
