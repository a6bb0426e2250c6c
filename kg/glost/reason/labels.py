"""Readable, repeatable names for the classes and properties of a schema, nameless ones included."""

import re

from rdflib import BNode, Graph, Literal, URIRef
from rdflib.collection import Collection
from rdflib.namespace import OWL, RDF
from rdflib.term import Node

from glost.reason.rules import Atom, FactRule, Var

_CONSTRUCTS = (
    (OWL.intersectionOf, "and"),
    (OWL.unionOf, "or"),
    (OWL.oneOf, "one"),
)
_RESTRICTIONS = (
    (OWL.someValuesFrom, "some"),
    (OWL.allValuesFrom, "only"),
    (OWL.hasValue, "value"),
    (OWL.maxCardinality, "max"),
    (OWL.maxQualifiedCardinality, "max"),
)


class Labels:
    """Names built from local names: ``onShape``, ``some onShape Shape``, ``A and B``.

    Parameters
    ----------
    schema
        Where nameless classes are described.
    """

    def __init__(self, schema: Graph) -> None:
        self.schema = schema
        self._known: dict[Node, str] = {}

    def __call__(self, term: Node) -> str:
        """Return the name of a term."""
        found = self._known.get(term)
        if found is None:
            self._known[term] = "anonymous"  # a description that mentions itself
            found = self._known[term] = self._describe(term)
        return found

    def _describe(self, term: Node) -> str:
        if isinstance(term, URIRef):
            return re.split(r"[/#:]", str(term).rstrip("/#"))[-1] or str(term)
        if isinstance(term, Literal):
            return term.n3()
        schema = self.schema
        inner = schema.value(term, OWL.inverseOf)
        if inner is not None:
            return f"inverse {self(inner)}"
        complement = schema.value(term, OWL.complementOf)
        if complement is not None:
            return f"not {self(complement)}"
        for link, word in _CONSTRUCTS:
            head = schema.value(term, link)
            if head is not None:
                return f" {word} ".join(self(m) for m in Collection(schema, head))
        return self._restriction(term)

    def _restriction(self, term: Node) -> str:
        schema = self.schema
        on = schema.value(term, OWL.onProperty)
        if on is None:
            return "anonymous" if isinstance(term, BNode) else str(term)
        for link, word in _RESTRICTIONS:
            filler = schema.value(term, link)
            if filler is not None:
                qualified = schema.value(term, OWL.onClass)
                tail = f" {self(qualified)}" if qualified is not None else ""
                return f"{word} {self(on)} {self(filler)}{tail}"
        return f"anonymous {self(on)}"

    def atom(self, atom: Atom) -> str:
        """Return a pattern in words: ``?x a Shape``, ``?x onShape ?y``."""

        def word(t: Node | Var) -> str:
            return str(t) if isinstance(t, Var) else self(t)

        link = "a" if atom.p == RDF.type else word(atom.p)
        return f"{word(atom.s)} {link} {word(atom.o)}"

    def rule(self, rule: FactRule) -> str:
        """Return a rule in words: ``prp-dom: ?x onShape ?y -> ?x a Piece``."""
        body = ", ".join(self.atom(a) for a in rule.body)
        return f"{rule.name}: {body} -> {self.atom(rule.head) if rule.head else 'false'}"
