"""What statements that follow rest on, so that a program with the data alone can say it."""

from collections import defaultdict
from collections.abc import Iterator
from hashlib import blake2b

import pyoxigraph as ox
from rdflib import URIRef

from glost.answer.dataset import Why
from glost.answer.evidence import DERIVED, MEMBER
from glost.answer.questions import catalogue
from glost.answer.store import liner
from glost.publish.site.holdings import SiteContents
from glost.record.claims import Triple

GROUNDS = "data/grounds.nq"
"""Within a site: each statement that follows, in a graph named as each claim it rests on."""


_MANY = 8
"""Claims from which on a statement is said to rest on a gathering of them."""


def grounds_file(holdings: SiteContents, why: Why) -> tuple[str, bytes]:
    """Write which claims statements rest on that were inferred or reckoned, as N-Quads.

    Told are the statements whose property some named question counts among its evidence, and
    that no claim that is believed makes itself: the same statement once for each claim of the
    shortest reason for it. Where these are many, it stands in a graph named as a gathering of them,
    whose members the default graph tells (``prov:hadMember``), once for all that rest on the same.

    Parameters
    ----------
    holdings
        What the site is made of.
    why
        Gives the believed statements that one which follows rests on.
    """
    name = f"{holdings.base}{GROUNDS}#"
    return GROUNDS, "".join(sorted(set(_resting(holdings, why, name)))).encode()


def _resting(holdings: SiteContents, why: Why, name: str) -> Iterator[str]:
    """Yield each statement with a claim or a gathering it rests on, and gatherings, as lines."""
    contents = holdings.snapshot.contents
    making: dict[Triple, list[URIRef]] = defaultdict(list)
    for iri, statements in holdings.graphs.items():
        if iri in contents.current:
            for statement in statements:
                making[statement].append(iri)
    properties, line, gathered = _properties(), liner(), set[str]()
    for part in (contents.inferred, contents.reckoned):
        for triple in part:
            if str(triple[1]) in properties and triple not in making:
                told = line((*triple, None)).removesuffix(".\n")
                claims = {each for leaf in why(triple) for each in making.get(leaf, ())}
                if len(claims) < _MANY:
                    yield from (f"{told}<{claim}> .\n" for claim in claims)
                    continue
                members = sorted(claims)
                digest = blake2b("\n".join(members).encode(), digest_size=12).hexdigest()
                yield f"{told}<{name}{digest}> .\n"
                if digest not in gathered:
                    gathered.add(digest)
                    yield from (f"<{name}{digest}> {MEMBER} <{claim}> .\n" for claim in members)


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
