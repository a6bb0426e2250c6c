"""What things are called as statements of the dataset, made by the patterns for labels."""

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from rdflib import Literal, URIRef
from rdflib.namespace import RDFS, SKOS
from rdflib.term import Node

from glost.record.claims import Triple
from glost.words.labels import Words

if TYPE_CHECKING:
    from glost.trade.times import Chronology

LANGUAGE = "en"
MADE = (SKOS.prefLabel, RDFS.label)
"""The properties that give a label without dates, and a heading with them."""


def named(words: Words, times: "Chronology", base: str, things: Iterable[Node]) -> Iterator[Triple]:
    """Yield what each thing of a collection is called.

    Parameters
    ----------
    words
        What things are called.
    times
        When they were.
    base
        The collection's base IRI.
    things
        What may be such a thing; of what nothing is believed, and of others, nothing is said.

    Yields
    ------
    tuple
        ``skos:prefLabel`` with the label and ``rdfs:label`` with the heading, in English. A thing
        to which a claim gives a name by the same property keeps that alone.
    """
    graph = words.graph
    own = (t for t in things if isinstance(t, URIRef) and t.startswith(base) and "#" not in t)
    for thing in sorted({t for t in own if (t, None, None) in graph}):
        if (thing, SKOS.prefLabel, None) not in graph:
            yield thing, SKOS.prefLabel, Literal(words.label(thing), lang=LANGUAGE)
        if (thing, RDFS.label, None) not in graph:
            yield thing, RDFS.label, Literal(words.heading(thing, times), lang=LANGUAGE)


def is_name(triple: Triple) -> bool:
    """Say whether a statement may be one that `named` makes."""
    value = triple[2]
    return triple[1] in MADE and isinstance(value, Literal) and value.language == LANGUAGE


def leaves(words: Words, times: "Chronology", triple: Triple) -> tuple[Triple, ...]:
    """Return the statements about a thing that what it is called is made of, and what dates it."""
    thing = URIRef(str(triple[0]))
    found = dict.fromkeys(words.rests_on(thing))
    if triple[1] == RDFS.label:
        for point in words.points(thing):
            for late in (False, True):
                found.update(dict.fromkeys(times.reading_facts(point, late=late)))
    return tuple(found)
