"""Which things a constraint looks at, and which statements it looks at from there.

A way leads from the thing that may be at fault to a statement that the constraint reads. Of a core
constraint the ways are its SHACL paths; of one in SPARQL they are chains of its triple patterns,
from the variable that names the thing at fault to each of the others (read from the query's
algebra). A change of a statement can make or mend a fault only of the things from which a way leads
to the statement, so these are looked for backwards along the ways, and of a thing that is looked at
again only what its ways reach is needed. Several chains that lead to one pattern must all hold at
once, so only what all of them lead to counts: two things of one pottery and of one number are far
fewer than those of one pottery.
"""

import itertools
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from rdflib import Graph, URIRef, Variable
from rdflib.collection import Collection
from rdflib.namespace import RDF, SH
from rdflib.paths import AlternativePath, InvPath, MulPath, SequencePath
from rdflib.term import Node

from glost.record.claims import Triple

if TYPE_CHECKING:
    from rdflib.plugins.sparql.sparql import Query


@dataclass(frozen=True, slots=True)
class WayStep:
    """A step along a statement of one of some properties.

    Attributes
    ----------
    ways
        The properties, each with whether it is followed from subject to object.
    many
        Whether any number of such steps, or none, may follow one another.
    """

    ways: tuple[tuple[URIRef, bool], ...]
    many: bool = False


Way = tuple[WayStep, ...]
_MANY = 64
"""So many things at an end of a step are many: a chain that leads by them is gone last."""


@dataclass(frozen=True, slots=True)
class Reach:
    """How a constraint looks from a thing at statements.

    Attributes
    ----------
    chains
        Ways to where the statements begin, and the way along the statements from there. All of the
        chains must hold at once.
    once
        Whether it matters only that there is such a statement, not how many there are.
    """

    chains: tuple[tuple[Way, Way], ...]
    once: bool = False

    @property
    def properties(self) -> frozenset[URIRef]:
        """The properties of the statements it looks at."""
        return frozenset(verb for step in self.chains[0][1] for verb, _ in step.ways)


class TooMany(Exception):  # noqa: N818 - it is no error: another way is then gone
    """More things than one wants to look at."""


def ends(
    graph: Graph,
    starts: Iterable[Node],
    step: WayStep,
    *,
    back: bool = False,
    most: int | None = None,
) -> set[Node]:
    """Return where a step leads to from some things; with `back`, from where it leads to them.

    Raises
    ------
    TooMany
        If there are more than `most` at one end of it.
    """
    found: set[Node] = set(starts) if step.many else set()
    pending = list(starts)
    while pending:
        at = pending.pop()
        for verb, onward in step.ways:
            reached = graph.objects(at, verb) if onward != back else graph.subjects(verb, at)
            some = set(itertools.islice(reached, None if most is None else most + 1))
            if most is not None and len(some) > most:
                raise TooMany
            new = some - found
            found |= new
            if step.many:
                pending += new
    return found


def back(graph: Graph, way: Way, things: set[Node], most: int | None = None) -> set[Node]:
    """Return from where a way leads to some things; see `ends` for `most`."""
    for step in reversed(way):
        things = ends(graph, things, step, back=True, most=most)
    return things


def leading(graph: Graph, reach: Reach, triple: Triple) -> set[Node]:
    """Return the things from which a constraint looks at a statement.

    A chain that leads back to very many things (all pieces of a form, all claims) is gone last, and
    forwards from the things that the others lead back to, if these are few.

    Parameters
    ----------
    graph
        What holds: with the statement.
    reach
        How it looks.
    triple
        The statement.
    """
    found: set[Node] | None = None
    dear = []
    for chain, along in reach.chains:
        try:
            starts = _starting(graph, along, triple, _MANY)
            here = back(graph, chain, starts, _MANY)
        except TooMany:
            dear.append((chain, along))
            continue
        found = here if found is None else found & here
        if not found:
            return set()
    for chain, along in dear:
        starts = _starting(graph, along, triple)
        here = _of_those(graph, chain, starts, found)
        found = here if found is None else found & here
        if not found:
            break
    return found or set()


def _of_those(graph: Graph, way: Way, ends_at: set[Node], among: set[Node] | None) -> set[Node]:
    """Return from where a way leads to some things, or at least those of some that it does."""
    if among is None or len(among) > _MANY:
        return back(graph, way, ends_at)
    return {each for each in among if _meets(graph, way, each, ends_at)}


