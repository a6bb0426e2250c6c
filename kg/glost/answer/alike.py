"""What may be the same in a collection, or in two."""

from collections.abc import Sequence
from itertools import combinations
from types import MappingProxyType

from rdflib import URIRef

from glost.answer.snapshot import Snapshot
from glost.names import GLOST
from glost.trade.linking.candidates import AGAIN, Match, lines_alike, things_alike
from glost.trade.linking.links import Links, links_in

KINDS = MappingProxyType(
    {
        "shapes": GLOST.Shape,
        "treatments": GLOST.Treatment,
        "decals": GLOST.Decal,
        "glazes": GLOST.Glaze,
        "marks": GLOST.Mark,
        "potteries": GLOST.Pottery,
        "plants": GLOST.Plant,
        "kilns": GLOST.Kiln,
        "people": GLOST.Person,
        "firms": GLOST.Firm,
        "sources": GLOST.Source,
    }
)
"""Kinds of things that may go by several names, with their classes."""


def lines_of(
    snapshot: Snapshot, one: URIRef, other: URIRef, *, again: float = AGAIN, estimate: bool = False
) -> tuple[Match, ...]:
    """Find which line of a list is which of another; see `lines_alike`."""
    # Of a large record only the links are looked through one by one.
    links = links_in(snapshot.belief.among("links"))
    return lines_alike(snapshot.belief, one, other, again=again, estimate=estimate, links=links)


def alike_things(
    snapshot: Snapshot,
    kind: str,
    beside: Snapshot | None = None,
    *,
    again: float = AGAIN,
    estimate: bool = False,
) -> tuple[Match, ...]:
    """Find which things of a kind may be the same, in one collection or across two.

    Parameters
    ----------
    snapshot, beside
        The collections; None to look within the first, and if it reads several together, across
        them.
    kind
        A key of `KINDS`.
    again, estimate
        As for `things_alike`.
    """
    keepers = [each.base for each in snapshot.record.collection.every]
    if beside is None and len(keepers) > 1:
        return _across(snapshot, KINDS[kind], keepers, again=again, estimate=estimate)
    one, other = (
        (each.belief, each.chronology) if each is not None else None for each in (snapshot, beside)
    )
    assert one is not None
    links = links_of(*(each for each in (snapshot, beside) if each is not None))
    return things_alike(one, KINDS[kind], other, again=again, estimate=estimate, links=links)


def _across(
    snapshot: Snapshot, kind: URIRef, keepers: Sequence[str], *, again: float, estimate: bool
) -> tuple[Match, ...]:
    """Find which things of each two keepers may be the same, where they are read together."""
    one, links = (snapshot.belief, snapshot.chronology), links_in(snapshot.belief)
    found = [
        match
        for first, second in combinations(keepers, 2)
        for match in things_alike(
            one, kind, one, again=again, estimate=estimate, links=links, of=(first, second)
        )
    ]
    return tuple(sorted(found, key=lambda each: (-each.bits, each.one, each.other)))


def links_of(*snapshots: Snapshot) -> Links:
    """Return the links that are believed in some collections."""
    return Links(link for each in snapshots for link in links_in(each.belief).every)
