"""What a collection holds: counts to begin with."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from rdflib import Literal, URIRef
from rdflib.namespace import RDF
from rdflib.term import Node

from glost.data import vocabulary
from glost.names import DATED, EDTF, GLOST
from glost.record.belief import Belief
from glost.record.dates import calendar_day
from glost.record.dates import read as read_date
from glost.record.record import Record
from glost.trade.kilns.figures import count_of
from glost.words.labels import label


@dataclass(frozen=True, slots=True)
class Holdings:
    """What a collection holds, as of a day.

    Attributes
    ----------
    title
        The collection's title.
    claims, withdrawn
        Claims that hold, and claims withdrawn.
    things
        Things described, by kind, in the order of the trade, and how many: of kilns as many as
        their rows stand for, ``5 or more`` where a source speaks of several and counts none.
    sources
        Sources by kind in words, most numerous first.
    resting
        Claims that hold by source IRI, most first.
    years
        First and last year that any dated statement touches, inclusive; None without dates.
    undated
        Sources without a date.
    """

    title: str
    claims: int
    withdrawn: int
    things: tuple[tuple[str, str], ...]
    sources: tuple[tuple[str, int], ...]
    resting: tuple[tuple[str, str, int], ...]
    years: tuple[int, int] | None
    undated: int


def holdings(record: Record, as_of: date | None = None) -> Holdings:
    """Count what a collection holds.

    Parameters
    ----------
    record
        The record.
    as_of
        The last day taken into account, inclusive; None for all there is.
    """
    belief = record.believed(as_of)
    graph = belief.graph
    words = belief.worded
    classes = Counter(kind for _, kind in graph.subject_objects(RDF.type))
    resting = Counter(claim.passage.source for claim in belief.claims)
    kinds = Counter(
        label(kind, words) for kind in graph.objects(None, GLOST.sourceKind) if kind is not None
    )
    sources = set(graph.subjects(RDF.type, GLOST.Source))
    return Holdings(
        title=record.collection.title,
        claims=len(belief.claims),
        withdrawn=len(belief.withdrawn),
        things=tuple(
            (title, _kilns(belief) if kind == GLOST.Kiln else str(classes[kind]))
            for title, kind in _kinds()
            if classes[kind]
        ),
        sources=tuple(sorted(kinds.items(), key=lambda item: (-item[1], item[0]))),
        resting=tuple(
            (str(source), label(source, words), count)
            for source, count in sorted(resting.items(), key=lambda item: (-item[1], item[0]))
        ),
        years=_years(v for verb in sorted(DATED) for v in belief.graph.objects(None, verb)),
        undated=sum(1 for source in sources if graph.value(source, GLOST.sourceDate) is None),
    )


_KINDS = (
    "Pottery",
    "Firm",
    "Person",
    "Plant",
    "Kiln",
    "KilnZone",
    "Shape",
    "Article",
    "Assortment",
    "Offering",
    "Decal",
    "Treatment",
    "Glaze",
    "Mark",
    "CodeScheme",
    "Piece",
    "Source",
)


def _kinds() -> list[tuple[str, URIRef]]:
    """Return the classes counted, in the order of the trade, with their names."""
    return [(label(GLOST[name], vocabulary()), GLOST[name]) for name in _KINDS]


def _kilns(belief: Belief) -> str:
    """Say how many kilns there are: a row may stand for several, counted or not."""
    counts = [count_of(belief, kiln) for kiln in set(belief.graph.subjects(RDF.type, GLOST.Kiln))]
    low, highs = sum(each.low for each in counts), [each.high for each in counts]
    if None in highs:
        return f"{low} or more"
    high = sum(each for each in highs if each is not None)
    return str(low) if low == high else f"{low} to {high}"


def _years(dates: Iterable[Node]) -> tuple[int, int] | None:
    first: list[int] = []
    last: list[int] = []
    for value in dates:
        if isinstance(value, Literal) and value.datatype == EDTF:
            read = read_date(str(value), 0)
            if read.earliest is not None:
                first.append(calendar_day(read.earliest)[0])
            if read.latest is not None:
                last.append(calendar_day(read.latest)[0])
    both = first + last
    return (min(both), max(both)) if both else None
