"""The breaches of the SHACL constraints, kept up to date.

Only those constraints are run again that read a property of a changed statement, and only of the
things from which they look at such a statement (`glost.answer.living.ways`), on a graph of no more
than they look at from there: the core constraints by pyshacl, with ``focus_nodes``; those in SPARQL
by their query.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cache, cached_property

from rdflib import BNode, Graph, URIRef
from rdflib.namespace import RDF, RDFS, SH
from rdflib.plugins.sparql import prepareQuery
from rdflib.plugins.sparql.sparql import Query
from rdflib.term import Node

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
from glost.record.claims import Triple

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
    queries
        Its queries, prepared, each with what must be there for it to find anything
        (`glost.answer.living.ways.needed`); none of a core constraint.
    targets
        The classes whose things a query looks at.
    """

    shape: URIRef
    reaches: tuple[Reach, ...]
    queries: tuple[tuple[Query, frozenset[frozenset[URIRef]]], ...] = ()
    targets: tuple[Node, ...] = ()


@cache
def _constraint(shape: URIRef) -> _Constraint:
    shapes = constraints()
    prefixes = {
        str(shapes.value(each, SH.prefix)): str(shapes.value(each, SH.namespace))
        for each in shapes.objects(None, SH.declare)
    }
    texts = [
        str(text)
        for part in shapes.objects(shape, SH.sparql)
        for text in shapes.objects(part, SH.select)
    ]
    if texts:
        queries = tuple(prepareQuery(text, initNs=prefixes) for text in texts)
        reaches = tuple(each for query in queries for each in of_query(query, "value"))
        targets = tuple(sorted(shapes.objects(shape, SH.targetNode), key=str))
        needs = tuple((query, needed(query)) for query in queries)
        return _Constraint(shape, reaches, needs, targets)
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
    pending: list[Node] = [each.shape for each in _all().values() if not each.queries]
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
    core = {shape: things for shape, things in by_shape.items() if not _all()[shape].queries}
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
    """

    def __init__(self, found: Callable[[], Iterable[Violation]]) -> None:
        self._first = found

    @cached_property
    def _found(self) -> dict[Suspect, Violation]:
        return {_suspect(each): each for each in self._first()}

    def ready(self) -> None:
        """Look at them: what they are breaches of must not have changed yet."""
        import pyshacl  # noqa: F401 - no start needs it

        _ = _core(), self._found

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
    for query, needs in constraint.queries:
        if any(there.isdisjoint(verbs) for verbs in needs):
            continue
        for target in constraint.targets:
            for row in part.query(query, initBindings={"this": URIRef(str(target))}):
                thing = row["value"]  # type: ignore[index, call-overload]
                if thing in things:
                    found.add((constraint.shape, thing))
    return found
