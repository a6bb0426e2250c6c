"""One thing given two different values, and values that cannot be understood."""

from collections.abc import Iterable, Iterator, Sequence
from functools import cache
from itertools import combinations

from rdflib import Graph, Literal, URIRef
from rdflib.namespace import SKOS
from rdflib.term import Node

from glost.data import vocabulary
from glost.findings import Finding, Severity
from glost.names import DATED, EDTF, GLOST
from glost.record.belief import Belief
from glost.record.claims import Triple
from glost.record.dates import Margin, overlaps
from glost.record.dates import read as read_date
from glost.record.quantities import LengthError, read_length
from glost.record.tables import tables
from glost.words.labels import label
from glost.words.sentences import sides, value_in_words


@cache
def length_properties() -> frozenset[URIRef]:
    """Return the properties whose values are lengths as written."""
    return frozenset(
        URIRef(column.property)
        for table in tables().values()
        for column in table.giving
        if column.quantity == "length"
    )


@cache
def single() -> frozenset[URIRef]:
    """Return the properties with one true value."""
    said = vocabulary().subject_objects(GLOST.singleValued)
    return frozenset(URIRef(str(property_)) for property_, value in said if str(value) == "true")


def differing(belief: Belief, graph: Graph, margin: Margin) -> Iterator[Finding]:
    """Find things that claims give two different values of a property that has one.

    Dates differ if they share no day, lengths if they are unequal in exact metres and neither is
    approximate, ware forms if neither is a kind of the other; everything else if it is not the
    same. Free text that differs is a warning, anything else a contradiction.

    Parameters
    ----------
    belief
        What is believed.
    graph
        The same with the vocabulary, for wording.
    margin
        How far dates marked approximate are widened.
    """
    for property_ in sorted(single(), key=repr):
        values: dict[Node, set[Node]] = {}
        for subject, value in belief.graph.subject_objects(property_):
            values.setdefault(subject, set()).add(value)
        for subject, found in sorted(values.items(), key=repr):
            yield from differing_values(subject, property_, found, belief, graph, margin)


def differing_values(
    subject: Node,
    property_: Node,
    values: Iterable[Node],
    belief: Belief,
    graph: Graph,
    margin: Margin,
) -> Iterator[Finding]:
    """Find whether the values of a property that a thing is given differ; see `differing`."""
    found = sorted(set(values), key=repr)
    if len(found) > 1 and (clashing := _clashing(found, property_, graph, margin)):
        yield _finding(subject, property_, clashing, belief, graph)


def _clashing(values: Sequence[Node], property_: Node, graph: Graph, margin: Margin) -> list[Node]:
    """Return the values of which some other cannot be true at the same time."""
    wrong: set[Node] = set()
    for a, b in combinations(values, 2):
        if differ(a, b, property_, graph, margin):
            wrong |= {a, b}
    return sorted(wrong, key=repr)


def differ(a: Node, b: Node, property_: Node, graph: Graph, margin: Margin) -> bool:
    """Say whether two values of a property cannot both be true; see `differing`."""
    if isinstance(a, Literal) and isinstance(b, Literal):
        if a.datatype == b.datatype == EDTF:
            return not overlaps(read_date(str(a), margin), read_date(str(b), margin))
        if property_ in length_properties():
            return _lengths_differ(str(a), str(b))
        return " ".join(a.casefold().split()) != " ".join(b.casefold().split())
    if property_ in (GLOST.form, GLOST.kilnKind, GLOST.sourceKind):
        return a not in _wider(b, graph) and b not in _wider(a, graph)
    return True


def _lengths_differ(a: str, b: str) -> bool:
    try:
        one, other = read_length(a), read_length(b)
    except LengthError:
        return False
    return one.metres != other.metres and not (one.approximate or other.approximate)


def _wider(concept: Node, graph: Graph) -> set[Node]:
    return {wider for wider in graph.transitive_objects(concept, SKOS.broader) if wider is not None}


def _finding(
    subject: Node, property_: Node, values: Iterable[Node], belief: Belief, graph: Graph
) -> Finding:
    statements: list[Triple] = [(subject, property_, value) for value in values]
    claims = [claim for statement in statements for claim in belief.rests_on(statement)]
    sources = {claim.passage.source for claim in claims}
    texts = " or ".join(value_in_words(value, graph) for value in values)
    whom = "Sources differ" if len(sources) > 1 else "One source gives different values"
    what = f"{label(property_, graph)} of {label(subject, graph)}"
    if property_ in DATED:
        what = label(subject, graph)
        what = what if "#" in str(subject) else f"date of {what}"
    free = all(isinstance(v, Literal) and v.datatype is None for v in values)
    length = property_ in length_properties()
    return Finding(
        kind="differing-values",
        severity=Severity.WARNING if free and not length else Severity.CONTRADICTION,
        about=(str(subject).partition("#")[0],),
        message=f"{whom} on the {what}: {texts}.",
        sides=sides(claims, graph, statements),
        remedy="Look at the passages again; withdraw the claim that is wrong with glost correct, "
        "or leave both if it cannot be decided.",
    )


def unreadable(belief: Belief, graph: Graph) -> Iterator[Finding]:
    """Find lengths that are kept as written but cannot be reckoned with."""
    for property_ in sorted(length_properties()):
        for subject, value in sorted(belief.graph.subject_objects(property_)):
            yield from unreadable_value(subject, property_, value, belief, graph)


def unreadable_value(
    subject: Node, property_: URIRef, value: Node, belief: Belief, graph: Graph
) -> Iterator[Finding]:
    """Find whether a length cannot be reckoned with."""
    try:
        read_length(str(value))
    except LengthError as bad:
        statement = (subject, property_, value)
        yield Finding(
            kind="length-not-understood",
            severity=Severity.WARNING,
            about=(str(subject),),
            message=f"The {label(property_, graph)} of {label(subject, graph)} is kept as "
            f'written but not reckoned with: "{value}" ({bad.reason}).',
            sides=sides(belief.rests_on(statement), graph, [statement]),
            remedy=f"If the source allows, {bad.remedy}.",
        )
