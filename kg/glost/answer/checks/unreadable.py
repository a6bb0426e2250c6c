"""Lengths that are kept as written and cannot be reckoned with."""

from collections.abc import Iterator

from rdflib import URIRef
from rdflib.term import Node

from glost.answer.checks import ByValue, Check
from glost.answer.snapshot import Snapshot
from glost.answer.values import length_properties, unreadable, unreadable_value
from glost.findings import Finding
from glost.record.belief import Belief


def _of(
    _: Snapshot, belief: Belief, thing: Node, property_: URIRef, shared: None
) -> Iterator[Finding]:
    for value in belief.graph.objects(thing, property_):
        yield from unreadable_value(thing, property_, value, belief, belief.worded)


CHECK = Check(
    lambda _, belief: unreadable(belief, belief.worded), by_value=ByValue(length_properties, _of)
)
