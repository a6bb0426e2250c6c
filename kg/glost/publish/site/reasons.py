"""Why a statement that no source makes is there: the steps down to the claims."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from markupsafe import Markup
from rdflib import URIRef
from rdflib.term import Node

from glost.answer.times import bounds, leaves
from glost.names import GLOST
from glost.publish.site.frame import blocks
from glost.publish.site.properties import ClaimUnder, Teller
from glost.reason.closure import Proof
from glost.record.claims import Triple

W3C = "https://www.w3.org/TR/2012/REC-owl2-profiles-20121211/#"
"""Where the rules of OWL 2 RL are given; a rule's name is the table's row."""

_DEEPEST = 6
_STEPS = 24
_MORE = Markup('<li class="d1">and {:,} more statements; see what disagrees</li>')
_LENGTHS = (GLOST.overallLength, GLOST.zoneLength)
_FROM: dict[Node, tuple[URIRef, ...]] = {
    GLOST.earliestYear: (GLOST.date,),
    GLOST.latestYear: (GLOST.date,),
    GLOST.lengthInMetres: _LENGTHS,
    GLOST.unexplainedLength: _LENGTHS,
}


@dataclass(frozen=True, slots=True)
class ReasonStep:
    """One step of a reason.

    Attributes
    ----------
    depth
        How far below the statement explained, 1 or more.
    says
        The statement.
    rule
        The rule that gives it; empty if claims state it.
    grounds
        The claims that state it.
    """

    depth: int
    says: Markup
    rule: str
    grounds: tuple[ClaimUnder, ...]


@dataclass(frozen=True, slots=True)
class Reasoned:
    """A statement that follows, or was reckoned, with its reason.

    Attributes
    ----------
    value
        Its value.
    rule
        The rule that gives it; empty if it was reckoned.
    steps
        What it rests on, from the statement down, each a line; empty if nothing.
    """

    value: Markup
    rule: str
    steps: Markup


class ReasonPages:
    """Unfolds statements into their reasons.

    Parameters
    ----------
    teller
        Tells what claims say.
    """

    def __init__(self, teller: Teller) -> None:
        self._teller = teller
        self._snapshot = teller.holdings.snapshot
        self._block = blocks().step
        self._known: dict[tuple[Triple, int, str, str], Markup] = {}

    def inferred(self, triple: Triple, root: str) -> Reasoned:
        """Give the shortest proof of a statement that follows."""
        proof = self._snapshot.closure.why(triple)
        steps = (step for each in proof.premises for step in self._steps(each, root, 1))
        return Reasoned(self._teller.links.a(triple[2], root), proof.rule, _lines(steps))

    def _steps(self, proof: Proof, root: str, depth: int) -> Iterator[Markup]:
        yield self._step(proof.conclusion, root, depth, proof.rule if proof.premises else "")
        for premise in proof.premises:
            yield from self._steps(premise, root, depth + 1)

    def _step(self, triple: Triple, root: str, depth: int, rule: str) -> Markup:
        """Tell a step: by which rule it follows, or if none is given which claims state it."""
        depth = min(depth, _DEEPEST)
        key = (triple, depth, rule, root)
        found = self._known.get(key)
        if found is None:
            grounds = () if rule else self._grounds(triple, root)
            step = ReasonStep(depth, self._teller.sentence(triple, root), rule, grounds)
            found = self._known[key] = self._block(step)
        return found

    def _grounds(self, triple: Triple, root: str) -> tuple[ClaimUnder, ...]:
        claims = self._snapshot.belief.rests_on(triple)
        return tuple(self._teller.ground(claim, root, [triple]) for claim in claims)

    def reckoned(self, triple: Triple, root: str) -> Reasoned:
        """Give the statements that a reckoned one was reckoned from, or the first of very many."""
        facts = self._from(triple)
        steps = [self._step(fact, root, 1, "") for fact in facts[:_STEPS]]
        if len(facts) > _STEPS:
            steps.append(_MORE.format(len(facts) - _STEPS))
        return Reasoned(self._teller.links.a(triple[2], root), "", _lines(steps))

    def _from(self, triple: Triple) -> list[Triple]:
        """Return what it was reckoned from.

        For a bound of the chronology the argument for it, step by step; else what claims say of
        the same subject, or of a kiln's zones.
        """
        if bounds(triple):
            return list(leaves(self._snapshot.chronology, triple))
        subject, predicate, _ = triple
        graph = self._snapshot.belief.graph
        parts = [subject]
        if predicate == GLOST.unexplainedLength:
            parts += graph.subjects(GLOST.zoneOf, subject)
        found = [
            (part, property_, value)
            for part in parts
            for property_ in _FROM.get(predicate, ())
            for value in graph.objects(part, property_)
        ]
        return sorted(found, key=lambda fact: [str(term) for term in fact])


def _lines(steps: Iterable[Markup]) -> Markup:
    return Markup("".join([f"{step}\n" for step in steps]))
