"""Arguments for bounds: the steps from a date to a point, each with what it rests on."""

from dataclasses import dataclass
from functools import cache

from rdflib import URIRef
from rdflib.namespace import PROV, RDF, SKOS
from rdflib.term import Node

from glost.names import GLOST
from glost.record.claims import Claim, Triple
from glost.trade.times.rules import IS_A, TimeRule

BROADER = "broader"
_ELSEWHERE = {IS_A: RDF.type, BROADER: SKOS.broader}

TELLING = (
    *("dateCodeRead", "denotesYear", "denotesMonth", "readBy", "pattern"),
    *("appearsOn", "issuedBy", "offeredOn"),
)
"""By which of its statements a whole claim is told, the most telling first."""


@dataclass(frozen=True, slots=True)
class Ground:
    """A statement that an argument rests on.

    Attributes
    ----------
    triple
        The statement; of a whole claim, that it rests on its source.
    claims
        The claims that make it.
    weight
        What it would cost to set it aside.
    """

    triple: Triple
    claims: tuple[Claim, ...]
    weight: float

    @property
    def told(self) -> Triple:
        """The statement; of a whole claim, that one of its statements which tells most."""
        whole = self.triple[1] == PROV.hadPrimarySource
        return telling(self.claims[0]) if whole else self.triple


@dataclass(frozen=True, slots=True)
class ArgumentStep:
    """One step of an argument.

    Attributes
    ----------
    rule
        The rule by which it holds.
    grounds
        What it rests on; nothing if the rule holds whatever is claimed.
    reached
        The point that it bounds.
    day
        The day number that it gives: the last possible, or the first possible.
    """

    rule: TimeRule
    grounds: tuple[Ground, ...]
    reached: URIRef
    day: int


@dataclass(frozen=True, slots=True)
class Argument:
    """Why a point cannot be later, or earlier, than a day.

    Attributes
    ----------
    late
        True if it says that the point is not after the day; False if not before it.
    steps
        From a date to the point; each goes on from the one before.
    """

    late: bool
    steps: tuple[ArgumentStep, ...]

    @property
    def point(self) -> URIRef:
        """The point it is about."""
        return self.steps[-1].reached

    @property
    def day(self) -> int:
        """The day number it leads to."""
        return self.steps[-1].day

    @property
    def grounds(self) -> tuple[Ground, ...]:
        """Every statement it rests on, in the order of the steps, each once."""
        found = {ground.triple: ground for step in self.steps for ground in step.grounds}
        return tuple(found.values())

    @property
    def claims(self) -> tuple[Claim, ...]:
        """Every claim it rests on, sorted by IRI."""
        found = {claim.iri: claim for ground in self.grounds for claim in ground.claims}
        return tuple(found[iri] for iri in sorted(found))


def predicate(name: str) -> URIRef:
    """Return a property by the name it has here."""
    return _ELSEWHERE.get(name, GLOST[name])


def telling(claim: Claim) -> Triple:
    """Return that one of a claim's statements which tells most."""
    order = _order()
    return min(claim.statements, key=lambda each: order.get(each[1], len(order)))


@cache
def _order() -> dict[Node, int]:
    return {predicate(name): place for place, name in enumerate(TELLING)}
