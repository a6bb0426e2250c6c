"""The matrix of articles by shapes or by lists: offered, absent, not seen, disputed, shown."""

from collections.abc import Sequence
from functools import partial

from matplotlib.figure import Figure

from glost.publish.pictures.canvas import Canvas, fit, width, wrap
from glost.publish.pictures.counts import Cell, Heading, Mark, Matrix
from glost.publish.pictures.frame import Draw, Frame
from glost.publish.pictures.model import Basis, together
from glost.publish.pictures.picture import Picture
from glost.publish.pictures.style import (
    BAND,
    COBALT,
    INK,
    LONG,
    MARGIN,
    PAPER,
    QUIET,
    RULE,
    RUST,
    SHORT,
    SMALL,
    TINY,
)
from glost.publish.pictures.words import matrix_in_words, rests_on

_ROW, _GROUP = 10.6, 12.0
_NARROW, _WIDE = 15.0, 34.0
_GROUPS = 28.0
"""Height of the names of groups of columns, three lines of them at most."""
_GROUP_TYPE = 6.0
_HEADS = 96.0
"""The most height that headings of columns take; they are set upright."""


def assortment_matrix(matrix: Matrix) -> Picture:
    """Draw a matrix of articles.

    Parameters
    ----------
    matrix
        What is known of each article in each column.

    Returns
    -------
    Picture
        Upright sheets, rows and columns parted among them where one does not hold them.
    """
    basis = together(cell.basis for cell in matrix.cells)
    parts = _parts(matrix, basis)
    drawn = [
        partial(_sheet, matrix, rows, columns, basis, place, len(parts))
        for place, (rows, columns) in enumerate(parts)
    ]
    return Picture(matrix.title, matrix_in_words(matrix), tuple(drawn))


