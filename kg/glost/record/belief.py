"""What is believed on a day: the statements recorded by then and not withdrawn by then."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property, partial
from graphlib import CycleError, TopologicalSorter
from typing import TYPE_CHECKING, NamedTuple

from rdflib import Graph, URIRef
from rdflib.graph import ReadOnlyGraphAggregate
from rdflib.namespace import RDF
from rdflib.term import Node

from glost.data import vocabulary
from glost.names import DATED, GLOST
from glost.record.claims import Claim, Triple
from glost.record.index import ClaimIndex

# Columns of claims are imported where there are any: what is kept in a store needs none.
if TYPE_CHECKING:
    from glost.record.columns import StatementTable
    from glost.record.dates import Edtf, Margin
    from glost.record.sequence import ClaimSequence


@dataclass(frozen=True, slots=True)
class CorrectedPart:
    """What a correction withdraws of a claim that otherwise stands.

    Attributes
    ----------
    claim
        IRI of the claim.
    correction
        The correction.
    statements
        The statements withdrawn, in the order of the claim's.
    """

    claim: URIRef
    correction: Claim
    statements: tuple[Triple, ...]

    @property
    def iri(self) -> URIRef:
        """Name of the graph that holds the statements withdrawn."""
        return URIRef(f"{self.claim}#withdrawn-{self.correction.id}")


@dataclass(frozen=True, slots=True)
class Correcting:
    """What a correction says.

    Attributes
    ----------
    withdraws
        IRIs of the claims it withdraws, or of which it withdraws a part.
    columns
        The columns whose statements it withdraws; none for the whole of each claim.
    replaced_by
        IRIs of the claims it puts in their place.
    """

    withdraws: tuple[URIRef, ...]
    columns: tuple[str, ...]
    replaced_by: tuple[URIRef, ...]


@dataclass(frozen=True)
class Belief:
    """The statements that hold on a day, and the claims that make them.

    Attributes
    ----------
    claims
        The claims nobody has withdrawn, by IRI; each makes only those of its statements that
        nobody has withdrawn.
    withdrawn
        Each withdrawn claim's IRI, with the correction that withdraws it. What a correction put in
        place of another falls with it.
    parts
        Each IRI of a claim of which some statements are withdrawn by themselves, with what each
        correction withdraws, in the order in which they were recorded.
    replaced
        Each replacing claim's IRI, with the IRIs of the claims it replaces.
    as_of
        The last day taken into account, inclusive; None for all there is.
    """

    claims: "ClaimSequence"
    withdrawn: Mapping[URIRef, Claim]
    replaced: Mapping[URIRef, tuple[URIRef, ...]]
    as_of: date | None
    parts: Mapping[URIRef, tuple[CorrectedPart, ...]] = field(default_factory=dict)

    def statements(self) -> Iterator[Triple]:
        """Yield what the claims say, claim by claim; what two claims say comes twice."""
        for claim in self.claims:
            yield from claim.statements

    def kept(self, claim: Claim) -> tuple[Triple, ...]:
        """Return what a claim says less what was withdrawn of it by itself."""
        gone = {each for part in self.parts.get(claim.iri, ()) for each in part.statements}
        return tuple(each for each in claim.statements if each not in gone)

    def against(self, claim: URIRef, statement: Triple) -> Claim | None:
        """Return the correction that withdraws a statement of a claim; None if it stands."""
        for part in self.parts.get(claim, ()):
            if statement in part.statements:
                return part.correction
        return self.withdrawn.get(claim)

    @cached_property
    def index(self) -> ClaimIndex:
        """What the claims state, and which of them state it. Shared: only `patching` changes it."""
        return ClaimIndex(self.claims)

    @cached_property
    def graph(self) -> Graph:
        """The union of the claims' statements. Shared: treat it as read-only."""
        return self.index.graph

    @cached_property
    def worded(self) -> Graph:
        """The same with the vocabulary, which has the names of things. Shared: read-only."""
        return ReadOnlyGraphAggregate([self.graph, vocabulary()])

    def rests_on(self, statement: Triple) -> tuple[Claim, ...]:
        """Return the claims that make this very statement."""
        return self.index.rests_on(statement)

    def table(self, properties: frozenset[str]) -> "StatementTable":
        """Return the statements of some properties, by IRI, as columns."""
        from glost.record.columns import StatementTable, columns

        return StatementTable(self.claims, columns(self.claims, properties))

    def among(self, *tables: str) -> "Belief":
        """Return what rows of some tables and claims that are no rows say: a smaller index."""
        return Belief(self.claims.of_tables(*tables), {}, {}, None)

    def bearing(self, iri: URIRef) -> tuple[Claim, ...]:
        """Return the claim of an IRI, if it is believed."""
        found = self.claims.at(iri)
        return () if found is None else (found,)

    def about(self, thing: str) -> tuple[Claim, ...]:
        """Return the claims with a statement whose subject is the thing or part of its life."""
        return self.index.making(self.index.of(str(thing).partition("#")[0]))

    def mentions(self, thing: URIRef) -> tuple[Claim, ...]:
        """Return the claims with a statement whose object is the thing."""
        naming = self.index.to(str(thing).partition("#")[0])
        return self.index.making(each for each in naming if each[2] == thing)

    # -- what everything above looks up, the same in memory and in a store -----------------------

    def things(self, kind: URIRef) -> tuple[URIRef, ...]:
        """Return what is said to be of a class, sorted."""
        return self.having(RDF.type, kind)

    def having(self, property_: URIRef, value: Node | None = None) -> tuple[URIRef, ...]:
        """Return what has a value for a property, any value if None is named, sorted."""
        return iris(self.graph.subjects(property_, value))

    def values(self, subject: Node | None, property_: URIRef) -> list[Node]:
        """Return what claims give as a property of a thing, or of all, each once, by text."""
        return sorted(set(self.graph.objects(subject, property_)), key=str)

    def named(self, subject: Node | None, property_: URIRef) -> tuple[URIRef, ...]:
        """Return the things that claims give as a property of a thing, or of all, sorted."""
        return iris(self.graph.objects(subject, property_))

    def texts(self, subject: Node, property_: URIRef) -> tuple[str, ...]:
        """Return what claims give as a property of a thing as texts, each once, sorted."""
        return tuple(sorted({str(value) for value in self.graph.objects(subject, property_)}))

    def pairs(self, property_: URIRef) -> list[tuple[Node, Node]]:
        """Return each thing with each of its values for a property, sorted."""
        return sorted(self.graph.subject_objects(property_), key=repr)

    def text(self, subject: Node, property_: URIRef) -> str:
        """Return the first of the texts that claims give as a property; empty if there is none."""
        return min(map(str, self.graph.objects(subject, property_)), default="")

    def said(self, subject: Node, property_: URIRef) -> list[tuple[Node, tuple[Claim, ...]]]:
        """Return each value that claims give as a property of a thing, with these claims."""
        return [
            (value, self.rests_on((subject, property_, value)))
            for value in self.values(subject, property_)
        ]

    def dates(self, subject: Node, margin: "Margin") -> "list[GivenDate]":
        """Return the dates that claims give for a thing or a point of its life, read, by text."""
        from glost.record.dates import DateError, read

        found = []
        for value, claims in (each for verb in sorted(DATED) for each in self.said(subject, verb)):
            try:
                found.append(GivenDate(value, read(str(value), margin), claims))
            except DateError:  # TriG may hold any text
                continue
        return found

    def saying(self, subject: Node, *properties: URIRef) -> tuple[Claim, ...]:
        """Return the claims that give a thing a value for some properties, in that order."""
        told = (self.said(subject, each) for each in properties)
        return tuple(dict.fromkeys(c for values in told for _, claims in values for c in claims))

    def supporting(self, statements: Iterable[Triple]) -> tuple[Claim, ...]:
        """Return the claims that make any of some statements, each once, in their order."""
        return tuple(dict.fromkeys(c for each in statements for c in self.rests_on(each)))


