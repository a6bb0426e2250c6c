"""The SHACL constraints on the record, run by one of two validators.

How the constraints are written, and what their annotations mean, is said in
``shapes_shacl/notation.ttl``.
"""

from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import cache, lru_cache, partial
from importlib.util import find_spec
from typing import TYPE_CHECKING, Any

from rdflib import BNode, Graph, URIRef
from rdflib.collection import Collection
from rdflib.namespace import RDF, RDFS, SH
from rdflib.term import Node
from rdflib.util import from_n3

from glost.data import constraints, vocabulary
from glost.findings import Severity
from glost.record.claims import Triple
from glost.record.terms import to_oxigraph
from glost.usage import UsageError

if TYPE_CHECKING:
    from shacl import Shapes

SHAPES = "https://w3id.org/glost/shapes#"
"""Where the constraints' names begin."""

VALIDATORS = ("pyshacl", "shacl")
"""pyshacl, and the Rust validator of the package ``shacl``, faster on large collections."""

_SEVERITY = {
    SH.Violation: Severity.CONTRADICTION,
    SH.Warning: Severity.WARNING,
    SH.Info: Severity.NOTE,
}


class ValidatorError(UsageError):
    """A validator that is not there; the message says how to get it."""


@dataclass(frozen=True, slots=True)
class Violation:
    """One breach of one constraint.

    Attributes
    ----------
    constraint
        Local name of the shape.
    severity
        How much it matters.
    focus
        The thing at fault.
    message, remedy
        What is wrong and what could be done, in a cataloguer's words.
    """

    constraint: str
    severity: Severity
    focus: Node
    message: str
    remedy: str


_Found = Callable[[], Iterable[tuple[URIRef, Node]]]


def begin(data: Graph, validator: str | None = None) -> Callable[[], tuple[Violation, ...]]:
    """Begin to run the constraints; the Rust validator works beside whatever is done next.

    Parameters
    ----------
    data
        What is believed, with the record's graph; it is not changed. Literals are taken as they
        stand, so never what a store gives back. The vocabulary is added here.
    validator
        One of `VALIDATORS`, which report the same; None for the faster of those installed.

    Returns
    -------
    callable
        Waits for it, and returns each breach once for a constraint and a thing, sorted.

    Raises
    ------
    ValidatorError
        If the validator is unknown or not installed; what is returned raises it if the validator
        fails.
    """
    validator = validator or ("shacl" if find_spec("shacl") else "pyshacl")
    if validator == "pyshacl":
        return partial(_violations, partial(_pyshacl, data))
    if validator == "shacl":
        return partial(_violations, _shacl(data))
    raise ValidatorError(f"there is no validator {validator!r}; use {' or '.join(VALIDATORS)}")


def validate(data: Graph, validator: str | None = None) -> tuple[Violation, ...]:
    """Run the constraints and wait for it; see `begin`."""
    return begin(data, validator)()


def _violations(found: _Found) -> tuple[Violation, ...]:
    shapes = constraints()
    made = [violation(shapes, shape, focus) for shape, focus in set(found())]
    return tuple(sorted(made, key=lambda v: (v.constraint, repr(v.focus))))


def _pyshacl(data: Graph) -> Iterator[tuple[URIRef, Node]]:
    import pyshacl  # where the other runs them, this need not be imported

    whole = Graph()
    for part in (data, vocabulary()):
        whole += part
    _, report, _ = pyshacl.validate(
        whole, shacl_graph=constraints(), inference="none", advanced=False, inplace=True
    )
    if not isinstance(report, Graph):
        raise ValidatorError(f"pyshacl could not run the constraints: {report}")
    for result in report.subjects(RDF.type, SH.ValidationResult):
        shape = report.value(result, SH.sourceShape)
        focus, value = report.value(result, SH.focusNode), report.value(result, SH.value)
        yield placed(shape, focus, value)


def _shacl(data: Graph) -> _Found:
    try:
        shapes = _shapes()
    except ImportError:
        remedy = "pip install 'glost[large]', or use pyshacl"
        raise ValidatorError(f"the validator shacl is not installed; {remedy}") from None
    beside = ThreadPoolExecutor(1)
    text = _text(data) + _vocabulary_text()
    report = beside.submit(shapes.validate_text, text, "nt")
    beside.shutdown(wait=False)
    return lambda: (
        placed(_node(result.root_shape), _node(result.focus_node), _node(result.value))
        for result in report.result().results
    )


@cache
def _shapes() -> "Shapes":
    """Return the constraints as the Rust validator has them, read once in a process."""
    from shacl import Shapes

    return Shapes.from_text(_text(constraints()), "nt")


@cache
def _vocabulary_text() -> str:
    return _text(vocabulary())


def _text(graph: Graph) -> str:
    """Write a graph as N-Triples, each term once; rdflib's own writer takes four times as long."""
    written: dict[Node, str] = {}

    def word(term: Node) -> str:
        if term not in written:
            written[term] = str(to_oxigraph(term))
        return written[term]

    return "".join(f"{word(s)} {word(p)} {word(o)} .\n" for s, p, o in graph)


@lru_cache(maxsize=1 << 16)
def _node(text: str | None) -> Node | None:
    if not text:
        return None
    if text.startswith("<"):
        return URIRef(text[1:-1])
    if not text.startswith(("<", '"', "_:")):
        text = f"<{text}>"
    found = from_n3(text)
    return found if isinstance(found, Node) else None