def _parts(matrix: Matrix, basis: Basis) -> list[tuple[range, range]]:
    """Part rows and columns into sheets: all rows of the first columns, then of the next."""
    room = SHORT - 2 * MARGIN - _names(matrix)
    across = max(int(room // _NARROW), 1)
    frame = _frame(matrix, basis, 0, 2)
    high = LONG - frame.head(SHORT) - frame.foot(SHORT) - _heads(matrix) - 6
    sheets: list[range] = []
    start = 0
    while start < len(matrix.rows):
        end = start + 1
        while end < len(matrix.rows) and _height(matrix.rows[start : end + 1]) <= high:
            end += 1
        sheets.append(range(start, end))
        start = end
    columns = [
        range(at, min(at + across, len(matrix.columns)))
        for at in range(0, len(matrix.columns), across)
    ]
    return [(rows, some) for some in columns for rows in sheets] or [(range(0), range(0))]


def _height(rows: Sequence[Heading]) -> float:
    groups = sum(
        1
        for at, row in enumerate(rows)
        if row.group and (not at or rows[at - 1].group != row.group)
    )
    return len(rows) * _ROW + groups * _GROUP


def _names(matrix: Matrix) -> float:
    widest = max((width(row.name, SMALL) for row in matrix.rows), default=0.0)
    return min(widest + 14, 190.0)


def _heads(matrix: Matrix) -> float:
    names = (_column_name(matrix, at) for at in range(len(matrix.columns)))
    longest = max((width(name, SMALL) for name in names), default=0.0)
    groups = _GROUPS if any(column.group for column in matrix.columns) else 0.0
    return min(longest + 8, _HEADS) + groups


def _column_name(matrix: Matrix, at: int) -> str:
    """Name a column; one that stands alone in its group bears the group's name as well."""
    column = matrix.columns[at]
    beside = [matrix.columns[each] for each in (at - 1, at + 1) if 0 <= each < len(matrix.columns)]
    alone = column.group and all(each.group != column.group for each in beside)
    return f"{column.name}, {column.group}" if alone else column.name


def _frame(matrix: Matrix, basis: Basis, sheet: int, sheets: int) -> Frame:
    return Frame(matrix.title, matrix.note, rests_on(basis), _legend(matrix), sheet, sheets)


def _legend(matrix: Matrix) -> list[tuple[str, Draw]]:
    used = {cell.mark for cell in matrix.cells}
    if len(matrix.cells) < len(matrix.rows) * len(matrix.columns):
        used.add(Mark.NOT_SEEN)
    return [(str(each), partial(_swatch, each)) for each in Mark if each in used]


def _swatch(each: Mark, canvas: Canvas, x: float, y: float) -> None:
    draw_mark(canvas, each, x + 18, y)


def draw_mark(canvas: Canvas, each: Mark, x: float, y: float) -> None:
    """Draw what a cell says, its middle given."""
    if each == Mark.OFFERED:
        canvas.box(x - 3.6, y - 3.6, 7.2, 7.2, fill=COBALT)
    elif each == Mark.ABSENT:
        canvas.line([(x - 3.4, y), (x + 3.4, y)], ink=INK, weight=1.0)
    elif each == Mark.DROPPED:
        canvas.line([(x - 3.4, y), (x + 3.4, y)], ink=INK, weight=1.0)
        canvas.line([(x, y - 3.4), (x, y)], ink=INK, weight=1.0)
    elif each == Mark.SAID:
        canvas.box(x - 3.2, y - 3.2, 6.4, 6.4, fill=PAPER, ink=COBALT, weight=1.1)
    elif each == Mark.NEVER:
        for way in (-3.0, 3.0):
            canvas.line([(x - 3.0, y - way), (x + 3.0, y + way)], ink=INK, weight=1.0)
    elif each == Mark.NOT_SEEN:
        canvas.dot(x, y, 0.8, fill=QUIET)
    elif each == Mark.SHOWN:
        canvas.shape(
            [(x - 3.6, y - 3.4), (x + 3.6, y - 3.4), (x, y + 3.4)],
            fill=PAPER,
            ink=COBALT,
            weight=1.1,
        )
    else:
        side = 4.4
        canvas.shape(
            [(x - side, y), (x, y - side), (x + side, y), (x, y + side)],
            fill=PAPER,
            ink=RUST,
            weight=1.1,
        )
        canvas.text(x, y, "?", 5.6, ink=RUST, bold=True, align="center")


def _sheet(
    matrix: Matrix, rows: range, columns: range, basis: Basis, sheet: int, sheets: int
) -> Figure:
    frame = _frame(matrix, basis, sheet, sheets)
    names = _names(matrix)
    shown = [matrix.rows[at] for at in rows]
    pitch = min(max((SHORT - 2 * MARGIN - names) / max(len(columns), 1), _NARROW), _WIDE)
    wide = max(2 * MARGIN + names + pitch * len(columns), SHORT * 0.62)
    top = frame.head(wide) + _heads(matrix)
    canvas = Canvas(wide, top + _height(shown) + 6 + frame.foot(wide))
    _columns(canvas, matrix, columns, MARGIN + names, top, pitch)
    cells = {(cell.row, cell.column): cell for cell in matrix.cells}
    y, group = top, ""
    for at in rows:
        row = matrix.rows[at]
        if row.group and (row.group != group or at == rows[0]):
            canvas.box(MARGIN, y, names + pitch * len(columns), _GROUP, fill=BAND)
            canvas.text(MARGIN + 2, y + _GROUP / 2, row.group, TINY, bold=True, ink=QUIET)
            y += _GROUP
        group = row.group
        canvas.text(MARGIN + 2, y + _ROW / 2, fit(row.name, SMALL, names - 8), SMALL)
        for place, column in enumerate(columns):
            x = MARGIN + names + (place + 0.5) * pitch
            _cell(canvas, cells.get((at, column)), x, y + _ROW / 2)
        y += _ROW
        right = MARGIN + names + pitch * len(columns)
        canvas.line([(MARGIN, y), (right, y)], ink=RULE, weight=0.35)
    frame.draw(canvas)
    return canvas.figure


def _cell(canvas: Canvas, cell: Cell | None, x: float, y: float) -> None:
    draw_mark(canvas, cell.mark if cell else Mark.NOT_SEEN, x, y)
    if cell and cell.text:
        canvas.text(x + 6, y, cell.text, 5.6, ink=QUIET)


def _columns(
    canvas: Canvas, matrix: Matrix, columns: range, left: float, top: float, pitch: float
) -> None:
    start = 0
    while start < len(columns):
        group = matrix.columns[columns[start]].group
        end = start
        while end < len(columns) and matrix.columns[columns[end]].group == group:
            end += 1
        if group and _column_name(matrix, columns[start]) == matrix.columns[columns[start]].name:
            x, wide = left + start * pitch, (end - start) * pitch
            rule = top - _heads(matrix) + _GROUPS - 4
            # Bold type is about a tenth wider than what is measured here.
            lines = wrap(group, _GROUP_TYPE * 1.12, wide - 2)[:3]
            for line, text in enumerate(reversed(lines)):
                y = rule - 5 - line * 7.6
                canvas.text(x + 1, y, text, _GROUP_TYPE, bold=True, ink=QUIET)
            canvas.line([(x + 1, rule), (x + wide - 3, rule)], ink=RULE, weight=0.6)
        start = end
    for place, at in enumerate(columns):
        x = left + (place + 0.5) * pitch
        name = fit(_column_name(matrix, at), SMALL, _HEADS - 8)
        canvas.text(x + 2.4, top - 4, name, SMALL, turned=90)
    canvas.line([(MARGIN, top), (left + pitch * len(columns), top)], ink=QUIET, weight=0.6)
