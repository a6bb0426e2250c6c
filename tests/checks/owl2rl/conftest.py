"""Small schemas and facts in Turtle, and what follows from them."""

import pytest
from rdflib import Graph

from glost.reason.closure import close

PREFIXES = """
@prefix : <https://example.org/rl/> .
@prefix owl: <http://www.w3.org/2002/07/owl#> .
@prefix rdf: <http://www.w3.org/1999/02/22-rdf-syntax-ns#> .
@prefix rdfs: <http://www.w3.org/2000/01/rdf-schema#> .
@prefix xsd: <http://www.w3.org/2001/XMLSchema#> .
"""


def graph(turtle: str) -> Graph:
    """Read Turtle without its prefixes."""
    return Graph().parse(data=PREFIXES + turtle, format="turtle")


class Says:
    """What a schema and facts, given in Turtle, say."""

    def __init__(self, schema: str, facts: str) -> None:
        self.closure = close(graph(facts), graph(schema))

    def entails(self, turtle: str) -> bool:
        """Whether every triple is inferred, and its proof names known rules."""
        inferred = set(self.closure.inferred)
        return all(t in inferred and t in self.closure for t in graph(turtle))

    def by(self, turtle: str) -> str:
        """Return the rule that concludes a triple in its proof."""
        (triple,) = graph(turtle)
        return self.closure.why(triple).rule

    @property
    def clashes(self) -> list[str]:
        """The rules that found a contradiction."""
        return [c.rule for c in self.closure.clashes]

    def clash_facts(self) -> set[tuple]:
        """Return the facts of the only clash."""
        (clash,) = self.closure.clashes
        return set(clash.facts)


@pytest.fixture
def says():
    """Return a maker of closures from Turtle."""
    return Says


@pytest.fixture
def turtle():
    """Return a reader of Turtle without prefixes."""
    return graph
