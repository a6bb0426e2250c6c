"""Chains of a query's patterns that lead from a statement to the things whose rows it may touch.

A chain goes by patterns that must hold for the one it leads to; where none does, because parts of a
``UNION`` or an ``OPTIONAL`` lead to it, every chain is followed.
"""

import itertools
from collections.abc import Container, Iterable, Iterator
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any, TypeAlias

import pyoxigraph as ox
from rdflib import OWL, RDF

from glost.answer.living.patterns import (
    Assignment,
    PathStep,
    QueryPatterns,
    Scope,
    Slots,
    TriplePattern,
    turned,
)
from glost.answer.living.ways import TooMany
from glost.data import vocabulary
from glost.record.terms import Term

_WIDE = 100
"""So much worse than one step more is a step that fans out: from a year, say, or from the record's
graph to all claims."""
ON_THE_WAY = 3000
"""Through more things than these no chain is followed: what leads to more raises `TooMany`."""
_DEEPEST = 3
"""So many ``BIND`` of several variables are followed one after another."""
_PARTS = ("begin", "end", "run", "made", "decorated")


@dataclass(frozen=True)
class Hop:
    """A step from some terms to others.

    Attributes
    ----------
    kind
        ``path`` along statements; ``point`` between a thing and the points of its life; or from one
        place in a statement to another, as ``object>graph_name``.
    steps
        The properties that it goes by; none for a point.
    """

    kind: str
    steps: tuple[PathStep, ...] = ()

    def ends(self, store: ox.Store, terms: set[Term]) -> set[Term]:
        """Return where it leads to from some terms.

        Raises
        ------
        TooMany
            If it leads to more than are followed, or through more.
        """
        if self.kind == "point":
            return {each for term in terms for each in points(term)}
        if self.kind == "path":
            for step in self.steps:
                terms = _stepped(store, terms, step)
            return terms
        found: set[Any] = set()
        here, there = self.kind.split(">")
        for term, verb in itertools.product(terms, {v for s, _ in self.steps for v, _ in s}):
            given = dict.fromkeys(("subject", "object", "graph_name")) | {here: term}
            if here != "object" and not isinstance(term, ox.NamedNode | ox.BlankNode):
                continue
            three: Any = given["subject"], verb, given["object"], given["graph_name"]
            for quad in store.quads_for_pattern(*three):
                found.add(getattr(quad, there))
                if len(found) > ON_THE_WAY:
                    raise TooMany
        return {each for each in found if not isinstance(each, ox.DefaultGraph)}


Chain: TypeAlias = tuple[str, tuple[Hop, ...]]
"""Where in a statement it begins (``subject``, ``object``, ``graph_name``), and the way from there
to the anchor."""


# -- following a chain -----------------------------------------------------------------------------


def takes_part(match: TriplePattern, quad: ox.Quad) -> bool:
    """Say whether a statement of one of its properties may take part in a pattern."""
    if len(match.steps) == 1 and not match.steps[0][1]:
        ways = [on for verb, on in match.steps[0][0] if verb in (quad.predicate, None)]
        return any(
            _fits(match.subject, quad.subject if on else quad.object)
            and _fits(match.object, quad.object if on else quad.subject)
            for on in ways
        )
    return True  # a longer path is looked at where it begins


def _fits(slot: Slots, term: object) -> bool:
    return isinstance(slot, ox.Variable) or slot == term


def starts(
    store: ox.Store, match: TriplePattern, place: str, quads: Iterable[ox.Quad]
) -> set[Term]:
    """Return what stands in a place of a pattern where a statement takes part in it.

    Raises
    ------
    TooMany
        As `Hop.ends` does.
    """
    found: set[Any] = set()
    here: set[Any]
    for quad in quads:
        if place == "graph_name":
            found.add(quad.graph_name)
            continue
        for at, (ways, many) in enumerate(match.steps):
            for verb, onward in ways:
                if verb not in (quad.predicate, None):
                    continue
                if place == "subject":
                    here = {quad.subject if onward else quad.object}
                    way = turned((*match.steps[:at], *(((ways, many),) if many else ())))
                else:
                    here = {quad.object if onward else quad.subject}
                    way = (*(((ways, many),) if many else ()), *match.steps[at + 1 :])
                for step in way:
                    here = _stepped(store, here, step)
                found |= here
    return found