class GivenDate(NamedTuple):
    """A date that claims give: the term, the date read, and the claims."""

    value: Node
    date: "Edtf"
    claims: tuple[Claim, ...]


def iris(nodes: Iterable[Node | None]) -> tuple[URIRef, ...]:
    """Return those of some nodes that have an IRI, sorted, each once."""
    return tuple(sorted({node for node in nodes if isinstance(node, URIRef)}))


def believe(claims: Iterable[Claim], as_of: date | None = None) -> Belief:
    """Work out what is believed on a day.

    A correction withdraws a claim, or what some of its columns say, as long as it is not itself
    withdrawn; corrections of corrections are followed to the end. What a correction puts in place
    of another claim falls with the correction, unless another correction puts it there too or it
    was recorded on an earlier day and so stood by itself.

    Parameters
    ----------
    claims
        All claims of the record. They must be free of rings of corrections (`rings`).
    as_of
        The last day taken into account, inclusive. A claim that does not say when it was recorded
        is taken to have been there always. None takes everything.
    """
    from glost.record.sequence import ClaimSequence

    day = as_of.isoformat() if as_of else ""
    there = ClaimSequence.given(claims)
    if day:
        there = there.until(day)
    corrections = corrections_among(there)
    fallen = _fallen(there, corrections)
    standing = {c: says for c, says in corrections.items() if c.iri not in fallen}
    parts = _parts(there, standing, fallen)
    replaced: dict[URIRef, list[URIRef]] = defaultdict(list)
    for says in standing.values():
        for claim in says.replaced_by:
            replaced[claim].extend(says.withdraws)
    belief = Belief(
        claims=there.without(fallen) if fallen else there,
        withdrawn={claim.iri: fallen[claim.iri] for claim in there.only(fallen)},
        replaced={claim: tuple(sorted(set(old))) for claim, old in sorted(replaced.items())},
        as_of=as_of,
        parts=parts,
    )
    if not parts:
        return belief
    less = [
        replace(claim, expand=partial(tuple, belief.kept(claim)))
        for claim in belief.claims.only(parts)
    ]
    return replace(belief, claims=belief.claims.with_instead(less))


