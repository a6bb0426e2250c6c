"""Random schemas and facts, and the closure of both by ``owlrl`` to compare with."""

import random
from dataclasses import dataclass

import owlrl
from rdflib import BNode, Graph, Literal, Namespace, URIRef
from rdflib.collection import Collection
from rdflib.namespace import OWL, RDF, RDFS

E = Namespace("https://example.org/random/")
AXIOMS = [
    *("sub", "sub", "equivalent", "domain", "range", "subproperty", "equivalent_property"),
    *("inverse", "symmetric", "transitive", "chain", "chain3", "below", "above", "restriction"),
    *("disjoint", "disjoint_property", "asymmetric", "irreflexive", "complement", "nothing"),
]
SHAPES = ["some", "some_thing", "only", "value", "and", "or", "one", "inverse_some"]


@dataclass
class Case:
    """One random schema with random facts."""

    schema: Graph
    facts: Graph
    individuals: set[URIRef]
    properties: set[URIRef]


class Maker:
    """Draws schemas and facts from a seed."""

    def __init__(self, seed: int, equality: bool, classes: int, properties: int) -> None:
        self.random = random.Random(seed)
        self.equality = equality
        self.schema = Graph()
        self.classes = [E[f"C{i}"] for i in range(classes)]
        self.properties = [E[f"p{i}"] for i in range(properties)]
        self.named = [E[f"i{i}"] for i in range(5)]
        for c in self.classes:
            self.schema.add((c, RDF.type, OWL.Class))
        for p in self.properties:
            self.schema.add((p, RDF.type, OWL.ObjectProperty))

    def c(self) -> URIRef:
        return self.random.choice(self.classes)

    def p(self) -> URIRef:
        return self.random.choice(self.properties)

    def rdf_list(self, items: list[URIRef]) -> BNode:
        head = BNode()
        Collection(self.schema, head, items)
        return head

    def nameless(self) -> BNode:
        kinds = SHAPES + (["max", "max_qualified", "max_thing"] if self.equality else [])
        kind, node, add = self.random.choice(kinds), BNode(), self.schema.add
        if kind in ("and", "or"):
            link = OWL.intersectionOf if kind == "and" else OWL.unionOf
            add((node, link, self.rdf_list(self.random.sample(self.classes, 2))))
            return node
        if kind == "one":
            add((node, OWL.oneOf, self.rdf_list(self.random.sample(self.named, 2))))
            return node
        add((node, RDF.type, OWL.Restriction))
        on = self.p()
        if kind == "inverse_some":
            on, named = BNode(), on
            add((on, OWL.inverseOf, named))
        add((node, OWL.onProperty, on))
        if kind in ("some", "inverse_some"):
            add((node, OWL.someValuesFrom, self.c()))
        elif kind == "some_thing":
            add((node, OWL.someValuesFrom, OWL.Thing))
        elif kind == "only":
            add((node, OWL.allValuesFrom, self.c()))
        elif kind == "value":
            add((node, OWL.hasValue, self.random.choice(self.named)))
        elif kind == "max":
            add((node, OWL.maxCardinality, Literal(1)))
        else:
            add((node, OWL.maxQualifiedCardinality, Literal(1)))
            add((node, OWL.onClass, OWL.Thing if kind == "max_thing" else self.c()))
        return node

    def axiom(self) -> None:
        c, p, add = self.c, self.p, self.schema.add
        kinds = AXIOMS + (["functional", "inverse_functional"] if self.equality else [])
        kind = self.random.choice(kinds)
        types = {
            "symmetric": OWL.SymmetricProperty,
            "transitive": OWL.TransitiveProperty,
            "asymmetric": OWL.AsymmetricProperty,
            "irreflexive": OWL.IrreflexiveProperty,
            "functional": OWL.FunctionalProperty,
            "inverse_functional": OWL.InverseFunctionalProperty,
        }
        links = {
            "sub": (c, RDFS.subClassOf, c),
            "equivalent": (c, OWL.equivalentClass, c),
            "domain": (p, RDFS.domain, c),
            "range": (p, RDFS.range, c),
            "subproperty": (p, RDFS.subPropertyOf, p),
            "equivalent_property": (p, OWL.equivalentProperty, p),
            "inverse": (p, OWL.inverseOf, p),
            "below": (c, RDFS.subClassOf, self.nameless),
            "above": (self.nameless, RDFS.subClassOf, c),
            "restriction": (c, OWL.equivalentClass, self.nameless),
            "disjoint": (c, OWL.disjointWith, c),
            "disjoint_property": (p, OWL.propertyDisjointWith, p),
            "complement": (c, OWL.complementOf, c),
            "nothing": (c, RDFS.subClassOf, lambda: OWL.Nothing),
        }
        if kind in types:
            add((p(), RDF.type, types[kind]))
        elif kind in links:
            subject, link, object_ = links[kind]
            add((subject(), link, object_()))
        else:
            length = 3 if kind == "chain3" else 2
            add((p(), OWL.propertyChainAxiom, self.rdf_list([p() for _ in range(length)])))

    def facts(self, number: int) -> tuple[Graph, list[URIRef]]:
        facts, things = Graph(), self.named + [E[f"j{i}"] for i in range(6)]
        for _ in range(number):
            draw, a, b = self.random.random(), *self.random.choices(things, k=2)
            if draw < 0.3:
                facts.add((a, RDF.type, self.c()))
            elif draw < 0.95 or not self.equality:
                facts.add((a, self.p(), b))
            else:
                facts.add((a, OWL.sameAs if draw < 0.98 else OWL.differentFrom, b))
        return facts, things


def case(seed: int, *, most: int = 30, classes: int = 7, properties: int = 6) -> Case:
    """Draw a case; every second one has rules and facts about sameness."""
    maker = Maker(seed, bool(seed % 2), classes, properties)
    for _ in range(maker.random.randint(4, 12)):
        maker.axiom()
    facts, things = maker.facts(maker.random.randint(min(8, most), most))
    return Case(maker.schema, facts, set(things), set(maker.properties))


def by_owlrl(drawn: Case) -> tuple[set[tuple], bool]:
    """Return what ``owlrl`` infers from a case, and whether it finds a contradiction."""
    whole = Graph()
    for triple in (*drawn.schema, *drawn.facts):
        whole.add(triple)
    owlrl.DeductiveClosure(
        owlrl.OWLRL_Semantics, axiomatic_triples=False, datatype_axioms=False
    ).expand(whole)
    errors = any("error" in str(p).lower() for p in whole.predicates())
    return comparable(set(whole), drawn), errors


def comparable(triples: set[tuple], drawn: Case) -> set[tuple]:
    """Return the triples both programs speak about: named classes, no trivial truths."""
    links = drawn.properties | {RDF.type, OWL.sameAs, OWL.differentFrom}
    trivial = {OWL.Thing, RDFS.Resource}

    def told(s: object, p: object, o: object) -> bool:
        if s not in drawn.individuals or p not in links or (p == OWL.sameAs and s == o):
            return False
        if p == RDF.type:
            return isinstance(o, URIRef) and o not in trivial
        return o in drawn.individuals

    return {t for t in triples if told(*t)}
