"""The dataset that questions are put to and that exports write.

Default graph: what is now believed, what follows from it, what was reckoned, and the vocabulary.
Named graphs: one per claim, current or withdrawn, and one for each part that was withdrawn of a
claim that stands; the record; what was inferred; what was reckoned; the vocabulary.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property, partial
from typing import TYPE_CHECKING, TypeAlias

from rdflib import Dataset, Graph, Literal, URIRef
from rdflib.term import Node

from glost.names import GLOST, bind
from glost.record.claims import Claim, Triple

if TYPE_CHECKING:  # a process that answers queries has no use for all that comes with it
    from glost.record.belief import CorrectedPart

Quad: TypeAlias = tuple[Node, Node, Node, URIRef | None]
"""A statement and the graph it stands in; None is the default graph."""

VOCABULARY = URIRef(str(GLOST).rstrip("#"))
"""The graph that holds the vocabulary and its concept schemes."""


_HELD = ("inferred", "reckoned", "vocabulary")
"""The parts whose statements stand in the default graph too; the record speaks of claims."""


Why: TypeAlias = Callable[[Triple], Iterable[Triple]]
"""Gives the believed statements that an inferred or reckoned one rests on."""


def no_reason(triple: Triple) -> tuple[Triple, ...]:
    """Give no reason for an inferred statement: what is used where none is known."""
    return ()


Statements: TypeAlias = Callable[[], Iterable[Triple]]
"""Gives the statements of a part when they are needed; it may be asked more than once."""


def nothing() -> Iterable[Triple]:
    """Give no statements: a part that is empty."""
    return ()


@dataclass(frozen=True)
class Contents:
    """What a dataset is made of; each part is worked out when it is first asked for.

    Attributes
    ----------
    base
        Base IRI of the collection, with its closing slash.
    claims
        Every claim, current or withdrawn.
    current
        IRIs of those that nobody has withdrawn.
    parts
        By IRI of a claim, what was withdrawn of it by itself.
    about_claims
        What the record says of the claims: sources, passages, attribution.
    following
        What follows from what is believed.
    reckonings
        What was reckoned: plain years, exact lengths, bounds of dates.
    words
        The vocabulary and its concept schemes.
    why
        Gives the believed statements an inferred or reckoned one rests on; none if not known.
    """

    base: str
    claims: tuple[Claim, ...]
    current: frozenset[URIRef]
    parts: "Mapping[URIRef, tuple[CorrectedPart, ...]]" = field(default_factory=dict)
    about_claims: Statements = nothing
    following: Statements = nothing
    reckonings: Statements = nothing
    words: Statements = nothing
    why: Why = no_reason

    @cached_property
    def _by_iri(self) -> dict[str, Claim]:
        return {str(claim.iri): claim for claim in self.claims}

    def claim(self, iri: str) -> Claim | None:
        """Return a claim by its IRI; None if there is none."""
        return self._by_iri.get(iri)

    def believes(self, iri: str) -> bool:
        """Say whether a claim is believed, as a whole or but for what was withdrawn of it."""
        return URIRef(iri) in self.current

    @cached_property
    def believed(self) -> frozenset[Triple]:
        """The union of the current claims' statements."""
        return frozenset(s for name, told in self.said() if name in self.current for s in told)

    def said(self) -> Iterator[tuple[URIRef, tuple[Triple, ...]]]:
        """Yield the named graphs of the claims: what is left of each, and what was withdrawn."""
        for claim in self.claims:
            yield from said_by(claim, self.parts)

    @cached_property
    def record(self) -> frozenset[Triple]:
        """What the record says of the claims."""
        return frozenset(self.about_claims())

    @cached_property
    def inferred(self) -> frozenset[Triple]:
        """What follows from what is believed."""
        return frozenset(self.following())

    @cached_property
    def reckoned(self) -> frozenset[Triple]:
        """What was reckoned."""
        return frozenset(self.reckonings())

    @cached_property
    def vocabulary(self) -> frozenset[Triple]:
        """The vocabulary and its concept schemes."""
        return frozenset(self.words())

    @property
    def others(self) -> dict[str, Statements]:
        """What gives each part but the claims: the graphs' own names, and what fills them."""
        giving = {
            "inferred": self.following,
            "reckoned": self.reckonings,
            "record": self.about_claims,
            "vocabulary": self.words,
        }
        return {name: partial(self._part, name, gives) for name, gives in giving.items()}

    def _part(self, name: str, gives: Statements) -> Iterable[Triple]:
        """Give a part as it was worked out before, if it was; a set would take memory."""
        found: Iterable[Triple] | None = self.__dict__.get(name)
        return gives() if found is None else found

    @property
    def named(self) -> dict[URIRef, frozenset[Triple]]:
        """The graphs that are not claims, under their names."""
        return {name: getattr(self, part) for name, part in self.names.items()}

    @property
    def names(self) -> dict[URIRef, str]:
        """The names of the graphs that are not claims, each with the part it holds."""
        own = {URIRef(f"{self.base}{part}"): part for part in ("inferred", "reckoned", "record")}
        return {**own, VOCABULARY: "vocabulary"}


def said_by(
    claim: Claim, withdrawn: "Mapping[URIRef, tuple[CorrectedPart, ...]]"
) -> Iterator[tuple[URIRef, tuple[Triple, ...]]]:
    """Yield the named graphs of a claim: what is left of it, and each part withdrawn."""
    parts = withdrawn.get(claim.iri, ())
    gone = frozenset(triple for part in parts for triple in part.statements)
    yield claim.iri, tuple(t for t in claim.statements if t not in gone)
    for part in parts:
        yield part.iri, part.statements


def unsorted(contents: Contents, *, worded: bool = True) -> Iterator[Quad]:
    """Yield every statement of the dataset with its graph, in no order, some more than once.

    Nothing is gathered first, so it takes little memory whatever the size of the record.

    Parameters
    ----------
    contents
        What it is made of.
    worded
        Whether to yield the vocabulary too.
    """
    for graph, statements in contents.said():
        current = graph in contents.current
        for triple in statements:
            yield (*triple, graph)
            if current:
                yield (*triple, None)
    for name, part in contents.names.items():
        if worded or part != "vocabulary":
            for triple in contents.others[part]():
                yield (*triple, name)
                if part in _HELD:
                    yield (*triple, None)


def quads(contents: Contents) -> Iterator[Quad]:
    """Yield every statement of the dataset with its graph, sorted, each once.

    The default graph comes first, then the named graphs by name. Terms are given as they were
    recorded, to the letter.
    """
    everything = set(contents.believed)
    for part in _HELD:
        everything.update(getattr(contents, part))
    yield from _sorted(everything, None)
    named: dict[URIRef, Iterable[Triple]] = {**dict(contents.said()), **contents.named}
    for name in sorted(named):
        yield from _sorted(set(named[name]), name)


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
