"""Ancestors and descendants, common ancestors, families, and what was first of its kind."""

from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass
from typing import TypeAlias

from rdflib import URIRef

from glost.trade.lineage.graph import Lineage, LineageLink
from glost.verdicts import Verdict

Begin: TypeAlias = Callable[[URIRef], tuple[int | None, int | None]]
"""Gives the earliest and the latest day on which a thing may have begun; None if not known."""

Path: TypeAlias = tuple[LineageLink, ...]
"""Ties one after another, from the thing asked about."""


@dataclass(frozen=True, slots=True)
class Kin:
    """A thing's ancestor or descendant.

    Attributes
    ----------
    thing
        The ancestor or descendant.
    path
        The ties that lead to it: the fewest, and of these the surest.
    """

    thing: URIRef
    path: Path

    @property
    def steps(self) -> int:
        """How many ties away it is."""
        return len(self.path)

    @property
    def sure(self) -> bool:
        """Whether every tie on the way is sure."""
        return all(link.sure for link in self.path)


@dataclass(frozen=True, slots=True)
class Common:
    """What two things both come from.

    Attributes
    ----------
    thing
        The common ancestor; one of the two itself if the other comes from it.
    one, other
        The ties that lead to it from each.
    nearest
        Whether no other common ancestor comes from it.
    """

    thing: URIRef
    one: Path
    other: Path
    nearest: bool


@dataclass(frozen=True, slots=True)
class First:
    """A thing that was, or may have been, first of its kind.

    Attributes
    ----------
    thing
        The thing.
    begin
        Between which days it began.
    certain
        Whether it certainly began before every other whose beginning is known at all.
    """

    thing: URIRef
    begin: tuple[int | None, int | None]
    certain: bool

    @property
    def verdict(self) -> Verdict:
        """Whether it was first of those whose beginning is known at all: yes or possibly."""
        return Verdict.YES if self.certain else Verdict.POSSIBLY


def ancestors(lineage: Lineage, thing: URIRef) -> tuple[Kin, ...]:
    """Find what a thing comes from, near or far.

    Copies, redesigns, reissues, derivations and successions are followed; shared moulds and
    flatware, the work of designers, likeness and substitution are not descent.

    Returns
    -------
    tuple of Kin
        The nearest first, then by IRI. In a ring of ties every other member is an ancestor; the
        thing itself never is.
    """
    return _follow(lineage, thing, earlier=True)


def descendants(lineage: Lineage, thing: URIRef) -> tuple[Kin, ...]:
    """Find what comes from a thing, near or far; see `ancestors`."""
    return _follow(lineage, thing, earlier=False)


def _follow(lineage: Lineage, thing: URIRef, *, earlier: bool) -> tuple[Kin, ...]:
    steps: dict[URIRef, dict[URIRef, LineageLink]] = {}
    for link in lineage.links:
        if link.relation.descent:
            start, end = (link.later, link.earlier) if earlier else (link.earlier, link.later)
            best = steps.setdefault(start, {})
            if end not in best or (link.sure and not best[end].sure):
                best[end] = link
    found: dict[URIRef, Path] = {thing: ()}
    front = [thing]
    while front:
        reached: dict[URIRef, Path] = {}
        for at in front:
            for end, link in sorted(steps.get(at, {}).items()):
                path = (*found[at], link)
                if end not in found and _doubts(path) < _doubts(reached.get(end)):
                    reached[end] = path
        found |= reached
        front = sorted(reached)
    del found[thing]
    kin = [Kin(each, path) for each, path in found.items()]
    return tuple(sorted(kin, key=lambda k: (k.steps, k.thing)))


def _doubts(path: Path | None) -> float:
    return float("inf") if path is None else sum(not link.sure for link in path)


