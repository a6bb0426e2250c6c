"""Plain years beside dates, so that a query can compare them."""

from collections import defaultdict
from collections.abc import Iterable

from rdflib import Graph, Literal
from rdflib.namespace import XSD
from rdflib.term import Node

from glost.names import DATED, GLOST, bind
from glost.record.claims import Triple
from glost.record.dates import DEFAULT_MARGIN, DateError, Edtf, Margin, calendar_day, hull, read


def reckon(facts: Iterable[Triple], margin: Margin = DEFAULT_MARGIN) -> Graph:
    """Reckon the earliest and the latest year of everything that has a date.

    Parameters
    ----------
    facts
        Statements, among them ``glost:date`` and ``glost:sourceDate`` with EDTF literals; one
        that is there twice counts once.
    margin
        How far a date marked approximate is widened at either end.

    Returns
    -------
    Graph
        ``glost:earliestYear`` and ``glost:latestYear`` of each dated subject: years of the
        proleptic Gregorian calendar, both inclusive, typed ``xsd:integer``. Where several dates
        are given for one subject, the earliest and the latest that any of them allows. Where a
        date is open or unknown at one end, no year is given for that end. A literal that cannot
        be read as a date says nothing here; reading the record finds it.
    """
    dates: dict[Node, list[Edtf]] = defaultdict(list)
    for subject, predicate, value in facts:
        if predicate not in DATED:
            continue
        try:
            date = read(str(value), margin)
        except DateError:
            continue
        dates[subject].append(date)
    reckoned = bind(Graph("SimpleMemory"))
    for subject, given in dates.items():
        for name, day in zip((GLOST.earliestYear, GLOST.latestYear), hull(given), strict=True):
            if day is not None:
                reckoned.add((subject, name, _year(day)))
    return reckoned


def _year(day: int) -> Literal:
    return Literal(calendar_day(day)[0], datatype=XSD.integer)
