"""What the rows of an answer rest on, looked up in a store elsewhere.

The store holds each claim as a graph and says of each its source, passage and recorder; so the
claims that make a statement, and what they say, are found there. What follows from claims or was
calculated from them stands there too, but not from which: such statements are told as what they
are, and what they rest on is for the collection to tell. No claim is named that does not make a
statement under the row itself.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TYPE_CHECKING
from urllib.parse import unquote

import pyoxigraph as ox
from rdflib import Graph, URIRef
from rdflib.graph import ReadOnlyGraphAggregate
from rdflib.namespace import PROV, RDF

from glost.answer.evidence import DERIVED, Bindings, applies
from glost.answer.headers import Pattern
from glost.answer.store import from_store
from glost.data import vocabulary
from glost.names import GLOST
from glost.record.belief import Belief
from glost.record.claims import Claim, Origin, Triple
from glost.record.errors import RecordError
from glost.record.fitting import FittedStatements, Fitter
from glost.record.provenance import keeper_base
from glost.record.schemes import published
from glost.record.sequence import ClaimSequence
from glost.record.terms import Term
from glost.record.trig import Written
from glost.words.labels import Words

if TYPE_CHECKING:
    from glost.answer.remote import RemoteStore

_AT_ONCE = 100
"""Claims or statements asked about in one request."""
_GROUP = "glost_group"


class EvidenceAt:
    """Finds the claims that state what a row rests on, in a store elsewhere.

    Parameters
    ----------
    store
        The store.
    base
        Base IRI of the collection that it holds.
    """

    def __init__(self, store: "RemoteStore", base: str) -> None:
        self._store, self._record = store, str(ox.NamedNode(f"{base}record"))
        self._evidence = f"{base}evidence/"
        # By name: that a claim is one is inferred too, in a graph that knows of no withdrawal.
        self._believed = (
            f"GRAPH {self._record} {{ ?claim a glost:Claim }} FILTER NOT EXISTS "
            f"{{ GRAPH {self._record} {{ ?claim prov:wasInvalidatedBy ?by }} }}"
        )
        self._making: dict[ox.Triple, tuple[str, ...]] = {}
        self._claims: dict[str, Claim] = {}
        self._withdrawn: dict[str, str] = {}

    def claims(
        self, evidence: Iterable[tuple[Pattern, ...]], named: Iterable[str], row: Bindings
    ) -> tuple[Claim, ...]:
        """Return the claims under a row, sorted by IRI; see `glost.answer.evidence.Finder`."""
        found: set[str] = set()
        for triple in self._under(evidence, row):
            found.update(self._making[triple])
            if triple.predicate == DERIVED:
                found |= self._gathered(triple.object)
        given = (row.get(name) for name in named)
        found.update(each.value for each in given if isinstance(each, ox.NamedNode))
        self._fetch(found)
        return tuple(self._claims[iri] for iri in sorted(found) if iri in self._claims)

    def iris(
        self, evidence: Iterable[tuple[Pattern, ...]], named: Iterable[str], row: Bindings
    ) -> tuple[str, ...]:
        """Return the IRIs of the same, sorted."""
        return tuple(str(claim.iri) for claim in self.claims(evidence, named, row))

    def beyond(self, evidence: Iterable[tuple[Pattern, ...]], row: Bindings) -> tuple[Triple, ...]:
        """Return the statements under a row that no claim makes: what follows, and figures."""
        told = (
            each
            for each in self._under(evidence, row)
            if not self._making[each] and each.predicate != DERIVED
        )
        return tuple(sorted(map(_plain, told)))

    def making(self, triple: ox.Triple) -> set[str]:
        """Return the IRIs of the claims, of those believed, that make a statement themselves."""
        self._look([triple])
        return set(self._making[triple])

    def claim(self, iri: str) -> Claim:
        """Return a claim by its IRI.

        Raises
        ------
        KeyError
            If the store holds none of that IRI.
        """
        self._fetch([iri])
        return self._claims[iri]

    @property
    def belief(self) -> Belief:
        """What is known of the claims looked up so far: by which correction each was withdrawn."""
        withdrawn = {
            URIRef(iri): self._claims[by]
            for iri, by in self._withdrawn.items()
            if by in self._claims
        }
        return Belief(ClaimSequence.given(()), withdrawn, {}, None)

    # -- statements under a row --------------------------------------------------------------------

    def _under(self, evidence: Iterable[tuple[Pattern, ...]], row: Bindings) -> list[ox.Triple]:
        """Return the statements that take part in a match of a whole group of patterns."""
        groups = [group for group in evidence if applies(group, row)]
        written = [_written(group, row) for group in groups]
        parts = [
            f"{{ VALUES ?{_GROUP} {{ {number} }} {text} }}"
            for number, text in enumerate(written)
            if text
        ]
        if not parts:
            return []
        found: dict[ox.Triple, None] = {}
        for solution in self._rows(f"SELECT * {{ {' UNION '.join(parts)} }}"):
            group = groups[int(solution[_GROUP].value)]
            for pattern in group:
                terms = (_held(slot, row, solution) for slot in pattern)
                found[ox.Triple(*terms)] = None  # type: ignore[arg-type]
        self._look(found)
        return list(found)

    def _look(self, triples: Iterable[ox.Triple]) -> None:
        """Find the claims, of those believed, that make some statements."""
        wanted = [each for each in triples if each not in self._making]
        for begin in range(0, len(wanted), _AT_ONCE):
            some = wanted[begin : begin + _AT_ONCE]
            found: dict[ox.Triple, set[str]] = {each: set() for each in some}
            rows = " ".join(f"({each.subject} {each.predicate} {each.object})" for each in some
                            if not _nameless(each))  # fmt: skip
            for row in self._rows(
                f"SELECT DISTINCT ?s ?p ?o ?claim {{ VALUES (?s ?p ?o) {{ {rows} }} "
                f"GRAPH ?claim {{ ?s ?p ?o }} {self._believed} }}"
            ):
                found[ox.Triple(row["s"], row["p"], row["o"])].add(row["claim"].value)
            self._making |= {triple: tuple(sorted(by)) for triple, by in found.items()}

    def _gathered(self, evidence: Term | ox.Triple) -> set[str]:
        """Return the IRIs of evidence and of all that is gathered there, claims among them.

        It is looked up level by level, for stores differ on paths of any length.
        """
        found, wanted = set[str](), {str(getattr(evidence, "value", ""))}
        while wanted:
            found |= wanted
            some = sorted(each for each in wanted if each.startswith(self._evidence))
            wanted = {
                row["member"].value
                for begin in range(0, len(some), _AT_ONCE)
                for row in self._rows(
                    f"SELECT DISTINCT ?member {{ {_values(some[begin : begin + _AT_ONCE])} "
                    "?claim prov:hadMember ?member }"
                )
            } - found
        return found

    def _rows(self, query: str) -> Iterator[ox.QuerySolution]:
        found = self._store.query(query)
        if isinstance(found, ox.QuerySolutions):
            yield from found

    # -- claims ------------------------------------------------------------------------------------

    def _fetch(self, iris: Iterable[str]) -> None:
        """Look up claims, and the corrections that withdrew any of them."""
        wanted = sorted(set(iris) - self._claims.keys())
        for begin in range(0, len(wanted), _AT_ONCE):
            some = wanted[begin : begin + _AT_ONCE]
            described, said = self._described(some), self._said(some)
            for iri in some:
                made = _made(iri, described, said.get(iri, ()))
                self._claims |= {} if made is None else {iri: made}
            by = {iri: described.get(iri, {}).get(GLOST.withdrawnByClaim, []) for iri in some}
            self._withdrawn |= {iri: min(found) for iri, found in by.items() if found}
        gone = {by for iri, by in self._withdrawn.items() if iri in wanted}
        if gone - self._claims.keys() - set(wanted):
            self._fetch(gone)

    def _described(self, iris: Sequence[str]) -> dict[str, dict[URIRef, list[str]]]:
        """Return what the record says of claims, of the passages they rest on and of recorders."""
        found: dict[str, dict[URIRef, list[str]]] = defaultdict(lambda: defaultdict(list))
        to = "glost:restsOn|prov:wasAttributedTo|glost:restsOn/oa:hasSelector"
        for row in self._rows(
            f"SELECT DISTINCT ?node ?p ?o {{ {_values(iris)} GRAPH {self._record} {{ "
            f"{{ ?claim a glost:Claim . ?claim ?p ?o BIND(?claim AS ?node) }} UNION "
            f"{{ ?claim {to} ?node . ?node ?p ?o }} }} }}"
        ):
            found[row["node"].value][URIRef(row["p"].value)].append(row["o"].value)
        return found

    def _said(self, iris: Sequence[str]) -> dict[str, list[Triple]]:
        """Return the statements of claims, those too that were withdrawn by themselves."""
        found: dict[str, list[Triple]] = defaultdict(list)
        part = f"GRAPH {self._record} {{ ?part a glost:WithdrawnPart ; dcterms:isPartOf ?claim }}"
        for row in self._rows(
            f"SELECT DISTINCT ?claim ?s ?p ?o {{ {_values(iris)} "
            f"{{ GRAPH ?claim {{ ?s ?p ?o }} }} UNION {{ {part} GRAPH ?part {{ ?s ?p ?o }} }} }}"
        ):
            triple = ox.Triple(row["s"], row["p"], row["o"])
            found[row["claim"].value].append(_plain(triple))
        return found


def _values(iris: Iterable[str]) -> str:
    return f"VALUES ?claim {{ {' '.join(str(ox.NamedNode(iri)) for iri in iris)} }}"


def _nameless(triple: ox.Triple) -> bool:
    return any(isinstance(term, ox.BlankNode) for term in (triple.subject, triple.object))


def _plain(triple: ox.Triple) -> Triple:
    subject, predicate, value = (
        from_store(term) for term in (triple.subject, triple.predicate, triple.object)
    )
    return subject, predicate, value


def _written(group: tuple[Pattern, ...], row: Bindings) -> str:
    """Write patterns with what a row gives; empty if that cannot stand in its place."""
    lines = []
    for pattern in group:
        terms = [row.get(s.value) or s if isinstance(s, ox.Variable) else s for s in pattern]
        if isinstance(terms[0], ox.Literal) or any(isinstance(t, ox.BlankNode) for t in terms):
            return ""
        lines.append(" ".join(map(str, terms)))
    return " . ".join(lines)


def _held(
    slot: ox.Variable | ox.NamedNode, row: Bindings, solution: ox.QuerySolution
) -> Term | None:
    if isinstance(slot, ox.NamedNode):
        return slot
    return row.get(slot.value) or solution[slot.value]


def _made(
    iri: str, described: Mapping[str, dict[URIRef, list[str]]], statements: Iterable[Triple]
) -> Claim | None:
    """Make a claim of what a store says of it; None if it is no claim.

    Its statements come in the order of the columns of a row that would make them.
    """
    about = described.get(iri)
    if not about or str(GLOST.Claim) not in about.get(RDF.type, ()):
        return None
    given = tuple(sorted(statements))
    errors: list[RecordError] = []
    base = iri.rpartition("claim/")[0]
    fitter = Fitter(base, published())
    written = Written("", {iri: list(given)}, dict(described))
    for claim in written.claims(fitter, errors):
        fit = next(fitter.fits(given), None)
        told = given if fit is None else fit[0].statements(fit[1])
        return replace(
            claim,
            origin=_origin(min(about.get(PROV.wasDerivedFrom, [""])), keeper_base(claim)),
            expand=FittedStatements(told, fitter),
        )
    return None


def _origin(row: str, base: str) -> Origin:
    """Return the place in a file that a row's IRI names; see `glost.record.provenance.row_iri`."""
    file, _, number = row.removeprefix(base).partition("#row=")
    return Origin(unquote(file), int(number) if number.isdecimal() else 0)


