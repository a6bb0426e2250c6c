"""When things ran, for pictures: the tightest dates that all claims together allow."""

from collections.abc import Iterable

from rdflib import URIRef

from glost.answer.snapshot import Snapshot
from glost.publish.pictures.model import NOTHING, Basis, Days, Life
from glost.record.claims import Claim, Triple
from glost.words.labels import Words


def basis(claims: Iterable[Claim], words: Words) -> Basis:
    """Tell what claims rest on."""
    ordered = sorted(set(claims), key=lambda c: (c.origin.file, c.origin.row, c.iri))
    passages = []
    for claim in ordered:
        place = f"{words.label(claim.passage.source)}, {claim.passage.locator}".rstrip(", ")
        passages.append(place)
    return Basis(tuple(sorted(str(claim.iri) for claim in ordered)), tuple(dict.fromkeys(passages)))


class Lives:
    """When the things of a collection ran, with what each bound rests on.

    Parameters
    ----------
    snapshot
        The collection.
    """

    def __init__(self, snapshot: Snapshot) -> None:
        self._chronology = snapshot.chronology
        self._words = snapshot.words
        self._clashing = {
            ground.triple for found in self._chronology.conflicts for ground in found.grounds
        }

    @property
    def note(self) -> str:
        """What a reader of these dates must know."""
        margin = self._chronology.margin
        return (
            "Dates are the closest that all claims together allow; those marked approximate are "
            f"widened by {margin.year / 365.25:.3g} years, {margin.month} days for a month and "
            f"{margin.day} for a day. Where sources cannot all be right, what is drawn leaves out "
            "the least trusted that would have to give way."
        )

    def when(self, point: URIRef) -> tuple[Days, bool]:
        """Return between which days a point lies, and whether claims about it clash."""
        found = self._chronology.bounds(point)
        return (found.earliest, found.latest), found.disputed

    def life(self, thing: URIRef) -> Life:
        """Return when a thing ran."""
        begin, one = self.when(URIRef(f"{thing}#begin"))
        end, other = self.when(URIRef(f"{thing}#end"))
        return Life(begin, end, one or other)

    def begin(self, thing: URIRef) -> Days:
        """Return between which days a thing began."""
        return self.when(URIRef(f"{thing}#begin"))[0]

    def basis(self, thing: URIRef, *points: str) -> Basis:
        """Return what the bounds of some points of a thing rest on, of begin and end if none."""
        claims: list[Claim] = []
        for name in points or ("begin", "end"):
            point = URIRef(f"{thing}#{name}")
            for why in (self._chronology.why_not_before, self._chronology.why_not_after):
                argument = why(point)
                for ground in argument.grounds if argument else ():
                    claims += ground.claims
        return basis(claims, self._words) if claims else NOTHING

    def clashes(self, statements: Iterable[Triple]) -> bool:
        """Say whether one of some statements takes part in a contradiction of dates."""
        return any(statement in self._clashing for statement in statements)
