"""Families made from a collection's lineage."""

from rdflib import URIRef

from glost.answer.desk import Desk
from glost.publish.pictures.lives import Lives, basis
from glost.publish.pictures.model import Basis, Family, Lane, Member, Tie
from glost.record.wording import label
from glost.trade.lineage import Lineage, Link, families, lineage
from glost.trade.lineage import family as kindred

_NO_MAKER = "Maker not said"


def family(desk: Desk, *things: URIRef) -> Family:
    """Make the families of some things, or all families of the collection side by side.

    Parameters
    ----------
    desk
        The collection.
    things
        A member of each family; none for every family of two or more.
    """
    whole = lineage(desk.belief)
    if not things:
        members = [each for group in families(whole) for each in group]
        part, title = whole.among(members), f"Lineage: {desk.record.collection.title}"
    else:
        kin = [each for thing in things for each in kindred(whole, thing).things]
        names = " and ".join(label(thing, desk.words) for thing in things)
        part, title = whole.among(kin), f"The family of {names}"
    return _Maker(desk, whole, part).make(title)


class _Maker:
    def __init__(self, desk: Desk, whole: Lineage, part: Lineage) -> None:
        self._desk, self._whole, self._part = desk, whole, part
        self._lives = Lives(desk)

    def make(self, title: str) -> Family:
        part = self._part
        members = [each for each in part.things if part.kind(each) not in ("pottery", "person")]
        firms = {each for each in part.things if part.kind(each) == "pottery"}
        lanes = self._lanes(members, firms)
        places = {firm: at for at, firm in enumerate(lanes)}
        ordered = sorted(members, key=lambda each: (self._begin(each), str(each)))
        at = {each: place for place, each in enumerate(ordered)}
        ties, successions = [], []
        for link in self._whole.links:
            if link.earlier in at and link.later in at:
                ties.append(self._tie(link, at))
            elif link.earlier in places and link.later in places:
                successions.append(self._tie(link, places))
        return Family(
            title,
            tuple(self._lane(firm) for firm in lanes),
            tuple(self._member(each, places) for each in ordered),
            tuple(ties),
            tuple(successions),
            self._lives.note,
        )

    def _begin(self, thing: URIRef) -> float:
        days = (*self._lives.life(thing).begin, *self._lives.life(thing).end)
        return min((day for day in days if day is not None), default=10**9)

    def _firm(self, thing: URIRef) -> URIRef | None:
        return next(iter(self._whole.maker(thing)), None)

    def _lanes(self, members: list[URIRef], firms: set[URIRef]) -> list[URIRef | None]:
        """Order lanes by their first member; a successor follows the firm it succeeded."""
        first: dict[URIRef | None, float] = {}
        for each in members:
            firm = self._firm(each)
            first[firm] = min(first.get(firm, 10**9), self._begin(each))
        for each in firms:
            first.setdefault(each, self._begin(each))
        ordered: list[URIRef | None] = []
        waiting = sorted(first, key=lambda firm: (first[firm], str(firm)))
        after = {
            link.earlier: link.later
            for link in reversed(self._whole.links)
            if link.relation.key == "succeeded"
        }
        for firm in waiting:
            while firm is not None and firm in first and firm not in ordered:
                ordered.append(firm)
                firm = after.get(firm)
            if firm is None and None in first and None not in ordered and firm in waiting:
                ordered.append(None)
        return ordered

    def _lane(self, firm: URIRef | None) -> Lane:
        if firm is None:
            return Lane(_NO_MAKER)
        return Lane(
            label(firm, self._desk.words),
            self._lives.life(firm),
            str(firm),
            self._lives.basis(firm),
        )

    def _member(self, thing: URIRef, places: dict[URIRef | None, int]) -> Member:
        hands = [link for link in self._whole.of(thing) if link.role and link.later == thing]
        note = ", ".join(
            f"{link.role} {self._whole.name(link.earlier)}{'' if link.sure else '?'}"
            for link in hands
        )
        rests = self._lives.basis(thing)
        for link in hands:
            rests = rests + self._basis(link)
        return Member(
            label(thing, self._desk.words),
            places[self._firm(thing)],
            self._lives.life(thing),
            note,
            str(thing),
            rests,
        )

    def _tie(self, link: Link, at: dict[URIRef, int] | dict[URIRef | None, int]) -> Tie:
        return Tie(
            at[link.earlier],
            at[link.later],
            link.relation.key,
            link.certainty,
            self._lives.clashes(link.statements),
            self._basis(link),
        )

    def _basis(self, link: Link) -> Basis:
        return basis(link.claims, self._desk.words)
