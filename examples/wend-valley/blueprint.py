"""The blueprint of this collection: a tunnel kiln in plan and section, zones to scale."""

import re

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Circle, Rectangle
from outlines import SERIF, Box, smooth

WHITE = "#e8eef5"


def feet(length: str) -> float:
    """Read feet and inches as written."""
    found = re.fullmatch(r"(\d+) ft(?: (\d+) in)?", length)
    if not found:
        raise SystemExit(f"{length!r} is not in feet and inches")
    return int(found[1]) + int(found[2] or 0) / 12


def dimension(ax: Axes, left: float, right: float, y: float, text: str, size: float = 11) -> None:
    """Draw a dimension line with its figure."""
    ax.annotate(
        "",
        (left, y),
        (right, y),
        arrowprops={"arrowstyle": "<->", "color": WHITE, "lw": 0.9, "shrinkA": 0, "shrinkB": 0},
    )
    ax.text(
        (left + right) / 2,
        y - 2,
        text,
        size=size,
        color=WHITE,
        ha="center",
        va="center",
        bbox={"fc": "#1d4f86", "ec": "none", "pad": 1.5},
        family="STIXGeneral",
    )


def blueprint(
    ax: Axes, whole: tuple[str, Box], zones: list[tuple[str, str, Box]], section: tuple[str, str]
) -> None:
    """Draw plan, section and title of a tunnel kiln, zones to scale."""
    length, (left, top, width, _) = whole
    scale = width / feet(length)
    style = {"color": WHITE, "lw": 1.2}
    for inset in (14, 20):
        ax.plot(
            [inset, 1300 - inset, 1300 - inset, inset, inset],
            [inset, inset, 780 - inset, 780 - inset, inset],
            color=WHITE,
            lw=0.8,
        )
    ax.text(
        650,
        66,
        "BISQUE TUNNEL KILN   PLANT No. 4",
        size=24,
        color=WHITE,
        ha="center",
        va="center",
        **SERIF,
    )
    ax.text(
        650,
        104,
        "Orrin & Tasker Pottery Company",
        size=14,
        color=WHITE,
        ha="center",
        va="center",
        style="italic",
        **SERIF,
    )
    ax.text(left, 176, "PLAN", size=12, color=WHITE, va="center", **SERIF)
    dimension(ax, left, left + width, top + 15, feet_and_inches(length), 14)
    for x in (left, left + width):
        ax.plot([x, x], [top, 430], color=WHITE, lw=0.6, ls=(0, (6, 4)))
    for name, size, (x, y, w, h) in zones:
        dimension(ax, x, x + w, y + h / 2 - 6, feet_and_inches(size))
        ax.text(
            x + w / 2,
            y + h - 3,
            name.upper(),
            size=9,
            color=WHITE,
            ha="center",
            va="center",
            **SERIF,
        )
        for edge in (x, x + w):
            ax.plot([edge, edge], [y, 430], color=WHITE, lw=0.7)
    for y in (322, 340, 398, 416):
        ax.plot([left, left + width], [y, y], **style)
    for y in (360, 378):
        ax.plot([left - 60, left + width + 60], [y, y], color=WHITE, lw=1.0)
    for k in range(58):
        x = left + k * 6 * scale
        ax.add_patch(Rectangle((x + 1.5, 350), 6 * scale - 3, 38, fc="none", ec=WHITE, lw=0.5))
    _, _, (x, _, w, _) = next(zone for zone in zones if zone[0] == "firing")
    for k in range(10):
        at = x + (k + 0.5) * w / 10
        for y in (331, 407):
            ax.plot(
                [at - 4, at + 4, at + 4, at - 4, at - 4],
                [y - 5, y - 5, y + 5, y + 5, y - 5],
                color=WHITE,
                lw=0.9,
            )
    side_track(ax, left, width)
    cross_section(ax, section)
    title_block(ax, scale)


