"""What a collection has put into a store, noted there, so that what it no longer has can go.

The note is a graph of its own beside the collection's, with a statement for each graph that was
handed over. A graph is noted before anything is put into it, and struck out after it was removed:
whatever breaks off when, no graph of the collection is without a note for long. Only graphs that
are noted and whose names begin with the collection's base are ever removed.
"""

from collections.abc import Iterable, Iterator
from itertools import chain

import pyoxigraph as ox
from rdflib import URIRef
from rdflib.namespace import DCTERMS

from glost.publish.handover.batches import Batch, Size, noting, striking
from glost.publish.handover.plan import Plan
from glost.publish.handover.store import Connection

_ROWS = 1_000


def noted(store: Connection, note: URIRef) -> set[URIRef]:
    """Return the graphs that a collection has put into a store by hand-overs so far.

    Parameters
    ----------
    store
        The store.
    note
        Name of the graph that notes them.

    Raises
    ------
    glost.publish.handover.store.HandoverError
        If the store cannot be reached, or does not answer.
    """
    if store.store.protocol == "graphs":
        return {URIRef(graph) for triple in store.read(note) if (graph := _graph(triple, note))}
    found: set[URIRef] = set()
    last = ""
    while True:
        # By name and not by OFFSET: a store may cut a long table short, or refuse to sort one.
        asked = store.ask(
            f"SELECT ?g {{ GRAPH <{note}> {{ <{note}> <{DCTERMS.hasPart}> ?g }} "
            f'FILTER(STR(?g) > "{last}") }} ORDER BY STR(?g) LIMIT {_ROWS}'
        )
        rows = [row["g"].value for row in asked if isinstance(row["g"], ox.NamedNode)]
        found.update(map(URIRef, rows))
        if len(rows) < _ROWS:
            return found
        last = max(rows)


def _graph(triple: ox.Triple, note: URIRef) -> str:
    """Return the graph that a statement notes; nothing if it is no such statement."""
    subject, predicate = ox.NamedNode(str(note)), ox.NamedNode(str(DCTERMS.hasPart))
    if (triple.subject, triple.predicate) != (subject, predicate):
        return ""
    return triple.object.value if isinstance(triple.object, ox.NamedNode) else ""


def remove(
    store: Connection, plan: Plan, before: set[URIRef], gone: tuple[URIRef, ...], size: Size
) -> Iterator[str]:
    """Remove graphs that a collection no longer has, and put the note right.

    Parameters
    ----------
    store
        The store.
    plan
        What the collection has now.
    before
        The graphs that are noted.
    gone
        What goes; each noted, and under the collection's base.
    size
        How large a request may be.

    Yields
    ------
    str
        What was done, after the store has answered.

    Raises
    ------
    glost.publish.handover.store.HandoverError
        If the store cannot be reached, or refuses.
    """
    if store.store.protocol == "update":
        strokes = striking(plan, gone, size)
        missing = noting(plan, plan.named - before, "update", size)
        yield from _sent(store, chain(strokes, missing))
        return
    for name in gone:
        store.remove(name)
        yield f"removing {name}"
    kept = kept_of(plan, before, gone)
    if kept != before:
        yield from _sent(store, noting(plan, kept, "graphs", size, afresh=True))


def _sent(store: Connection, batches: Iterable[Batch]) -> Iterator[str]:
    for batch in batches:
        store.send(batch)
        yield batch.about


def kept_of(plan: Plan, before: set[URIRef], gone: tuple[URIRef, ...]) -> set[URIRef]:
    """Return the graphs that are noted once what is gone has been removed."""
    return (before - set(gone)) | plan.named
