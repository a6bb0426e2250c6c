"""Counting what has arrived in a store."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import pyoxigraph as ox
from rdflib import URIRef

from glost.publish.handover.store import Connection

_COUNTED = 100


@dataclass(frozen=True, slots=True)
class GraphCount:
    """How many statements a graph should have, and how many it has."""

    graph: URIRef | None
    sent: int
    found: int


def count(store: Connection, expected: Mapping[URIRef | None, int]) -> tuple[GraphCount, ...]:
    """Return the graphs whose number of statements in a store is not what it should be.

    Parameters
    ----------
    store
        The store.
    expected
        How many statements each graph should have; None names the store's default graph.

    Raises
    ------
    glost.publish.handover.store.HandoverError
        If the store cannot be reached, or does not answer.
    """
    names = list(expected)
    found: dict[URIRef | None, int] = {}
    if store.store.protocol == "graphs" and not store.store.query:
        found = {name: sum(1 for _ in store.read(name)) for name in names}
    else:
        for start in range(0, len(names), _COUNTED):
            found |= _counted(store, names[start : start + _COUNTED])
    counts = (GraphCount(name, expected[name], found.get(name, 0)) for name in names)
    return tuple(sorted((c for c in counts if c.sent != c.found), key=lambda c: c.graph or ""))


def _counted(store: Connection, names: Sequence[URIRef | None]) -> dict[URIRef | None, int]:
    found: dict[URIRef | None, int] = {}
    listed = " ".join(f"<{name}>" for name in names if name is not None)
    if listed:
        text = (
            f"SELECT ?g (COUNT(*) AS ?n) {{ VALUES ?g {{ {listed} }} GRAPH ?g {{ ?s ?p ?o }} }} "
            "GROUP BY ?g"
        )
        for row in store.ask(text):
            if isinstance(row["g"], ox.NamedNode):
                found[URIRef(row["g"].value)] = int(_plain(row["n"]))
    if None in names:
        rows = store.ask("SELECT (COUNT(*) AS ?n) { ?s ?p ?o }")
        found[None] = sum(int(_plain(row["n"])) for row in rows)
    return found


def _plain(term: object) -> str:
    return str(getattr(term, "value", "0"))