# -- words -----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class SourcesAt:
    """What a store says of the sources that claims rest on, for citing them.

    Attributes
    ----------
    store
        The store.
    claims
        The claims.
    """

    store: "RemoteStore"
    claims: Sequence[Claim]

    @cached_property
    def graph(self) -> Graph:
        """Their descriptions, with those of sources that they repeat, and the vocabulary."""
        graph = Graph("SimpleMemory")
        sources = {str(claim.passage.source) for claim in self.claims}
        self._describe(sources, graph)
        others = {
            str(other)
            for property_ in (GLOST.repeats, GLOST.quotedIn)
            for other in graph.objects(None, property_)
        }
        self._describe(others - sources, graph)
        return ReadOnlyGraphAggregate([graph, vocabulary()])

    def _describe(self, sources: Iterable[str], graph: Graph) -> None:
        if not sources:
            return
        named = " ".join(str(ox.NamedNode(iri)) for iri in sorted(sources))
        found = self.store.query(f"SELECT ?s ?p ?o {{ VALUES ?s {{ {named} }} ?s ?p ?o }}")
        for row in found if isinstance(found, ox.QuerySolutions) else ():
            graph.add(_plain(ox.Triple(row["s"], row["p"], row["o"])))

    def named(self) -> set[str]:
        """Return the IRIs that the claims and what is said of their sources name."""
        terms = {term for claim in self.claims for each in claim.statements for term in each}
        terms |= {claim.passage.source for claim in self.claims}
        terms |= {claim.certainty for claim in self.claims if claim.certainty is not None}
        return {str(term) for term in terms if isinstance(term, URIRef)}


@dataclass(frozen=True)
class RemoteBasis:
    """What words of claims are made from, where there is no collection at hand.

    Attributes
    ----------
    base
        Base IRI of the collection.
    belief
        What is known of withdrawals.
    words
        What things are called.
    """

    base: str
    belief: Belief
    words: Words = field(repr=False)
