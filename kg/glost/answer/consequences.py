"""What a change of a collection brings about, as data and in words."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Protocol

from rdflib import Graph, URIRef
from rdflib.namespace import RDF

from glost.findings import Finding
from glost.reason.proof import ProofTree
from glost.record.belief import Belief
from glost.record.claims import Claim, Triple
from glost.trade.times import Argument, Bounds, Chronology
from glost.words import spans
from glost.words import times as wording
from glost.words.labels import Words
from glost.words.sentences import says, sentence, value_in_words

if TYPE_CHECKING:
    from glost.answer.affected import Affected  # takes long to import


class Told(Protocol):
    """Something that a change brought about."""

    @property
    def text(self) -> str:
        """What it is, in words."""

    @property
    def claims(self) -> tuple[str, ...]:
        """IRIs of the claims it rests on."""


@dataclass(frozen=True, slots=True)
class ChangedClaim:
    """A claim that is new, gone, or said otherwise than before.

    Attributes
    ----------
    claim
        The claim.
    text
        What it says, with where it was read from.
    """

    claim: Claim
    text: str

    @property
    def claims(self) -> tuple[str, ...]:
        """The IRI of the claim."""
        return (str(self.claim.iri),)


@dataclass(frozen=True, slots=True)
class Following:
    """A statement that follows now, or followed before and no longer does.

    Attributes
    ----------
    triple
        The statement.
    proof
        Why it follows, or why it did.
    claims
        IRIs of the claims that the proof rests on, sorted.
    text
        The statement in words, with what it rests on.
    """

    triple: Triple
    proof: ProofTree
    claims: tuple[str, ...]
    text: str


@dataclass(frozen=True, slots=True)
class Moved:
    """A point in time whose bounds are others than before.

    Attributes
    ----------
    point
        The point: ``{thing}#begin`` and the like, or a dated source.
    before, after
        Its bounds; see `glost.trade.times.Chronology.bounds`.
    not_before, not_after
        The arguments for its bounds now; None where it has none on that side.
    text
        What moved where, and why, in a sentence each.
    """

    point: URIRef
    before: Bounds
    after: Bounds
    not_before: Argument | None
    not_after: Argument | None
    text: str

    @property
    def claims(self) -> tuple[str, ...]:
        """IRIs of the claims that the bounds rest on now, sorted."""
        sides = [side for side in (self.not_before, self.not_after) if side is not None]
        return tuple(sorted({str(claim.iri) for side in sides for claim in side.claims}))


@dataclass(frozen=True)
class Consequences:
    """What a change brought about.

    Attributes
    ----------
    added, withdrawn
        Claims that are believed now and were not before, or that say something else; and claims
        that were believed and are no longer.
    follows, falls
        Statements that follow now, and that no longer follow.
    moved
        Points in time whose bounds moved.
    new, gone
        Findings that come up with the change, and that it does away with.
    stale
        IRIs of the things whose pages and pictures no longer show what is on record, sorted.
    called
        What things were called before the change.
    """

    added: tuple[ChangedClaim, ...]
    withdrawn: tuple[ChangedClaim, ...]
    follows: tuple[Following, ...]
    falls: tuple[Following, ...]
    moved: tuple[Moved, ...]
    new: tuple[Finding, ...]
    gone: tuple[Finding, ...]
    stale: tuple[str, ...]
    called: Words = field(repr=False, compare=False)
    _asked: "Callable[[bool], Iterator[Affected]]" = field(repr=False, compare=False)

    @cached_property
    def answers(self) -> "tuple[Affected, ...]":
        """The answers to named questions that are others than before, all of them.

        They come after the rest, for they take longer; `coming` gives them one by one. They must
        be asked for before the next change.
        """
        return tuple(self._asked(True))

    def coming(self, *, judged: bool = True) -> "Iterator[Affected]":
        """Yield the answers that changed as they are found.

        Parameters
        ----------
        judged
            Whether to go on to those that rest on what is judged of lists, which come last and
            take longest.
        """
        return iter(self.answers) if "answers" in self.__dict__ else self._asked(judged)

    def parts(self) -> Iterator[tuple[str, tuple[Told, ...]]]:
        """Yield all but the answers: a heading for each kind that there is any of, and each of it.

        Of what class something is goes without saying.
        """
        kinds: tuple[tuple[str, Iterable[Told]], ...] = (
            ("Now held", self.added),
            ("No longer held", self.withdrawn),
            ("Now follows", _telling(self.follows)),
            ("No longer follows", _telling(self.falls)),
            ("Dates that moved", self.moved),
            ("New findings", map(_Found, self.new)),
            ("Findings settled", map(_Found, self.gone)),
        )
        for heading, some in kinds:
            if told := tuple(some):
                yield heading, told

    def lines(self) -> Iterator[str]:
        """Say all but the answers, in words: a heading for each kind, and under it what it is."""
        for heading, told in self.parts():
            yield f"{heading}:"
            yield from (f"  {each.text}" for each in told)

    def answer(self, each: "Affected", now: Words) -> str:
        """Say an answer in words; one that is no more by what things were called before.

        Parameters
        ----------
        each
            The answer.
        now
            What things are called after the change.
        """
        words = self.called if each.fate == "no longer" else now
        cells = (value_in_words(value, words) for value in each.values if value is not None)
        return " · ".join(cell for cell in cells if cell)


@dataclass(frozen=True, slots=True)
class _Found:
    """A finding, as something that a change brought about."""

    finding: Finding

    @property
    def text(self) -> str:
        return f"{self.finding.severity} ({self.finding.kind}) {self.finding.message}"

    @property
    def claims(self) -> tuple[str, ...]:
        return tuple(side.claim for side in self.finding.sides if side.claim)


def _telling(some: Iterable[Following]) -> Iterator[Following]:
    return (each for each in some if each.triple[1] != RDF.type)


# -- telling -------------------------------------------------------------------------------------


def said(claims: Iterable[Claim], graph: Graph | Words) -> tuple[ChangedClaim, ...]:
    """Tell claims that come or go, sorted by IRI."""
    return tuple(
        ChangedClaim(claim, f"{says(claim.statements, graph)} ({claim.origin})")
        for claim in sorted(claims, key=lambda each: each.iri)
    )


def following(triple: Triple, proof: ProofTree, belief: Belief, graph: Graph | Words) -> Following:
    """Tell a statement that follows, with the claims that its proof rests on.

    Parameters
    ----------
    triple
        The statement.
    proof
        Its proof.
    belief
        What is believed where the proof holds.
    graph
        The same with the vocabulary, for wording.
    """
    claims = sorted({str(c.iri) for fact in proof.facts for c in belief.rests_on(fact)})
    grounds = "; ".join(sentence(fact, graph) for fact in proof.facts)
    because = f", because {grounds}" if grounds else ""
    return Following(triple, proof, tuple(claims), f"{sentence(triple, graph)}{because}")


def moved(point: URIRef, before: Bounds, times: Chronology, graph: Graph | Words) -> Moved:
    """Tell that the bounds of a point moved, and why they are what they are now.

    Parameters
    ----------
    point
        The point.
    before
        Its bounds before the change.
    times
        The chronology after it.
    graph
        What is believed after it, with the vocabulary, for wording.
    """
    after = times.bounds(point)
    early, late = times.why_not_before(point), times.why_not_after(point)
    because = [
        wording.short(argument, times, graph)
        for argument, was, now in (
            (early, before.earliest, after.earliest),
            (late, before.latest, after.latest),
        )
        if argument is not None and was != now
    ]
    disputed = {(False, True): ", now in dispute", (True, False): ", no longer in dispute"}
    told = (
        f"{wording.subject(point, graph)} {spans.between(after[:2])}"
        f"{disputed.get((before.disputed, after.disputed), '')}"
        f" (before: {spans.between(before[:2])})."
    )
    return Moved(point, before, after, early, late, " ".join([told, *because]))
