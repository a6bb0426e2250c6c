"""Potter's counts that cannot be read, and rows of one list that cannot be told apart."""

from collections import defaultdict
from collections.abc import Iterator

from rdflib import Graph, URIRef

from glost.findings import Finding, Severity
from glost.names import GLOST
from glost.record.belief import Belief
from glost.record.claims import Claim, in_order
from glost.record.wording import label, sides
from glost.trade.assortments.counts import read_count


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
    yield from _unread_counts(belief, graph)
    yield from _rows_alike(belief, graph)


def _unread_counts(belief: Belief, graph: Graph) -> Iterator[Finding]:
    for thing, value in sorted(belief.graph.subject_objects(GLOST.potterCount), key=str):
        if read_count(str(value)) is None:
            statement = (thing, GLOST.potterCount, value)
            yield Finding(
                "count-not-understood",
                Severity.WARNING,
                (str(thing),),
                f"The {label(GLOST.potterCount, graph)} of {label(thing, graph)} is kept as "
                f'written but not reckoned with: "{value}".',
                sides(belief.rests_on(statement), graph, [statement]),
                "Write a count like 36s; a size in inches belongs under trade size or measured.",
            )


def _rows_alike(belief: Belief, graph: Graph) -> Iterator[Finding]:
    """Find items that several rows of one source give: a note does not tell them apart."""
    for assortment, item in sorted(belief.graph.subject_objects(GLOST.hasOffering), key=str):
        statement = (assortment, GLOST.hasOffering, item)
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
