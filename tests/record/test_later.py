"""A store that is filled when it is first looked at is then as any other."""

from collections.abc import Callable, Iterator

import pytest
from rdflib import Graph, URIRef
from rdflib.plugins.stores.memory import SimpleMemory

from glost.record.claims import Triple
from glost.record.later import LaterStore, filled, filling

A, B, C = (URIRef(f"urn:{name}") for name in "abc")


@pytest.mark.parametrize(
    ("look", "gives"),
    [
        (lambda graph: set(graph), {(A, B, C)}),
        (len, 1),
        (lambda graph: (A, B, None) in graph, True),
        (lambda graph: set(graph.add((C, B, A))), {(A, B, C), (C, B, A)}),
        (lambda graph: set(graph.remove((A, None, None))), set()),
        (filled, None),
    ],
)
def test_it_is_filled_once_by_whatever_is_asked_first(
    look: Callable[[Graph], object], gives: object
) -> None:
    asked: list[str] = []

    def fill() -> list[Triple]:
        asked.append("")
        return [(A, B, C)]

    graph = Graph(LaterStore(fill))
    assert asked == []
    assert look(graph) == gives
    assert type(graph.store) is SimpleMemory
    filled(graph)
    assert asked == [""]
    graph.set((A, B, A))
    assert (A, B, A) in graph and (A, B, C) not in graph


def test_what_was_filled_in_part_is_filled_to_the_end_by_who_looks_at_it() -> None:
    asked: list[str] = []

    def fill() -> Iterator[Triple]:
        asked.append("")
        return ((A, B, URIRef(f"urn:{number}")) for number in range(5_001))

    graph = Graph(LaterStore(fill))
    steps = filling(graph)
    next(steps)
    assert type(graph.store) is LaterStore
    assert len(graph) == 5_001
    assert type(graph.store) is SimpleMemory and list(steps) == [] and asked == [""]
