"""What statements that follow rest on, so that a program with the data alone can say it."""

from collections import defaultdict
from collections.abc import Iterator

import pyoxigraph as ox
from rdflib import URIRef

from glost.answer.dataset import Why
from glost.answer.evidence import DERIVED
from glost.answer.questions import catalogue
from glost.answer.store import liner
from glost.publish.site.holdings import SiteContents
from glost.record.claims import Triple

GROUNDS = "data/grounds.nq"
"""Within a site: each statement that follows, in a graph named as each claim it rests on."""


def grounds_file(holdings: SiteContents, why: Why) -> tuple[str, bytes]:
    """Write which claims statements rest on that were inferred or reckoned, as N-Quads.

    Told are the statements whose property some named question counts among its evidence, and
    that no claim that is believed makes itself: the same statement once for each claim of the
    shortest reason for it.

    Parameters
    ----------
    holdings
        What the site is made of.
    why
        Gives the believed statements that one which follows rests on.
    """
    return GROUNDS, "".join(sorted(set(_resting(holdings, why)))).encode()


def _resting(holdings: SiteContents, why: Why) -> Iterator[str]:
    """Yield each statement with a claim it rests on, as a line."""
    contents = holdings.snapshot.contents
    making: dict[Triple, list[URIRef]] = defaultdict(list)
    for iri, statements in holdings.graphs.items():
        if iri in contents.current:
            for statement in statements:
                making[statement].append(iri)
    properties, line = _properties(), liner()
    for part in (contents.inferred, contents.reckoned):
        for triple in part:
            if str(triple[1]) in properties and triple not in making:
                told = line((*triple, None)).removesuffix(".\n")
                for claim in {each for leaf in why(triple) for each in making.get(leaf, ())}:
                    yield f"{told}<{claim}> .\n"


def _properties() -> frozenset[str]:
    """Return the properties of every pattern by which a named question finds its evidence.

    What was derived from evidence says so itself.
    """
    return frozenset(
        pattern[1].value
        for question in catalogue().values()
        for group in question.header.evidence
        for pattern in group
        if isinstance(pattern[1], ox.NamedNode) and pattern[1] != DERIVED
    )
