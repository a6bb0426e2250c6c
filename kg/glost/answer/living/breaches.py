"""The breaches of the SHACL constraints, kept up to date.

Only those constraints are run again that read a property of a changed statement, and only of the
things from which they look at such a statement (`glost.answer.living.ways`), on a graph of no more
than they look at from there: the core constraints by pyshacl, with ``focus_nodes``; those in SPARQL
by their query.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from typing import TYPE_CHECKING, Any

from rdflib import BNode, Graph, URIRef
from rdflib.namespace import RDF, RDFS, SH
from rdflib.term import Node

from glost.answer.cache import Cache
from glost.answer.living.ways import (
    Reach,
    Way,
    WayStep,
    leading,
    needed,
    of_query,
    of_shape,
    passed,
)
from glost.answer.shacl import SHAPES, Violation, placed, violation
from glost.data import constraints, vocabulary
from glost.plain import plain
from glost.record.claims import Triple

if TYPE_CHECKING:
    from rdflib.plugins.sparql.sparql import Query

Suspect = tuple[URIRef, Node]
"""A constraint, and a thing that may breach it or may no longer."""


@dataclass(frozen=True)
class _Constraint:
    """A constraint, and what it looks at.

    Attributes
    ----------
    shape
        Its name.
    reaches
        How it looks at statements from the thing that may be at fault.
    needs
        What must be there for each of its queries to find anything
        (`glost.answer.living.ways.needed`); none of a core constraint.
    targets
        The classes whose things a query looks at.
    """

    shape: URIRef
    reaches: tuple[Reach, ...]
    needs: tuple[frozenset[frozenset[URIRef]], ...] = ()
    targets: tuple[str, ...] = ()

    def as_list(self) -> list[Any]:
        """Return it as plain values."""
        needs = [sorted(map(sorted, each)) for each in self.needs]
        reaches = [
            [each.once, [[_as_list(way), _as_list(along)] for way, along in each.chains]]
            for each in self.reaches
        ]
        return [self.shape, reaches, needs, self.targets]

    @classmethod
    def of_list(cls, told: list[Any]) -> "_Constraint":
        """Return what `as_list` told."""
        shape, reaches, needs, targets = told
        read = tuple(
            Reach(tuple((_way(one), _way(along)) for one, along in chains), once)
            for once, chains in reaches
        )
        sets = tuple(frozenset(frozenset(map(URIRef, some)) for some in each) for each in needs)
        return cls(URIRef(shape), read, sets, tuple(targets))


def _as_list(way: Way) -> list[Any]:
    return [[step.many, step.ways] for step in way]


def _way(told: list[Any]) -> Way:
    return tuple(
        WayStep(tuple((URIRef(verb), onward) for verb, onward in ways), many) for many, ways in told
    )


_known: dict[URIRef, _Constraint] = {}


def _constraint(shape: URIRef) -> _Constraint:
    if shape not in _known:
        _known[shape] = _looked_at(shape)
    return _known[shape]


def _take_up(kept: Cache) -> None:
    """Read all constraints, or take up what is kept of what they look at, which takes no time."""
    told = kept.values("constraints", _all, _every_as_lists, _every_of_lists)
    _known.update(told)


def _every_as_lists(every: Mapping[URIRef, _Constraint]) -> dict[str, Any]:
    found: dict[str, Any] = plain({str(shape): each.as_list() for shape, each in every.items()})
    return found


def _every_of_lists(told: dict[str, Any]) -> dict[URIRef, _Constraint]:
    return {URIRef(shape): _Constraint.of_list(each) for shape, each in told.items()}


@cache
def _queries(shape: URIRef) -> tuple[str, ...]:
    """Return the queries of a constraint; none of a core constraint."""
    shapes = constraints()
    return tuple(
        str(text)
        for part in shapes.objects(shape, SH.sparql)
        for text in shapes.objects(part, SH.select)
    )


@cache
def _prepared(query: str) -> "Query":
    from rdflib.plugins.sparql import prepareQuery  # takes long to import

    shapes = constraints()
    prefixes = {
        str(shapes.value(each, SH.prefix)): str(shapes.value(each, SH.namespace))
        for each in shapes.objects(None, SH.declare)
    }
    return prepareQuery(query, initNs=prefixes)


def _looked_at(shape: URIRef) -> _Constraint:
    shapes, queries = constraints(), tuple(map(_prepared, _queries(shape)))
    if queries:
        reaches = tuple(each for query in queries for each in of_query(query, "value"))
        targets = tuple(sorted(map(str, shapes.objects(shape, SH.targetNode))))
        return _Constraint(shape, reaches, tuple(map(needed, queries)), targets)
    ways = dict.fromkeys(of_shape(shapes, shape))
    steps = {way[:place]: False for way in ways for place in range(1, len(way) + 1)}
    steps = dict.fromkeys(_targeting(shapes, shape), True) | steps
    reaches = tuple(Reach(((way[:-1], way[-1:]),), once) for way, once in steps.items())
    return _Constraint(shape, reaches)


@cache
def _all() -> dict[URIRef, _Constraint]:
    return {shape: _constraint(shape) for shape in _named()}


def _named() -> list[URIRef]:
    found = set(constraints().subjects(SH.severity, None))
    return sorted((shape for shape in found if isinstance(shape, URIRef)), key=str)


def reading() -> Iterator[None]:
    """Read the constraints, one at each step, for who has else to do."""
    for shape in _named():
        _constraint(shape)
        yield
    _reading()


def _targeting(shapes: Graph, shape: Node) -> Iterator[Way]:
    """Yield the ways by which a thing is a target at all."""
    if (shape, SH.targetClass, None) in shapes:
        yield (WayStep(((RDF.type, True),)),)
    for verb, onward in ((SH.targetSubjectsOf, True), (SH.targetObjectsOf, False)):
        for property_ in shapes.objects(shape, verb):
            yield (WayStep(((URIRef(str(property_)), onward),)),)


@cache
def _reading() -> dict[URIRef, tuple[tuple[URIRef, Reach], ...]]:
    """Return, by property, the constraints that read it and how they do."""
    found: dict[URIRef, list[tuple[URIRef, Reach]]] = defaultdict(list)
    for each in _all().values():
        for reach in each.reaches:
            for verb in reach.properties:
                found[verb].append((each.shape, reach))
    return {verb: tuple(reaches) for verb, reaches in found.items()}


@cache
def _core() -> Graph:
    """Return the core constraints alone: with queries beside them pyshacl would run these too."""
    shapes, found = constraints(), Graph()
    pending: list[Node] = [each.shape for each in _all().values() if not each.needs]
    while pending:
        for triple in shapes.triples((pending.pop(), None, None)):
            found.add(triple)
            if isinstance(triple[2], BNode):
                pending.append(triple[2])
    return found


@cache
def _classes() -> tuple[Triple, ...]:
    return tuple(vocabulary().triples((None, RDFS.subClassOf, None)))


def suspects(data: Graph, triples: Iterable[Triple]) -> set[Suspect]:
    """Return what may breach a constraint, or may no longer, where some statements change.

    Parameters
    ----------
    data
        What was validated, or will be, with the statements.
    triples
        The statements: those that go, before they go; those that come, once they are there.
    """
    reading = _reading()
    return {
        (shape, thing)
        for triple in triples
        for shape, reach in reading.get(URIRef(str(triple[1])), ())
        for thing in leading(data, reach, triple)
    }


def run(data: Graph, suspected: Iterable[Suspect]) -> set[Violation]:
    """Run constraints again, each of the things that may breach it.

    Parameters
    ----------
    data
        What is believed, with the record's graph and the vocabulary.
    suspected
        The constraints and things.

    Returns
    -------
    set of Violation
        The breaches among these, as the whole run reports them.
    """
    by_shape: dict[URIRef, set[Node]] = defaultdict(set)
    for shape, thing in suspected:
        by_shape[shape].add(thing)
    found: set[Suspect] = set()
    core = {shape: things for shape, things in by_shape.items() if not _all()[shape].needs}
    if core:
        found |= _run_core(data, core)
    for shape in by_shape.keys() - core.keys():
        found |= _run_query(data, _all()[shape], by_shape[shape])
    return {violation(constraints(), shape, thing) for shape, thing in found}


class Breaches:
    """The breaches there are.

    Parameters
    ----------
    found
        Gives those that the whole run reports; asked when they are first looked at.
    kept
        Keeps what the constraints look at.
    """

    def __init__(self, found: Callable[[], Iterable[Violation]], kept: Cache | None = None) -> None:
        self._first, self._cache = found, kept

    @cached_property
    def _found(self) -> dict[Suspect, Violation]:
        return {_suspect(each): each for each in self._first()}

    def ready(self) -> None:
        """Look at them: what they are breaches of must not have changed yet."""
        if self._cache is not None:
            _take_up(self._cache)
        _ = _reading(), self._found

    @property
    def all(self) -> tuple[Violation, ...]:
        """All of them, in no particular order."""
        return tuple(self._found.values())

    def revise(self, data: Graph, suspected: set[Suspect]) -> tuple[set[Violation], set[Violation]]:
        """Run again what may have changed; return the breaches that are new, and the mended."""
        was = {each for key in suspected if (each := self._found.get(key)) is not None}
        now = run(data, suspected)
        for each in was - now:
            del self._found[_suspect(each)]
        self._found |= {_suspect(each): each for each in now}
        return now - was, was - now


def _suspect(breach: Violation) -> Suspect:
    return URIRef(SHAPES + breach.constraint), breach.focus


def _part(data: Graph, constraint: _Constraint, things: Iterable[Node], into: Graph) -> None:
    """Gather what a constraint looks at from some things."""
    for thing in things:
        for reach in constraint.reaches:
            for triple in passed(data, reach, thing):
                into.add(triple)


def _run_core(data: Graph, wanted: dict[URIRef, set[Node]]) -> set[Suspect]:
    import pyshacl  # no start needs it

    part = Graph(bind_namespaces="none")
    for triple in _classes():
        part.add(triple)
    for shape, of in wanted.items():
        _part(data, _all()[shape], of, part)
    things = {each for of in wanted.values() for each in of if isinstance(each, URIRef)}
    focus: list[str | URIRef] = sorted(things)
    _, report, _ = pyshacl.validate(
        part,
        shacl_graph=_core(),
        inference="none",
        advanced=False,
        inplace=True,
        focus_nodes=focus,
    )
    assert isinstance(report, Graph)
    found = set()
    for result in report.subjects(RDF.type, SH.ValidationResult):
        shape, thing = placed(
            report.value(result, SH.sourceShape),
            report.value(result, SH.focusNode),
            report.value(result, SH.value),
        )
        if thing in wanted.get(shape, ()):
            found.add((shape, thing))
    return found


def _run_query(data: Graph, constraint: _Constraint, things: set[Node]) -> set[Suspect]:
    part = Graph("SimpleMemory", bind_namespaces="none")
    _part(data, constraint, things, part)
    there = frozenset(part.predicates())
    found = set()
    for query, needs in zip(_queries(constraint.shape), constraint.needs, strict=True):
        if any(there.isdisjoint(verbs) for verbs in needs):
            continue
        for target in constraint.targets:
            for row in part.query(_prepared(query), initBindings={"this": URIRef(str(target))}):
                thing = row["value"]  # type: ignore[index, call-overload]
                if thing in things:
                    found.add((constraint.shape, thing))
    return found
