"""A chronology put together of parts that have nothing to do with one another in time."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TypeVar

from rdflib import URIRef

from glost.record.belief import Belief
from glost.record.claims import Triple
from glost.trade.times.arguments import Argument
from glost.trade.times.chronology import Chronology
from glost.trade.times.results import Bounds, BoundsChange, Choice, Conflict, Lapse, Outside

Told = TypeVar("Told")


@dataclass(frozen=True)
class Pieced(Chronology):
    """A chronology of which some things were reckoned again by themselves.

    Attributes
    ----------
    whole
        The chronology of everything else.
    parts
        By IRI of a thing, the chronology that holds of it.
    anew
        Reckons the chronology of all that is believed, for what parts cannot tell by themselves.
    """

    whole: Chronology = field(kw_only=True, repr=False)
    parts: Mapping[str, Chronology] = field(kw_only=True, repr=False)
    anew: Callable[[Belief], Chronology] = field(kw_only=True, repr=False)

    @classmethod
    def of(cls, whole: Chronology, anew: Callable[[Belief], Chronology]) -> "Pieced":
        """Take a chronology as it is."""
        own = {name: getattr(whole, name) for name in Chronology.__dataclass_fields__}
        return cls(**own, whole=whole, parts={}, anew=anew)

    def believing(self, belief: Belief) -> "Pieced":
        """Return the same of what is believed now."""
        return replace(self, belief=belief)

    def reckoned(self, things: Iterable[str], part: Chronology) -> "Pieced":
        """Return the same with some things as a chronology of them alone has it."""
        return replace(self, parts={**self.parts, **dict.fromkeys(things, part)})

    def at(self, point: str) -> Chronology:
        """Return the chronology that holds of a point."""
        return self.parts.get(str(point).partition("#")[0], self.whole)

    def _every(
        self, told: Callable[[Chronology], Iterable[Told]], of: Callable[[Told], str]
    ) -> Iterator[Told]:
        """Yield what each part tells of the things that it holds of."""
        for part in {id(each): each for each in (self.whole, *self.parts.values())}.values():
            yield from (each for each in told(part) if self.at(of(each)) is part)

    def readying(self) -> Iterator[None]:
        """Work out what holds under every reading; see `Chronology.readying`."""
        return self.whole.readying()

    def bounds(self, point: URIRef) -> Bounds:
        """Return when a point falls; see `Chronology.bounds`."""
        return self.at(point).bounds(point)

    def of_thing(self, thing: str) -> dict[str, Bounds]:
        """Return the bounds of every point of a thing; see `Chronology.of_thing`."""
        return self.at(thing).of_thing(thing)

    def reading_bounds(self, point: URIRef) -> Bounds:
        """Return when a point falls under every reading; see `Chronology.reading_bounds`."""
        return self.at(point).reading_bounds(point)

    def points(self) -> tuple[URIRef, ...]:
        """Return every point that something bounds or disputes, sorted."""
        return tuple(sorted(self._every(lambda part: part.points(), str)))

    def why_not_before(self, point: URIRef) -> Argument | None:
        """Return the shortest argument for a point's earliest day."""
        return self.at(point).why_not_before(point)

    def why_not_after(self, point: URIRef) -> Argument | None:
        """Return the shortest argument for a point's latest day."""
        return self.at(point).why_not_after(point)

    @cached_property
    def conflicts(self) -> tuple[Conflict, ...]:
        """Every independent minimal conflict."""
        return tuple(self._every(lambda part: part.conflicts, lambda each: each.point))

    @cached_property
    def repair(self) -> tuple[Choice, ...]:
        """The least costly sets of statements to set aside."""
        return tuple(self._every(lambda part: part.repair, lambda each: each.conflicts[0].point))

    def changes(self) -> tuple[BoundsChange, ...]:
        """Return what would change if the first option of every choice were set aside."""
        return tuple(sorted(self._every(lambda part: part.changes(), lambda each: each.point)))

    def lapses(self) -> Iterator[Lapse]:
        """Yield how long after one event another came, sorted; see `Chronology.lapses`."""
        yield from self._every(lambda part: part.lapses(), lambda each: each.first)

    def lapse_facts(self, first: URIRef, second: URIRef, *, most: bool) -> tuple[Triple, ...]:
        """Return the statements on which a lapse rests."""
        return self.at(first).lapse_facts(first, second, most=most)

    def outside(self) -> tuple[Outside, ...]:
        """Return every piece and list that shows a shape outside its run, sorted."""
        found = self._every(lambda part: part.outside(), lambda each: each.shape)
        return tuple(sorted(found, key=lambda each: each[:3]))

    def outside_facts(self, witness: URIRef, shape: URIRef, point: str) -> tuple[Triple, ...]:
        """Return the statements on which that rests."""
        return self.at(shape).outside_facts(witness, shape, point)

    def relations(self, one: URIRef, other: URIRef) -> tuple[str, ...]:
        """Name the relations of Allen in which one run may stand to another.

        Of runs that have nothing to do with one another everything is reckoned anew: how they may
        lie depends on how long each may have lasted, which bounds alone do not tell.
        """
        part = self.at(one)
        together = part if self.at(other) is part else self.anew(self.belief)
        return together.relations(one, other)

    def preceding(self, point: URIRef) -> frozenset[URIRef]:
        """Return all that certainly falls before a point by the order of events alone."""
        part = self.at(point)
        return frozenset(each for each in part.preceding(point) if self.at(each) is part)

    def cautious_bounds(self, point: URIRef) -> Bounds:
        """Return the bounds with all contradictions left out."""
        return self.at(point).cautious_bounds(point)

    def reading_facts(self, point: URIRef, *, late: bool) -> tuple[Triple, ...]:
        """Return the statements on which a day of `reading_bounds` rests."""
        return self.at(point).reading_facts(point, late=late)

    def disputing(self, point: URIRef) -> tuple[Triple, ...]:
        """Return the statements of the contradictions on which a point's days depend."""
        return self.at(point).disputing(point)
