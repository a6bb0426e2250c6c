"""A sheet as SVG with real type: found, copied and read out, in light and in dark.

Ink stands in attributes, so that any program shows a sheet as it is printed; a style sheet within
changes it where a screen is dark (Media Queries Level 5, `prefers-color-scheme`).
"""

from collections.abc import Callable, Iterable
from functools import singledispatchmethod
from xml.sax.saxutils import escape, quoteattr

from glost.publish.pictures.canvas import (
    Area,
    Canvas,
    Curve,
    Disc,
    Drawn,
    DrawnPart,
    Lettering,
    Pen,
    Rectangle,
    Stroke,
)
from glost.publish.pictures.lettering import width
from glost.publish.pictures.style import DARK, HALO, PAPER, SANS, TITLING

_MIDDLE = 0.36
"""How far under the middle of its capitals type stands, in sizes of type."""

_ANCHORS = {"left": "", "center": ' text-anchor="middle"', "right": ' text-anchor="end"'}

_SPACING = 24.0
"""Points between the lines of a hatch of one sign."""


def svg(
    canvas: Canvas,
    title: str,
    said: str,
    link: Callable[[str], str | None] = lambda iri: iri,
    mark: str = "",
) -> str:
    """Return a sheet as one ``svg`` element, to stand alone or inside HTML.

    Parameters
    ----------
    canvas
        The sheet.
    title, said
        What it is called and what it shows, for those who do not see it.
    link
        Where a thing that is drawn leads, by its IRI; None if nowhere.
    mark
        What keeps its identifiers apart from those of other sheets on the same page; a sheet with
        a mark stands in a page, which has `dark` among its styles.
    """
    return _Sheet(link, mark).written(canvas, title, said)


def dark(inks: Iterable[str] = DARK) -> str:
    """Return the style sheet that changes inks where a screen is dark."""
    rules = "".join(
        f".glost-sheet .f{_NAMES[ink]}{{fill:{DARK[ink]}}}"
        f".glost-sheet .s{_NAMES[ink]}{{stroke:{DARK[ink]}}}"
        for ink in inks
    )
    return f"@media screen and (prefers-color-scheme:dark){{{rules}}}"


_NAMES = {ink: str(at) for at, ink in enumerate(DARK)}
"""What inks are called in the classes of what is painted with them."""


