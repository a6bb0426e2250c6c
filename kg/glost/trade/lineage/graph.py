"""Copies, redesigns, sharing, designers, successions, likeness, substitution: one graph."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from rdflib import Graph, URIRef
from rdflib.namespace import RDF
from rdflib.term import Node

from glost.names import GLOST
from glost.record.belief import Belief
from glost.record.claims import Claim, Triple
from glost.trade.lineage.relations import LineageRelation, relations
from glost.words.labels import label

if TYPE_CHECKING:
    import networkx as nx

_MAKER = (
    GLOST.madeBy,
    GLOST.issuedBy,
    GLOST.printedBy,
    GLOST.operatedBy,
    GLOST.usedBy,
    GLOST.inPlant,
)
_SAID_PLAINLY = 3.5
"""Where a claim that gives no certainty ranks: below ``certain`` (4), above ``probable`` (3)."""


@dataclass(frozen=True, slots=True)
class LineageLink:
    """A tie between two things, and the claims that say so.

    Attributes
    ----------
    earlier, later
        The model and its copy, the person and the work, what was there and what came instead; of
        a tie without direction, in the order of their IRIs.
    relation
        What kind of tie.
    statements
        The statements that say it.
    claims
        The claims that make them, sorted by file, row and IRI.
    certainty
        That of the surest claim, ``certain`` to ``doubtful``; empty if the surest says nothing.
    role
        What a person was to the work: ``designer``; empty for other ties.
    """

    earlier: URIRef
    later: URIRef
    relation: LineageRelation
    statements: tuple[Triple, ...]
    claims: tuple[Claim, ...]
    certainty: str
    role: str = ""

    @property
    def sure(self) -> bool:
        """Whether some claim says it without calling it merely possible or doubtful."""
        return self.certainty in ("", "certain", "probable")

    def other(self, thing: URIRef) -> URIRef:
        """Return the thing at the other end."""
        return self.earlier if thing == self.later else self.later

    def seen_from(self, thing: URIRef) -> str:
        """Return the words for it seen from one of its ends: ``copied from``, ``designer``."""
        if self.role:
            return f"{self.role} of" if thing == self.earlier else f"has as {self.role}"
        return self.relation.said_back if thing == self.earlier else self.relation.says


@dataclass(frozen=True)
class Lineage:
    """The graph of a record's lineage.

    Attributes
    ----------
    graph
        Nodes are IRIs, with ``name``, ``kind`` and ``maker`` (IRIs, sorted). Edges go from the
        earlier thing to the later and are keyed by relation (and role), each with its
        `LineageLink` as ``link``. Shared: treat it as read-only.
    belief
        What it was made from.
    words
        What is believed, with the vocabulary, for wording.
    """

    graph: "nx.MultiDiGraph[URIRef]"
    belief: Belief
    words: Graph

    @cached_property
    def links(self) -> tuple[LineageLink, ...]:
        """Every tie, in the order of earlier thing, later thing and relation."""
        edges: Iterable[tuple[URIRef, URIRef, str, LineageLink]] = self.graph.edges(
            keys=True, data="link"
        )
        return tuple(edge[3] for edge in sorted(edges, key=lambda edge: edge[:3]))

    @cached_property
    def things(self) -> tuple[URIRef, ...]:
        """Every thing that has a tie, in the order of IRIs."""
        return tuple(sorted(self.graph))

    def of(self, thing: URIRef) -> tuple[LineageLink, ...]:
        """Return the ties of one thing."""
        return tuple(link for link in self.links if thing in (link.earlier, link.later))

    def name(self, thing: URIRef) -> str:
        """Return what a thing is called."""
        return label(thing, self.words)

    def kind(self, thing: URIRef) -> str:
        """Return the kind of a thing: ``shape``."""
        return _kind(thing, self.belief.graph)

    def maker(self, thing: URIRef) -> tuple[URIRef, ...]:
        """Return who made, issued, printed or ran it, as far as claims say."""
        return makers(self.belief.graph, thing)

    def among(self, things: Iterable[URIRef]) -> "Lineage":
        """Return the part of the graph that lies among some things."""
        return Lineage(self.graph.subgraph(list(things)).copy(), self.belief, self.words)


def makers(facts: Graph, thing: URIRef) -> tuple[URIRef, ...]:
    """Return who made, issued, printed or ran a thing; a kiln is its plant's pottery's."""
    found = set()
    for property_ in _MAKER:
        for maker in facts.objects(thing, property_):
            if not isinstance(maker, URIRef):
                continue
            if property_ == GLOST.inPlant:
                found |= set(makers(facts, maker))
            else:
                found.add(maker)
    return tuple(sorted(found))


def lineage(belief: Belief, among: frozenset[URIRef] | None = None) -> Lineage:
    """Make the graph of lineage from what is believed.

    Parameters
    ----------
    belief
        What is believed; a tie that only withdrawn claims make is not in the graph.
    among
        The things between which ties are looked for; None for all.

    Returns
    -------
    Lineage
        With every thing that has a tie. Only stated ties are in it, each with its claims.
    """
    words = belief.worded
    import networkx as nx  # takes long to import

    graph: nx.MultiDiGraph[URIRef] = nx.MultiDiGraph()
    links = sorted(
        _links(belief, words, among), key=lambda link: (link.earlier, link.later, _key(link))
    )
    for thing in sorted({end for link in links for end in (link.earlier, link.later)}):
        graph.add_node(
            thing,
            name=label(thing, words),
            kind=_kind(thing, belief.graph),
            maker=makers(belief.graph, thing),
        )
    for link in links:
        graph.add_edge(link.earlier, link.later, key=_key(link), link=link)
    return Lineage(graph, belief, words)


def _key(link: LineageLink) -> str:
    return f"{link.relation.key} {link.role}".strip()


def _kind(thing: URIRef, facts: Graph) -> str:
    kinds = sorted(str(kind).rsplit("#", 1)[-1] for kind in facts.objects(thing, RDF.type))
    return kinds[0].lower() if kinds else str(thing).rsplit("/", 2)[-2]


def tie(belief: Belief, earlier: URIRef, later: URIRef, relation: LineageRelation) -> LineageLink:
    """Return the tie of a kind of descent between two things."""
    statements = [(later, relation.predicate, earlier)]
    return _link(belief, belief.worded, earlier, later, relation, statements)


def _links(belief: Belief, words: Graph, among: frozenset[URIRef] | None) -> Iterator[LineageLink]:
    said: dict[tuple[URIRef, URIRef, str, str], list[Triple]] = {}
    for relation in relations().values():
        for later, earlier, statement in _stated(belief.graph, relation):
            if among is not None and not among >= {later, earlier}:
                continue
            role = _role(statement[0], belief.graph, words) if relation.key == "work" else ""
            if relation.mutual:
                earlier, later = sorted((earlier, later))
            said.setdefault((earlier, later, relation.key, role), []).append(statement)
    for (earlier, later, key, role), statements in said.items():
        yield _link(belief, words, earlier, later, relations()[key], statements, role)


def _link(
    belief: Belief, words: Graph, earlier: URIRef, later: URIRef, relation: LineageRelation,
    statements: Iterable[Triple], role: str = "",
) -> LineageLink:  # fmt: skip
    claims = {claim for each in statements for claim in belief.rests_on(each)}
    ordered = tuple(sorted(claims, key=lambda c: (c.origin.file, c.origin.row, c.iri)))
    told, certainty = tuple(sorted(statements, key=repr)), _surest(ordered, words)
    return LineageLink(earlier, later, relation, told, ordered, certainty, role)


def _stated(facts: Graph, relation: LineageRelation) -> Iterator[tuple[URIRef, URIRef, Triple]]:
    """Find the later thing, the earlier thing and the statement of each tie of a kind."""
    for subject, value in facts.subject_objects(relation.predicate):
        if not (isinstance(subject, URIRef) and isinstance(value, URIRef)):
            continue
        statement = (subject, relation.predicate, value)
        if relation.through is None:
            yield subject, value, statement
            continue
        for earlier in facts.objects(subject, relation.through):
            if isinstance(earlier, URIRef):
                yield value, earlier, statement


def _role(tenure: Node, facts: Graph, words: Graph) -> str:
    roles = facts.objects(tenure, GLOST.roleHeld)
    return min((label(role, words) for role in roles), default="hand")


def _surest(claims: tuple[Claim, ...], words: Graph) -> str:
    ranked = [(_rank(claim, words), claim) for claim in claims]
    best = max(ranked, key=lambda pair: pair[0], default=None)
    if best is None or best[1].certainty is None:
        return ""
    return str(best[1].certainty).rsplit("/", 1)[-1]


def _rank(claim: Claim, words: Graph) -> float:
    if claim.certainty is None:
        return _SAID_PLAINLY
    rank = words.value(claim.certainty, GLOST.rank)
    return _SAID_PLAINLY if rank is None else float(str(rank))
