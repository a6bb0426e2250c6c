"""Articles by the lists of a shape, or by a pottery's shapes."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import partial

from rdflib import URIRef
from rdflib.namespace import RDF

from glost.answer.snapshot import Snapshot
from glost.names import GLOST
from glost.publish.pictures.canvas import Canvas
from glost.publish.pictures.frame import Draw, SheetFrame
from glost.publish.pictures.lettering import fit, width, wrap
from glost.publish.pictures.lives import basis
from glost.publish.pictures.model import NOTHING, Basis, Heading, together
from glost.publish.pictures.picture import Drawing, PictureWords
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
from glost.publish.pictures.subjects import Subject, every, must_be, shapes_of
from glost.trade.assortments.forms import Forms
from glost.trade.assortments.lists import Article
from glost.trade.assortments.matrix import Matrix as Known
from glost.trade.assortments.matrix import MatrixColumn, Status, by_lists, by_shapes
from glost.words.english import joined
from glost.words.labels import label
from glost.words.pictures import BASIS, basis_cells, cited, rests_on


class Mark(StrEnum):
    """What a cell of a matrix says."""

    OFFERED = "offered"
    ABSENT = "absent, by a complete list or a source"
    DROPPED = "no longer in a complete list"
    NEVER = "modelled, never produced"
    NOT_SEEN = "not seen"
    SHOWN = "not listed, shown by a piece"
    SAID = "not listed, said to be produced"
    DISPUTED = "disputed"


@dataclass(frozen=True, slots=True)
class MatrixCell:
    """A cell of a matrix.

    Attributes
    ----------
    row, column
        Where it stands, counted from 0.
    mark
        What it says.
    text
        A word of up to four letters drawn in it, such as a count; may be empty.
    """

    row: int
    column: int
    mark: Mark
    text: str = ""
    basis: Basis = NOTHING


@dataclass(frozen=True, slots=True)
class MatrixTable:
    """Articles by shapes, or by years. A cell that is not given says `Mark.NOT_SEEN`."""

    title: str
    rows: tuple[Heading, ...]
    columns: tuple[Heading, ...]
    cells: tuple[MatrixCell, ...]
    note: str = ""


_MARKS = {
    Status.OFFERED: Mark.OFFERED,
    Status.ABSENT: Mark.ABSENT,
    Status.DROPPED: Mark.DROPPED,
    Status.NEVER: Mark.NEVER,
    Status.NOT_SEEN: Mark.NOT_SEEN,
    Status.DISPUTED: Mark.DISPUTED,
    Status.SHOWN: Mark.SHOWN,
    Status.SAID: Mark.SAID,
}
_ORDINARY = {Mark.OFFERED, Mark.ABSENT, Mark.NOT_SEEN}
_NOTE = (
    "An article is called absent only where a list states itself complete and lacks it, or a "
    "source says so; what a source says was modelled and never produced is told apart."
)


def assortment(snapshot: Snapshot, *of: URIRef) -> MatrixTable:
    """Make a matrix: articles of a shape by its lists, or forms by shapes.

    Parameters
    ----------
    snapshot
        The collection.
    of
        A shape, for its lists in order of issue; several shapes, or a pottery for its shapes, to
        be set side by side; nothing for all shapes.

    Raises
    ------
    RecordErrors
        If it is neither a shape nor a pottery.
    """
    facts, lists = snapshot.belief.graph, snapshot.lists
    makers = [each for each in of if (each, RDF.type, GLOST.Pottery) in facts]
    if of and not makers:
        for each in of:
            must_be(snapshot, each, GLOST.Shape)
    if len(of) == 1 and not makers:
        title = f"Assortment of {label(of[0], snapshot.words)}, list by list"
        return _matrix(snapshot, by_lists(lists, of[0]), title)
    shapes = {each for each in facts.subjects(RDF.type, GLOST.Shape) if isinstance(each, URIRef)}
    whose = snapshot.record.collection.title
    if of:
        made = {s for maker in makers for s in facts.subjects(GLOST.madeBy, maker)}
        shapes &= {*of, *made}
        whose = joined(label(each, snapshot.words) for each in of)
    listed = sorted(shapes & {each.shape for each in lists.all}, key=lambda s: _order(snapshot, s))
    known = by_shapes(lists, listed, by_form=True, absent=snapshot.having.denying)
    return _matrix(snapshot, known, f"Forms by shapes: {whose}")


def _order(snapshot: Snapshot, shape: URIRef) -> tuple[str, float, str]:
    begin = snapshot.chronology.bounds(URIRef(f"{shape}#begin")).earliest
    return _maker(snapshot, shape), float("inf") if begin is None else begin, str(shape)


def _maker(snapshot: Snapshot, shape: URIRef) -> str:
    makers = {
        label(each, snapshot.words) for each in snapshot.belief.graph.objects(shape, GLOST.madeBy)
    }
    return joined(sorted(makers))


def _matrix(snapshot: Snapshot, known: Known, title: str) -> MatrixTable:
    forms = Forms(snapshot.belief)
    classes = {article: forms.class_of(article.form) for article in known.articles}
    order = sorted(known.articles, key=lambda each: (str(classes[each]), _row(snapshot, each)))
    rows = {article: at for at, article in enumerate(order)}
    columns = {column: at for at, column in enumerate(known.columns)}
    cells = [
        MatrixCell(
            rows[article],
            columns[column],
            _MARKS[cell.status],
            "",
            basis(cell.claims, snapshot.words),
        )
        for (article, column), cell in known.cells.items()
    ]
    return MatrixTable(
        title,
        tuple(Heading(_name(snapshot, each), str(classes[each]).capitalize()) for each in order),
        tuple(_column(snapshot, column) for column in columns),
        tuple(sorted(cells, key=lambda cell: (cell.row, cell.column))),
        _NOTE,
    )


def _row(snapshot: Snapshot, article: Article) -> tuple[str, float, str, str]:
    number = "".join(letter for letter in article.size if letter.isdigit())
    return label(article.form, snapshot.words), float(number or 0), article.size, article.variant


def _name(snapshot: Snapshot, article: Article) -> str:
    return f"{label(article.form, snapshot.words)} {article.which}".strip()


def _column(snapshot: Snapshot, column: MatrixColumn) -> Heading:
    if column.list is None:
        shape = column.shape
        return Heading(label(shape, snapshot.words), _maker(snapshot, shape), str(shape))
    name = label(column.list, snapshot.words)
    years = column.years or "undated"
    return Heading(name if years in name else f"{years}  {name}", "", str(column.list))


def matrix_in_words(matrix: MatrixTable) -> PictureWords:
    """Tell a matrix: a row for each cell that says more than that nothing was seen."""
    columns = ("group", "article", "column group", "column", "says", "note")
    rows = tuple(
        (
            matrix.rows[cell.row].group,
            matrix.rows[cell.row].name,
            matrix.columns[cell.column].group,
            matrix.columns[cell.column].name,
            str(cell.mark),
            cell.text,
            *basis_cells(cell.basis),
        )
        for cell in sorted(matrix.cells, key=lambda cell: (cell.row, cell.column))
        if cell.mark != Mark.NOT_SEEN
    )
    counts = Counter(cell.mark for cell in matrix.cells)
    counts[Mark.NOT_SEEN] = len(matrix.rows) * len(matrix.columns) - sum(
        count for mark, count in counts.items() if mark != Mark.NOT_SEEN
    )
    told = ", ".join(f"{counts[mark]} {mark}" for mark in Mark if counts[mark])
    summary = f"A matrix of {len(matrix.rows)} articles and {len(matrix.columns)} columns"
    return PictureWords(f"{summary}: {told}." if told else f"{summary}.", (*columns, *BASIS), rows)


_ROW, _GROUP = 10.6, 12.0
_NARROW, _WIDE = 15.0, 34.0
_GROUPS = 28.0
"""Height of the names of groups of columns, three lines of them at most."""
_GROUP_TYPE = 6.0
_HEADS = 150.0
"""The most height that headings of columns take; they are set upright."""


def assortment_matrix(matrix: MatrixTable) -> Drawing:
    """Draw a matrix of articles.

    Parameters
    ----------
    matrix
        What is known of each article in each column.

    Returns
    -------
    Drawing
        Upright sheets, rows and columns parted among them where one does not hold them.
    """
    basis = together(cell.basis for cell in matrix.cells)
    parts = _parts(matrix, basis)
    drawn = [
        partial(_sheet, matrix, rows, columns, basis, place, len(parts))
        for place, (rows, columns) in enumerate(parts)
    ]
    return Drawing(matrix.title, matrix_in_words(matrix), tuple(drawn))


def _parts(matrix: MatrixTable, basis: Basis) -> list[tuple[range, range]]:
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


def _names(matrix: MatrixTable) -> float:
    widest = max((width(row.name, SMALL) for row in matrix.rows), default=0.0)
    return min(widest + 14, 190.0)


def _heads(matrix: MatrixTable) -> float:
    names = (_column_name(matrix, at) for at in range(len(matrix.columns)))
    longest = max((width(name, SMALL) for name in names), default=0.0)
    groups = _GROUPS if any(column.group for column in matrix.columns) else 0.0
    return min(longest + 8, _HEADS) + groups


def _column_name(matrix: MatrixTable, at: int) -> str:
    """Name a column; one that stands alone in its group bears the group's name as well."""
    column = matrix.columns[at]
    beside = [matrix.columns[each] for each in (at - 1, at + 1) if 0 <= each < len(matrix.columns)]
    alone = column.group and all(each.group != column.group for each in beside)
    return f"{column.name}, {column.group}" if alone else column.name


