"""Whole numbers for terms: the closure is reckoned over numbers, and told in terms.

Names and blank nodes have codes from 0 up, literals codes below 0, so that SQL can tell them apart.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

import numpy as np
from numpy.typing import NDArray
from rdflib import Literal, URIRef
from rdflib.term import Node

if TYPE_CHECKING:  # few facts are given as columns
    import polars as pl

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
    """Facts in codes, column by column, each once.

    Parameters
    ----------
    s, p, o
        Subject, property and object of each row.
    terms
        What the codes mean.
    """

    s: Codes
    p: Codes
    o: Codes
    terms: Dictionary


def encode(facts: Iterable[Triple], known: Quads | None = None) -> Quads:
    """Give codes to rdflib triples.

    Parameters
    ----------
    facts
        Triples; one that is there twice counts once.
    known
        Facts that `encode` gave codes to, to which these are added; it is not changed.

    Returns
    -------
    Quads
        Each fact once.
    """
    terms, rows = Terms(), dict[tuple[int, ...], None]()
    if known is not None:
        assert isinstance(known.terms, Terms)
        names, literals = known.terms.all
        terms = Terms.of([*names], [*literals])
        rows = dict.fromkeys(zip(known.s.tolist(), known.p.tolist(), known.o.tolist(), strict=True))
    code = terms.code
    rows.update(dict.fromkeys((code(s), code(p), code(o)) for s, p, o in facts))
    columns = np.array(list(rows), dtype=np.int32).reshape(-1, 3)
    s, p, o = (np.ascontiguousarray(columns[:, i]) for i in range(3))
    return Quads(s, p, o, terms)


def encode_columns(said: "Iterable[tuple[str, pl.DataFrame]]", more: Iterable[Triple]) -> Quads:
    """Give codes to very many statements that are columns, without making a term for each.

    Parameters
    ----------
    said
        Properties, by IRI, with statements of each, as `glost.record.columns` has them.
    more
        Other triples.

    Returns
    -------
    Quads
        The same, but for the codes, as `encode` gives.
    """
    import polars as pl

    is_name = pl.col("literal").is_null()
    of_property: dict[str, list[pl.DataFrame]] = defaultdict(list)
    for name, frame in said:
        of_property[name].append(frame.select("subject", "object", "literal"))
    frames = [(name, pl.concat(of_property.pop(name))) for name in sorted(of_property)]
    named = [pl.Series([name for name, _ in frames], dtype=pl.String)]
    literal = [pl.DataFrame(schema=dict.fromkeys(("object", "literal"), pl.String))]
    for _, frame in frames:
        named += [frame["subject"].unique(), frame.filter(is_name)["object"].unique()]
        literal.append(frame.filter(~is_name).select("object", "literal").unique())
    names = pl.concat([each.alias("term") for each in named]).unique().sort()
    literals = pl.concat(literal).unique().sort("object", "literal")
    del named, literal
    code = pl.DataFrame(
        {"term": names, "code": pl.int_range(len(names), dtype=pl.Int32, eager=True)}
    )
    below = pl.int_range(-1, -1 - literals.height, -1, dtype=pl.Int32, eager=True)
    value = literals.with_columns(below.alias("said"))
    whole = [pl.DataFrame(schema=dict.fromkeys("spo", pl.Int32))]
    while frames:  # one property at a time, for texts take many times what numbers take
        name, frame = frames.pop()
        coded = (
            frame.join(code.rename({"term": "subject", "code": "s"}), on="subject")
            .join(code.rename({"term": "object", "code": "named"}), on="object", how="left")
            .join(value, on=["object", "literal"], how="left")
        )
        p = pl.lit(names.search_sorted(name), pl.Int32).alias("p")
        value_of = pl.when(is_name).then("named").otherwise("said").alias("o")
        whole.append(coded.select("s", p, value_of))
    del code, value
    terms = Terms.of(
        list(map(URIRef, names)), [_literal(text, kind) for text, kind in literals.iter_rows()]
    )
    others = [tuple(terms.code(term) for term in fact) for fact in sorted(set(more))]
    whole.append(pl.DataFrame(others, schema=whole[0].schema, orient="row"))
    facts = pl.concat(whole).unique().sort("s", "p", "o")
    subjects, verbs, objects = (np.ascontiguousarray(facts[name].to_numpy()) for name in "spo")
    return Quads(subjects, verbs, objects, terms)


def _literal(text: str, kind: str) -> Literal:
    """Return the literal that a column of statements has; `kind` as Turtle writes it behind it."""
    if kind.startswith("@"):
        return Literal(text, lang=kind[1:])
    datatype = URIRef(kind[2:]) if kind.startswith("^^") else None
    return Literal(text, datatype=datatype, normalize=False)
