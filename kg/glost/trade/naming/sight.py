"""What is seen on a piece with what the record makes of it, whatever shape it is held against."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from rdflib import URIRef
from rdflib.namespace import RDF
from rdflib.term import Node

from glost.names import GLOST
from glost.record.claims import Triple
from glost.trade.naming.known import Known
from glost.trade.naming.matching import bare_number, compare, number_fits, wording_fits
from glost.trade.naming.seen import Seen

# Each is imported where it is asked for: dating needs none of them.
if TYPE_CHECKING:
    from glost.trade.codes import Reading
    from glost.trade.crossings import Explanation

Shown = Mapping[Node, tuple[Triple, ...]]
"""By shape, the statements that show something of it."""


def marks_read(seen: Seen, known: Known) -> tuple[URIRef, ...]:
    """Return the marks seen: those known by id, else every one whose wording can be read so."""
    if seen.marks or not seen.mark_read:
        return seen.marks
    worded = (some for text, some in known.marks.items() if wording_fits(seen.mark_read, text))
    return tuple(sorted({mark for some in worded for mark in some}))


def treatments_read(seen: Seen, known: Known) -> tuple[URIRef, ...]:
    """Return the recorded treatments whose number can be read as the one seen.

    A treatment known otherwise is the only one. If the pottery is known and has any such, those
    of other potteries are left out.
    """
    if seen.treatment is not None:
        return (seen.treatment,)
    if not seen.number:
        return ()
    bare = bare_number(seen.number)
    if bare and "?" not in bare:
        found = set(known.treatments.get(bare, ()))
    else:
        fitting = (some for text, some in known.treatments.items() if number_fits(bare, text))
        found = {treatment for some in fitting for treatment in some}
    if seen.pottery is not None:
        own = {t for t in found if seen.pottery in known.belief.values(t, GLOST.issuedBy)}
        found = own or found
    return tuple(sorted(found))


@dataclass(frozen=True, slots=True)
class MarkInMaking:
    """A mark that was set before the glaze was fired.

    Attributes
    ----------
    users
        The potteries that used it.
    grounds
        The statements that they did, and how it was applied.
    """

    users: tuple[Node, ...]
    grounds: tuple[Triple, ...]


class Sight:
    """What is seen on a piece, each of it looked up once.

    Parameters
    ----------
    seen
        What is seen.
    known
        What the record says.
    """

    def __init__(self, seen: Seen, known: Known) -> None:
        self.seen = seen
        self.known = known
        self._agreeing: dict[tuple[str, str], bool] = {}
        self._in_making: dict[URIRef, MarkInMaking | None] = {}
        self._following: dict[tuple[Node, Node], bool] = {}

    def agrees(self, feature: str, text: str) -> bool:
        """Say whether a feature agrees with what is recorded in words."""
        if (feature, text) not in self._agreeing:
            self._agreeing[feature, text] = compare(feature, text) == "agrees"
        return self._agreeing[feature, text]

    # -- marks -------------------------------------------------------------------------------------

    @cached_property
    def marks(self) -> tuple[URIRef, ...]:
        """The marks seen, or every one that can be read so."""
        return marks_read(self.seen, self.known)

    @cached_property
    def mark_groups(self) -> "tuple[Borne, ...]":
        """Each mark known by id, or all that one can be read as."""
        single = [(mark,) for mark in self.marks] if self.seen.marks else [self.marks]
        found = ((self.known, GLOST.bearsMark, GLOST.namesShape, some) for some in single if some)
        return tuple(Borne(*each) for each in found)

    def in_making(self, mark: URIRef) -> MarkInMaking | None:
        """Return who used a mark, if it was set in making; None if that is not said."""
        if mark not in self._in_making:
            values = self.known.belief.values
            users, applied = values(mark, GLOST.usedBy), values(mark, GLOST.application)
            set_in_making = bool(applied) and all(map(self.known.speaks_of_making, applied))
            grounds = (
                *((mark, GLOST.usedBy, user) for user in users),
                *((mark, GLOST.application, way) for way in applied),
            )
            told = MarkInMaking(tuple(users), grounds) if users and set_in_making else None
            self._in_making[mark] = told
        return self._in_making[mark]

    def follows(self, a: Node, b: Node) -> bool:
        """Say whether one pottery followed on the other; see `Known.succession`."""
        if (a, b) not in self._following:
            self._following[a, b] = self.known.succession(a, b)
        return self._following[a, b]

    # -- the number and the glaze ------------------------------------------------------------------

    @cached_property
    def treatment(self) -> "Borne":
        """The treatments whose number can be read so, and where they belong and were seen."""
        some = treatments_read(self.seen, self.known)
        return Borne(self.known, GLOST.bearsTreatment, GLOST.homeShape, some)

    @cached_property
    def readings(self) -> "tuple[Reading, ...]":
        """What the schemes of numbers make of a number that is not recorded."""
        from glost.trade.codes import CodeError, decode

        try:
            return decode(self.seen.number, self.known.number_schemes(self.seen.pottery)).counting
        except CodeError:
            return ()

    @cached_property
    def told_by_scheme(self) -> "Mapping[URIRef | None, Reading]":
        """The shapes that these tell, None for a reading that tells none."""
        return {reading.things.get("shape"): reading for reading in self.readings}

    @cached_property
    def appearing(self) -> Shown:
        """What a source says any of the treatments appears on."""
        found: dict[Node, list[Triple]] = defaultdict(list)
        for each in self.treatment.some:
            for shape in self.known.belief.values(each, GLOST.appearsOn):
                said = (each, GLOST.appearsOn, shape)
                if self.known.stands(said):
                    found[shape].append(said)
        return {shape: tuple(said) for shape, said in found.items()}

    @cached_property
    def crossed(self) -> "Mapping[str, tuple[tuple[Triple, Explanation], ...]]":
        """By shape, what on record may explain that the number is on it, away from its home."""
        known, form = self.known, self.seen.form
        found: dict[str, list[tuple[Triple, Explanation]]] = defaultdict(list)
        for home in self.treatment.homes:
            treatment, _, own = map(str, home)
            for shape in sorted(known.crossed.reaching(treatment, own)):
                for each in known.crossed.explanations(
                    treatment, own, shape, None if form is None else str(form)
                ):
                    if known.kept(each.claims):
                        found[shape].append((home, each))
        return {shape: tuple(some) for shape, some in found.items()}

    @cached_property
    def glaze(self) -> "Borne":
        """The coloured glaze, and on what it was offered and seen."""
        some = () if self.seen.glaze is None else (self.seen.glaze,)
        return Borne(self.known, GLOST.bearsGlaze, GLOST.offeredOn, some)


class Borne:
    """Some things of which one is on a piece, and the shapes they belong to and are seen on.

    Parameters
    ----------
    known
        What the record says.
    bears
        The property by which a piece bears such a thing.
    belongs
        The property by which it belongs to a shape.
    some
        The things.

    Attributes
    ----------
    homes
        The statements that any of them belongs to a shape.
    """

    def __init__(
        self, known: Known, bears: URIRef, belongs: URIRef, some: Iterable[URIRef]
    ) -> None:
        self._known, self._bears = known, bears
        self.some = tuple(some)
        self.homes: tuple[Triple, ...] = tuple(
            (each, belongs, shape)
            for each in self.some
            for shape in known.belief.values(each, belongs)
        )

    @cached_property
    def home(self) -> Shown:
        """The same by shape."""
        found: dict[Node, list[Triple]] = defaultdict(list)
        for each in self.homes:
            found[each[2]].append(each)
        return {shape: tuple(some) for shape, some in found.items()}

    @cached_property
    def borne(self) -> Shown:
        """By shape, what shows that recorded pieces of it bear any of them."""
        found: dict[Node, list[Triple]] = defaultdict(list)
        facts = self._known.belief.graph
        for thing in self.some:
            for piece in self._known.belief.having(self._bears, thing):
                if piece in self._known.without or (piece, RDF.type, GLOST.Piece) not in facts:
                    continue
                for shape in self._known.belief.named(piece, GLOST.ofShape):
                    found[shape] += [(piece, self._bears, thing), (piece, GLOST.ofShape, shape)]
        return {shape: tuple(some) for shape, some in found.items()}

    @cached_property
    def homes_named(self) -> str:
        """What the shapes they belong to are called."""
        return self._known.names(triple[2] for triple in self.homes)

    @cached_property
    def named(self) -> str:
        """What they are called."""
        name = self._known.names(self.some)
        return name if len(self.some) == 1 else f"one of {name}"
