"""Crossings, as plain values: treatments seen on other shapes than their home."""

import csv
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from rdflib import URIRef

from glost.record.claims import Claim
from glost.verdicts import Verdict

HERE = Path(__file__).parent
STRENGTHS = ("none", "weak", "fair", "strong")
"""What each rank of the scale is called."""
Days = tuple[int | None, int | None]
"""A first and last day, both inclusive, day numbers as in `glost.record.dates`; None if open."""


def rows(name: str) -> list[dict[str, str]]:
    """Read a table of this package; lines that begin with ``#`` are remarks."""
    lines = (HERE / name).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


@cache
def kinds() -> dict[str, tuple[int, str]]:
    """Return each kind of explanation with its order and its words."""
    return {r["explanation"]: (int(r["order"]), r["words"]) for r in rows("explanations.csv")}


@cache
def strengths() -> dict[tuple[str, str], tuple[int, str]]:
    """Return how strong each explanation is in each case, with the reason."""
    found = rows("strengths.csv")
    return {(r["explanation"], r["case"]): (int(r["strength"]), r["why"]) for r in found}


@dataclass(frozen=True, slots=True)
class Explanation:
    """What may account for a crossing.

    Attributes
    ----------
    kind
        Its id, as ``explanations.csv`` has it.
    case
        ``stated`` by a source, ``followed`` from what is stated, ``doubted`` and so on, as
        ``strengths.csv`` has it.
    reissue
        The treatment of the other shape that uses the same decal; None for other kinds.
    claims
        The claims it rests on.
    """

    kind: str
    case: str
    reissue: URIRef | None
    claims: tuple[Claim, ...]

    @property
    def words(self) -> str:
        """The explanation in words."""
        return kinds()[self.kind][1]

    @property
    def strength(self) -> int:
        """How strong it is: 3 strong, 2 fair, 1 weak, 0 none; see ``strengths.csv``."""
        return strengths()[self.kind, self.case][0]

    @property
    def why(self) -> str:
        """Why it is as strong as it is."""
        return strengths()[self.kind, self.case][1]


@dataclass(frozen=True, slots=True)
class TimeOfCrossing:
    """What was so when a treatment was put on another shape than its home.

    Attributes
    ----------
    late
        Whether the home shape had ended in an earlier year than the other shape began, or the
        piece was made or decorated, or a list of its own time that shows it came out.
    sharing
        Whether the two shared flatware then, by the dates sources give of their sharing; None if
        no source says that they ever did.
    deciding
        What would decide what is only possible.
    disputed
        What of it is in dispute.
    """

    late: Verdict
    sharing: Verdict | None
    deciding: tuple[str, ...]
    disputed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Sighting:
    """A piece that shows a crossing, or a source that shows or lists it.

    Attributes
    ----------
    where
        The piece or the source.
    form
        The form seen; None if not said, or if a source lists it.
    explanations
        What may account for it, in the order in which it is looked for; never empty.
    timing
        What was so at its time.
    claims
        The claims for the sighting.
    """

    where: URIRef
    form: URIRef | None
    explanations: tuple[Explanation, ...]
    timing: TimeOfCrossing
    claims: tuple[Claim, ...]

    @property
    def explanation(self) -> Explanation:
        """The first explanation found."""
        return self.explanations[0]


def told(sighting: Sighting) -> str:
    """Tell what was so at the time of a sighting, as far as it bears on what explains it."""
    timing = sighting.timing
    parts = []
    if timing.sharing in (Verdict.NO, Verdict.POSSIBLY):
        parts.append(f"whether they shared flatware then: {timing.sharing}")
    if any(each.kind == "possible-late-reissue" for each in sighting.explanations):
        parts.append(f"what would decide it: {', '.join(timing.deciding)}")
        if timing.disputed:
            parts.append(f"in dispute: {', '.join(timing.disputed)}")
    return f" ({'; '.join(parts)})" if parts else ""


@dataclass(frozen=True, slots=True)
class Crossing:
    """A treatment that crossed from one shape to another.

    Attributes
    ----------
    treatment, home, seen_on
        The treatment, its home shape, and the other shape.
    numbers, decals
        Its numbers as written and the decals it uses, sorted.
    by_number
        Whether its home is known only by what its number says.
    sightings
        What shows it: pieces, then sources, sorted.
    claims
        The claims for the home.
    """

    treatment: URIRef
    home: URIRef
    seen_on: URIRef
    numbers: tuple[str, ...]
    decals: tuple[URIRef, ...]
    by_number: bool
    sightings: tuple[Sighting, ...]
    claims: tuple[Claim, ...]

    @property
    def explanations(self) -> tuple[Explanation, ...]:
        """Every explanation of any sighting, once each, strongest first."""
        found = dict.fromkeys(e for sighting in self.sightings for e in sighting.explanations)
        order = sorted(found, key=lambda e: (-e.strength, kinds()[e.kind][0], str(e.reissue)))
        return tuple(order)

    @property
    def strongest(self) -> Explanation:
        """The strongest explanation of any sighting."""
        return self.explanations[0]


@dataclass(frozen=True, slots=True)
class CrossingCell:
    """All crossings from one shape to another.

    Attributes
    ----------
    home, seen_on
        The shapes.
    crossings
        The crossings, sorted by treatment.
    """

    home: URIRef
    seen_on: URIRef
    crossings: tuple[Crossing, ...]

    @property
    def sightings(self) -> int:
        """How many pieces and sources show any of them."""
        return sum(len(crossing.sightings) for crossing in self.crossings)

    @property
    def strength(self) -> int:
        """How strong the weakest of their explanations is, taking the strongest of each."""
        return min(crossing.strongest.strength for crossing in self.crossings)


@dataclass(frozen=True, slots=True)
class CrossingMatrix:
    """Crossings between shapes.

    Attributes
    ----------
    shapes
        The shapes that take part, by when they began, then by IRI; rows and columns alike.
    cells
        A cell for each pair of home (row) and other shape (column) with crossings.
    """

    shapes: tuple[URIRef, ...]
    cells: tuple[CrossingCell, ...]
