"""What each thing seen on a piece says of when it was made and decorated."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cached_property

from rdflib import URIRef

from glost.names import GLOST, SCHEMES
from glost.record.claims import Claim
from glost.trade.codes import CodeError, CodeScheme, Decoded, Reading, decode
from glost.trade.codes.schemes import schemes
from glost.trade.naming.known import Known
from glost.trade.naming.seen import Seen
from glost.trade.naming.sight import marks_read, treatments_read
from glost.trade.times import Argument, Bounded, TimeRule
from glost.words.spans import no_earlier, no_later

_RULES = {
    "shape": "piece-of-shape",
    "pottery": "piece-of-pottery",
    "treatment": "piece-in-treatment",
    "glaze": "piece-with-glaze",
    "plant": "mark-of-plant",
    "redesign": "shows-redesign",
    "older form": "shows-older-form",
}
"""The rule of the chronology by which a thing seen bounds a piece."""
_MARKS = ("mark-of-making", "mark-of-decorating", "mark-of-sale")
_SIDES: dict[tuple[str, ...], tuple[tuple[str, bool], ...]] = {
    ("making",): (("made", False), ("made", True)),
    ("decorating",): (("decorated", False), ("decorated", True)),
    ("sale",): (("decorated", True),),
}
"""What a code bounds, by what its marks speak of; of any other it is only said that the piece was
made before the end of its days and decorated after their beginning."""
_READ = "A date code that can be read tells when the piece was made or decorated."
_STATED = "What a source dates happened within the days that the date allows."


@dataclass(frozen=True, slots=True)
class Limit:
    """A day before or after which a piece was not made, or not decorated.

    Attributes
    ----------
    observation, value
        What was seen, and what it was taken for: ``shape``, ``Tamsin``.
    point
        ``made`` or ``decorated``.
    late
        True if it was not after the day, False if not before it.
    day
        Day number as in `glost.record.dates`, inclusive.
    says
        What bounds it, in words: ``end of Tamsin``.
    why
        The rule by which it does, in one sentence.
    argument
        Why the chronology has that day; None for what is read on the piece itself.
    claims
        The claims it rests on.
    disputed
        Whether the day depends on how a contradiction elsewhere is settled.
    """

    observation: str
    value: str
    point: str
    late: bool
    day: int
    says: str
    why: str
    argument: Argument | None = field(repr=False, default=None)
    claims: tuple[Claim, ...] = field(repr=False, default=())
    disputed: bool = False

    def __str__(self) -> str:
        """Return the limit in words."""
        day = (
            f"later than {no_later(self.day)}"
            if self.late
            else (f"earlier than {no_earlier(self.day)}")
        )
        return f"{self.point} no {day}: {self.says}"


@dataclass(frozen=True, slots=True)
class StatedDate:
    """A date that a source gives for the piece itself.

    Attributes
    ----------
    point
        ``made`` or ``decorated``.
    text
        The date as written.
    earliest, latest
        Its days, both inclusive; None where it is open.
    claims
        The claims that give it.
    widened
        Days by which it was widened at either end for being approximate.
    """

    point: str
    text: str
    earliest: int | None
    latest: int | None
    claims: tuple[Claim, ...] = ()
    widened: int = 0


class Limiter:
    """Finds the limits of pieces; what a thing says is worked out once.

    Parameters
    ----------
    known
        What the record says.
    times
        Its chronology. No piece that is to be dated should be in it.
    """

    def __init__(self, known: Known, times: Bounded) -> None:
        self.known = known
        self.times = times
        self._things: dict[tuple[str, URIRef], tuple[Limit, ...]] = {}

    @cached_property
    def schemes(self) -> tuple[CodeScheme, ...]:
        """The code schemes on record."""
        return schemes(self.known.belief)

    def limits(self, seen: Seen, stated: Iterable[StatedDate] = ()) -> tuple[Limit, ...]:
        """Return every limit that what is seen on a piece gives, thing by thing."""
        found = [limit for each in stated for limit in _stated(each)]
        for name in ("shape", "pottery", "glaze", "plant"):
            thing = getattr(seen, name)
            if thing is not None:
                found.extend(self.of(name, thing))
        for name, redesigns in (("redesign", seen.redesigns), ("older form", seen.older_forms)):
            found.extend(limit for each in redesigns for limit in self.of(name, each))
        found.extend(self._any("treatment", treatments_read(seen, self.known)))
        if seen.marks:
            found.extend(limit for mark in seen.marks for limit in self.of("mark", mark))
        else:
            found.extend(self._any("mark", marks_read(seen, self.known)))
        if seen.date_code:
            found.extend(self._code(seen))
        return tuple(dict.fromkeys(found))

    def of(self, observation: str, thing: URIRef) -> tuple[Limit, ...]:
        """Return the limits that one thing gives."""
        if (observation, thing) not in self._things:
            names = _MARKS if observation == "mark" else (_RULES[observation],)
            found: list[Limit] = []
            for name in names:
                rule = self.times.rules.get(name)
                if rule is not None and (observation != "mark" or self._holds(rule, thing)):
                    found.extend(self._by(rule, observation, thing))
            self._things[observation, thing] = tuple(found)
        return self._things[observation, thing]

    def _holds(self, rule: TimeRule, thing: URIRef) -> bool:
        """Say whether a rule that asks how a mark was applied holds for a mark."""
        for pattern in rule.where:
            if pattern[0] == "mark" and pattern[1] == "application":
                ways = self.known.belief.values(thing, GLOST.application)
                wanted = {URIRef(f"{SCHEMES}application/{way}") for way in pattern[2].split("|")}
                return bool(ways) and all(self.known.wider(way) & wanted for way in ways)
        return True

    def _by(self, rule: TimeRule, observation: str, thing: URIRef) -> Iterator[Limit]:
        for earlier, its_point, later, other_point, _ in rule.then:
            late = earlier == "piece"
            point, end = (its_point, other_point) if late else (other_point, its_point)
            if "piece" not in (earlier, later):
                continue
            instant = URIRef(f"{thing}#{end}")
            why = self.times.why_not_after if late else self.times.why_not_before
            argument = why(instant)
            if argument is not None:
                yield Limit(
                    observation,
                    self.known.name(thing),
                    point,
                    late,
                    argument.day,
                    f"the {self.known.name(instant)}",
                    rule.why,
                    argument,
                    argument.claims,
                    self.times.bounds(instant).disputed,
                )

    def _any(self, observation: str, things: tuple[URIRef, ...]) -> Iterator[Limit]:
        """Yield what holds whichever of some things it is: on each side the loosest limit."""
        options = [self.of(observation, thing) for thing in things]
        for point in ("made", "decorated"):
            for late in (False, True):
                sides = [[x for x in o if (x.point, x.late) == (point, late)] for o in options]
                if options and all(sides):
                    tight = [tightest(side) for side in sides]
                    chosen = max(tight, key=_day) if late else min(tight, key=_day)
                    yield chosen if len(options) == 1 else _whichever(chosen, len(options))

    def read(self, seen: Seen) -> tuple[Decoded, tuple[str, ...]]:
        """Read the date code by the schemes of the marks seen, else by all date schemes.

        Returns
        -------
        tuple
            The readings, and what the code may speak of: ``making``, ``decorating``, ``sale``.

        Raises
        ------
        glost.trade.codes.CodeError
            If the code is too worn to go through all it may be.
        """
        values, graph = self.known.belief.values, self.known.belief.graph
        marks = marks_read(seen, self.known)
        by_marks = {named for mark in marks for named in values(mark, GLOST.readBy)}
        dated = [s for s in self.schemes if "date" in s.codes]
        if by_marks:
            dated = [s for s in dated if s.iri in by_marks]
        elif seen.pottery is not None:
            dated = [s for s in dated if seen.pottery in s.potteries or not s.potteries]
        decoded = decode(seen.date_code, dated)
        used = {reading.scheme.iri for reading in decoded.counting}
        with_code = [m for m in marks if set(values(m, GLOST.readBy)) & used]
        if not with_code:
            with_code = [URIRef(str(m)) for s in used for m in graph.subjects(GLOST.readBy, s)]
        return decoded, tuple(sorted({self._speaks_of(mark) for mark in with_code}))

    def _speaks_of(self, mark: URIRef) -> str:
        for name in _MARKS:
            rule = self.times.rules.get(name)
            if rule is not None and self._holds(rule, mark):
                return name.removeprefix("mark-of-")
        return ""

    def _code(self, seen: Seen) -> Iterator[Limit]:
        try:
            decoded, speaks = self.read(seen)
        except CodeError:
            return
        earliest, latest = decoded.span
        for point, late in _SIDES.get(speaks, (("made", True), ("decorated", False))):
            day = latest if late else earliest
            if day is not None:
                says = f"the date code {decoded.text}"
                yield Limit("date code", decoded.text, point, late, day, says, _READ, None,
                            decoded.claims)  # fmt: skip
        plant = _plant(decoded.counting)
        if plant is not None and speaks == ("making",):
            yield from self.of("plant", plant)


def tightest(limits: Iterable[Limit]) -> Limit:
    """Return the tightest of some limits on one side; of equal ones the first by observation."""
    return min(limits, key=lambda x: (x.day if x.late else -x.day, x.observation, x.value))


def _day(limit: Limit) -> int:
    return limit.day


def _whichever(limit: Limit, count: int) -> Limit:
    says = f"{limit.says}, whichever of {count} it can be read as"
    return Limit(
        limit.observation, limit.value, limit.point, limit.late, limit.day, says, limit.why,
        limit.argument, limit.claims, limit.disputed,
    )  # fmt: skip


def _plant(readings: Iterable[Reading]) -> URIRef | None:
    """Return the plant that all readings tell."""
    plants = {reading.things.get("plant") for reading in readings}
    return plants.pop() if len(plants) == 1 else None


def _stated(each: StatedDate) -> Iterator[Limit]:
    for late, day in ((False, each.earliest), (True, each.latest)):
        if day is not None:
            says = f"the date given, {each.text}"
            says += f", approximate and widened by {each.widened} days" if each.widened else ""
            yield Limit("stated date", each.text, each.point, late, day, says, _STATED, None,
                        each.claims)  # fmt: skip
