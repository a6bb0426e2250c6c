"""What is handed over: the statements of each graph, as lines, in an order that never changes."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from hashlib import sha256
from itertools import groupby

import pyoxigraph as ox
from rdflib import BNode, URIRef
from rdflib.term import Node

from glost.answer.dataset import Contents, quads
from glost.record.terms import to_oxigraph

_ESCAPE = re.compile(r"\\\\([uU])|\\.")
_SPELT = {"u": r"\\\u0075", "U": r"\\\u0055"}


@dataclass(frozen=True)
class Plan:
    """What is handed over.

    Attributes
    ----------
    contents
        The dataset.
    believed
        Name of the graph that takes what is believed and what follows from it, the dataset's
        default graph; None for the default graph of the store.
    """

    contents: Contents
    believed: URIRef | None

    def graphs(self) -> Iterator[tuple[URIRef | None, list[str]]]:
        """Yield each graph with its statements as N-Triples, sorted, no two alike.

        Blank nodes are named under the collection's base (RDF 1.1 Concepts, section 3.5), so that
        one that is spoken of in two batches stays one. What SPARQL 1.1 (section 19.2) might take
        for the escape of a character is written so that it cannot be.
        """
        for name, statements in groupby(quads(self.contents), key=lambda quad: quad[3]):
            lines = {
                " ".join(self._word(term) for term in (subject, predicate, value)) + " ."
                for subject, predicate, value, _ in statements
            }
            yield self.believed if name is None else name, sorted(lines)

    @property
    def note(self) -> URIRef:
        """Name of the graph that notes in a store what was put there; see `noting`."""
        return URIRef(f"{self.contents.base}.well-known/handed-over")

    @property
    def named(self) -> set[URIRef]:
        """The named graphs, the note left out."""
        return {name for name in self.counts if name is not None}

    @cached_property
    def counts(self) -> dict[URIRef | None, int]:
        """How many statements each graph has."""
        return self._measured[0]

    @cached_property
    def digest(self) -> str:
        """A hash of everything that is handed over."""
        return self._measured[1]

    @cached_property
    def _measured(self) -> tuple[dict[URIRef | None, int], str]:
        counts: dict[URIRef | None, int] = {}
        digest = sha256()
        for name, lines in self.graphs():
            counts[name] = len(lines)
            digest.update(f"{name or ''}\n".encode())
            digest.update("\n".join(lines).encode())
        return counts, digest.hexdigest()

    def _word(self, term: Node) -> str:
        if isinstance(term, BNode):
            return str(ox.NamedNode(f"{self.contents.base}.well-known/genid/{term}"))
        return _ESCAPE.sub(lambda found: _SPELT.get(found[1], found[0]), str(to_oxigraph(term)))
