"""Type that can be measured, cut and broken before it is set."""

from collections.abc import Mapping
from functools import cache
from typing import Any, TypeAlias

from matplotlib.backends.backend_agg import RendererAgg

from glost.publish.pictures.style import POINTS, face

_FINE = 16
_MEASURED = 1_000
"""Characters that are measured; at the smallest size they are wider than the widest sheet."""


Measured: TypeAlias = tuple[str, float, bool, bool, bool]
"""A line of type: its text and size, and whether it is bold, italic, or a title."""

_widths: dict[Measured, float] = {}


def measured() -> dict[Measured, float]:
    """Return how wide each line is that was measured."""
    return dict(_widths)


def remember(widths: Mapping[Measured, float]) -> None:
    """Take over what was measured before, with the same type: to measure takes most of drawing."""
    _widths.update(widths)


def width(
    text: str, size: float, bold: bool = False, italic: bool = False, title: bool = False
) -> float:
    """Measure a line of type, in points; one that no sheet has room for by its beginning."""
    if len(text) > _MEASURED:
        beginning = width(text[:_MEASURED], size, bold, italic, title)
        return beginning * len(text) / _MEASURED
    line = text, size, bold, italic, title
    if line not in _widths:
        _widths[line] = _width(line)
    return _widths[line]


def _width(line: Measured) -> float:
    text, size, bold, italic, title = line
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
