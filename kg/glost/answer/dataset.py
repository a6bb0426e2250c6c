"""The dataset that questions are put to and that exports write.

Default graph: what is now believed, what follows from it, what was reckoned, and the vocabulary.
Named graphs: one per claim, current or withdrawn; the record; what was inferred; what was
reckoned; the vocabulary.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from typing import TypeAlias

from rdflib import Dataset, Graph, Literal, URIRef
from rdflib.term import Node

from glost.names import GLOST, bind
from glost.record.claims import Claim, Triple

Quad: TypeAlias = tuple[Node, Node, Node, URIRef | None]
"""A statement and the graph it stands in; None is the default graph."""

VOCABULARY = URIRef(str(GLOST).rstrip("#"))
"""The graph that holds the vocabulary and its concept schemes."""


def no_reason(triple: Triple) -> tuple[Triple, ...]:
    """Give no reason for an inferred statement: what is used where none is known."""
    return ()


@dataclass(frozen=True)
class Contents:
    """What a dataset is made of.

    Attributes
    ----------
    base
        Base IRI of the collection, with its closing slash.
    claims
        Every claim, current or withdrawn.
    current
        IRIs of those that nobody has withdrawn.
    believed
        The union of the current claims' statements.
    record
        What the record says of the claims: sources, passages, attribution.
    inferred
        What follows from what is believed.
    reckoned
        What was reckoned: plain years, exact lengths.
    vocabulary
        The vocabulary and its concept schemes.
    why
        Gives the believed statements an inferred one rests on; none if that is not known.
    """

    base: str
    claims: tuple[Claim, ...]
    current: frozenset[URIRef]
    believed: Graph
    record: Graph = field(default_factory=Graph)
    inferred: Graph = field(default_factory=Graph)
    reckoned: Graph = field(default_factory=Graph)
    vocabulary: Graph = field(default_factory=Graph)
    why: Callable[[Triple], Iterable[Triple]] = no_reason

    @property
    def named(self) -> dict[URIRef, Graph]:
        """The graphs that are not claims, under their names."""
        return {
            URIRef(f"{self.base}inferred"): self.inferred,
            URIRef(f"{self.base}reckoned"): self.reckoned,
            URIRef(f"{self.base}record"): self.record,
            VOCABULARY: self.vocabulary,
        }


def quads(contents: Contents) -> Iterator[Quad]:
    """Yield every statement of the dataset with its graph, sorted, each once.

    The default graph comes first, then the named graphs by name. Terms are given as they were
    recorded, to the letter.
    """
    everything = set(contents.believed)
    for graph in (contents.inferred, contents.reckoned, contents.vocabulary):
        everything.update(graph)
    yield from _sorted(everything, None)
    claims = {claim.iri: claim for claim in contents.claims}
    named = contents.named
    for name in sorted({*claims, *named}):
        triples = claims[name].statements if name in claims else named[name]
        yield from _sorted(set(triples), name)


def dataset(contents: Contents) -> Dataset:
    """Return the dataset as rdflib holds it, for exports; literals are kept to the letter."""
    result = Dataset()
    bind(result)
    graphs: dict[URIRef | None, Graph] = {None: result.default_graph}
    for subject, predicate, value, name in quads(contents):
        if name not in graphs:
            graphs[name] = result.graph(name)
        graphs[name].add((subject, predicate, value))
    return result


def _sorted(triples: Iterable[Triple], name: URIRef | None) -> Iterator[Quad]:
    for triple in sorted(triples, key=_key):
        yield (*triple, name)


def _key(triple: Triple) -> str:
    """Return a text to sort by: subject, predicate, then objects, literals last."""
    subject, predicate, value = triple
    if isinstance(value, Literal):
        kind = value.language or value.datatype or ""
        return f"{subject}\x00{predicate}\x00\x02{value}\x00{kind}"
    return f"{subject}\x00{predicate}\x00{value}"
