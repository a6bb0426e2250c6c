"""From a number as read to the treatments that are recorded under it."""

from rdflib import URIRef

from glost.names import GLOST
from glost.record.belief import Belief
from glost.trade.codes.parts import fits
from glost.trade.codes.scheme import Reading

NUMBER = "treatment-number"
"""The kind of code that treatment numbers are, as the id of its concept."""


def borne(reading: Reading, belief: Belief) -> tuple[URIRef, ...]:
    """Return the treatments of the scheme's pottery whose number the code may be, sorted.

    A worn character fits any; none are returned for codes that are not treatment numbers.
    """
    if NUMBER not in reading.scheme.codes:
        return ()
    found = set()
    for pottery in reading.scheme.potteries:
        for treatment in belief.graph.subjects(GLOST.issuedBy, pottery):
            for number in belief.graph.objects(treatment, GLOST.treatmentNumber):
                if fits(reading.code, str(number)) and isinstance(treatment, URIRef):
                    found.add(treatment)
    return tuple(sorted(found))
