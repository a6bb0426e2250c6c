"""Readings of codes in words."""

from collections.abc import Sequence
from typing import Protocol

from rdflib import Graph, URIRef

from glost.words.labels import Words, label
from glost.words.spans import moment


class WordedCodeMeaning(Protocol):
    """What words need of what a value of a part means."""

    @property
    def tells(self) -> URIRef:
        """The kind of thing it tells."""

    @property
    def thing(self) -> URIRef | None:
        """The thing it tells."""


class WordedCodePart(Protocol):
    """What words need of a part of a code once read."""

    @property
    def value(self) -> str:
        """The value it is taken for."""

    @property
    def meaning(self) -> WordedCodeMeaning:
        """What it means."""

    @property
    def year(self) -> int | None:
        """The year it tells."""

    @property
    def month(self) -> int | None:
        """The month it tells."""

    @property
    def day(self) -> int | None:
        """The day it tells."""


class WordedCodeReading(Protocol):
    """What words need of one way in which a code can be read."""

    @property
    def parts(self) -> Sequence[WordedCodePart]:
        """Its parts, in the order of the pattern."""

    @property
    def earliest(self) -> int | None:
        """The first day it tells."""

    @property
    def latest(self) -> int | None:
        """The last day it tells."""


def reading_in_words(reading: WordedCodeReading, graph: Graph | Words) -> str:
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
    span = moment((reading.earliest, reading.latest))
    return ", ".join([*([span] if span else []), *told])