def _meets(graph: Graph, way: Way, start: Node, ends_at: set[Node]) -> bool:
    """Say whether a way leads from a thing to any of some, gone from whichever end has fewer."""
    here, there = {start}, ends_at
    while way:
        onward = len(here) <= len(there)
        for turn, most in ((onward, _MANY), (not onward, _MANY), (onward, None)):
            try:
                if turn:
                    here, way = ends(graph, here, way[0], most=most), way[1:]
                else:
                    there, way = ends(graph, there, way[-1], back=True, most=most), way[:-1]
                break
            except TooMany:
                continue
    return not here.isdisjoint(there)


def _starting(graph: Graph, way: Way, triple: Triple, most: int | None = None) -> set[Node]:
    """Return from where a way passes a statement."""
    found: set[Node] = set()
    for place, step in enumerate(way):
        for verb, onward in step.ways:
            if verb == triple[1]:
                before = (*way[:place], step) if step.many else way[:place]
                found |= back(graph, before, {triple[0] if onward else triple[2]}, most)
    return found


def passed(graph: Graph, reach: Reach, start: Node) -> Iterator[Triple]:
    """Yield the statements that a constraint looks at from a thing, or somewhat more."""
    found = _passed(graph, reach, start)
    return itertools.islice(found, 1) if reach.once else found


def _passed(graph: Graph, reach: Reach, start: Node) -> Iterator[Triple]:
    places = _places(graph, reach, start, _MANY) or _places(graph, reach, start, None)
    along = min(places, key=lambda way: len(places[way]))
    at = places[along]
    for place, step in enumerate(along, 1):
        for here in ends(graph, at, step) if step.many else at:
            for verb, onward in step.ways:
                yield from graph.triples((here, verb, None) if onward else (None, verb, here))
        if place < len(along):
            at = ends(graph, at, step)


def _places(graph: Graph, reach: Reach, start: Node, most: int | None) -> dict[Way, set[Node]]:
    """Return where chains lead to from a thing, by what follows; see `ends` for `most`.

    A chain that leads to very many only narrows what others lead to.
    """
    places: dict[Way, set[Node]] = {}
    dear = []
    for chain, along in reach.chains:
        at: set[Node] = {start}
        try:
            for step in chain:
                at = ends(graph, at, step, most=most)
        except TooMany:
            dear.append((chain, along))
            continue
        places[along] = places[along] & at if along in places else at
    for chain, along in dear:
        if along in places:
            at = places[along]
            places[along] = {each for each in at if _meets(graph, chain, start, {each})}
    return places


# -- of core constraints ---------------------------------------------------------------------------


def of_shape(shapes: Graph, shape: Node, before: Way = ()) -> Iterator[Way]:
    """Yield the ways of a core constraint, its parts' among them."""
    for path in shapes.objects(shape, SH.path):
        for way in _of_path(shapes, path):
            yield before + way
            yield from _beyond(shapes, shape, before + way)
    if (shape, SH.path, None) not in shapes:
        yield from _beyond(shapes, shape, before)
    for verb in (SH.disjoint, SH.equals, SH.lessThan, SH.lessThanOrEquals):
        for other in shapes.objects(shape, verb):
            yield (*before, WayStep(((URIRef(str(other)), True),)))


def _beyond(shapes: Graph, shape: Node, before: Way) -> Iterator[Way]:
    if (shape, SH["class"], None) in shapes:
        yield (*before, WayStep(((RDF.type, True),)))
    for verb in (SH["or"], SH["and"]):
        for listed in shapes.objects(shape, verb):
            for part in Collection(shapes, listed):
                yield from of_shape(shapes, part, before)
    for verb in (SH["not"], SH.property, SH.node):
        for part in shapes.objects(shape, verb):
            yield from of_shape(shapes, part, before)


def _of_path(shapes: Graph, path: Node) -> list[Way]:
    if isinstance(path, URIRef):
        return [(WayStep(((path, True),)),)]
    inverse = shapes.value(path, SH.inversePath)
    if inverse is not None:
        return [_turned(way) for way in _of_path(shapes, inverse)]
    either = shapes.value(path, SH.alternativePath)
    if either is not None:
        return [way for one in Collection(shapes, either) for way in _of_path(shapes, one)]
    found: list[Way] = [()]
    for part in Collection(shapes, path):
        found = [way + more for way in found for more in _of_path(shapes, part)]
    return found


# -- of constraints in SPARQL ----------------------------------------------------------------------


_Scope = tuple[int, ...]
_LONGEST = 5
"""So many patterns hang together in a chain at most; a longer chain only says less."""


@dataclass(frozen=True)
class _Pattern:
    """A triple pattern, and which ``EXISTS`` and ``MINUS`` it stands in, from without to within."""

    subject: Node
    steps: Way
    object: Node
    scope: _Scope


