"""Whether an ontology keeps within OWL 2 RL, read from its RDF.

Class expressions are walked by the grammar of W3C OWL 2 Web Ontology Language Profiles (second
edition, 11 December 2012), section 4.2; a position in an axiom takes a sub-class, a super-class or
an equivalent-class expression. The restrictions on simple properties and on the property
hierarchy come from OWL 2 Structural Specification, section 11.2, since a profile is part of OWL 2
DL. The grammar was read in a stored copy of the former's appendix; the list of datatypes and the
restrictions are from memory. The cases beside the tests hold the checker to them.
"""

from collections.abc import Iterator

import networkx as nx
from rdflib import BNode, Graph, Literal, URIRef
from rdflib.collection import Collection
from rdflib.namespace import OWL, RDF, RDFS, XSD
from rdflib.term import Node

SCHEMA_DATATYPES = """decimal integer nonNegativeInteger nonPositiveInteger positiveInteger
    negativeInteger long int short byte unsignedLong unsignedInt unsignedShort unsignedByte float
    double string normalizedString token language Name NCName NMTOKEN boolean hexBinary
    base64Binary anyURI dateTime dateTimeStamp"""
DATATYPES = {RDF.PlainLiteral, RDF.XMLLiteral, RDF.langString, RDFS.Literal}
DATATYPES |= {XSD[name] for name in SCHEMA_DATATYPES.split()}
PROPERTIES = {OWL.ObjectProperty, OWL.DatatypeProperty, OWL.AnnotationProperty}
NEEDS_SIMPLE = {
    OWL.FunctionalProperty,
    OWL.InverseFunctionalProperty,
    OWL.AsymmetricProperty,
    OWL.IrreflexiveProperty,
}
BUILT_IN = (str(OWL), str(RDF), str(RDFS), str(XSD))
# Which expressions may stand where: position of the axiom, constructor, position of its parts.
# The constructor is the property that makes it; "datatype" stands for a data range.
GRAMMAR: dict[str, dict[URIRef, str]] = {
    "sub": {
        OWL.intersectionOf: "sub",
        OWL.unionOf: "sub",
        OWL.oneOf: "individual",
        OWL.someValuesFrom: "sub-or-thing",
        OWL.hasValue: "individual",
    },
    "super": {
        OWL.intersectionOf: "super",
        OWL.complementOf: "sub",
        OWL.allValuesFrom: "super",
        OWL.hasValue: "individual",
        OWL.maxCardinality: "0-or-1",
        OWL.maxQualifiedCardinality: "0-or-1",
    },
    "equiv": {OWL.intersectionOf: "equiv", OWL.hasValue: "individual"},
}
CONSTRUCTORS = (
    *(OWL[name] for name in ("intersectionOf", "unionOf", "oneOf", "complementOf")),
    *(OWL[name] for name in ("someValuesFrom", "allValuesFrom", "hasValue", "hasSelf")),
    *(
        OWL[f"{kind}{name}"]
        for kind in ("min", "max")
        for name in ("Cardinality", "QualifiedCardinality")
    ),
    *(OWL[name] for name in ("cardinality", "qualifiedCardinality", "onDatatype")),
    OWL.datatypeComplementOf,
)


def violations(graph: Graph) -> list[str]:
    """Return what keeps `graph` out of OWL 2 RL, in words, sorted; nothing if it is inside."""
    return sorted(
        {
            *_axioms(graph),
            *_literals(graph),
            *_declarations(graph),
            *_simplicity(graph),
            *_hierarchy(graph),
        }
    )