class _Sheet:
    """Writes a sheet, and keeps which inks and hatches it used."""

    def __init__(self, link: Callable[[str], str | None], mark: str) -> None:
        self._link, self._mark = link, mark
        self._inks: dict[str, None] = {}
        self._hatches: dict[tuple[str, str], str] = {}

    def written(self, canvas: Canvas, title: str, said: str) -> str:
        """Return the sheet."""
        wide, high = _number(canvas.wide), _number(canvas.high)
        ground = self._element(Rectangle(0, 0, canvas.wide, canvas.high, PAPER, Pen("none", 0), ""))
        body = "\n".join([ground, *filter(None, map(self._part, canvas.parts))])
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" role="graphics-document"'
            f" aria-label={quoteattr(title)}"
            f' width="{wide}pt" height="{high}pt" viewBox="0 0 {wide} {high}"'
            f' font-family={quoteattr(SANS)} class="glost-sheet">\n'
            f"<title>{escape(title)}</title>\n<desc>{escape(said)}</desc>\n"
            f"{self._style()}{self._patterns()}{body}\n</svg>\n"
        )

    def _style(self) -> str:
        return "" if self._mark else f"<style>{dark(self._inks)}</style>\n"

    def _patterns(self) -> str:
        made = "".join(map(self._pattern, self._hatches.items()))
        return f"<defs>{made}</defs>\n" if made else ""

    def _pattern(self, of: tuple[tuple[str, str], str]) -> str:
        (hatch, ink), name = of
        step = _SPACING / len(hatch)
        size = _number(step)
        if "." in hatch:
            size, half = _number(step / 2), _number(step / 4)
            ways = f'<circle cx="{half}" cy="{half}" r="0.7"{self._paint("fill", ink)}/>'
        else:
            low, high = step / 4, step * 3 / 4
            lines = (
                ((-low, low), (low, -low)),
                ((0, step), (step, 0)),
                (
                    (high, step + low),
                    (step + low, high),
                ),
            )
            up = "".join(f"M{_points([start])}L{_points([end])}" for start, end in lines)
            down = f"M0,0L{size},{size}" if "x" in hatch else ""
            ways = f'<path d="{up}{down}" stroke-width="0.55"{self._paint("stroke", ink)}/>'
        return (
            f'<pattern id="{name}" width="{size}" height="{size}" '
            f'patternUnits="userSpaceOnUse">{ways}</pattern>'
        )

    def _part(self, part: DrawnPart) -> str:
        drawn = "\n".join(map(self._element, part.drawn))
        if not drawn or not (part.about or part.told):
            return drawn
        told = f"<title>{escape(part.told)}</title>" if part.told else ""
        href = self._link(part.about) if part.about else None
        if href is None:
            return f"<g>{told}{drawn}</g>"
        return f"<a href={quoteattr(href)}>{told}{drawn}</a>"

    def _paint(self, what: str, ink: str) -> str:
        """Return the attributes that paint a fill or a stroke."""
        if ink == "none":
            return f' {what}="none"' if what == "fill" else ""
        self._inks[ink] = None
        return f' {what}="{ink}" class="{what[0]}{_NAMES[ink]}"'

    def _both(self, fill: str, pen: Pen) -> str:
        """Return the attributes that fill and outline; one element has one ``class``."""
        one, other = self._paint("fill", fill), self._line(pen)
        if 'class="' not in one or 'class="' not in other:
            return one + other
        classes = other.partition('class="')[2].partition('"')[0]
        return one[:-1] + f' {classes}"' + other.replace(f' class="{classes}"', "")

    def _line(self, pen: Pen) -> str:
        if pen.ink == "none":
            return ""
        dashes = f' stroke-dasharray="{_numbers(pen.dashes)}"' if pen.dashes else ""
        return f' stroke-width="{_number(pen.weight)}"{dashes}{self._paint("stroke", pen.ink)}'

    @singledispatchmethod
    def _element(self, drawn: Drawn) -> str:
        raise TypeError(f"nothing writes a {type(drawn).__name__}")

    @_element.register
    def _(self, drawn: Lettering) -> str:
        long = width(drawn.text, drawn.size, drawn.bold, drawn.italic, drawn.title)
        down = _MIDDLE * drawn.size
        if drawn.turned:
            turn = f"rotate({_number(-drawn.turned)} {_number(drawn.x)} {_number(drawn.y)})"
            place = f'x="{_number(drawn.x)}" y="{_number(drawn.y + down)}" transform="{turn}"'
        else:
            place = f'x="{_number(drawn.x)}" y="{_number(drawn.y + down)}"'
        looks = ' font-weight="bold"' if drawn.bold or drawn.title else ""
        looks += ' font-style="italic"' if drawn.italic else ""
        looks += f" font-family={quoteattr(TITLING)}" if drawn.title else ""
        # Where another face is used than the one measured, it is made to take the same room.
        looks += f' textLength="{_number(long)}"' if len(drawn.text) > 1 else ""
        looks += ' lengthAdjust="spacingAndGlyphs"' if len(drawn.text) > 1 else ""
        ink = self._both(drawn.ink, Pen(drawn.halo or "none", HALO))
        if drawn.halo:
            ink += ' paint-order="stroke" stroke-linejoin="round"'
        return (
            f'<text {place} font-size="{_number(drawn.size)}"{_ANCHORS[drawn.align]}{looks}{ink}>'
            f"{escape(drawn.text)}</text>"
        )

    @_element.register
    def _(self, drawn: Stroke) -> str:
        return f'<polyline points="{_points(drawn.points)}" fill="none"{self._line(drawn.pen)}/>'

    @_element.register
    def _(self, drawn: Rectangle) -> str:
        place = (
            f'x="{_number(drawn.x)}" y="{_number(drawn.y)}" '
            f'width="{_number(drawn.wide)}" height="{_number(drawn.high)}"'
        )
        plain = f"<rect {place}{self._both(drawn.fill, drawn.pen)}/>"
        if not drawn.hatch:
            return plain
        key = drawn.hatch, drawn.pen.ink
        name = self._hatches.setdefault(key, f"hatch{self._mark}-{len(self._hatches)}")
        return f'{plain}<rect {place} fill="url(#{name})"/>'

    @_element.register
    def _(self, drawn: Area) -> str:
        return f'<polygon points="{_points(drawn.points)}"{self._both(drawn.fill, drawn.pen)}/>'

    @_element.register
    def _(self, drawn: Disc) -> str:
        place = f'cx="{_number(drawn.x)}" cy="{_number(drawn.y)}" r="{_number(drawn.radius)}"'
        return f"<circle {place}{self._both(drawn.fill, drawn.pen)}/>"

    @_element.register
    def _(self, drawn: Curve) -> str:
        start, *rest = drawn.points
        return f'<path d="M{_points([start])}C{_points(rest)}" fill="none"{self._line(drawn.pen)}/>'


def _number(value: float) -> str:
    """Return a number to a hundredth of a point, as short as it goes."""
    return f"{value:.2f}".rstrip("0").rstrip(".") if value else "0"


def _numbers(values: Iterable[float]) -> str:
    return " ".join(map(_number, values))


def _points(points: Iterable[tuple[float, float]]) -> str:
    return " ".join(f"{_number(x)},{_number(y)}" for x, y in points)
