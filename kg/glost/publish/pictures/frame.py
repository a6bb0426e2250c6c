"""What stands round every picture: title, note, legend, and what it rests on."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from glost.publish.pictures.canvas import Canvas
from glost.publish.pictures.lettering import fit, width, wrap
from glost.publish.pictures.style import INK, MARGIN, QUIET, RULE, SMALL, TINY, TITLE

Draw = Callable[[Canvas, float, float], None]
"""Draws a swatch of the legend, its left end and middle given."""

_SWATCH = 24.0
_LEADING = 1.35
_TITLE_LINES = 3


@dataclass(frozen=True, slots=True)
class SheetFrame:
    """The words round a picture.

    Attributes
    ----------
    title
        The picture's title.
    note
        What a reader must know; stands under the picture.
    rests
        How many claims of how many sources it rests on, in words.
    legend
        What each sign means.
    sheet, sheets
        Which sheet this is, counted from 0, and of how many.
    """

    title: str
    note: str
    rests: str
    legend: Sequence[tuple[str, Draw]]
    sheet: int = 0
    sheets: int = 1

    def head(self, wide: float) -> float:
        """Return how much height the title takes."""
        return MARGIN + TITLE * _LEADING * len(self._title(wide)) + 6

    def foot(self, wide: float) -> float:
        """Return how much height legend and notes take."""
        lines = len(self._note(wide)) + bool(self.rests)
        return 12 + 13.0 * len(self._places(wide)) + lines * TINY * _LEADING + MARGIN

    def draw(self, canvas: Canvas) -> None:
        """Draw head and foot."""
        wide = canvas.wide
        y = MARGIN + TITLE * 0.6
        for line in self._title(wide):
            canvas.text(MARGIN, y, line, TITLE, title=True)
            y += TITLE * _LEADING
        if self.sheets > 1:
            which = f"sheet {self.sheet + 1} of {self.sheets}"
            canvas.text(wide - MARGIN, MARGIN + TITLE * 0.6, which, SMALL, ink=QUIET, align="right")
        self._foot(canvas)

    def _foot(self, canvas: Canvas) -> None:
        wide = canvas.wide
        y = canvas.high - self.foot(wide) + 4
        canvas.line([(MARGIN, y), (wide - MARGIN, y)], ink=RULE, weight=0.6)
        y += 9
        for row in self._places(wide):
            for x, text, draw in row:
                draw(canvas, x, y)
                canvas.text(x + _SWATCH + 4, y, text, SMALL, ink=INK)
            y += 13
        for line in self._note(wide):
            canvas.text(MARGIN, y, line, TINY, ink=QUIET)
            y += TINY * _LEADING
        if self.rests:
            canvas.text(MARGIN, y, self.rests, TINY, ink=QUIET, italic=True)

    def _title(self, wide: float) -> list[str]:
        room = wide - 2 * MARGIN - (60 if self.sheets > 1 else 0)
        lines: list[str] = []
        line = ""
        words = self.title.split()
        for at, word in enumerate(words):
            longer = f"{line} {word}".strip()
            if not line or width(longer, TITLE, title=True) <= room:
                line = longer
                continue
            if len(lines) + 1 == _TITLE_LINES:
                return [*lines, fit(" ".join([line, *words[at:]]), TITLE, room, title=True)]
            lines.append(line)
            line = word
        return [*lines, fit(line, TITLE, room, title=True)]

    def _note(self, wide: float) -> list[str]:
        return wrap(self.note, TINY, wide - 2 * MARGIN)

    def _places(self, wide: float) -> list[list[tuple[float, str, Draw]]]:
        rows: list[list[tuple[float, str, Draw]]] = []
        x = wide
        for text, draw in self.legend:
            room = _SWATCH + 4 + width(text, SMALL) + 14
            if x + room > wide - MARGIN + 14:
                rows.append([])
                x = MARGIN
            rows[-1].append((x, text, draw))
            x += room
        return rows