def _axioms(graph: Graph) -> Iterator[str]:
    """Check every class expression in the position its axiom gives it."""
    for subject, predicate, value in graph:
        if predicate == RDFS.subClassOf:
            yield from _expression(graph, subject, "sub")
            yield from _expression(graph, value, "super")
        elif predicate == OWL.equivalentClass:
            position = "datatype" if (subject, RDF.type, RDFS.Datatype) in graph else "equiv"
            yield from _expression(graph, subject, position if position == "equiv" else "any")
            yield from _expression(graph, value, position)
        elif predicate == OWL.disjointWith:
            yield from _expression(graph, subject, "sub")
            yield from _expression(graph, value, "sub")
        elif predicate == OWL.hasKey:
            yield from _expression(graph, subject, "sub")
        elif predicate == RDFS.domain:
            yield from _expression(graph, value, "super")
        elif predicate == RDFS.range:
            data = (subject, RDF.type, OWL.DatatypeProperty) in graph
            yield from _expression(graph, value, "datatype" if data else "super")
        elif predicate == OWL.disjointUnionOf:
            yield f"{_name(subject)}: owl:disjointUnionOf is outside the profile"
        elif predicate == RDF.type and value == OWL.ReflexiveProperty:
            yield f"{_name(subject)}: owl:ReflexiveProperty is outside the profile"
        elif predicate == RDF.type and value == OWL.AllDisjointClasses:
            for member in Collection(graph, graph.value(subject, OWL.members)):
                yield from _expression(graph, member, "sub")
        elif predicate == RDF.type and isinstance(value, BNode):
            yield from _expression(graph, value, "super")


def _expression(graph: Graph, node: Node | None, position: str) -> Iterator[str]:
    """Check one expression against the grammar of its position."""
    if position in ("any", "individual"):
        return
    if position == "datatype":
        yield from _data_range(graph, node)
        return
    if isinstance(node, URIRef):
        if node == OWL.Thing and position != "sub-or-thing":
            yield f"owl:Thing may not stand in {position}-class position"
        return
    position = position.removesuffix("-or-thing")
    made = [name for name in CONSTRUCTORS if (node, name, None) in graph]
    if len(made) != 1:
        yield f"an expression in {position}-class position has no single constructor"
        return
    constructor, parts = made[0], GRAMMAR[position].get(made[0])
    if parts is None:
        yield f"{_name(constructor)} may not stand in {position}-class position"
        return
    value = graph.value(node, constructor)
    if parts == "0-or-1":
        yield from _cardinality(graph, node, value)
    elif parts != "individual":
        listed = constructor in (OWL.intersectionOf, OWL.unionOf)
        restricted = graph.value(node, OWL.onProperty)
        data = (restricted, RDF.type, OWL.DatatypeProperty) in graph and restricted is not None
        for part in Collection(graph, value) if listed else [value]:
            yield from _expression(graph, part, "datatype" if data else parts)


def _cardinality(graph: Graph, node: Node | None, value: Node | None) -> Iterator[str]:
    """Check a greatest cardinality: 0 or 1, of a sub-class expression or of owl:Thing."""
    if not isinstance(value, Literal) or int(value) not in (0, 1):
        yield "a greatest cardinality must be 0 or 1"
    filler = graph.value(node, OWL.onClass)
    if filler is not None:
        yield from _expression(graph, filler, "sub-or-thing")


def _data_range(graph: Graph, node: Node | None) -> Iterator[str]:
    """Check a data range: a datatype of the profile, or an intersection of such."""
    if isinstance(node, URIRef):
        if node not in DATATYPES and (node, OWL.equivalentClass, None) not in graph:
            yield f"{_name(node)} is no datatype of the profile"
    elif (node, OWL.intersectionOf, None) in graph:
        for part in Collection(graph, graph.value(node, OWL.intersectionOf)):
            yield from _data_range(graph, part)
    else:
        yield "a data range must be a datatype or an intersection of datatypes"


def _literals(graph: Graph) -> Iterator[str]:
    """Check that every literal is of a datatype of the profile."""
    for value in set(graph.objects()):
        if isinstance(value, Literal) and (value.datatype or XSD.string) not in DATATYPES:
            yield f"{_name(value.datatype)} is no datatype of the profile"


