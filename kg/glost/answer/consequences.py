"""What a change of a collection brings about, as data and in words."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from rdflib import Graph, URIRef
from rdflib.namespace import RDF

from glost.answer.affected import Affected
from glost.findings import Finding
from glost.plain import plain
from glost.reason.proof import Proof
from glost.record.belief import Belief
from glost.record.claims import Claim, Triple
from glost.trade.times import Argument, Bounds, Chronology
from glost.words import spans
from glost.words import times as wording
from glost.words.labels import Words
from glost.words.sentences import says, sentence


@dataclass(frozen=True, slots=True)
class Said:
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
    proof: Proof
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

    added: tuple[Said, ...]
    withdrawn: tuple[Said, ...]
    follows: tuple[Following, ...]
    falls: tuple[Following, ...]
    moved: tuple[Moved, ...]
    new: tuple[Finding, ...]
    gone: tuple[Finding, ...]
    stale: tuple[str, ...]
    called: Words = field(repr=False, compare=False)
    _asked: Callable[[bool], Iterator[Affected]] = field(repr=False, compare=False)

    @cached_property
    def answers(self) -> tuple[Affected, ...]:
        """The answers to named questions that are others than before, all of them.

        They come after the rest, for they take longer; `coming` gives them one by one. They must
        be asked for before the next change.
        """
        return tuple(self._asked(True))

    def coming(self, *, judged: bool = True) -> Iterator[Affected]:
        """Yield the answers that changed as they are found.

        Parameters
        ----------
        judged
            Whether to go on to those that rest on what is judged of lists, which come last and
            take longest.
        """
        return iter(self.answers) if "answers" in self.__dict__ else self._asked(judged)

    def lines(self, most: int | None = None) -> tuple[str, ...]:
        """Say all but the answers, in words: a heading for each kind, and under it what it is.

        Of what class something is goes without saying.

        Parameters
        ----------
        most
            So many are said of each kind, and how many more there are; None for all.
        """
        parts: list[tuple[str, list[str]]] = [
            ("Now held:", [each.text for each in self.added]),
            ("No longer held:", [each.text for each in self.withdrawn]),
            ("Now follows:", _telling(self.follows)),
            ("No longer follows:", _telling(self.falls)),
            ("Dates that moved:", [each.text for each in self.moved]),
            ("New findings:", [_finding(each) for each in self.new]),
            ("Findings settled:", [_finding(each) for each in self.gone]),
        ]
        return tuple(
            line
            for heading, texts in parts
            if texts
            for line in (heading, *(f"  {text}" for text in _few(texts, most)))
        )

    def as_dict(self) -> dict[str, Any]:
        """Return all but the answers as plain values, for JSON."""
        return {
            "added": [_said(each) for each in self.added],
            "withdrawn": [_said(each) for each in self.withdrawn],
            "follows": [_following(each) for each in self.follows],
            "falls": [_following(each) for each in self.falls],
            "moved": [_moved(each) for each in self.moved],
            "new": plain(self.new),
            "gone": plain(self.gone),
            "stale": list(self.stale),
        }


def _few(texts: list[str], most: int | None) -> list[str]:
    if most is None or len(texts) <= most:
        return texts
    return [*texts[:most], f"and {len(texts) - most} more"]


def _telling(some: Iterable[Following]) -> list[str]:
    return [each.text for each in some if each.triple[1] != RDF.type]


def _finding(each: Finding) -> str:
    return f"{each.severity} ({each.kind}) {each.message}"


def _said(each: Said) -> dict[str, Any]:
    return {"claim": str(each.claim.iri), "text": each.text}


def _following(each: Following) -> dict[str, Any]:
    statement = [term.n3() for term in each.triple]
    return {"statement": statement, "claims": list(each.claims), "text": each.text}


def _moved(each: Moved) -> dict[str, Any]:
    return {
        "point": str(each.point),
        "before": _days(each.before),
        "after": _days(each.after),
        "claims": list(each.claims),
        "text": each.text,
    }


def _days(bounds: Bounds) -> dict[str, Any]:
    earliest, latest = spans.ends(bounds[:2])
    return {"earliest": earliest, "latest": latest, "disputed": bounds.disputed}


# -- telling -------------------------------------------------------------------------------------


def said(claims: Iterable[Claim], graph: Graph | Words) -> tuple[Said, ...]:
    """Tell claims that come or go, sorted by IRI."""
    return tuple(
        Said(claim, f"{says(claim.statements, graph)} ({claim.origin})")
        for claim in sorted(claims, key=lambda each: each.iri)
    )


def following(triple: Triple, proof: Proof, belief: Belief, graph: Graph | Words) -> Following:
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