def needed(query: "Query") -> frozenset[frozenset[URIRef]]:
    """Return sets of properties: of each some statement must be there for any solution."""
    return frozenset(
        frozenset(verb for verb, _ in step.ways)
        for pattern in _patterns(query.algebra, (), itertools.count())
        if not pattern.scope
        for step in pattern.steps
        if not step.many
    )


def of_query(query: "Query", start: str) -> tuple[Reach, ...]:
    """Return how a query looks from a variable at the statements of each of its triple patterns.

    A chain goes by patterns that must hold for the one it leads to: those it stands beside, and
    those outside of the ``EXISTS``, ``OPTIONAL`` or part of a ``UNION`` it stands in. What only
    parts of a ``UNION`` lead to, each chain by them leads to by itself.

    Parameters
    ----------
    query
        The query, prepared.
    start
        The variable's name.

    Raises
    ------
    ValueError
        If a pattern hangs together with the variable by no chain, but by a filter or not at all.
    """
    patterns = list(_patterns(query.algebra, (), itertools.count()))
    found: dict[Reach, None] = {}
    for target in patterns:
        usable = [p for p in patterns if p.scope == target.scope[: len(p.scope)]]
        chains = tuple(_chains(Variable(start), target, usable))
        if chains:
            found[Reach(chains)] = None
            continue
        chains = tuple(_chains(Variable(start), target, patterns))
        if not chains:
            raise ValueError(f"nothing leads from ?{start} to {target}")
        found |= dict.fromkeys(Reach((chain,)) for chain in chains)
    return tuple(found)


def _chains(start: Node, target: _Pattern, usable: list[_Pattern]) -> Iterator[tuple[Way, Way]]:
    """Yield each way from a variable to a pattern that passes no variable twice, and along it."""
    pending: list[tuple[Node, Way, frozenset[Node], int]] = [(start, (), frozenset({start}), 1)]
    while pending:
        here, way, seen, length = pending.pop()
        if here == target.subject:
            yield way, target.steps
        if here == target.object:
            yield way, _turned(target.steps)
        for each in usable if length < _LONGEST else ():
            turns = ((each.subject, each.object, each.steps),
                     (each.object, each.subject, _turned(each.steps)))  # fmt: skip
            for one, other, steps in turns:
                if each != target and one == here and _joins(other) and other not in seen:
                    pending.append((other, way + steps, seen | {other}, length + 1))


def _joins(term: Node) -> bool:
    return isinstance(term, Variable) and term != Variable("this")


def _patterns(part: Any, scope: _Scope, numbers: Iterator[int]) -> Iterator[_Pattern]:
    """Yield every triple pattern of a query's algebra, those of filters among them."""
    from rdflib.plugins.sparql.parserutils import CompValue  # takes long to import

    if isinstance(part, CompValue):
        if part.name in ("Builtin_EXISTS", "Builtin_NOTEXISTS"):
            # its attribute is the algebra; its item of the same name is not translated
            yield from _patterns(part.graph, (*scope, next(numbers)), numbers)
            return
        triples = part["triples"] if "triples" in part else ()  # noqa: SIM401 - get is another
        for s, p, o in triples:
            yield _Pattern(s, _steps(p), o, scope)
        for key, each in part.items():
            if key not in ("triples", "_vars"):
                apart = (part.name in ("Minus", "LeftJoin") and key == "p2") or (
                    part.name == "Union" and key in ("p1", "p2")
                )
                yield from _patterns(each, (*scope, next(numbers)) if apart else scope, numbers)
    elif isinstance(part, list | tuple):
        for each in part:
            yield from _patterns(each, scope, numbers)


def _steps(path: Any) -> Way:
    """Turn the property or path of a triple pattern into steps.

    Raises
    ------
    ValueError
        For a path that is not understood here: a variable, or several steps again and again.
    """
    if isinstance(path, URIRef):
        return (WayStep(((path, True),)),)
    if isinstance(path, InvPath):
        return _turned(_steps(path.arg))
    if isinstance(path, SequencePath):
        return tuple(step for arg in path.args for step in _steps(arg))
    if isinstance(path, AlternativePath):
        parts = [_steps(arg) for arg in path.args]
        if all(len(part) == 1 and not part[0].many for part in parts):
            return (WayStep(tuple(way for part in parts for way in part[0].ways)),)
    if isinstance(path, MulPath):
        inner = _steps(path.path)
        if len(inner) == 1:
            return (WayStep(inner[0].ways, many=True),)
    raise ValueError(f"a constraint follows a path that is not understood here: {path}")


def _turned(steps: Way) -> Way:
    """Return the way back."""
    return tuple(
        WayStep(tuple((verb, not onward) for verb, onward in step.ways), step.many)
        for step in reversed(steps)
    )