def corrections_among(claims: Iterable[Claim]) -> dict[Claim, Correcting]:
    """Find the corrections among claims, with what each says, in the order of recording."""
    from glost.record.sequence import ClaimSequence

    found = {}
    for claim in ClaimSequence.given(claims).of_tables("corrections"):
        said: dict[Node, list[Node]] = defaultdict(list)
        for _, predicate, value in claim.statements:
            said[predicate].append(value)
        old, new = (
            tuple(value for value in said[each] if isinstance(value, URIRef))
            for each in (GLOST.withdraws, GLOST.replacedBy)
        )
        if old:
            found[claim] = Correcting(old, tuple(map(str, said[GLOST.withdrawsColumn])), new)
    return dict(sorted(found.items(), key=lambda item: (item[0].recorded_on, item[0].iri)))


def rings(claims: Iterable[Claim]) -> list[tuple[Claim, ...]]:
    """Find corrections of which each stands or falls by the next; none of them could then hold."""
    corrections = corrections_among(claims)
    bearing = _bearing(corrections)
    with suppress(CycleError):
        TopologicalSorter(bearing).prepare()
        return []
    import networkx as nx  # takes long to import, and hardly any collection needs it

    by_iri = {claim.iri: claim for claim in corrections}
    graph: nx.DiGraph[URIRef] = nx.DiGraph(
        [(one, other) for other, ones in bearing.items() for one in ones]
    )
    graph = graph.subgraph(by_iri)
    found = [
        sorted(ring)
        for ring in nx.strongly_connected_components(graph)
        if len(ring) > 1 or graph.has_edge(*ring, *ring)
    ]
    return [tuple(by_iri[iri] for iri in ring) for ring in sorted(found)]


def _bearing(corrections: Mapping[Claim, Correcting]) -> dict[URIRef, set[URIRef]]:
    """Tie each claim to the corrections by which it stands or falls."""
    bearing: dict[URIRef, set[URIRef]] = {correction.iri: set() for correction in corrections}
    for correction, says in corrections.items():
        for target in (*says.replaced_by, *(() if says.columns else says.withdraws)):
            bearing.setdefault(target, set()).add(correction.iri)
    return bearing


def _fallen(there: "ClaimSequence", corrections: Mapping[Claim, Correcting]) -> dict[URIRef, Claim]:
    """Find the claims withdrawn as a whole, each with the first correction that does it."""
    if not corrections:
        return {}
    against: dict[URIRef, list[Claim]] = defaultdict(list)
    placing: dict[URIRef, list[Claim]] = defaultdict(list)
    for correction, says in corrections.items():
        for claim in () if says.columns else says.withdraws:
            against[claim].append(correction)
        for claim in says.replaced_by:
            placing[claim].append(correction)
    recorded = {claim.iri: claim.recorded_on for claim in there.only(placing)}
    fallen: dict[URIRef, Claim] = {}
    for iri in TopologicalSorter(_bearing(corrections)).static_order():
        by = next((c for c in against.get(iri, ()) if c.iri not in fallen), None)
        if by is None and all(
            c.iri in fallen and recorded.get(iri, "") >= c.recorded_on for c in placing[iri]
        ):
            by = next((fallen[c.iri] for c in placing[iri]), None)
        if by is not None:
            fallen[iri] = by
    return fallen


def _parts(
    there: "ClaimSequence", standing: Mapping[Claim, Correcting], fallen: dict[URIRef, Claim]
) -> dict[URIRef, tuple[CorrectedPart, ...]]:
    """Find what is withdrawn of claims column by column.

    A claim of which nothing is left is added to `fallen`, with the correction that took the last.
    """
    against: dict[URIRef, list[tuple[Claim, tuple[str, ...]]]] = defaultdict(list)
    for correction, says in standing.items():
        for iri in says.withdraws if says.columns else ():
            against[iri].append((correction, says.columns))
    found = {}
    for claim in there.only(against):
        parts = list(_withdrawn(claim, against[claim.iri]))
        left = set(claim.statements).difference(*(part.statements for part in parts))
        if parts and not left:
            fallen.setdefault(claim.iri, parts.pop().correction)
        if parts:
            found[claim.iri] = tuple(parts)
    return found


def _withdrawn(
    claim: Claim, against: Collection[tuple[Claim, tuple[str, ...]]]
) -> Iterator[CorrectedPart]:
    """Yield what each correction withdraws of a claim, beyond what those before it did."""
    from glost.record.fitting import row_of
    from glost.record.rows import without

    row = row_of(claim)
    if row is None:
        return
    expander, values = row
    left = expander.statements(values)
    for correction, columns in against:
        values = without(values, columns)
        kept = frozenset(expander.statements(values))
        gone = tuple(each for each in left if each not in kept)
        left = tuple(each for each in left if each in kept)
        if gone:
            yield CorrectedPart(claim.iri, correction, gone)