@lru_cache(maxsize=1 << 16)  # of many questions the same things are looked at
def points(term: Term) -> tuple[Term, ...]:
    """Return a term, the thing of which it may be a point, and the points of its life."""
    if not isinstance(term, ox.NamedNode):
        return (term,)
    whole = term.value.partition("#")[0]
    return (term, ox.NamedNode(whole), *(ox.NamedNode(f"{whole}#{part}") for part in _PARTS))


def _stepped(store: ox.Store, starts: set[Term], step: PathStep) -> set[Term]:
    ways, many = step
    found = set(starts) if many else set[Term]()
    pending = list(starts)
    while pending:
        at = pending.pop()
        for verb, onward in ways:
            if onward and isinstance(at, ox.Literal):
                continue
            quads = (
                store.quads_for_pattern(at, verb, None, None)  # type: ignore[arg-type]
                if onward
                else store.quads_for_pattern(None, verb, at, None)
            )
            for quad in quads:  # the same may be said in several graphs
                end: Any = quad.object if onward else quad.subject
                if end not in found:
                    found.add(end)
                    if many:
                        pending.append(end)
                if len(found) > ON_THE_WAY:
                    raise TooMany
    return found


# -- finding the chains ----------------------------------------------------------------------------


def chains_to(
    match: TriplePattern, anchor: ox.Variable, reader: QueryPatterns
) -> tuple[Chain, ...]:
    """Return the chains from a pattern to the anchor that must be followed; none if none leads."""
    own = [(place, slot) for place, slot in (("subject", match.subject), ("object", match.object),
           ("graph_name", match.graph)) if isinstance(slot, ox.Variable)]  # fmt: skip
    found = [
        [(place, hops) for hops in ways]
        for place, slot in own
        if (ways := _leading(slot, anchor, match, reader)) is not None
    ]
    if not found:
        return ()
    return tuple(min(found, key=lambda chains: _cost(match, chains, reader)))


def _cost(match: TriplePattern, chains: Iterable[Chain], reader: QueryPatterns) -> int:
    """Say how dear it is to follow chains: by their steps, those that fan out much above others."""
    cost = 0
    for place, hops in chains:
        begun = match.graph in reader.records and place == "graph_name"
        wide = begun + sum(_fans_out(hop) for hop in hops)
        by_any = sum(verb is None for hop in hops for ways, _ in hop.steps for verb, _ in ways)
        by_any += place == "object" and None in match.verbs
        cost += 1 + len(hops) + _WIDE * wide + by_any
    return cost


def _fans_out(hop: Hop) -> bool:
    """Say whether a step leads from a value, such as a year, to all that has it."""
    if hop.kind in ("object>graph_name", "object>subject"):
        return any(_many_have(verb) for ways, _ in hop.steps for verb, _ in ways)
    if hop.kind != "path":
        return False
    return any(_many_have(verb) and not onward for verb, onward in hop.steps[0][0])


def _many_have(verb: ox.NamedNode | None) -> bool:
    """Say whether many things may have the same value of a property; None stands for any."""
    return verb is None or verb in _valued()


@cache
def _valued() -> frozenset[ox.NamedNode]:
    """Return the properties whose values are no things."""
    found = vocabulary().subjects(RDF.type, OWL.DatatypeProperty)
    return frozenset(ox.NamedNode(str(each)) for each in found)


