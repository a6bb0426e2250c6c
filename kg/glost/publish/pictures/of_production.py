"""Production through time made from a collection."""

from bisect import bisect_right
from collections.abc import Iterable
from math import inf

from rdflib import URIRef
from rdflib.namespace import RDF

from glost.answer.desk import Desk
from glost.names import GLOST
from glost.publish.pictures.counts import Production
from glost.publish.pictures.lives import Lives
from glost.publish.pictures.model import Basis, Days, together
from glost.publish.pictures.of_making import must_be
from glost.publish.pictures.timeline import year_span
from glost.record.dates import day_number
from glost.record.errors import RecordError, RecordErrors
from glost.record.wording import label
from glost.trade.statistics import Span, aoristic, in_production


def production(desk: Desk, pottery: URIRef | None = None) -> Production:
    """Count the shapes in production in each year, and spread the pieces over the years.

    Parameters
    ----------
    desk
        The collection.
    pottery
        Only its shapes, and pieces of them; None for all.

    Raises
    ------
    RecordErrors
        If it is no pottery, or nothing of it is dated.
    """
    facts, lives = desk.belief.graph, Lives(desk)
    shapes = {each for each in facts.subjects(RDF.type, GLOST.Shape) if isinstance(each, URIRef)}
    whose = desk.record.collection.title
    if pottery is not None:
        must_be(desk, pottery, GLOST.Pottery)
        shapes = {each for each in shapes if (each, GLOST.madeBy, pottery) in facts}
        whose = label(pottery, desk.words)
    runs = {shape: lives.life(shape) for shape in sorted(shapes)}
    dated = {shape: life for shape, life in runs.items() if life.known}
    if not dated:
        message = f"no shape of {whose} is dated"
        raise RecordErrors([RecordError(str(desk.record.collection.path), message, "date one")])
    first, last = year_span(d for life in dated.values() for d in (*life.begin, *life.end))
    years = range(first, last + 1)
    counts = in_production(
        [(_low_high(life.begin), _low_high(life.end)) for life in dated.values()],
        [(day_number(year, 1, 1), day_number(year, 12, 31)) for year in years],
    )
    spans, undated = _pieces(desk, lives, shapes if pottery is not None else None)
    edges = [day_number(year, 1, 1) for year in range(first, last + 2)]
    weights = aoristic([span for span, _ in spans], edges) if spans else ()
    left_out = len(runs) - len(dated)
    note = "Where a beginning or an end is not bounded, a shape counts as possibly in production. "
    note += f"{left_out} shapes of which no date is known are left out. " if left_out else ""
    note += "A piece is taken to be as likely of any day between its first and its last. "
    resting = [
        (_low_high((life.begin[0], life.end[1])), lives.basis(shape))
        for shape, life in dated.items()
    ]
    return Production(
        f"Production through time: {whose}",
        tuple(years),
        tuple(certain for certain, _ in counts),
        tuple(possible for _, possible in counts),
        _meeting((*resting, *spans), edges),
        tuple(float(weight) for weight in weights),
        undated,
        "shapes",
        note + lives.note,
    )


def _low_high(days: Days) -> Span:
    return (-inf if days[0] is None else days[0], inf if days[1] is None else days[1])


def _meeting(spans: Iterable[tuple[Span, Basis]], edges: list[int]) -> tuple[Basis, ...]:
    """Put together what those rest on that may have run, or been made, in each year."""
    years: list[list[Basis]] = [[] for _ in edges[1:]]
    for (early, late), rests in spans:
        first = max(0, bisect_right(edges, early) - 1)
        for year in years[first : bisect_right(edges, late)]:
            year.append(rests)
    return tuple(map(together, years))


def _pieces(
    desk: Desk, lives: Lives, shapes: set[URIRef] | None
) -> tuple[list[tuple[Span, Basis]], int]:
    """Return the spans of the making of pieces and what they rest on, and how many have none."""
    facts = desk.belief.graph
    spans: list[tuple[Span, Basis]] = []
    undated = 0
    pieces = set(facts.subjects(RDF.type, GLOST.Piece))
    if shapes is not None:
        pieces &= {piece for shape in shapes for piece in facts.subjects(GLOST.ofShape, shape)}
    for piece in sorted(pieces, key=str):
        if not isinstance(piece, URIRef):
            continue
        (early, late), _ = lives.when(URIRef(f"{piece}#made"))
        if early is None or late is None or late < early:
            undated += 1
        else:
            spans.append(((early, late + 1), lives.basis(piece, "made")))
    return spans, undated