def _frame(matrix: MatrixTable, basis: Basis, sheet: int, sheets: int) -> SheetFrame:
    return SheetFrame(matrix.title, matrix.note, rests_on(basis), _legend(matrix), sheet, sheets)


def _legend(matrix: MatrixTable) -> list[tuple[str, Draw]]:
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
    matrix: MatrixTable, rows: range, columns: range, basis: Basis, sheet: int, sheets: int
) -> Canvas:
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
            with canvas.part(told=_told(matrix, cells.get((at, column)))):
                _cell(canvas, cells.get((at, column)), x, y + _ROW / 2)
        y += _ROW
        right = MARGIN + names + pitch * len(columns)
        canvas.line([(MARGIN, y), (right, y)], ink=RULE, weight=0.35)
    frame.draw(canvas)
    return canvas


def _told(matrix: MatrixTable, cell: MatrixCell | None) -> str:
    """Say what a cell says that is out of the ordinary, and what that rests on."""
    if cell is None or cell.mark in _ORDINARY:
        return ""
    where = f"{matrix.rows[cell.row].name}, {matrix.columns[cell.column].name}"
    return f"{where}: {cell.mark}. {cited(cell.basis)}".strip()


def _cell(canvas: Canvas, cell: MatrixCell | None, x: float, y: float) -> None:
    draw_mark(canvas, cell.mark if cell else Mark.NOT_SEEN, x, y)
    if cell and cell.text:
        canvas.text(x + 6, y, cell.text, 5.6, ink=QUIET)


def _columns(
    canvas: Canvas, matrix: MatrixTable, columns: range, left: float, top: float, pitch: float
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
        with canvas.part(matrix.columns[at].about):
            canvas.text(x + 2.4, top - 4, name, SMALL, turned=90)
    canvas.line([(MARGIN, top), (left + pitch * len(columns), top)], ink=QUIET, weight=0.6)


def _drawn(snapshot: Snapshot, of: str) -> Drawing:
    return assortment_matrix(assortment(snapshot, *shapes_of(snapshot, of, "shape", "pottery")))


SUBJECT = Subject(
    "a shape, or a pottery", _drawn, lists=(("", "assortment"),), things=every(GLOST.Pottery)
)