def _declarations(graph: Graph) -> Iterator[str]:
    """Check that classes and properties are declared, and properties of one kind each."""
    for node in sorted({*graph.subjects(), *graph.objects()}, key=str):
        if len({*graph.objects(node, RDF.type)} & PROPERTIES) > 1:
            yield f"{_name(node)} is declared a property of two kinds"
    for predicate in set(graph.predicates()):
        if not predicate.startswith(BUILT_IN) and not _is_property(graph, predicate):
            yield f"{_name(predicate)} is used and not declared"
    for predicate in (RDFS.domain, RDFS.range, RDFS.subPropertyOf, OWL.inverseOf):
        for subject in graph.subjects(predicate):
            if isinstance(subject, URIRef) and not _is_property(graph, subject):
                yield f"{_name(subject)} is used and not declared"
    for predicate in (RDFS.subPropertyOf, OWL.inverseOf, OWL.onProperty):
        for value in graph.objects(None, predicate):
            if isinstance(value, URIRef) and not _is_property(graph, value):
                yield f"{_name(value)} is used and not declared"
    for chain in graph.objects(None, OWL.propertyChainAxiom):
        for link in Collection(graph, chain):
            if isinstance(link, URIRef) and not _is_property(graph, link):
                yield f"{_name(link)} is used and not declared"
    for predicate in (RDFS.subClassOf, OWL.disjointWith, RDFS.domain):
        for value in graph.objects(None, predicate):
            if isinstance(value, URIRef) and not _is_class(graph, value):
                yield f"{_name(value)} is used and not declared"


def composite(graph: Graph) -> set[Node]:
    """Return the properties that are not simple: transitive, with a chain, or above such."""
    found = {
        *graph.subjects(RDF.type, OWL.TransitiveProperty),
        *graph.subjects(OWL.propertyChainAxiom),
    }
    size = -1
    while len(found) != size:
        size = len(found)
        for node in list(found):
            found |= {*graph.objects(node, RDFS.subPropertyOf)}
            found |= {*graph.objects(node, OWL.equivalentProperty)}
            found |= {*graph.subjects(OWL.equivalentProperty, node)}
            found |= {*graph.objects(node, OWL.inverseOf), *graph.subjects(OWL.inverseOf, node)}
    return found


def _simplicity(graph: Graph) -> Iterator[str]:
    """Check that only simple properties stand where OWL 2 DL asks for one."""
    for node in composite(graph):
        for kind in NEEDS_SIMPLE & {*graph.objects(node, RDF.type)}:
            yield f"{_name(node)} is not simple and may not be an {_name(kind)}"
        if (node, OWL.propertyDisjointWith, None) in graph or (
            None,
            OWL.propertyDisjointWith,
            node,
        ) in graph:
            yield f"{_name(node)} is not simple and may not be disjoint with a property"
        for members in graph.objects(None, OWL.members):
            if node in Collection(graph, members):
                yield f"{_name(node)} is not simple and may not be disjoint with a property"
        for restriction in graph.subjects(OWL.onProperty, node):
            if {OWL.maxCardinality, OWL.maxQualifiedCardinality} & {*graph.predicates(restriction)}:
                yield f"{_name(node)} is not simple and may not have a cardinality"


def _hierarchy(graph: Graph) -> Iterator[str]:
    """Check that chains can be put in a strict order, a property and its inverse being one."""
    order = nx.DiGraph()
    same = nx.Graph(list(graph.subject_objects(OWL.inverseOf)))
    root = {node: min(group, key=str) for group in nx.connected_components(same) for node in group}
    strict = set()
    for lower, upper in graph.subject_objects(RDFS.subPropertyOf):
        order.add_edge(root.get(lower, lower), root.get(upper, upper))
    for upper, chain in graph.subject_objects(OWL.propertyChainAxiom):
        links = [root.get(link, link) for link in Collection(graph, chain)]
        top = root.get(upper, upper)
        if links == [top, top]:
            continue
        if links[0] == top:
            links = links[1:]
        elif links[-1] == top:
            links = links[:-1]
        strict |= {(link, top) for link in links}
    order.add_edges_from(strict)
    for group in nx.strongly_connected_components(order):
        tops = {upper for lower, upper in strict if lower in group and upper in group}
        if tops:
            yield f"the chains of {', '.join(sorted(map(_name, tops)))} run in a circle"


def _is_property(graph: Graph, node: Node) -> bool:
    return bool(PROPERTIES & {*graph.objects(node, RDF.type)}) or str(node).startswith(BUILT_IN)


def _is_class(graph: Graph, node: Node) -> bool:
    return (node, RDF.type, OWL.Class) in graph or str(node).startswith(BUILT_IN)


def _name(node: Node | None) -> str:
    return str(node).rsplit("#", 1)[-1].rsplit("/", 1)[-1]
