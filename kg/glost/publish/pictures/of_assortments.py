"""Matrices of articles made from a collection's lists."""

from rdflib import URIRef
from rdflib.namespace import RDF

from glost.answer.desk import Desk
from glost.names import GLOST
from glost.publish.pictures.counts import Cell, Heading, Mark, Matrix
from glost.publish.pictures.lives import basis
from glost.publish.pictures.of_making import must_be
from glost.record.wording import label
from glost.trade.assortments.forms import Forms
from glost.trade.assortments.lists import Article
from glost.trade.assortments.matrix import Column, Status, by_lists, by_shapes
from glost.trade.assortments.matrix import Matrix as Known

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
_NOTE = (
    "An article is called absent only where a list states itself complete and lacks it, or a "
    "source says so; what a source says was modelled and never produced is told apart."
)


def assortment(desk: Desk, *of: URIRef) -> Matrix:
    """Make a matrix: articles of a shape by its lists, or forms by shapes.

    Parameters
    ----------
    desk
        The collection.
    of
        A shape, for its lists in order of issue; several shapes, or a pottery for its shapes, to
        be set side by side; nothing for all shapes.

    Raises
    ------
    RecordErrors
        If it is neither a shape nor a pottery.
    """
    facts, lists = desk.belief.graph, desk.lists
    makers = [each for each in of if (each, RDF.type, GLOST.Pottery) in facts]
    if of and not makers:
        for each in of:
            must_be(desk, each, GLOST.Shape)
    if len(of) == 1 and not makers:
        title = f"Assortment of {label(of[0], desk.words)}, list by list"
        return _matrix(desk, by_lists(lists, of[0]), title)
    shapes = {each for each in facts.subjects(RDF.type, GLOST.Shape) if isinstance(each, URIRef)}
    whose = desk.record.collection.title
    if of:
        made = {s for maker in makers for s in facts.subjects(GLOST.madeBy, maker)}
        shapes &= {*of, *made}
        whose = " and ".join(label(each, desk.words) for each in of)
    listed = sorted(shapes & {each.shape for each in lists.all}, key=lambda s: _order(desk, s))
    known = by_shapes(lists, listed, by_form=True, absent=desk.having.denying)
    return _matrix(desk, known, f"Forms by shapes: {whose}")


def _order(desk: Desk, shape: URIRef) -> tuple[str, float, str]:
    begin = desk.chronology.bounds(URIRef(f"{shape}#begin")).earliest
    return _maker(desk, shape), float("inf") if begin is None else begin, str(shape)


def _maker(desk: Desk, shape: URIRef) -> str:
    makers = {label(each, desk.words) for each in desk.belief.graph.objects(shape, GLOST.madeBy)}
    return " and ".join(sorted(makers))


def _matrix(desk: Desk, known: Known, title: str) -> Matrix:
    forms = Forms(desk.belief)
    classes = {article: forms.class_of(article.form) for article in known.articles}
    order = sorted(known.articles, key=lambda each: (str(classes[each]), _row(desk, each)))
    rows = {article: at for at, article in enumerate(order)}
    columns = {column: at for at, column in enumerate(known.columns)}
    cells = [
        Cell(
            rows[article], columns[column], _MARKS[cell.status], "", basis(cell.claims, desk.words)
        )
        for (article, column), cell in known.cells.items()
    ]
    return Matrix(
        title,
        tuple(Heading(_name(desk, each), str(classes[each]).capitalize()) for each in order),
        tuple(_column(desk, column) for column in columns),
        tuple(sorted(cells, key=lambda cell: (cell.row, cell.column))),
        _NOTE,
    )


def _row(desk: Desk, article: Article) -> tuple[str, float, str, str]:
    number = "".join(letter for letter in article.size if letter.isdigit())
    return label(article.form, desk.words), float(number or 0), article.size, article.variant


def _name(desk: Desk, article: Article) -> str:
    return f"{label(article.form, desk.words)} {article.which}".strip()


def _column(desk: Desk, column: Column) -> Heading:
    if column.list is None:
        return Heading(label(column.shape, desk.words), _maker(desk, column.shape))
    plain = str(column.list).rsplit("/", 1)[-1]
    return Heading(f"{column.years or 'undated'}  {plain}")
