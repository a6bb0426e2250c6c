"""Potter's counts that cannot be read."""

from collections.abc import Iterator

from rdflib import Graph

from glost.findings import Finding, Severity
from glost.names import GLOST
from glost.record.belief import Belief
from glost.record.wording import label, sides
from glost.trade.assortments.counts import read_count


def assortment_findings(belief: Belief, graph: Graph) -> Iterator[Finding]:
    """Find potter's counts that are kept as written but cannot be reckoned with.

    Parameters
    ----------
    belief
        What is believed.
    graph
        The same with the vocabulary, for wording.
    """
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
