"""What may be the same in a collection, or in two."""

from itertools import combinations
from types import MappingProxyType

from rdflib import URIRef

from glost.answer.snapshot import Snapshot
from glost.names import GLOST
from glost.trade.linking.candidates import AGAIN, MET, Match, Meeting, lines_alike, twice
from glost.trade.linking.keepers import Keeper
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
    bases = [each.base for each in snapshot.record.collection.every]
    ours = [next((base for base in bases if iri.startswith(base)), "") for iri in (one, other)]
    same = {}
    if ours[0] != ours[1]:
        keepers = (Keeper(snapshot.belief, snapshot.chronology, base) for base in ours)
        same = Meeting(*keepers, links=links).same(GLOST.Shape)
    return lines_alike(
        snapshot.belief, one, other, again=again, estimate=estimate, links=links, same=same
    )


def alike_things(
    snapshot: Snapshot,
    kind: str,
    beside: Snapshot | None = None,
    *,
    again: float = MET,
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
    again
        As for `Meeting`; of two collections alone.
    estimate
        As for `lines_alike`; of two collections alone.
    """
    return Meetings(again).alike(snapshot, kind, beside, estimate=estimate)


class Meetings:
    """Finds what may be the same again and again, while links come to a collection.

    What stands around things is matched once, and again when anything but links has changed.

    Parameters
    ----------
    again
        As for `Meeting`.
    """

    def __init__(self, again: float = MET) -> None:
        self._again = again
        self._of: frozenset[URIRef] = frozenset()
        self._met: tuple[Meeting, ...] = ()

    def alike(
        self,
        snapshot: Snapshot,
        kind: str,
        beside: Snapshot | None = None,
        *,
        estimate: bool = False,
    ) -> tuple[Match, ...]:
        """Find which things of a kind may be the same; see `alike_things`."""
        every = [each for each in (snapshot, beside) if each is not None]
        links = links_of(*every)
        bases = [each.base for each in snapshot.record.collection.every]
        if beside is None and len(bases) < 2:
            return twice(snapshot.belief, snapshot.chronology, KINDS[kind], links)
        claims = (claim for each in every for claim in each.belief.claims)
        told = frozenset(claim.iri for claim in claims if claim.origin.table != "links")
        if told != self._of:
            keepers = (
                [Keeper(snapshot.belief, snapshot.chronology, base) for base in bases]
                if beside is None
                else [Keeper(each.belief, each.chronology) for each in every]
            )
            self._met = tuple(
                Meeting(one, other, again=self._again, links=links)
                for one, other in combinations(keepers, 2)
            )
            self._of = told
        found = [
            match
            for each in self._met
            for match in each.alike(KINDS[kind], estimate=estimate, links=links)
        ]
        return tuple(sorted(found, key=lambda each: (-each.bits, each.one, each.other)))


def links_of(*snapshots: Snapshot) -> Links:
    """Return the links that are believed in some collections."""
    return Links(link for each in snapshots for link in links_in(each.belief).every)
