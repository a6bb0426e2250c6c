"""Readings in words."""

from rdflib import Graph

from glost.record.spans import period
from glost.record.wording import label
from glost.trade.codes.scheme import Reading


def reading_in_words(reading: Reading, graph: Graph) -> str:
    """Say what a reading tells: ``shape Tamsin, running number 311``.

    Parameters
    ----------
    reading
        The reading.
    graph
        What is believed, with the vocabulary.
    """
    told = []
    for part in reading.parts:
        kind = label(part.meaning.tells, graph)
        if part.meaning.thing is not None:
            told.append(f"{kind} {label(part.meaning.thing, graph)}")
        elif part.year is None and part.month is None and part.day is None:
            told.append(f"{kind} {part.value}")
    span = period((reading.earliest, reading.latest))
    return ", ".join([*([span] if span else []), *told])
