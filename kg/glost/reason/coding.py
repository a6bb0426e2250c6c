"""Whole numbers for terms: the closure is reckoned over numbers, and told in terms.

Names and blank nodes have codes from 0 up, literals codes below 0, so that SQL can tell them apart.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray
from rdflib import Literal
from rdflib.term import Node

from glost.reason.rules import Triple

Codes = NDArray[np.int32]
Fact = tuple[int, int, int]
"""A triple in codes: subject, property, object."""


class Dictionary(Protocol):
    """What gives terms their codes, and codes their terms."""

    def code(self, term: Node) -> int:
        """Return the code of a term, giving it one if it has none."""

    def term(self, code: int) -> Node:
        """Return the term of a code."""


class Terms:
    """A dictionary of rdflib terms in memory."""

    def __init__(self) -> None:
        self._codes: dict[Node, int] = {}
        self._names: list[Node] = []
        self._literals: list[Node] = []

    def code(self, term: Node) -> int:
        """Return the code of a term, giving it one if it has none."""
        known = self._codes.get(term)
        if known is not None:
            return known
        if isinstance(term, Literal):
            self._literals.append(term)
            known = -len(self._literals)
        else:
            known = len(self._names)
            self._names.append(term)
        self._codes[term] = known
        return known

    def term(self, code: int) -> Node:
        """Return the term of a code."""
        return self._names[code] if code >= 0 else self._literals[-code - 1]

    @property
    def all(self) -> tuple[list[Node], list[Node]]:
        """The names and blank nodes in the order of their codes, and the literals in theirs."""
        return self._names, self._literals

    @classmethod
    def of(cls, names: list[Node], literals: list[Node]) -> "Terms":
        """Return the dictionary that has these terms in this order; see `all`."""
        made = cls()
        made._names, made._literals = names, literals
        made._codes = dict(zip(names, range(len(names)), strict=True))
        made._codes.update((term, -1 - at) for at, term in enumerate(literals))
        return made


@dataclass(frozen=True, slots=True)
class Quads:
    """Facts in codes, column by column.

    Parameters
    ----------
    s, p, o
        Subject, property and object of each row.
    g
        Gives the graph (the claim) of each row, -1 for the default graph; ``None`` where graphs
        were not kept.  Rows that differ only in their graph are one fact.
    terms
        What the codes mean.
    """

    s: Codes
    p: Codes
    o: Codes
    g: Callable[[], Codes] | None
    terms: Dictionary


def encode(facts: Iterable[Triple]) -> Quads:
    """Give codes to rdflib triples.

    Parameters
    ----------
    facts
        Triples; one that is there twice counts once.

    Returns
    -------
    Quads
        Without graphs.
    """
    terms = Terms()
    rows = [tuple(terms.code(t) for t in fact) for fact in dict.fromkeys(facts)]
    columns = np.array(rows, dtype=np.int32).reshape(-1, 3)
    s, p, o = (np.ascontiguousarray(columns[:, i]) for i in range(3))
    return Quads(s, p, o, None, terms)
