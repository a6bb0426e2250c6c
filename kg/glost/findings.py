"""The one type for everything found wrong, wherever it was found."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum


class Severity(StrEnum):
    """How much a finding matters."""

    CONTRADICTION = "contradiction"
    """Not all of the claims involved can hold."""
    WARNING = "warning"
    """Something is missing, differs between sources or looks odd."""
    NOTE = "note"
    """Worth knowing; nothing need be done."""


@dataclass(frozen=True, slots=True)
class Side:
    """One side of a finding: what one claim says and what it rests on.

    Attributes
    ----------
    says
        The statement in words.
    claim
        IRI of the claim.
    source
        Title of the source, or its id where it has no title.
    passage
        Locator within the source (page, item, sheet) and region of its image; may be empty.
    read_from
        File and row the claim was read from, ``tables/kilns.csv row 12``.
    certainty
        The certainty the claim states; empty if none.
    """

    says: str
    claim: str
    source: str
    passage: str = ""
    read_from: str = ""
    certainty: str = ""


@dataclass(frozen=True, slots=True)
class Finding:
    """Something found wrong, with every claim that takes part in it.

    Attributes
    ----------
    kind
        The check that found it: the local name of a SHACL shape, of an OWL 2 RL rule
        (``cax-dw``), or of one of the program's own checks (``differing-values``).
    severity
        How much it matters.
    about
        IRIs of the things it is about, most important first.
    message
        What is wrong, in words a cataloguer understands.
    sides
        What each claim involved says, with its source, locator, file and row.
    remedy
        What could be done about it.
    """

    kind: str
    severity: Severity
    about: tuple[str, ...]
    message: str
    sides: tuple[Side, ...] = ()
    remedy: str = ""

    @property
    def claims(self) -> tuple[str, ...]:
        """The IRIs of the claims involved, in the order of the sides."""
        return tuple(side.claim for side in self.sides)

    @property
    def passages(self) -> tuple[str, ...]:
        """Source and locator of each side, in the same order."""
        return tuple(f"{side.source}, {side.passage}".rstrip(", ") for side in self.sides)


def in_order(found: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return findings once each, contradictions first, then warnings, then notes.

    Those of one severity by check, thing, message and claims.
    """
    return tuple(sorted(set(found), key=reading_key))


_RANK = {severity: place for place, severity in enumerate(Severity)}


def reading_key(one: Finding) -> tuple[int, str, tuple[str, ...], str, tuple[str, ...]]:
    """Return by what findings are sorted; see `in_order`."""
    return _RANK[one.severity], one.kind, one.about, one.message, one.claims
