"""What a report of a thing is made from: a collection, indexed by what things it speaks of."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import cached_property
from hashlib import sha256
from typing import TYPE_CHECKING, Protocol

from rdflib import URIRef
from rdflib.namespace import RDF

from glost.answer.snapshot import Snapshot
from glost.findings import Finding
from glost.names import GLOST
from glost.record.belief import Belief
from glost.record.claims import Claim, Triple
from glost.record.index import ClaimIndex, whole
from glost.record.spelling import id_of
from glost.words.labels import Words

# What only whole collections are asked for is imported there: what is kept needs none of it.
if TYPE_CHECKING:
    from glost.reason.closure import ProofTree
    from glost.record.sequence import ClaimSequence
    from glost.trade.assortments.holding import Held
    from glost.trade.assortments.lists import Lists
    from glost.trade.codes import PieceCode
    from glost.trade.crossings import Crossing
    from glost.trade.times import Conflict, Timed


def finding_name(finding: Finding) -> str:
    """Return a name for a finding that does not change when others come and go."""
    text = "\x1f".join((finding.kind, finding.message, *sorted(finding.claims)))
    return f"{finding.kind}-{sha256(text.encode()).hexdigest()[:10]}"


class ThingBasis(Protocol):
    """What is asked of a collection about one thing."""

    def __hash__(self) -> int:
        """Tell one collection from another."""

    @property
    def snapshot(self) -> Snapshot:
        """The collection."""

    @property
    def base(self) -> str:
        """Its base IRI."""

    @property
    def belief(self) -> Belief:
        """What is believed."""

    @property
    def words(self) -> Words:
        """What things are called."""

    @property
    def times(self) -> "Timed":
        """When things happened."""

    def about(self, thing: str) -> Sequence[Claim]:
        """Return the claims about a thing, withdrawn ones too, by file and row."""

    def naming(self, thing: str) -> Sequence[tuple[Claim, Triple]]:
        """Return the statements about other things that name it, withdrawn ones too."""

    def resting(self, thing: str) -> Sequence[Claim]:
        """Return the claims about other things that rest on it as their source."""

    def following(self, thing: str) -> Sequence[Triple]:
        """Return the statements that follow and of which it is subject or object."""


class Kept:
    """A collection as it is kept between commands, of which one thing is looked up.

    Parameters
    ----------
    snapshot
        The collection.
    """

    def __init__(self, snapshot: Snapshot) -> None:
        self.snapshot = snapshot
        self.base = snapshot.stored.base
        self.words = snapshot.labels

    @cached_property
    def belief(self) -> Belief:
        """What is believed."""
        return self.snapshot.stored.believed(self.snapshot.as_of)

    @cached_property
    def times(self) -> "Timed":
        """When things happened."""
        return self.snapshot.stored_times

    def about(self, thing: str) -> Sequence[Claim]:
        """Return the claims about a thing, withdrawn ones too, by file and row."""
        return sorted(self._speaking(thing)[0], key=place)

    def naming(self, thing: str) -> Sequence[tuple[Claim, Triple]]:
        """Return the statements about other things that name it, withdrawn ones too."""
        return naming_among(sorted(self._speaking(thing)[1], key=place), thing)

    def resting(self, thing: str) -> Sequence[Claim]:
        """Return the claims about other things that rest on it as their source."""
        named = sorted(self._speaking(thing)[1], key=place)
        return [claim for claim in named if str(claim.passage.source) == thing]

    def following(self, thing: str) -> Sequence[Triple]:
        """Return the statements that follow and of which it is subject or object."""
        return sorted(self.snapshot.following(URIRef(thing)))

    def _speaking(self, thing: str) -> tuple[list[Claim], list[Claim]]:
        if thing not in self._known:
            self._known[thing] = self.snapshot.stored.speaking_of(
                URIRef(thing), self.snapshot.as_of
            )
        return self._known[thing]

    @cached_property
    def _known(self) -> dict[str, tuple[list[Claim], list[Claim]]]:
        return {}


class Whole:
    """A whole collection, indexed once, of which many things are told.

    Parameters
    ----------
    snapshot
        The collection.
    findings
        Everything that disagrees, each of which has a page of its own; None to look only for what
        is in dispute about things.
    """

    def __init__(self, snapshot: Snapshot, findings: tuple[Finding, ...] | None = None) -> None:
        self.snapshot = snapshot
        self._findings = findings
        self.linked = findings is not None

    def complete(self) -> None:
        """Work out all that is here, so that processes forked then have it."""
        for name, each in vars(type(self)).items():
            if isinstance(each, cached_property):
                getattr(self, name)
        self.snapshot.record.claims.complete()
        self.belief.claims.complete()
        self.snapshot.closure.complete()
        self.belief.rests_on((RDF.nil, RDF.type, RDF.List))

    @property
    def base(self) -> str:
        """The base IRI."""
        return self.snapshot.record.base

    @property
    def belief(self) -> Belief:
        """What is believed."""
        return self.snapshot.belief

    @property
    def words(self) -> Words:
        """What things are called."""
        return self.snapshot.words

    @property
    def times(self) -> "Timed":
        """When things happened."""
        return self.snapshot.chronology

    @cached_property
    def claims(self) -> tuple[Claim, ...]:
        """Every claim known on the day, withdrawn ones too, by IRI."""
        return self.snapshot.contents.claims

    @cached_property
    def by_iri(self) -> Mapping[str, Claim]:
        """The same by IRI."""
        return {str(claim.iri): claim for claim in self.claims}

    @cached_property
    def in_order(self) -> tuple[Claim, ...]:
        """The same by file and row."""
        return tuple(sorted(self.claims, key=place))

    @cached_property
    def statements(self) -> dict[URIRef, tuple[Triple, ...]]:
        """The statements of each claim, those withdrawn of it too."""
        return {claim.iri: claim.statements for claim in self.claims}

    @cached_property
    def by_thing(self) -> Mapping[str, Sequence[Claim]]:
        """Of each thing, the claims with a statement about it, by file and row."""
        found: dict[str, list[Claim]] = defaultdict(list)
        for claim in self.in_order:
            for thing in dict.fromkeys(whole(s) for s, _, _ in self.statements[claim.iri]):
                if self.snapshot.collection.holds(thing):
                    found[thing].append(claim)
        return dict(found)

    @cached_property
    def _naming(self) -> Mapping[str, Sequence[tuple[Claim, Triple]]]:
        found: dict[str, list[tuple[Claim, Triple]]] = defaultdict(list)
        for claim in self.in_order:
            for triple in self.statements[claim.iri]:
                subject, _, value = triple
                if isinstance(value, URIRef) and whole(value) != whole(subject):
                    found[whole(value)].append((claim, triple))
        return dict(found)

    @cached_property
    def _resting(self) -> Mapping[str, Sequence[Claim]]:
        found: dict[str, list[Claim]] = defaultdict(list)
        for claim in self.in_order:
            source = str(claim.passage.source)
            if not any(whole(s) == source for s, _, _ in self.statements[claim.iri]):
                found[source].append(claim)
        return dict(found)

    @cached_property
    def _following(self) -> Mapping[str, Sequence[Triple]]:
        found: dict[str, list[Triple]] = defaultdict(list)
        for triple in self.snapshot.closure.inferred.sorted():
            subject, predicate, value = triple
            if predicate != RDF.type and str(predicate).startswith(GLOST) and subject != value:
                for thing in (subject, value):
                    found[str(thing)].append(triple)
        return dict(found)

    def things(self) -> Iterable[str]:
        """Return everything that claims are about, withdrawn ones too."""
        return self.by_thing.keys()

    def claim(self, iri: str) -> Claim | None:
        """Return a claim known on the day by its IRI."""
        return self.by_iri.get(iri)

    def about(self, thing: str) -> Sequence[Claim]:
        """Return the claims about a thing, withdrawn ones too, by file and row."""
        return self.by_thing.get(thing, ())

    def naming(self, thing: str) -> Sequence[tuple[Claim, Triple]]:
        """Return the statements about other things that name it, withdrawn ones too."""
        return self._naming.get(thing, ())

    def resting(self, thing: str) -> Sequence[Claim]:
        """Return the claims about other things that rest on it as their source."""
        return self._resting.get(thing, ())

    def following(self, thing: str) -> Sequence[Triple]:
        """Return the statements that follow and of which it is subject or object."""
        return self._following.get(thing, ())

    @cached_property
    def reckoned(self) -> Mapping[str, Sequence[Triple]]:
        """Of each thing, what is calculated of it, sorted by property and value."""
        return by_whole(self.snapshot.contents.reckoned)

    def worked_out(self, thing: str) -> Sequence[Triple]:
        """Return what is calculated of a thing, sorted by property and value."""
        return self.reckoned.get(thing, ())

    def why(self, triple: Triple) -> "ProofTree":
        """Return the shortest proof of a statement that follows."""
        return self.snapshot.closure.why(triple)

    # -- what disagrees ----------------------------------------------------------------------------

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """What disagrees."""
        from glost.answer.findings import disputes

        return tuple(disputes(self.snapshot)) if self._findings is None else self._findings

    @cached_property
    def findings_about(self) -> Mapping[str, Sequence[Finding]]:
        """Of each thing and claim, the findings it takes part in."""
        found: dict[str, list[Finding]] = defaultdict(list)
        for finding in self.findings:
            things = (iri.partition("#")[0] for iri in finding.about)
            for iri in dict.fromkeys([*things, *(side.claim for side in finding.sides)]):
                found[iri].append(finding)
        return dict(found)

    @cached_property
    def conflicts(self) -> Mapping[str, "Sequence[Conflict]"]:
        """Of each thing, the contradictions of dates in which a point of its life takes part."""
        found: dict[str, list[Conflict]] = defaultdict(list)
        for conflict in self.snapshot.chronology.conflicts:
            for thing in dict.fromkeys(map(whole, conflict.points)):
                found[thing].append(conflict)
        return dict(found)

    # -- what the trade makes of it ----------------------------------------------------------------

    @cached_property
    def lists(self) -> "Lists":
        """Every assortment."""
        return self.snapshot.lists

    @cached_property
    def held(self) -> "Mapping[str, Sequence[Held]]":
        """Of each thing, what is stated of its lists, held against everything else."""
        found: dict[str, list[Held]] = defaultdict(list)
        for held in self.snapshot.holding.all:
            for thing in dict.fromkeys((str(held.stated.of), str(held.stated.iri))):
                found[thing].append(held)
        return dict(found)

    @cached_property
    def crossings(self) -> "Mapping[str, Sequence[Crossing]]":
        """Of each treatment and shape, the crossings it takes part in."""
        from glost.trade.crossings import crossings

        found: dict[str, list[Crossing]] = defaultdict(list)
        for crossing in crossings(self.belief, self.snapshot.chronology):
            for thing in dict.fromkeys((crossing.treatment, crossing.home, crossing.seen_on)):
                found[str(thing)].append(crossing)
        return dict(found)

    def crossings_of(self, thing: str) -> "Sequence[Crossing]":
        """Return the crossings that a treatment or shape takes part in."""
        return self.crossings.get(thing, ())

    @cached_property
    def codes(self) -> "Mapping[str, Sequence[PieceCode]]":
        """Of each piece, the date codes read on it."""
        from glost.trade.codes import piece_codes
        from glost.trade.codes.schemes import schemes

        found: dict[str, list[PieceCode]] = defaultdict(list)
        for code in piece_codes(self.belief, schemes(self.belief)):
            found[str(code.piece)].append(code)
        return dict(found)


class Living(Whole):
    """A whole collection that changes between two looks: what is told of a thing is looked up.

    What `Whole` gathers of all things at once is here found of one, in what a workspace keeps up to
    date: the index of what is believed and that of what follows.
    """

    @cached_property
    def known(self) -> "ClaimSequence":
        """Every claim known on the day, withdrawn ones too, each made when it is asked for."""
        day = self.snapshot.as_of.isoformat() if self.snapshot.as_of else ""
        claims = self.snapshot.record.claims
        return claims.until(day) if day else claims

    @cached_property
    def claims(self) -> tuple[Claim, ...]:
        """The same, made."""
        return tuple(self.known)

    def claim(self, iri: str) -> Claim | None:
        """Return a claim known on the day by its IRI."""
        day = self.snapshot.as_of
        found = self.snapshot.record.claims.at(iri)
        known = found is not None and (day is None or found.recorded_on <= day.isoformat())
        return found if known else None

    @cached_property
    def _apart(self) -> ClaimIndex:
        """Index the claims of which not all is believed."""
        claims = self.snapshot.record.claims
        there = {*self.belief.withdrawn, *self.belief.parts}
        return ClaimIndex(c for iri in sorted(there) if (c := claims.at(iri)) is not None)

    def _telling(self, some: Callable[[ClaimIndex], Iterable[Triple]]) -> list[Claim]:
        """Return the claims that make some statements, as they were made, by file and row."""
        claims = self.snapshot.record.claims
        made = (index.making(some(index)) for index in (self.belief.index, self._apart))
        found = {each.iri for part in made for each in part}
        return sorted((c for iri in found if (c := claims.at(iri)) is not None), key=place)

    def things(self) -> Iterable[str]:
        """Return everything that claims are about, withdrawn ones too."""
        there = dict.fromkeys((*self.belief.index.things(), *self._apart.things()))
        return filter(self.snapshot.collection.holds, there)

    def about(self, thing: str) -> Sequence[Claim]:
        """Return the claims about a thing, withdrawn ones too, by file and row."""
        if not self.snapshot.collection.holds(thing):
            return ()
        return self._telling(lambda index: index.of(thing))

    def naming(self, thing: str) -> Sequence[tuple[Claim, Triple]]:
        """Return the statements about other things that name it, withdrawn ones too."""
        return naming_among(self._telling(lambda index: index.to(thing)), thing)

    def resting(self, thing: str) -> Sequence[Claim]:
        """Return the claims about other things that rest on it as their source."""
        return [
            claim
            for claim in sorted(self.known.resting_on(thing), key=place)
            if not any(whole(s) == thing for s, _, _ in claim.statements)
        ]

    def crossings_of(self, thing: str) -> "Sequence[Crossing]":
        """Return the crossings that a treatment or shape takes part in."""
        from glost.trade.crossings import crossings

        if thing not in self._crossed:
            self._crossed[thing] = crossings(self.belief, self.snapshot.chronology, thing)
        return self._crossed[thing]

    @cached_property
    def _crossed(self) -> "dict[str, Sequence[Crossing]]":
        return {}

    def following(self, thing: str) -> Sequence[Triple]:
        """Return the statements that follow and of which it is subject or object."""
        found = self.snapshot.closure.following(URIRef(thing))
        return [
            (subject, predicate, value)
            for subject, predicate, value in found
            if predicate != RDF.type and str(predicate).startswith(GLOST) and subject != value
        ]

    def worked_out(self, thing: str) -> Sequence[Triple]:
        """Return what is calculated of a thing alone, but for its dates and what it is called.

        Only what may be calculated of things of its kind is, not the whole dataset.
        """
        kind = id_of(thing).partition("/")[0]
        kind = kind if kind in _WORKED else ""
        if kind not in self._worked:
            self._worked[kind] = by_whole(_WORKED[kind](self.snapshot))
        return self._worked[kind].get(thing, ())

    @cached_property
    def _worked(self) -> dict[str, Mapping[str, Sequence[Triple]]]:
        return {}


def _following(snapshot: "Snapshot") -> Iterable[Triple]:
    from glost.trade.assortments.lists import following

    return following(snapshot.lists)


def _measured(snapshot: "Snapshot") -> Iterable[Triple]:
    from glost.trade.kilns.zones import reckon

    return reckon(snapshot.belief)


_WORKED: "dict[str, Callable[[Snapshot], Iterable[Triple]]]" = {
    "assortment": _following,
    "treatment": lambda snapshot: snapshot.homes_by_number,
    "public-statement": lambda snapshot: snapshot.overtakings,
    "": _measured,
}
"""By the kind of a thing, what makes whatever is calculated of such; of others their measures."""


def by_whole(triples: Iterable[Triple]) -> dict[str, Sequence[Triple]]:
    """Gather statements by the thing they are about, sorted by property and value."""
    found: dict[str, list[Triple]] = defaultdict(list)
    for triple in triples:
        found[whole(triple[0])].append(triple)
    for each in found.values():
        each.sort(key=lambda t: (str(t[1]), str(t[2]), str(t[0])))
    return dict(found)


def naming_among(claims: Iterable[Claim], thing: str) -> list[tuple[Claim, Triple]]:
    """Return the statements of some claims that are about other things and name a thing."""
    return [
        (claim, triple)
        for claim in claims
        for triple in claim.statements
        if isinstance(triple[2], URIRef) and whole(triple[2]) == thing != whole(triple[0])
    ]


def place(claim: Claim) -> tuple[str, int, str]:
    """Sort claims by file and row."""
    return claim.origin.file, claim.origin.row, str(claim.iri)


def kinds(belief: Belief, thing: str) -> tuple[str, ...]:
    """Return the local names of the classes a thing is said to be of, and those above them."""
    from rdflib.namespace import OWL, RDFS

    from glost.data import vocabulary

    found = {
        str(above).removeprefix(GLOST)
        for kind in belief.graph.objects(URIRef(thing), RDF.type)
        for above in vocabulary().transitive_objects(kind, RDFS.subClassOf)
        if above != OWL.Thing and str(above).startswith(GLOST)
    }
    return tuple(sorted(found))


def only(found: Iterable[object]) -> URIRef | None:
    """Return the one IRI among some terms; None if there is none or more than one."""
    some = {each for each in found if isinstance(each, URIRef)}
    return some.pop() if len(some) == 1 else None
