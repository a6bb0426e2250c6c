"""Sending a plan to a store, going on where it broke off, and counting what has arrived."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import pyoxigraph as ox
from rdflib import URIRef

from glost.publish.handover.batches import Size, batches
from glost.publish.handover.noting import kept_of, noted, remove
from glost.publish.handover.plan import Plan
from glost.publish.handover.state import HandoverState
from glost.publish.handover.store import Connection, Store

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


Progress = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a hand-over did.

    Attributes
    ----------
    differing
        The graphs that do not hold as many statements as they should, sorted by name; none if all
        is well.
    removed
        The graphs of earlier hand-overs that the collection no longer has, sorted; they are gone
        from the store.
    left
        Likewise, but their names do not begin with the collection's base, so that they were left.
    """

    differing: tuple[GraphCount, ...]
    removed: tuple[URIRef, ...] = ()
    left: tuple[URIRef, ...] = ()


def hand_over(
    plan: Plan,
    store: Store,
    state_file: Path,
    *,
    size: Size | None = None,
    pause: float = 1.0,
    progress: Progress = lambda _: None,
) -> Outcome:
    """Hand a collection over, remove what it no longer has, then count.

    Every graph of the collection is emptied first and then filled, so that the store holds what
    the collection holds, however often it is handed over. What an earlier hand-over put into the
    store under the collection's base and the collection no longer has is removed, as a note in
    the store tells; see `glost.publish.handover.noting`. No other graph is touched.

    Parameters
    ----------
    plan
        What is handed over.
    store
        To whom.
    state_file
        Where it is written down how far it has come. If it is there, what has been sent is not
        sent again; it is taken away when all has been sent and counted.
    size
        How large a request may be.
    pause
        Seconds before a request that failed in passing is sent again, doubled each time.
    progress
        Told what has been sent.

    Raises
    ------
    glost.publish.handover.store.HandoverError
        If the store cannot be reached or refuses a request. What was sent stays sent; handing
        over again goes on from there.
    glost.publish.handover.state.StateError
        If the state file belongs to another hand-over.
    """
    size = size or Size()
    state = HandoverState.read(state_file, _identity(plan, store, size))
    with store.open(pause) as opened:
        for number, batch in enumerate(batches(plan, store.protocol, size), start=1):
            if number <= state.done:
                continue
            opened.send(batch)
            state.write(number)
            progress(f"{number} requests answered; {batch.about}")
        before = noted(opened, plan.note)
        others = sorted(before - plan.named - {plan.note})
        gone = {name: name.startswith(plan.contents.base) for name in others}
        removed = tuple(name for name, own in gone.items() if own)
        for about in remove(opened, plan, before, removed, size):
            progress(about)
        progress("counting")
        differing = count(opened, _expected(plan, before, removed))
    if not differing:
        state.clear()
    return Outcome(differing, removed, tuple(name for name, own in gone.items() if not own))


def _expected(
    plan: Plan, before: set[URIRef], removed: tuple[URIRef, ...]
) -> Mapping[URIRef | None, int]:
    """Return how many statements each graph should have, those that are gone none."""
    nothing: dict[URIRef | None, int] = dict.fromkeys(removed, 0)
    return {**nothing, **plan.counts, plan.note: len(kept_of(plan, before, removed))}


def _identity(plan: Plan, store: Store, size: Size) -> dict[str, str | int]:
    return {
        "address": store.address,
        "protocol": store.protocol,
        "content": plan.digest,
        "statements per request": size.statements,
        "octets per request": size.octets,
    }