def _leading(
    start: ox.Variable,
    anchor: ox.Variable,
    match: TriplePattern,
    reader: QueryPatterns,
    scopes: tuple[Scope, ...] = (),
    tried: set[ox.Variable] | None = None,
) -> list[tuple[Hop, ...]] | None:
    """Return ways from a variable to the anchor, of which one must hold; None if none is sure to.

    What binds a variable on the way may be parts of a ``UNION``, an ``OPTIONAL`` or a ``BIND`` of
    several; then from each of them a way must lead on.
    """
    tried = set() if tried is None else tried
    reached = _reached(start, match, reader, (match.scope, *scopes))
    if anchor in reached:
        return [reached[anchor]]
    if len(scopes) > _DEEPEST:
        return None
    for at, way in reached.items():
        if at not in tried:
            tried.add(at)
            onward = _onward(at, anchor, match, reader, scopes, tried)
            if onward:
                return [(*way, *rest) for rest in onward]
    return None


def _onward(
    at: ox.Variable,
    anchor: ox.Variable,
    match: TriplePattern,
    reader: QueryPatterns,
    scopes: tuple[Scope, ...],
    tried: set[ox.Variable],
) -> list[tuple[Hop, ...]] | None:
    """Return ways from whatever else binds a variable; None if one of them leads nowhere."""
    found: list[tuple[Hop, ...]] = []
    for made in (each for each in reader.made if each.variable == at):
        for source in sorted(made.sources, key=str):
            ways = _leading(source, anchor, match, reader, (*scopes, made.scope), set(tried))
            if ways is None:
                return None
            found += [(Hop("point"), *way) for way in ways]
    within = (match.scope, *scopes)
    told = {m.scope for m in reader.binding if m is not match and at in m.ends}
    told = {s for s in told if reader.unbinding.isdisjoint(set(s).difference(match.scope))}
    firm = {s for s in told if reader.optional.isdisjoint(set(s).difference(match.scope))}
    for scope in sorted(firm or (told if not found else ())):
        if any(scope == each[: len(scope)] for each in within):
            continue  # these were gone by already
        ways = _leading(at, anchor, match, reader, (*scopes, scope), set(tried))
        if ways is None:
            return None
        found += ways
    return list(dict.fromkeys(found))


def _reached(
    start: ox.Variable, match: TriplePattern, reader: QueryPatterns, scopes: Iterable[Scope]
) -> dict[ox.Variable, tuple[Hop, ...]]:
    """Return the shortest ways by patterns that hold wherever those of some scopes do."""
    scopes = tuple(scopes)
    matches = [
        each
        for each in reader.matches
        if each is not match and reader.goes_by(each, match) and _holds(each, scopes)
    ]
    made = [each for each in reader.made if len(each.sources) == 1 and _holds(each, scopes)]
    ways: dict[ox.Variable, tuple[Hop, ...]] = {start: ()}
    pending = [start]
    for at in pending:
        for hop, there in _moves(at, matches, made, reader.records):
            if there not in ways:
                ways[there] = (*ways[at], hop)
                pending.append(there)
    return ways


def _holds(each: TriplePattern | Assignment, scopes: tuple[Scope, ...]) -> bool:
    return any(each.scope == scope[: len(each.scope)] for scope in scopes)


def _moves(
    at: ox.Variable,
    matches: Iterable[TriplePattern],
    made: Iterable[Assignment],
    records: Container[Slots | None],
) -> Iterator[tuple[Hop, ox.Variable]]:
    if at in records:  # all claims are told of in the record's graph
        return
    for each in matches:
        if at not in each.ends:
            continue
        slots = {"subject": each.subject, "object": each.object, "graph_name": each.graph}
        for here, there in itertools.permutations(slots, 2):
            end = slots[there]
            if slots[here] != at or not isinstance(end, ox.Variable):
                continue
            if "graph_name" not in (here, there):
                steps = each.steps if here == "subject" else turned(each.steps)
                yield Hop("path", steps), end
            elif len(each.steps) == 1:
                inverse = not each.steps[0][0][0][1]
                swapped = {"subject": "object", "object": "subject"} if inverse else {}
                kind = f"{swapped.get(here, here)}>{swapped.get(there, there)}"
                yield Hop(kind, each.steps), end
    for one in made:
        if one.variable == at:
            yield from ((Hop("point"), source) for source in one.sources)
        elif at in one.sources:
            yield Hop("point"), one.variable
