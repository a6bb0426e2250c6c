"""Counts not understood, rows of a list alike, and statements on lists that are not borne out."""

from collections import defaultdict
from collections.abc import Iterator

from rdflib import Graph, URIRef
from rdflib.term import Node

from glost.findings import Finding, Severity
from glost.names import GLOST
from glost.record.belief import Belief
from glost.record.claims import Claim, Triple, in_order
from glost.trade.assortments.counts import read_count
from glost.trade.assortments.holding import Held, Holding, disagreements
from glost.words.labels import Words, label
from glost.words.sentences import sides

_BEARING = {
    GLOST.offersArticle, GLOST.complete, GLOST.produced, GLOST.form, GLOST.ofShape,
    GLOST.sourceDate, GLOST.namesShape, GLOST.lacks, GLOST.superlative,
}  # fmt: skip
"""Properties by which a claim says that an article was there, or was not, and when."""


def assortment_findings(belief: Belief, graph: Graph) -> Iterator[Finding]:
    """Find what is wrong with the items of lists.

    Parameters
    ----------
    belief
        What is believed.
    graph
        The same with the vocabulary, for wording.

    Returns
    -------
    Iterator of Finding
        Potter's counts that are kept as written but cannot be reckoned with, and rows that offer
        the same article of the same list under the same number.
    """
    for property_ in _OF:
        for thing in sorted(set(belief.graph.subjects(property_)), key=str):
            yield from found_of(thing, property_, belief, graph)


def found_of(thing: Node, property_: URIRef, belief: Belief, graph: Graph) -> Iterator[Finding]:
    """Find what is wrong with the values of a property, one of `LOOKED_AT`, of one thing."""
    for value in sorted(belief.graph.objects(thing, property_), key=str):
        yield from _OF[property_]((thing, property_, value), belief, graph)


def stated_findings(holding: Holding, graph: Graph | Words) -> Iterator[Finding]:
    """Find what sources state of lists and something else on record rules out.

    Parameters
    ----------
    holding
        The statements, held against lists, pieces and one another.
    graph
        What is believed with the vocabulary, for wording.
    """
    for held in disagreements(holding):
        stated = held.stated
        kind = type(stated).__name__.lower()
        yield Finding(
            f"stated-{kind}-not-borne-out",
            Severity.CONTRADICTION,
            (str(stated.of), str(stated.iri)),
            f"Stated, {held.says}; on record, {held.because}.",
            (*sides(stated.claims, graph, ()), *sides(held.telling, graph, _bearing(held))),
            "Look at the passages again: withdraw the statement with glost correct, or what stands "
            "against it; leave both if it cannot be decided.",
        )
    for one, other in holding.rivals:
        what = one.article
        yield Finding(
            "superlative-of-two",
            Severity.CONTRADICTION,
            (str(one.of), str(other.of)),
            f"Both {label(one.of, graph)} and {label(other.of, graph)} are said to be the "
            f"{one.best}{f': {label(what.form, graph)} {what.size}'.rstrip() if what else ''}.",
            sides((*one.claims, *other.claims), graph, ()),
            "Only one of them can be; withdraw the claim that is wrong with glost correct.",
        )


def _bearing(held: Held) -> list[Triple]:
    """Return the statements of some claims by which they bear on what is stated."""
    return [
        triple for claim in held.telling for triple in claim.statements if triple[1] in _BEARING
    ]


def _unread_count(statement: Triple, belief: Belief, graph: Graph) -> Iterator[Finding]:
    thing, property_, value = statement
    if read_count(str(value)) is None:
        yield Finding(
            "count-not-understood",
            Severity.WARNING,
            (str(thing),),
            f"The {label(property_, graph)} of {label(thing, graph)} is kept as "
            f'written but not reckoned with: "{value}".',
            sides(belief.rests_on(statement), graph, [statement]),
            "Write a count like 36s; a size in inches belongs under trade size or measured.",
        )


def _rows_alike(statement: Triple, belief: Belief, graph: Graph) -> Iterator[Finding]:
    """Find whether several rows of one source give an item: a note does not tell them apart."""
    item = statement[2]
    by_source: dict[URIRef, list[Claim]] = defaultdict(list)
    for claim in belief.rests_on(statement):
        by_source[claim.passage.source].append(claim)
    for _, claims in sorted(by_source.items()):
        if len(claims) < 2:
            continue
        found = in_order(claims)
        rows = " and ".join(
            f"{claim.origin}" + (f' (note: "{claim.note}")' if claim.note else "")
            for claim in found
        )
        yield Finding(
            "list-rows-alike",
            Severity.WARNING,
            (str(item),),
            f"{label(item, graph)} is one item of one list and counts once, though "
            f"{len(found)} rows give it: {rows}.",
            sides(found, graph, [statement]),
            "If they are different articles, tell them apart under variant (with cover, "
            "without cover) or by their item numbers; else delete one.",
        )


_OF = {GLOST.potterCount: _unread_count, GLOST.hasOffering: _rows_alike}

LOOKED_AT = frozenset(_OF)
"""The properties whose values are looked at, one thing's at a time."""