def side_track(ax: Axes, left: float, width: float) -> None:
    """Draw the return track."""
    line = smooth([(left - 60, 369), (left - 84, 400), (left - 50, 468), (left + 60, 478)])
    other = smooth(
        [
            (left + width - 60, 478),
            (left + width + 50, 468),
            (left + width + 84, 400),
            (left + width + 60, 369),
        ]
    )
    path = np.vstack([line, other])
    for gap in (-4, 4):
        ax.plot(path[:, 0], path[:, 1] + gap, color=WHITE, lw=0.8)
    ax.text(
        left + width / 2,
        498,
        "RETURN TRACK",
        size=9,
        color=WHITE,
        ha="center",
        va="center",
        **SERIF,
    )
    for x, text in ((left - 62, "IN"), (left + width + 62, "OUT")):
        ax.text(x, 340, text, size=10, color=WHITE, ha="center", va="center", **SERIF)


def cross_section(ax: Axes, section: tuple[str, str]) -> None:
    """Draw the section through the firing zone."""
    wide, high = feet(section[0]) * 15, feet(section[1]) * 15
    middle, floor = 330.0, 700.0
    ax.text(130, 540, "SECTION A-A, FIRING ZONE", size=12, color=WHITE, va="center", **SERIF)
    for grow, lw in ((0, 1.4), (16, 0.8), (44, 1.4)):
        half = wide / 2 + grow
        turn = np.linspace(np.pi, 2 * np.pi, 40)
        x = np.concatenate([[middle - half], middle + half * np.cos(turn), [middle + half]])
        spring = floor - high + wide / 3.2
        y = np.concatenate([[floor], spring + (wide / 3.2 + grow) * np.sin(turn), [floor]])
        ax.plot(x, y, color=WHITE, lw=lw)
    ax.plot([middle - 120, middle + 120], [floor, floor], color=WHITE, lw=1.4)
    ax.add_patch(Rectangle((middle - 32, floor - 22), 64, 12, fc="none", ec=WHITE))
    for x in (-20, 20):
        ax.add_patch(Circle((middle + x, floor - 5), 5, fc="none", ec=WHITE))
        for k in range(3):
            ax.add_patch(
                Rectangle(
                    (middle + x - 11, floor - 40 - 18 * k), 22, 17, fc="none", ec=WHITE, lw=0.7
                )
            )
    dimension(ax, middle - wide / 2, middle + wide / 2, floor + 22, feet_and_inches(section[0]), 10)
    ax.annotate(
        "",
        (middle + 128, floor),
        (middle + 128, floor - high),
        arrowprops={"arrowstyle": "<->", "color": WHITE, "lw": 0.9, "shrinkA": 0, "shrinkB": 0},
    )
    ax.text(
        middle + 138,
        floor - high / 2,
        feet_and_inches(section[1]),
        size=10,
        color=WHITE,
        va="center",
        **SERIF,
    )


def title_block(ax: Axes, scale: float) -> None:
    """Draw scale bar and title block."""
    for k in range(5):
        ax.add_patch(
            Rectangle(
                (560 + k * 10 * scale, 690),
                10 * scale,
                8,
                fc=WHITE if k % 2 else "none",
                ec=WHITE,
                lw=0.8,
            )
        )
        ax.text(
            560 + k * 10 * scale,
            680,
            str(10 * k),
            size=8,
            color=WHITE,
            ha="center",
            va="center",
            **SERIF,
        )
    ax.text(560 + 50 * scale, 680, "50 ft", size=8, color=WHITE, ha="center", va="center", **SERIF)
    ax.add_patch(Rectangle((830, 560), 420, 160, fc="none", ec=WHITE, lw=1.2))
    lines = (
        "HALLAM-VOSS KILN COMPANY",
        "Port Ansell",
        "Drawn R.H.V.     March 14, 1923",
        "Scale 1/16 in = 1 ft     Sheet 2 of 5",
    )
    for k, text in enumerate(lines):
        ax.text(
            850, 590 + 34 * k, text, size=16 if k == 0 else 12, color=WHITE, va="center", **SERIF
        )


def feet_and_inches(length: str) -> str:
    """Write a length as a draughtsman does."""
    return length.replace(" ft", "\N{PRIME}").replace(" in", "\N{DOUBLE PRIME}")
