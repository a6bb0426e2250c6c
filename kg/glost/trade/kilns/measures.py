"""Lengths and temperatures as numbers in one unit, beside the wording of the source.

The vocabulary says which property holds the number of which wording (``glost:readAs``), and in
which unit (``qudt:hasUnit``).
"""

from collections.abc import Iterator
from fractions import Fraction
from functools import cache

from rdflib import Literal, URIRef
from rdflib.namespace import XSD

from glost.data import vocabulary
from glost.names import GLOST, QUDT, UNIT
from glost.record.belief import Belief
from glost.record.claims import Triple
from glost.record.quantities import LengthError, convert, decimal
from glost.trade.kilns.amounts import AmountError
from glost.trade.kilns.figures import READERS

_UNITS = {UNIT.M: ("meter", 9), UNIT.DEG_C: ("degC", 1)}
"""Units of QUDT as the table of units calls them, and how many places a number is given to."""


@cache
def numbers() -> dict[URIRef, URIRef]:
    """Return, for each property that holds a wording, the one that holds its number, sorted."""
    pairs = vocabulary().subject_objects(GLOST.readAs)
    return {URIRef(str(wording)): URIRef(str(number)) for wording, number in sorted(pairs)}


@cache
def _unit(number: URIRef) -> tuple[str, int]:
    (unit,) = vocabulary().objects(number, QUDT.hasUnit)
    return _UNITS[URIRef(str(unit))]


def measured(belief: Belief) -> Iterator[Triple]:
    """Yield the number of each measure on which all sources agree.

    A range (``1180 to 1200 C``) is no one number and gives none; what is about so much gives it.
    """
    for wording, number in numbers().items():
        read = READERS[wording][1]
        unit, places = _unit(number)
        for subject in belief.having(wording):
            found: set[Fraction] = set()
            for text in belief.texts(subject, wording):
                try:
                    amount = read(text)
                except (AmountError, LengthError):
                    continue
                found |= {convert(end, amount.unit, unit) for end in (amount.low, amount.high)}
            if len(found) == 1:
                value = decimal(round(found.pop(), places))
                yield subject, number, Literal(value, datatype=XSD.decimal, normalize=False)
