"""Reading one code by several schemes."""

from collections.abc import Iterable
from dataclasses import dataclass

from glost.record.claims import Claim
from glost.trade.codes.scheme import CodeScheme, Reading

Span = tuple[int | None, int | None]
"""A first and a last day, both inclusive, day numbers as in `glost.record.dates`; None if open."""


@dataclass(frozen=True, slots=True)
class Decoded:
    """All the readings of a code.

    Attributes
    ----------
    text
        The code as it stands, worn characters written ``?``.
    readings
        Every reading by every scheme: those by schemes that may have been in force first, then
        by scheme and code.
    """

    text: str
    readings: tuple[Reading, ...]

    @property
    def possible(self) -> tuple[Reading, ...]:
        """The readings by schemes that may have been in force."""
        return tuple(reading for reading in self.readings if reading.in_force != "no")

    @property
    def counting(self) -> tuple[Reading, ...]:
        """The readings that count: the possible ones; all, if no scheme was in force."""
        return self.possible or self.readings

    @property
    def span(self) -> Span:
        """The first and the last day that the readings that count allow, both inclusive."""
        counting = self.counting
        starts = [r.earliest for r in counting if r.earliest is not None]
        ends = [r.latest for r in counting if r.latest is not None]
        if not counting or len(starts) < len(counting) or len(ends) < len(counting):
            return None, None
        return min(starts), max(ends)

    @property
    def claims(self) -> tuple[Claim, ...]:
        """The claims under the readings that count, and those that rule others out."""
        counting = self.counting
        found = dict.fromkeys(claim for reading in counting for claim in reading.claims)
        for reading in self.readings if len(counting) < len(self.readings) else ():
            found.update(dict.fromkeys(reading.scheme.life))
        return tuple(found)

    @property
    def unreadable(self) -> tuple[str, ...]:
        """The parts of which a character is worn, in any reading, sorted by name."""
        return tuple(sorted({name for reading in self.readings for name in reading.unreadable}))

    @property
    def differs(self) -> bool:
        """Whether the readings that count do not all tell the same."""
        return len({reading.says for reading in self.counting}) > 1


def decode(text: str, schemes: Iterable[CodeScheme], when: Span = (None, None)) -> Decoded:
    """Read a code by every scheme.

    Parameters
    ----------
    text
        The code, worn characters written ``?``, each standing for one character. Spaces around it
        are not part of it.
    schemes
        The schemes to try; see `glost.trade.codes.schemes`.
    when
        The first and last day on which the code may have been written, both inclusive, if known.
        It tells which schemes were in force for a code that tells no year itself.

    Returns
    -------
    Decoded
        All readings, with the claims each rests on; none if the code fits no scheme.

    Raises
    ------
    CodeError
        If the code is too worn to go through all it may be.
    """
    text = text.strip()
    readings = [reading for scheme in schemes for reading in scheme.decode(text, when)]
    if readings[1:]:
        readings.sort(key=lambda r: (r.in_force == "no", str(r.scheme.iri), r.order))
    return Decoded(text, tuple(readings))