def common_ancestors(lineage: Lineage, one: URIRef, other: URIRef) -> tuple[Common, ...]:
    """Find what two things both come from.

    Returns
    -------
    tuple of Common
        The nearest first, then by number of ties and IRI. If one of the two comes from the other,
        that other is among them, with no ties on its own side.
    """
    ways: list[dict[URIRef, Path]] = [
        {thing: (), **{kin.thing: kin.path for kin in ancestors(lineage, thing)}}
        for thing in (one, other)
    ]
    shared = sorted(set(ways[0]) & set(ways[1]))
    above = {each: {kin.thing for kin in ancestors(lineage, each)} for each in shared}
    found = [
        Common(
            each,
            ways[0][each],
            ways[1][each],
            # One of a ring is above the others and below them: none of these is nearer than it.
            not any(each in above[lower] and lower not in above[each] for lower in shared),
        )
        for each in shared
    ]
    return tuple(sorted(found, key=lambda c: (not c.nearest, len(c.one) + len(c.other), c.thing)))


def family(lineage: Lineage, thing: URIRef) -> Lineage:
    """Return the whole family of a thing.

    Everything that descent, shared moulds and shared flatware tie to it, however far, with the
    people who worked on any of them. People do not tie families together: a designer's shapes are
    one family only if something else makes them so; nor does likeness, nor that one thing came
    instead of another. For a person, all works and their families.
    """
    import networkx as nx

    kindred: nx.Graph[URIRef] = nx.Graph()
    kindred.add_node(thing)
    works: dict[URIRef, set[URIRef]] = {}
    for link in lineage.links:
        if link.relation.key == "work":
            works.setdefault(link.earlier, set()).add(link.later)
        elif link.relation.kindred:
            kindred.add_edge(link.earlier, link.later)
    members = {thing}
    for start in {thing} | works.get(thing, set()):
        members |= {start}
        if start in kindred:
            members |= nx.node_connected_component(kindred, start)
    members |= {person for person, done in works.items() if done & members}
    return lineage.among(sorted(members))


def families(lineage: Lineage) -> tuple[frozenset[URIRef], ...]:
    """Return the members of each family that descent or sharing makes, the largest first."""
    import networkx as nx

    kindred: nx.Graph[URIRef] = nx.Graph()
    for link in lineage.links:
        if link.relation.kindred:
            kindred.add_edge(link.earlier, link.later)
    found = [frozenset(each) for each in nx.connected_components(kindred)]
    return tuple(sorted(found, key=lambda each: (-len(each), min(each))))


def firsts(lineage: Lineage, things: Iterable[URIRef], begin: Begin) -> tuple[First, ...]:
    """Find which of some things began first, or may have.

    A copy, reissue, redesign or offspring is never first beside what it comes from, whatever their
    dates leave open. In a ring of ties, dates alone decide.

    Parameters
    ----------
    lineage
        What comes from what.
    things
        The things compared.
    begin
        Gives the bounds of each one's beginning.

    Returns
    -------
    tuple of First
        Every thing that may have been first, in order of its earliest day. One of them is certain
        if its latest day lies before the earliest day of each of the others. A thing of whose
        beginning nothing is known is left out, for it would make every first uncertain; see
        `undated`.
    """
    known = {thing: begin(thing) for thing in sorted(set(things))}
    above = {thing: {kin.thing for kin in ancestors(lineage, thing)} for thing in known}
    dated = {thing: days for thing, days in known.items() if days != (None, None)}
    leading = {
        thing: days
        for thing, days in dated.items()
        if not any(other in known and thing not in above[other] for other in above[thing])
    }
    latest = [days[1] for days in leading.values() if days[1] is not None]
    limit = min(latest, default=None)
    found = []
    for thing, (early, late) in leading.items():
        if early is not None and limit is not None and early > limit:
            continue
        others = [days[0] for other, days in leading.items() if other != thing]
        certain = late is not None and all(day is not None and late < day for day in others)
        found.append(First(thing, (early, late), certain))
    return tuple(sorted(found, key=lambda f: (_or_long_ago(f.begin[0]), f.thing)))


def undated(things: Collection[URIRef], begin: Begin) -> tuple[URIRef, ...]:
    """Return the things of whose beginning nothing is known."""
    return tuple(thing for thing in sorted(set(things)) if begin(thing) == (None, None))


def _or_long_ago(day: int | None) -> float:
    return float("-inf") if day is None else day