def placed(shape: Node | None, focus: Node | None, value: Node | None) -> tuple[URIRef, Node]:
    """Find the named shape and the thing at fault that a result of a validator speaks of.

    A constraint in SPARQL that is asked once for a class has this for its focus, and the thing at
    fault for its value (`glost.data.constraints`).
    """
    named = _named(shape)
    if named is None or focus is None:
        raise ValidatorError(f"a breach has no named constraint or no focus: {shape} {focus}")
    if (named, SH.targetNode, focus) in constraints() and value is not None:
        return named, value
    return named, focus


@cache
def _named(shape: Node | None) -> URIRef | None:
    while isinstance(shape, BNode):
        shape = next(constraints().subjects(None, shape), None)
    return shape if isinstance(shape, URIRef) else None


def violation(shapes: Graph, shape: URIRef, focus: Node) -> Violation:
    """Return the breach of a constraint by a thing."""
    severity, message, remedy = _told(shapes, shape)
    return Violation(str(shape).removeprefix(SHAPES), severity, focus, message, remedy)


@cache
def _told(shapes: Graph, shape: URIRef) -> tuple[Severity, str, str]:
    """Return how much a constraint matters, its message and its remedy."""
    severity = shapes.value(shape, SH.severity)
    return (
        _SEVERITY.get(URIRef(str(severity)), Severity.CONTRADICTION),
        str(shapes.value(shape, SH.message) or ""),
        str(shapes.value(shape, RDFS.comment) or ""),
    )


def as_plain(breaches: Iterable[Violation]) -> dict[str, Any]:
    """Return breaches as plain values, to be kept; see `of_plain`.

    Raises
    ------
    ValueError
        If a thing at fault has no name by which it could be found again.
    """
    found = []
    for each in breaches:
        if isinstance(each.focus, BNode):
            raise ValueError("a thing without a name cannot be kept")
        found.append([each.constraint, str(to_oxigraph(each.focus))])
    return {"breaches": found}


def of_plain(kept: dict[str, Any]) -> tuple[Violation, ...]:
    """Return the breaches that were kept."""
    shapes = constraints()
    return tuple(
        violation(shapes, URIRef(SHAPES + constraint), focus)
        for constraint, text in kept["breaches"]
        if (focus := _node(text)) is not None
    )


def involved(violation: Violation, data: Graph) -> tuple[Triple, ...]:
    """Find the statements that take part in a breach.

    Parameters
    ----------
    violation
        The breach.
    data
        What was validated.

    Returns
    -------
    tuple of Triple
        Those that the constraint's path and its ``shapes:evidence`` lead to from the thing at
        fault, and those that give others the same values where ``shapes:sameValues`` says so.
    """
    shapes = constraints()
    shape = URIRef(SHAPES + violation.constraint)
    found: dict[Triple, None] = {}
    for path in (*shapes.objects(shape, SH.path), *shapes.objects(shape, _EVIDENCE)):
        for triple in _walk(data, shapes, violation.focus, path):
            found[triple] = None
    for listed in shapes.objects(shape, _SAME_VALUES):
        for thing in _sharing(data, shapes, violation.focus, list(Collection(shapes, listed))):
            for path in Collection(shapes, listed):
                found.update(dict.fromkeys(_walk(data, shapes, thing, path)))
    return tuple(sorted(found, key=repr))


_EVIDENCE = URIRef(SHAPES + "evidence")
_SAME_VALUES = URIRef(SHAPES + "sameValues")


def _walk(data: Graph, shapes: Graph, start: Node, path: Node) -> list[Triple]:
    """Follow a SHACL path and return the statements passed."""
    return [triple for triples, _ in _steps(data, shapes, start, path) for triple in triples]


def _steps(
    data: Graph, shapes: Graph, start: Node, path: Node
) -> Iterator[tuple[tuple[Triple, ...], Node]]:
    """Yield each way along a path: the statements passed, and where it ends."""
    if isinstance(path, URIRef):
        for value in sorted(data.objects(start, path), key=repr):
            yield ((start, path, value),), value
    elif (inverse := shapes.value(path, SH.inversePath)) is not None:
        for subject in sorted(data.subjects(inverse, start), key=repr):
            yield ((subject, inverse, start),), subject
    elif (either := shapes.value(path, SH.alternativePath)) is not None:
        for one in Collection(shapes, either):
            yield from _steps(data, shapes, start, one)
    elif shapes.value(path, RDF.first) is not None:
        yield from _sequence(data, shapes, start, list(Collection(shapes, path)))


def _sequence(
    data: Graph, shapes: Graph, start: Node, parts: list[Node]
) -> Iterator[tuple[tuple[Triple, ...], Node]]:
    if not parts:
        yield (), start
        return
    for before, middle in _steps(data, shapes, start, parts[0]):
        for after, end in _sequence(data, shapes, middle, parts[1:]):
            yield before + after, end


def _sharing(data: Graph, shapes: Graph, focus: Node, paths: Iterable[Node]) -> list[Node]:
    """Find the things that share a value of every path with `focus`, itself among them."""
    common: set[Node] | None = None
    for path in paths:
        values = {end for _, end in _steps(data, shapes, focus, path)}
        sharing = {thing for value in values for thing in _reaching(data, shapes, value, path)}
        common = sharing if common is None else common & sharing
    return sorted(common or (), key=repr)


def _reaching(data: Graph, shapes: Graph, value: Node, path: Node) -> set[Node]:
    inverse = shapes.value(path, SH.inversePath)
    if inverse is not None:
        return set(data.objects(value, inverse))
    return set(data.subjects(path, value))
