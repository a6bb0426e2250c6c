"""A sheet to draw on, in points from its top left corner; what is drawn is kept, part by part.

`glost.publish.pictures.svg` and `glost.publish.pictures.raster` write a sheet.
"""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Literal, TypeAlias

from glost.publish.pictures.lettering import fit
from glost.publish.pictures.style import INK, LABEL

Point: TypeAlias = tuple[float, float]
Align: TypeAlias = Literal["left", "center", "right"]


@dataclass(frozen=True, slots=True)
class Pen:
    """How a line is drawn, or an outline.

    Attributes
    ----------
    ink
        Its colour; ``none`` for no line.
    weight
        In points.
    dashes
        Lengths on and off in points; none for a whole line.
    """

    ink: str
    weight: float
    dashes: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Lettering:
    """A line of type; its middle at height y, and `align` says which end of it is at x.

    Attributes
    ----------
    turned
        Degrees, anticlockwise, about that end.
    halo
        The colour of the ground, which clears what lies behind the letters; empty for none.
    """

    x: float
    y: float
    text: str
    size: float
    ink: str
    bold: bool
    italic: bool
    title: bool
    align: Align
    turned: float
    halo: str


@dataclass(frozen=True, slots=True)
class Stroke:
    """A line through points."""

    points: tuple[Point, ...]
    pen: Pen


@dataclass(frozen=True, slots=True)
class Rectangle:
    """A rectangle from its top left corner.

    Attributes
    ----------
    hatch
        ``/``, ``x``, ``.`` repeated, the closer the more of them; empty for none.
    """

    x: float
    y: float
    wide: float
    high: float
    fill: str
    pen: Pen
    hatch: str


@dataclass(frozen=True, slots=True)
class Area:
    """A closed shape."""

    points: tuple[Point, ...]
    fill: str
    pen: Pen


@dataclass(frozen=True, slots=True)
class Disc:
    """A disc about its middle."""

    x: float
    y: float
    radius: float
    fill: str
    pen: Pen


@dataclass(frozen=True, slots=True)
class Curve:
    """A cubic curve from a start by way of two handles to an end."""

    points: tuple[Point, Point, Point, Point]
    pen: Pen


Drawn: TypeAlias = Lettering | Stroke | Rectangle | Area | Disc | Curve


@dataclass(slots=True)
class DrawnPart:
    """Things drawn that belong together.

    Attributes
    ----------
    about
        IRI of the thing they stand for; empty for none.
    told
        What they show and rest on, in words, for whoever points at them; empty for nothing.
    drawn
        In the order in which they lie on one another.
    """

    about: str = ""
    told: str = ""
    drawn: list[Drawn] = field(default_factory=list)


@dataclass
class Canvas:
    """A sheet of a width and a height, in points; y grows downwards.

    Attributes
    ----------
    wide, high
        Its size.
    parts
        What is drawn, from the ground up.
    """

    wide: float
    high: float
    parts: list[DrawnPart] = field(default_factory=lambda: [DrawnPart()])

    @contextmanager
    def part(self, about: str = "", told: str = "") -> Iterator[None]:
        """Let whatever is drawn within stand for a thing, and say what it shows.

        Parameters
        ----------
        about
            IRI of the thing; empty for none.
        told
            What is shown and what it rests on, in words.
        """
        self.parts.append(DrawnPart(about, told))
        yield
        self.parts.append(DrawnPart())

    def _draw(self, drawn: Drawn) -> None:
        self.parts[-1].drawn.append(drawn)

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
        align: Align = "left",
        turned: float = 0.0,
        halo: str = "",
    ) -> None:
        """Set a line of type; see `Lettering`. What would leave the sheet is cut."""
        room = {"left": self.wide - x, "center": 2 * min(x, self.wide - x), "right": x}[align]
        room = max(self.wide, self.high) if turned else max(room, 0.0)
        text = fit(text, size, room, bold=bold, italic=italic, title=title)
        if text:
            self._draw(Lettering(x, y, text, size, ink, bold, italic, title, align, turned, halo))

    def line(
        self,
        points: Sequence[Point],
        *,
        ink: str = INK,
        weight: float = 0.8,
        dashes: tuple[float, ...] = (),
    ) -> None:
        """Draw a line through points."""
        self._draw(Stroke(tuple(points), Pen(ink, weight, dashes)))

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
        """Draw a rectangle from its top left corner, its hatch in `ink`; see `Rectangle`."""
        self._draw(Rectangle(x, y, wide, high, fill, Pen(ink, weight, dashes), hatch))

    def shape(
        self, points: Sequence[Point], *, fill: str = INK, ink: str = "none", weight: float = 0.6
    ) -> None:
        """Draw a closed shape."""
        self._draw(Area(tuple(points), fill, Pen(ink, weight)))

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
        self._draw(Disc(x, y, radius, fill, Pen(ink, weight)))

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
        self._draw(Curve((start, first, second, end), Pen(ink, weight, dashes)))
