"""A code scheme as claims give it, and a code once read by it.

A scheme is a pattern with named parts, ``{line}-{run}``; see `glost.trade.codes.parts`.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from rdflib import URIRef

from glost.names import GLOST
from glost.record.belief import Belief
from glost.record.claims import Claim
from glost.trade.codes.parts import CodePart, PartReading, fits
from glost.trade.codes.splitting import Cut, NoSuchDayError, days, readings, ways_to_cut


@dataclass(frozen=True)
class CodeScheme:
    """A code scheme, as one pattern claimed for it.

    Attributes
    ----------
    iri
        The scheme.
    potteries
        Those it is said to be of, sorted.
    codes
        The ids of the kinds of code it builds: ``treatment-number``, ``date``, ``plant``.
    pattern
        Its pattern as written.
    tokens
        The pattern taken apart: a `CodePart`, or characters as they stand.
    begin, end
        When its use began and ended: the first and the last day that any claim allows, both
        inclusive; None where open or not said.
    claims
        The claims for the pattern.
    life
        The claims for when it was in use.
    """

    iri: URIRef
    potteries: tuple[URIRef, ...]
    codes: tuple[str, ...]
    pattern: str
    tokens: tuple[CodePart | str, ...]
    begin: tuple[int | None, int | None]
    end: tuple[int | None, int | None]
    claims: tuple[Claim, ...]
    life: tuple[Claim, ...] = ()

    @property
    def parts(self) -> tuple[CodePart, ...]:
        """Its parts, in the order of the pattern."""
        return tuple(token for token in self.tokens if isinstance(token, CodePart))

    @cached_property
    def _cuts(self) -> dict[int, tuple[Cut, ...]]:
        return {}

    def cuts(self, length: int) -> tuple[Cut, ...]:
        """Return every way of laying the pattern over codes of a length."""
        if length not in self._cuts:
            self._cuts[length] = tuple(ways_to_cut(self.tokens, length))
        return self._cuts[length]

    def in_force(self, earliest: int | None, latest: int | None) -> str:
        """Say whether it was in use at some time from one day to another, both inclusive.

        Returns
        -------
        str
            ``no`` if it had ended before or began after; ``certainly`` if it was in use all that
            time whichever claim is right; otherwise ``possibly``; empty if no time is given.
        """
        if earliest is None and latest is None:
            return ""
        begin, end = self.begin, self.end
        if latest is not None and begin[0] is not None and latest < begin[0]:
            return "no"
        if earliest is not None and end[1] is not None and earliest > end[1]:
            return "no"
        begun = earliest is not None and begin[1] is not None and earliest >= begin[1]
        going = latest is not None and end[0] is not None and latest <= end[0]
        return "certainly" if begun and going else "possibly"

    def decode(
        self,
        text: str,
        when: tuple[int | None, int | None] = (None, None),
        cuts: Sequence[Cut] | None = None,
    ) -> tuple["Reading", ...]:
        """Read a code by this scheme alone.

        Parameters
        ----------
        text
            The code, worn characters written ``?``.
        when
            The first and last day on which it may have been written, both inclusive, if known. It
            says whether the scheme was in force for a code that tells no year itself.
        cuts
            The ways of laying the pattern over it to try; None for all.

        Returns
        -------
        tuple of Reading
            Every reading, by code, then by parts; none if the code does not fit.

        Raises
        ------
        CodeError
            If it is so worn that there would be more than `glost.trade.codes.parts.LIMIT`.
        """
        found = []
        for parts in readings(self.tokens, self.cuts(len(text)) if cuts is None else cuts, text):
            try:
                earliest, latest = days(parts)
            except NoSuchDayError:
                continue
            span = when if earliest is None else (earliest, latest)
            force = self.in_force(*span)
            code = self.write({part.name: part.value for part in parts})
            found.append(Reading(self, text, code, parts, earliest, latest, force))
        return tuple(sorted(found, key=lambda reading: reading.order) if found[1:] else found)

    def write(self, values: Mapping[str, str]) -> str:
        """Put values into the pattern, by the names of the parts."""
        return "".join(t if isinstance(t, str) else values[t.name] for t in self.tokens)


@dataclass(frozen=True, slots=True)
class Reading:
    """One way in which a code can be read.

    Attributes
    ----------
    scheme
        The scheme it is read by.
    text
        The code as it stands, worn characters written ``?``.
    code
        The code it is taken for.
    parts
        Its parts, in the order of the pattern.
    earliest, latest
        First and last day it tells, both inclusive, day numbers as in `glost.record.dates`;
        None if it tells no year.
    in_force
        Whether the scheme was in use then: ``certainly``, ``possibly``, ``no``; empty if the code
        tells no year and no time was named.
    """

    scheme: CodeScheme
    text: str
    code: str
    parts: tuple[PartReading, ...]
    earliest: int | None
    latest: int | None
    in_force: str

    @property
    def unreadable(self) -> tuple[str, ...]:
        """The names of the parts of which a character is worn."""
        return tuple(part.name for part in self.parts if not part.readable)

    @property
    def things(self) -> dict[str, URIRef]:
        """The things it tells, by kind: ``shape``, ``plant``; of two of a kind, the first."""
        return {
            part.tells: part.meaning.thing
            for part in reversed(self.parts)
            if part.meaning.thing is not None
        }

    @property
    def says(self) -> tuple[object, ...]:
        """What it tells, to compare readings with: things, days, and the parts that run on."""
        rest = tuple(
            (part.tells, part.value)
            for part in self.parts
            if part.meaning.thing is None and part.year is part.month is part.day is None
        )
        return (tuple(sorted(self.things.items())), self.earliest, self.latest, rest)

    @property
    def order(self) -> tuple[object, ...]:
        """What readings are sorted by: the code, then the code parts it is read by."""
        meanings = ((part.value, str(part.meaning.iri)) for part in self.parts)
        return (self.code, *meanings, tuple(str(claim.iri) for claim in self.claims))

    @property
    def claims(self) -> tuple[Claim, ...]:
        """The claims it rests on: those for the scheme, then those for each part, each once."""
        found = dict.fromkeys(self.scheme.claims)
        for part in self.parts:
            found.update(dict.fromkeys(part.meaning.claims))
        return tuple(found)


NUMBER = "treatment-number"
"""The kind of code that treatment numbers are, as the id of its concept."""


def borne(reading: Reading, belief: Belief) -> tuple[URIRef, ...]:
    """Return the treatments of the scheme's pottery whose number the code may be, sorted.

    A worn character fits any; none are returned for codes that are not treatment numbers.
    """
    if NUMBER not in reading.scheme.codes:
        return ()
    found = set()
    for pottery in reading.scheme.potteries:
        for treatment in belief.graph.subjects(GLOST.issuedBy, pottery):
            for number in belief.graph.objects(treatment, GLOST.treatmentNumber):
                if fits(reading.code, str(number)) and isinstance(treatment, URIRef):
                    found.add(treatment)
    return tuple(sorted(found))
