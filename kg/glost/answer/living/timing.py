"""The chronology, kept up to date: reckoned again of those things that a change bears on.

Things hang together in time that a statement joins which a rule of time looks at, that one claim
speaks of together, or whose claims weigh less because their sources repeat one another. What
bounds one, and what contradicts it, has nothing to do with things it does not hang together with.
So after a change everything that hangs together with what the change speaks of is reckoned by
itself, from the claims about it; of all else the earlier chronology still holds.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from functools import cache

from rdflib import URIRef
from rdflib.namespace import RDF, SKOS
from rdflib.term import Node

from glost.answer.living.tracing import Look, Notes, TracedBelief, seen_by
from glost.answer.times import chronology_believed
from glost.names import GLOST
from glost.record.belief import Belief
from glost.record.claims import Claim, Triple
from glost.record.collection import Collection
from glost.record.columns import NOTHING, StatementTable, Texts, in_columns, in_texts
from glost.record.patching import Shift
from glost.record.sequence import ClaimSequence
from glost.trade.codes.pieces import DATING, PieceDate, piece_dates
from glost.trade.codes.scheme import CodeScheme
from glost.trade.codes.schemes import schemes
from glost.trade.times import Bounds, Chronology
from glost.trade.times.arguments import BROADER, predicate
from glost.trade.times.pieced import Pieced
from glost.trade.times.rules import IS_A
from glost.trade.times.special import SHOWING
from glost.trade.times.statements import classes, looked_at, wanted

POINTS = ("begin", "end", "made", "decorated", "")
"""The points in time of a thing; the last is that of a source."""
_PARTS = ("begin", "end", "run", "made", "decorated")
_WITNESSES = (GLOST.repeats, GLOST.quotedIn)
_TERMS = (SKOS.broader, SKOS.inScheme)


@cache
def _relevant() -> frozenset[Node]:
    """Return the properties that the chronology looks at, those of terms and classes left out."""
    names = (name for name in wanted() if name not in (IS_A, BROADER))
    return frozenset({*map(predicate, names), *DATING})


@cache
def _kinds() -> frozenset[str]:
    return classes() | {str(GLOST.CodeScheme)}


def bearing(triple: Triple) -> bool:
    """Say whether a statement bears on time."""
    if triple[1] == RDF.type:
        return str(triple[2]) in _kinds()
    return triple[1] in _relevant()


class Timing:
    """The chronology of what is believed.

    Parameters
    ----------
    chronology
        The whole chronology.
    settings
        The collection's settings.
    """

    def __init__(self, chronology: Chronology, settings: Collection) -> None:
        self._settings = settings
        self.chronology = Pieced.of(chronology, self._anew)
        self._resting: dict[URIRef, dict[URIRef, Claim]] = defaultdict(dict)
        for claim in chronology.belief.claims:
            self._resting[claim.passage.source][claim.iri] = claim
        self._bearing: dict[URIRef, tuple[tuple[str, ...], bool]] = {}
        self._texts: dict[URIRef, list[Texts]] = {}
        self._speakers: dict[str, tuple[Claim, ...]] = {}
        self._beside: dict[str, frozenset[str] | None] = {}
        self._schemes: tuple[CodeScheme, ...] | None = None
        self._looks: set[Look] = set()

    def _anew(self, belief: Belief) -> Chronology:
        return chronology_believed(belief, self._settings)

    def change(self, shift: Shift, belief: Belief) -> "frozenset[str] | None":
        """Make a change.

        Parameters
        ----------
        shift
            What it does to what is believed.
        belief
            What is believed after it.

        Returns
        -------
        frozenset of str or None
            IRIs of the things of which the chronology was reckoned again; none if it has nothing to
            do with time; None if it was reckoned again of everything, for the collection's own
            terms changed.
        """
        touched = self._touched(shift)
        self._rest(shift)
        self._forget(shift)
        if any(verb in _TERMS for _, verb, _ in shift.statements):
            self.chronology = Pieced.of(self._anew(belief), self._anew)
            return None
        if not touched:
            self.chronology = self.chronology.believing(belief)
            return frozenset()
        things = self._together(touched, belief)
        readings = self._read(things, belief)
        part = chronology_believed(self._about(things, belief), self._settings, readings)
        self.chronology = self.chronology.believing(belief).reckoned(things, part)
        return frozenset(things)

    def _rest(self, shift: Shift) -> None:
        for claim in shift.went:
            del self._resting[claim.passage.source][claim.iri]
            self._bearing.pop(claim.iri, None)
            self._texts.pop(claim.iri, None)
        for claim in shift.came:
            self._resting[claim.passage.source][claim.iri] = claim
            self._bearing.pop(claim.iri, None)
            self._texts.pop(claim.iri, None)
        if not self._looks.isdisjoint(seen_by(shift.statements)):
            self._schemes = None

    def _read(self, things: Iterable[str], belief: Belief) -> list[PieceDate]:
        """Return the dates read from codes on some things; schemes are read when they change."""
        pieces = [
            URIRef(thing)
            for thing in sorted(things)
            if (URIRef(thing), GLOST.dateCodeRead, None) in belief.graph
        ]
        if pieces and self._schemes is None:
            notes = Notes()
            self._schemes = schemes(TracedBelief(belief, notes))
            self._looks = notes.looks
        return list(piece_dates(belief, self._schemes or (), pieces))

    def _speaking(self, claim: Claim) -> tuple[tuple[str, ...], bool]:
        """Return the things a claim joins in time, and whether it shows one; kept while it is."""
        if claim.iri not in self._bearing:
            bears = [triple for triple in claim.statements if bearing(triple)]
            shows = any(str(t[1]).rsplit("#", 1)[-1] in SHOWING for t in bears)
            self._bearing[claim.iri] = tuple(_things(bears)), shows
        return self._bearing[claim.iri]

    def _touched(self, shift: Shift) -> set[str]:
        """Return the things that a change speaks of in ways that bear on time."""
        found: set[str] = set()
        for claim in (*shift.came, *shift.went):
            bears = [triple for triple in claim.statements if bearing(triple)]
            found.update(_things(bears))
            for source in {t[0] for t in bears if t[1] == GLOST.sourceKind} | {
                term for t in bears if t[1] in _WITNESSES for term in (t[0], t[2])
            }:
                found.add(str(source))
                for other in self._resting.get(URIRef(str(source)), {}).values():
                    found.update(_things(filter(bearing, other.statements)))
        return found

    def _together(self, touched: Iterable[str], belief: Belief) -> set[str]:
        """Return everything that hangs together with some things."""
        found = set[str]()
        pending = list(touched)
        while pending:
            thing = pending.pop()
            if thing in found or not thing.startswith(self._settings.base):
                continue
            if thing not in self._beside:
                self._beside[thing] = self._next(thing, belief)
            beside = self._beside[thing]
            if beside is not None:
                found.add(thing)
                pending += beside - found
        return found

    def _next(self, thing: str, belief: Belief) -> frozenset[str] | None:
        """Return what hangs together with a thing by one claim; None of a term."""
        if _term(thing, belief):
            return None
        found, node = set[str](), URIRef(thing)
        claims = list(belief.about(thing))
        for named in (node, *(URIRef(f"{thing}#{part}") for part in _PARTS)):
            if (None, None, named) in belief.graph:
                claims += belief.mentions(named)
        if _witness(node, belief) or (node, GLOST.sourceKind, None) in belief.graph:
            claims += self._resting.get(node, {}).values()
        for claim in claims:
            joined, shows = self._speaking(claim)
            found.update(joined)
            source = claim.passage.source
            if joined and (shows or _witness(source, belief)):
                found.add(str(source))
        return frozenset(found - {thing})

    def _forget(self, shift: Shift) -> None:
        """Forget what is said of the things that a change speaks of, and hangs together so."""
        for claim in (*shift.came, *shift.went):
            for thing in _things(claim.statements):
                self._speakers.pop(thing, None)
        if any(verb in _WITNESSES for _, verb, _ in shift.statements):
            self._beside.clear()
            return
        for claim in (*shift.came, *shift.went):
            self._beside.pop(str(claim.passage.source), None)
            for thing in _things(claim.statements):
                self._beside.pop(thing, None)

    def _about(self, things: Iterable[str], belief: Belief) -> Belief:
        """Return the part of what is believed that is about some things, and about terms."""
        for thing in things:
            if thing not in self._speakers:
                self._speakers[thing] = belief.about(thing)
        claims = {claim.iri: claim for thing in things for claim in self._speakers[thing]}
        for term in _TERMS:
            for triple in belief.graph.triples((None, term, None)):
                claims |= {claim.iri: claim for claim in belief.rests_on(triple)}
        ordered = ClaimSequence.given(claims[iri] for iri in sorted(claims))
        return _PartBelieved(ordered, self._texts)


class _PartBelieved(Belief):
    """A part of what is believed, of which the columns that rules of time look at are quick.

    Parameters
    ----------
    claims
        Its claims.
    texts
        What claims say of the properties that rules look at, as far as it was asked for already.
    """

    def __init__(self, claims: ClaimSequence, texts: dict[URIRef, list[Texts]]) -> None:
        super().__init__(claims, {}, {}, None)
        self.__dict__["_texts"] = texts

    def table(self, properties: frozenset[str]) -> StatementTable:
        """Return the statements of some properties, by IRI, as columns."""
        if properties != looked_at():
            return super().table(properties)
        texts: dict[URIRef, list[Texts]] = self.__dict__["_texts"]
        for claim in self.claims:
            if claim.iri not in texts:
                texts[claim.iri] = in_texts(claim.saying(properties))
        told = in_columns((at, texts[claim.iri]) for at, claim in enumerate(self.claims))
        return StatementTable(self.claims, dict.fromkeys(properties, NOTHING) | dict(told))


def _things(triples: Iterable[Triple]) -> list[str]:
    return list({str(term).partition("#")[0] for triple in triples for term in _ends(triple)})


def _ends(triple: Triple) -> Iterator[Node]:
    yield triple[0]
    if triple[1] != RDF.type and isinstance(triple[2], URIRef):
        yield triple[2]


def _term(thing: str, belief: Belief) -> bool:
    return (URIRef(thing), SKOS.inScheme, None) in belief.graph


def _witness(source: URIRef, belief: Belief) -> bool:
    graph = belief.graph
    return any(
        (source, verb, None) in graph or (None, verb, source) in graph for verb in _WITNESSES
    )


def moves(
    before: Chronology, after: Chronology, things: Iterable[str]
) -> Iterator[tuple[URIRef, Bounds]]:
    """Yield the points of some things that are bounded otherwise, with their earlier bounds."""
    unbounded = Bounds(None, None)
    for thing in sorted(things):
        was, now = before.of_thing(thing), after.of_thing(thing)
        if was != now:
            for name in POINTS:
                if was.get(name, unbounded) != now.get(name, unbounded):
                    yield URIRef(f"{thing}#{name}" if name else thing), was.get(name, unbounded)
