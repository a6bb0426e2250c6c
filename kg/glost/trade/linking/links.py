"""Links: what people found when they compared two things that were described apart.

A link is a claim. It makes nothing one: whoever wants to look across links asks for it.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property

from rdflib import URIRef

from glost.names import GLOST, SCHEMES
from glost.record.belief import Belief, iris
from glost.record.claims import Claim, Triple


class LinkKind(StrEnum):
    """How two things stand to one another."""

    SAME = "same"
    PART_OF = "part-of"
    CONTINUES = "continues"
    NOT_THE_SAME = "not-the-same"
    UNDECIDED = "undecided"

    @property
    def iri(self) -> URIRef:
        """Its concept."""
        return URIRef(f"{SCHEMES}link-kind/{self}")

    @property
    def mutual(self) -> bool:
        """Whether it holds of the two either way round."""
        return self in (self.SAME, self.NOT_THE_SAME, self.UNDECIDED)


class Standing(StrEnum):
    """What has come of comparing two things."""

    ACCEPTED = "accepted"
    """They are said to be the same, and nobody says otherwise."""
    REJECTED = "rejected"
    """They are said not to be the same, or one to be part of the other or to continue it."""
    DISPUTED = "disputed"
    """They are said to be the same and not to be."""
    UNDECIDED = "undecided"
    """They were compared, and it could not be told."""
    OPEN = "open"
    """No link is of the two."""


@dataclass(frozen=True, slots=True)
class Link:
    """What claims say of two things.

    Attributes
    ----------
    iri
        The link.
    one, other
        The two things; the one is part of the other, or continues it.
    kind
        How they stand to one another.
    claims
        The claims that say so.
    """

    iri: URIRef
    one: URIRef
    other: URIRef
    kind: LinkKind
    claims: tuple[Claim, ...]

    @property
    def statements(self) -> tuple[Triple, ...]:
        """What is stated: the two and the kind."""
        return (
            (self.iri, GLOST.linkedThing, self.one),
            (self.iri, GLOST.linkKind, self.kind.iri),
            (self.iri, GLOST.linkedTo, self.other),
        )

    @property
    def key(self) -> tuple[str, ...]:
        """By what links are put in order."""
        return (*sorted((str(self.one), str(self.other))), str(self.kind), str(self.iri))

    def across(self, thing: URIRef) -> URIRef:
        """Return the thing at the other end."""
        return self.other if thing == self.one else self.one


def links_in(belief: Belief) -> "Links":
    """Return the links that are believed.

    Parameters
    ----------
    belief
        What is believed. A link that lacks one of its things or its kind, or names more than two,
        is a breach of constraints and no link here.
    """
    return Links(sorted(_links(belief), key=lambda link: link.key))


def _links(belief: Belief) -> Iterator[Link]:
    kinds = {kind.iri: kind for kind in LinkKind}
    for iri in belief.things(GLOST.Link):
        ends = [iris(belief.values(iri, each)) for each in (GLOST.linkedThing, GLOST.linkedTo)]
        if any(len(found) != 1 for found in ends) or ends[0] == ends[1]:
            continue
        for value, claims in belief.said(iri, GLOST.linkKind):
            kind = kinds.get(value) if isinstance(value, URIRef) else None
            if kind is not None:
                yield Link(iri, ends[0][0], ends[1][0], kind, claims)


class Links:
    """Links, and what they come to together.

    Parameters
    ----------
    links
        The links.

    Attributes
    ----------
    every
        All of them, in a fixed order.
    """

    def __init__(self, links: Iterable[Link]) -> None:
        self.every = tuple(links)

    @cached_property
    def _of(self) -> Mapping[URIRef, tuple[Link, ...]]:
        found: dict[URIRef, list[Link]] = defaultdict(list)
        for link in self.every:
            found[link.one].append(link)
            found[link.other].append(link)
        return {thing: tuple(links) for thing, links in found.items()}

    def of(self, thing: URIRef) -> tuple[Link, ...]:
        """Return the links of a thing."""
        return self._of.get(thing, ())

    def beside(self, thing: URIRef) -> tuple[URIRef, ...]:
        """Return what a thing has been compared with, sorted."""
        return tuple(sorted({link.across(thing) for link in self.of(thing)}))

    def between(self, one: URIRef, other: URIRef) -> tuple[Link, ...]:
        """Return the links of two things, either way round."""
        return tuple(link for link in self.of(one) if link.across(one) == other)

    def standing(self, one: URIRef, other: URIRef) -> Standing:
        """Say what has come of comparing two things."""
        kinds = {link.kind for link in self.between(one, other)}
        against = kinds - {LinkKind.SAME, LinkKind.UNDECIDED}
        if LinkKind.SAME in kinds:
            return Standing.DISPUTED if against else Standing.ACCEPTED
        if against:
            return Standing.REJECTED
        return Standing.UNDECIDED if kinds else Standing.OPEN

    @cached_property
    def groups(self) -> tuple[tuple[URIRef, ...], ...]:
        """Things that links say are the same, directly or by way of others; each group sorted."""
        seen: set[URIRef] = set()
        found = []
        for start in sorted(self._of):
            if start not in seen:
                group = set(self._reached(start))
                seen |= group
                if len(group) > 1:
                    found.append(tuple(sorted(group)))
        return tuple(found)

    @cached_property
    def first(self) -> Mapping[URIRef, URIRef]:
        """Of each thing that is the same as others, the first of them by IRI."""
        return {thing: group[0] for group in self.groups for thing in group}

    @cached_property
    def at_odds(self) -> tuple[tuple[Link, tuple[Link, ...]], ...]:
        """Links that deny what others say together, each with the fewest of these that do.

        Two things are said not to be the same, or one to be part of the other or to continue it,
        and yet to be the same, directly or by way of others.
        """
        found = []
        for link in self.every:
            if link.kind not in (LinkKind.SAME, LinkKind.UNDECIDED):
                path = self.path(link.one, link.other)
                if path:
                    found.append((link, path))
        return tuple(found)

    @cached_property
    def sound(self) -> "Links":
        """Those links of sameness whose group none denies: what may be gone across."""
        disputed = {self.first[link.one] for link, _ in self.at_odds}
        return Links(
            link
            for link in self.every
            if link.kind is LinkKind.SAME and self.first[link.one] not in disputed
        )

    def path(self, one: URIRef, other: URIRef) -> tuple[Link, ...]:
        """Return the fewest links by which two things are the same; none if they are not."""
        came = self._reached(one, other)
        if other not in came:
            return ()
        found: list[Link] = []
        at = other
        while (link := came[at]) is not None:
            found.append(link)
            at = link.across(at)
        return tuple(reversed(found))

    def _reached(self, start: URIRef, end: URIRef | None = None) -> dict[URIRef, Link | None]:
        """Follow links of sameness breadth first; return by which link each thing was reached."""
        came: dict[URIRef, Link | None] = {start: None}
        queue = [start]
        for thing in queue:
            for link in self.of(thing):
                far = link.across(thing)
                if link.kind is LinkKind.SAME and far not in came:
                    came[far] = link
                    if far == end:
                        return came
                    queue.append(far)
        return came


NONE = Links(())
"""No links at all."""
