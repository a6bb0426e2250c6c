"""Rules as data: what a rule is, and the rules of OWL 2 RL read from ``owl2rl.rules``."""

from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import NamedTuple

from rdflib import Literal
from rdflib.namespace import OWL, RDF, RDFS
from rdflib.term import Node

Triple = tuple[Node, Node, Node]


def reading_order(triple: Triple) -> tuple[str, ...]:
    """Return what to sort triples by: their terms as N-Triples writes them."""
    return tuple(term.n3() for term in triple)


_PREFIXES = {"owl": OWL, "rdf": RDF, "rdfs": RDFS}


@dataclass(frozen=True, slots=True, order=True)
class Var:
    """A variable of a rule, for instance ``?x``."""

    name: str

    def __str__(self) -> str:
        return f"?{self.name}"


Term = Node | Var


class Atom(NamedTuple):
    """A triple pattern; the property is always known, and so is the class after ``rdf:type``."""

    s: Term
    p: Term
    o: Term

    def variables(self) -> tuple[Var, ...]:
        """Return the variables, each once, in the order of subject and object."""
        return tuple(dict.fromkeys(t for t in (self.s, self.o) if isinstance(t, Var)))


@dataclass(frozen=True, slots=True)
class FactRule:
    """A rule about facts, specialised to one schema.

    Parameters
    ----------
    name
        The rule's name in the W3C tables, for instance ``prp-dom``.
    body
        The patterns that must hold; empty for a fact that the schema itself gives.
    head
        What follows, or ``None`` for a contradiction.
    source
        The triples of the schema that the rule was made from.
    """

    name: str
    body: tuple[Atom, ...]
    head: Atom | None
    source: tuple[Triple, ...] = ()

    @property
    def equates(self) -> bool:
        """Whether the rule concludes that two names mean the same thing."""
        return self.head is not None and self.head.p == OWL.sameAs


class RuleTemplate(NamedTuple):
    """One line of ``owl2rl.rules``: patterns are tuples of words not yet resolved."""

    name: str
    schema: tuple[tuple[Term | str, ...], ...]
    body: tuple[tuple[Term | str, ...], ...]
    head: Atom | None


def _term(word: str) -> Term | str:
    if word.startswith("?"):
        return Var(word[1:])
    if word.isdigit():
        return Literal(int(word))
    prefix, colon, local = word.partition(":")
    return _PREFIXES[prefix][local] if colon else word


def _patterns(text: str) -> tuple[tuple[Term | str, ...], ...]:
    return tuple(
        tuple(_term(word) for word in part.split()) for part in text.split(" . ") if part.strip()
    )


@cache
def templates() -> tuple[RuleTemplate, ...]:
    """Return the rules of OWL 2 RL in the order of the W3C tables.

    Returns
    -------
    tuple of Template
        One for each line of ``owl2rl.rules``.

    References
    ----------
    W3C, *OWL 2 Web Ontology Language Profiles (Second Edition)*, section 4.3, tables 4 to 7.
    """
    found = []
    text = files(__package__).joinpath("owl2rl.rules").read_text(encoding="utf-8")
    for line in text.splitlines():
        if not line.strip() or line.startswith("#"):
            continue
        name, schema, rule = (part.strip() for part in line.split("|"))
        body, _, head = (part.strip() for part in rule.partition("=>"))
        concluded = None if head == "false" else Atom(*_patterns(head)[0])  # type: ignore[arg-type]
        found.append(RuleTemplate(name, _patterns(schema), _patterns(body), concluded))
    return tuple(found)
