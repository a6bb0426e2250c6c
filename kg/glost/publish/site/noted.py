"""What pages look at in a collection, noted while they are made.

A page is made again only if something that it looked at is another than when it was made. So
nobody has to say of a page what it shows. Two kinds of looks are noted: those at statements, which
a change is known to bring or take (`glost.answer.living.tracing`), and those at what is worked
out, such as a label or why a date cannot be earlier, of which a digest is kept and compared.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from copy import copy
from dataclasses import fields, is_dataclass
from datetime import date
from enum import Enum
from functools import cache, cached_property
from hashlib import blake2b
from numbers import Number
from pathlib import Path
from types import NoneType
from typing import TYPE_CHECKING, Any, TypeAlias, cast

import msgspec
import pyoxigraph as ox
from markupsafe import Markup
from rdflib import Graph, Literal, URIRef
from rdflib.namespace import RDF
from rdflib.term import Node

from glost.answer.evidence import Evidence
from glost.answer.living.tracing import Notes, TracedBelief
from glost.answer.questions import Answer, Question, QuestionData
from glost.answer.read import claims_read, reads
from glost.publish.site.drawings import Drawings
from glost.publish.site.holdings import SiteContents
from glost.publish.site.images import Images, PageImage, Region
from glost.publish.site.links import PageLinks
from glost.record.belief import Belief
from glost.record.claims import Claim, Passage, Triple
from glost.record.index import whole
from glost.report.things.basis import Whole
from glost.report.things.said import Said
from glost.report.tree import CitedClaim, Ref
from glost.trade.times import TimeRule
from glost.words.labels import WordedTimes, Words

if TYPE_CHECKING:
    from glost.findings import Finding
    from glost.reason.closure import ProofTree
    from glost.trade.assortments.holding import Held
    from glost.trade.assortments.lists import Assortment
    from glost.trade.codes import PieceCode
    from glost.trade.crossings import Crossing
    from glost.trade.times import Conflict

Key: TypeAlias = tuple[Any, ...]
"""A look: its kind, and the terms or texts that were given."""

_NEXT = "\x1e"

UNKNOWN = ""
"""The digest of what may always be something else."""


class Looks(Notes):
    """Where looks are noted.

    Parameters
    ----------
    holdings
        What is looked at.
    images, drawings
        Its images, and pictures of it.
    """

    def __init__(self, holdings: SiteContents, images: Images, drawings: Drawings) -> None:
        super().__init__()
        self._held, self._images, self._drawings = holdings, images, drawings
        self._links = PageLinks(holdings, images)
        self._said = Said(holdings.basis)
        self._values: dict[Key, Any] = {}
        self._digests: dict[Key, str] = {}
        self._fresh: dict[Key, str] = {}
        self._parts: dict[str, Mapping[object, int]] = {}
        self._telling: dict[type, Callable[[Any], str]] = {}

    def at(self, *key: Any) -> Any:
        """Return what is seen by a look at something worked out, and note it."""
        self.looks.add(key)
        return self._seen(key)

    def _seen(self, key: Key) -> Any:
        """Return what a look sees; what only one page shows is not held, but its digest is."""
        if key in self._values:
            return self._values[key]
        value = _WAYS[key[0]](self, *key[1:])
        if key[0] in _SHARED:
            self._values[key] = value
        elif key not in self._fresh:
            self._fresh[key] = self._digest(value)
        return value

    def forget(self) -> None:
        """Forget what was seen of what only one page shows, once that is noted."""
        self._fresh.clear()

    def _digest(self, value: object) -> str:
        try:
            return self.digest(value)
        except TypeError:
            return UNKNOWN

    def seen(self, key: Key) -> str | None:
        """Return a digest of what a look sees; None if it is a look at statements.

        `UNKNOWN` if what tells what it sees apart is not known.
        """
        if key[0] not in _WAYS:
            return None
        if key[0] not in _SHARED:
            if key not in self._fresh:
                self._seen(key)
            return self._fresh[key]
        if key not in self._digests:
            self._digests[key] = self._digest(self._seen(key))
        return self._digests[key]

    def digest(self, value: object) -> str:
        """Return a digest of a value."""
        if value is None or value == ():
            return str(value)
        return blake2b(self._told(value).encode(), digest_size=12).hexdigest()

    def _told(self, value: object) -> str:
        """Tell a value as a text; of two that differ in anything that may be shown it differs."""
        kind = type(value)
        tell = self._telling.get(kind)
        if tell is None:
            tell = self._telling[kind] = self._teller(kind)
        return tell(value)

    def _teller(self, kind: type) -> Callable[[Any], str]:
        """Return what tells the values of a class as texts."""
        told = self._told
        if issubclass(kind, Claim):
            return self.claim
        if issubclass(kind, TimeRule):
            return lambda value: str(value.name)
        if issubclass(kind, Literal):
            return lambda value: f"{value}\x1d{value.language}\x1d{value.datatype}"
        if issubclass(kind, str | Number | Enum | date | Path | NoneType):
            return str
        if issubclass(kind, set | frozenset):
            return lambda value: f"\x1c{{{_NEXT.join(sorted(map(told, value)))}\x1c"
        if issubclass(kind, Mapping):
            return lambda value: f"\x1c[{_NEXT.join(map(told, value.items()))}\x1c"
        if issubclass(kind, tuple | list):
            return lambda value: f"\x1c({_NEXT.join(map(told, value))}\x1c"
        names = _names(kind)  # type: ignore[arg-type]
        return lambda value: (
            f"\x1c{kind.__name__}{_NEXT.join([told(getattr(value, name)) for name in names])}\x1c"
        )

    def claim(self, claim: Claim) -> str:
        """Return a digest of a claim, with what became of it and where it stands."""
        return self._claims[claim.iri]

    @cached_property
    def _claims(self) -> dict[URIRef, str]:
        return {claim.iri: self._of_claim(claim) for claim in self._held.claims}

    def schemes(self) -> str:
        """Return a digest of the concept schemes in force."""
        schemes = self._held.snapshot.record.schemes.values()
        return self.digest(
            {(each.name, *sorted(each.iris.items()), *map(str, sorted(each.spellings.items())))
             for each in schemes}
        )  # fmt: skip

    @cached_property
    def _saying(self) -> Mapping[Node, int]:
        """Sums of all claims that say something by a property, by that property."""
        found: dict[Node, int] = {}
        for claim in self._held.claims:
            number = int(self.claim(claim), 16)
            for verb in {triple[1] for triple in claim.statements}:
                found[verb] = found.get(verb, 0) + number
        return found

    def _of_claim(self, claim: Claim) -> str:
        belief, iri = self._held.snapshot.belief, claim.iri
        told: list[object] = [iri, claim.passage, claim.certainty, claim.recorded_by,
                              claim.recorded_on, claim.note, claim.origin, claim.statements,
                              [(part.correction.iri, part.statements)
                               for part in belief.parts.get(iri, ())],
                              belief.replaced.get(iri, ())]  # fmt: skip
        gone = belief.withdrawn.get(iri)
        told.append(None if gone is None else gone.iri)
        return self.digest(told)

    def _part(self, name: str) -> Mapping[object, int]:
        """Return sums of all statements of a part of the dataset, by property and by class."""
        if name not in self._parts:
            found: dict[object, int] = {}
            for subject, verb, value in getattr(self._held.snapshot.contents, name):
                text = f"{subject}\x1f{verb}\x1f{self._told(value)}"
                number = int.from_bytes(blake2b(text.encode(), digest_size=12).digest())
                found[verb] = found.get(verb, 0) + number
                if verb == RDF.type:
                    found[(value,)] = found.get((value,), 0) + number
            self._parts[name] = found
        return self._parts[name]

    @cached_property
    def told(self) -> Mapping[str, tuple[str, tuple[Triple, ...], tuple[Triple, ...], str]]:
        """Of each claim by IRI: a digest, what it says, what of that is believed, its source."""
        belief = self._held.snapshot.belief
        return {
            str(claim.iri): (
                self.claim(claim),
                claim.statements,
                () if claim.iri in belief.withdrawn else belief.kept(claim),
                str(claim.passage.source),
            )
            for claim in self._held.claims
        }


@cache
def _names(kind: type) -> tuple[str, ...]:
    """Return the fields of a class that tell its values apart.

    Raises
    ------
    TypeError
        If it is none of which that is known.
    """
    if is_dataclass(kind):
        return tuple(each.name for each in fields(kind) if each.compare)
    if issubclass(kind, msgspec.Struct):
        return kind.__struct_fields__
    raise TypeError(f"{kind.__name__}: what tells its values apart is not known")


_Way: TypeAlias = Callable[..., object]

_WAYS: dict[str, _Way] = {
    "label": lambda at, term: at._held.words.label(term),
    "within": lambda at, term: at._held.words.within(term),
    "is named": lambda at, term: at._held.words.named(term),
    "by itself": lambda at, term: at._held.words.by_itself(term),
    "is known": lambda at, term: at._held.words.known(term),
    "heading": lambda at, term: at._held.words.heading(term, at._held.snapshot.chronology),
    "cited": lambda at, term: at._held.words.source(term),
    "claim in words": lambda at, iri: at._held.words.claim(at._held.basis.by_iri[str(iri)]),
    "ref": lambda at, term: at._said.ref(term),
    "citing": lambda at, iri: at._said.cited(at._held.basis.by_iri[str(iri)]),
    "source": lambda at, term: at._said._source(term),
    "bounds": lambda at, point: at._held.snapshot.chronology.bounds(point),
    "reading bounds": lambda at, point: at._held.snapshot.chronology.reading_bounds(point),
    "not before": lambda at, point: at._held.snapshot.chronology.why_not_before(point),
    "not after": lambda at, point: at._held.snapshot.chronology.why_not_after(point),
    "following": lambda at, thing: at._held.basis.following(thing),
    "why": lambda at, *triple: at._held.basis.why(triple),
    "every claim": lambda at: at._claims,
    "claims saying": lambda at, verb: at._saying.get(verb),
    "following by": lambda at, verb: at._part("inferred").get(verb),
    "worked out by": lambda at, verb: at._part("reckoned").get(verb),
    "following of class": lambda at, of: at._part("inferred").get((of,)),
    "worked out of class": lambda at, of: at._part("reckoned").get((of,)),
    "leaves": lambda at, *triple: tuple(at._held.snapshot.contents.why(triple)),
    "inferred": lambda at, thing: at._held.inferred.get(thing, ()),
    "recorded": lambda at, iri: at._held.recorded.get(iri, ()),
    "worked out": lambda at, thing: at._held.basis.worked_out(thing),
    "found": lambda at, iri: at._held.basis.findings_about.get(iri, ()),
    "conflicts": lambda at, thing: at._held.basis.conflicts.get(thing, ()),
    "held": lambda at, thing: at._held.basis.held.get(thing, ()),
    "crossings": lambda at, thing: at._held.basis.crossings_of(thing),
    "codes": lambda at, thing: at._held.basis.codes.get(thing, ()),
    "lists": lambda at, shape: at._held.basis.lists.of(shape),
    "kinds": lambda at, thing: at._held.kinds.get(thing, ()),
    "passage": lambda at, iri: at._held.passages.get(iri),
    "recorder": lambda at, iri: at._held.recorders.get(iri),
    "figures": lambda at, iri, root: tuple(at._drawings.on(iri, root)),
    "stem": lambda at, iri: at._held.addresses.stems.get(iri),
    "href": lambda at, iri, root: at._links.href(URIRef(iri), root),
    "images of": lambda at, thing: at._images.of.get(thing, ()),
    "image": lambda at, file: at._images.all.get(file),
    "cited of image": lambda at, file: at._images.cited.get(file, {}),
    "place": lambda at, *passage: at._images.place(Passage(*passage)),
}  # fmt: skip
"""By the kind of a look at something worked out, how that is seen."""


_SHARED = frozenset({
    "label", "within", "is known", "cited", "ref", "citing", "source", "bounds", "found", "leaves",
    "stem", "href", "every claim",
})  # fmt: skip
"""Kinds of looks by which many pages see the same."""


class _NotedBelief(TracedBelief):
    """What is believed, which notes at what it is looked."""

    def __init__(self, belief: Belief, looks: Looks) -> None:
        super().__init__(belief, looks)
        self.__dict__.update(
            withdrawn=_NotedMapping(belief.withdrawn, looks),
            replaced=_NotedMapping(belief.replaced, looks),
            parts=_NotedMapping(belief.parts, looks),
            claims=None,
            index=None,
        )

    def rests_on(self, statement: Triple) -> tuple[Claim, ...]:
        """Return the claims that make this very statement."""
        self.__dict__["_notes"].looks.add(("rests", *statement))
        found: tuple[Claim, ...] = self.__dict__["_belief"].rests_on(statement)
        return found

    def mentions(self, thing: URIRef) -> tuple[Claim, ...]:
        """Return the claims with a statement whose object is the thing."""
        self.__dict__["_notes"].looks.add(("mentioning", whole(thing)))
        found: tuple[Claim, ...] = self.__dict__["_belief"].mentions(thing)
        return found


class _NotedMapping(Mapping[URIRef, Any]):
    """What became of claims, which notes of which it was asked."""

    def __init__(self, of: Mapping[URIRef, Any], looks: Looks) -> None:
        self._of, self._looks = of, looks

    def __getitem__(self, iri: URIRef) -> Any:
        self._looks.looks.add(("claim", str(iri)))
        return self._of[iri]

    def __len__(self) -> int:
        return len(self._of)

    def __iter__(self) -> Iterator[URIRef]:
        raise TypeError("of each claim it is asked by itself what became of it")


class _NotedWords(Words):
    """What things are called, which notes what it was asked to name."""

    def __init__(self, graph: Graph, looks: Looks) -> None:
        super().__init__(graph)
        self._looks = looks

    def label(self, term: Node) -> str:
        """Return what a thing is called."""
        if not isinstance(term, URIRef):
            return str(term)
        text: str = self._looks.at("label", term)
        return text

    def within(self, term: URIRef) -> str:
        """Return what a thing is called within a sentence."""
        text: str = self._looks.at("within", term)
        return text

    def named(self, thing: URIRef) -> bool:
        """Say whether a thing is called by a name or number of its own."""
        found: bool = self._looks.at("is named", thing)
        return found

    def by_itself(self, thing: URIRef) -> str:
        """Return what a thing is called by itself."""
        text: str = self._looks.at("by itself", thing)
        return text

    def known(self, thing: URIRef) -> bool:
        """Say whether anything is known that a thing could be called by."""
        found: bool = self._looks.at("is known", thing)
        return found

    def heading(self, thing: URIRef, times: WordedTimes) -> str:
        """Return a label with what dates the thing."""
        text: str = self._looks.at("heading", thing)
        return text

    def source(self, source: URIRef) -> str:
        """Cite a source by its short title and year."""
        text: str = self._looks.at("cited", source)
        return text

    def claim(self, claim: Claim) -> str:
        """Name a claim by where it stands and what it speaks of."""
        text: str = self._looks.at("claim in words", claim.iri)
        return text


class _NotedSaid(Said):
    """Words what a collection says, which notes what it worded; each thing is worded once."""

    def __init__(self, basis: "NotedBasis", looks: Looks) -> None:
        super().__init__(basis)
        self._looks = looks

    def ref(self, thing: Node) -> Ref:
        """Return a thing by what it is called."""
        found: Ref = self._looks.at("ref", thing)
        return found

    def cited(self, claim: Claim) -> CitedClaim:
        """Return a claim as it is cited."""
        found: CitedClaim = self._looks.at("citing", claim.iri)
        return found

    def _source(self, source: URIRef) -> Ref:
        found: Ref = self._looks.at("source", source)
        return found


class _NotedTimes:
    """When things happened, which notes of which points it was asked."""

    def __init__(self, looks: Looks, margin: Any) -> None:
        self._looks, self.margin = looks, margin

    def bounds(self, point: URIRef) -> Any:
        return self._looks.at("bounds", point)

    def reading_bounds(self, point: URIRef) -> Any:
        return self._looks.at("reading bounds", point)

    def why_not_before(self, point: URIRef) -> Any:
        return self._looks.at("not before", point)

    def why_not_after(self, point: URIRef) -> Any:
        return self._looks.at("not after", point)


class _NotedOf(Mapping[str, Any]):
    """What there is of things, which notes of which it was asked."""

    def __init__(self, looks: Looks, kind: str) -> None:
        self._looks, self._kind = looks, kind

    def __getitem__(self, key: str) -> Any:
        return self._looks.at(self._kind, key)

    def __len__(self) -> int:
        raise TypeError("of each thing it is asked by itself")

    def __iter__(self) -> Iterator[str]:
        raise TypeError("of each thing it is asked by itself")


class _NotedLists:
    """Every assortment, which notes of which shape it was asked."""

    def __init__(self, looks: Looks, belief: Belief) -> None:
        self._looks, self.belief = looks, belief

    def of(self, shape: URIRef) -> "Sequence[Assortment]":
        found: Sequence[Assortment] = self._looks.at("lists", shape)
        return found


class _NotedSnapshot:
    """A collection as reports see it beside what `NotedBasis` gives them."""

    def __init__(self, of: Any, belief: Belief, looks: Looks) -> None:
        self._of, self._looks = of, looks
        self.belief, self.graph, self.collection = belief, belief.worded, of.collection

    @property
    def record(self) -> "_NotedSnapshot":
        """The record, of which it is asked what its settings and claims are."""
        return self

    @property
    def contents(self) -> "_NotedSnapshot":
        """What the dataset is made of, of which it is asked why."""
        return self

    def claim(self, iri: URIRef) -> Claim | None:
        self._looks.looks.add(("claim", str(iri)))
        found: Claim | None = self._of.record.claim(iri)
        return found

    def why(self, triple: Triple) -> Sequence[Triple]:
        found: Sequence[Triple] = self._looks.at("leaves", *triple)
        return found


class NotedBasis(Whole):
    """A whole collection, which notes at what of it reports look.

    Parameters
    ----------
    of
        The collection.
    looks
        Where looks are noted.
    """

    def __init__(self, of: Whole, looks: Looks) -> None:
        super().__init__(of.snapshot, of.findings)
        self._of, self._looks = of, looks
        self._belief = _NotedBelief(of.belief, looks)
        self._words = _NotedWords(self._belief.worded, looks)
        vars(self._belief.worded)["words"] = self._words
        self._times = _NotedTimes(looks, of.times.margin)
        self._base = of.base
        self.snapshot = _NotedSnapshot(of.snapshot, self._belief, looks)  # type: ignore[assignment]

    def afresh(self) -> "NotedBasis":
        """Return the same for another page: what was remembered for one is noted for that one."""
        return copy(self)

    @property
    def base(self) -> str:
        """The base IRI."""
        return self._base

    @property
    def belief(self) -> Belief:
        """What is believed."""
        return self._belief

    @property
    def words(self) -> Words:
        """What things are called."""
        return self._words

    @property
    def times(self) -> Any:
        """When things happened."""
        return self._times

    def said(self) -> Said:
        """Return what words the collection."""
        return _NotedSaid(self, self._looks)

    def claim(self, iri: str) -> Claim | None:
        """Return a claim known on the day by its IRI."""
        self._looks.looks.add(("claim", iri))
        return self._of.claim(iri)

    def about(self, thing: str) -> Sequence[Claim]:
        """Return the claims about a thing."""
        self._looks.looks.add(("about", thing))
        return self._of.about(thing)

    def naming(self, thing: str) -> Sequence[tuple[Claim, Triple]]:
        """Return the statements about other things that name it."""
        self._looks.looks.add(("mentioning", thing))
        return self._of.naming(thing)

    def resting(self, thing: str) -> Sequence[Claim]:
        """Return the claims about other things that rest on it as their source."""
        self._looks.looks.add(("resting", thing))
        return self._of.resting(thing)

    def following(self, thing: str) -> Sequence[Triple]:
        """Return the statements that follow and of which it is subject or object."""
        found: Sequence[Triple] = self._looks.at("following", thing)
        return found

    def worked_out(self, thing: str) -> Sequence[Triple]:
        """Return what is calculated of a thing."""
        found: Sequence[Triple] = self._looks.at("worked out", thing)
        return found

    def why(self, triple: Triple) -> "ProofTree":
        """Return the shortest proof of a statement that follows."""
        found: ProofTree = self._looks.at("why", *triple)
        return found

    def crossings_of(self, thing: str) -> "Sequence[Crossing]":
        """Return the crossings that a treatment or shape takes part in."""
        found: Sequence[Crossing] = self._looks.at("crossings", thing)
        return found

    @cached_property
    def findings_about(self) -> "Mapping[str, Sequence[Finding]]":
        """Of each thing and claim, the findings it takes part in."""
        return _NotedOf(self._looks, "found")

    @cached_property
    def conflicts(self) -> "Mapping[str, Sequence[Conflict]]":
        """Of each thing, the contradictions of dates in which a point of its life takes part."""
        return _NotedOf(self._looks, "conflicts")

    @cached_property
    def held(self) -> "Mapping[str, Sequence[Held]]":
        """Of each thing, what is stated of its lists, held against everything else."""
        return _NotedOf(self._looks, "held")

    @cached_property
    def codes(self) -> "Mapping[str, Sequence[PieceCode]]":
        """Of each piece, the date codes read on it."""
        return _NotedOf(self._looks, "codes")

    @property
    def lists(self) -> Any:
        """Every assortment."""
        return _NotedLists(self._looks, self._belief)


class _NotedStore:
    """The dataset, which notes what statements it was asked for when claims under rows are found.

    The store writes literals its own way, so that none of them names a look.
    """

    def __init__(self, of: ox.Store, looks: Looks) -> None:
        self._of, self._looks = of, looks

    def quads_for_pattern(
        self, subject: Any, verb: Any, value: Any, *graph: Any
    ) -> Iterator[ox.Quad]:
        """Yield the statements of a pattern; see `glost.answer.store.Queried`."""
        self._looks.looks.update(_matching(*(
            URIRef(each.value) if isinstance(each, ox.NamedNode) else None
            for each in (subject, verb, value)
        )))  # fmt: skip
        return self._of.quads_for_pattern(subject, verb, value, *graph)


def _matching(subject: URIRef | None, verb: URIRef | None, value: URIRef | None) -> Iterator[Key]:
    """Yield the looks at all statements with some terms, believed and worked out."""
    if subject is not None:
        thing = whole(subject)
        yield from (("about", thing), ("inferred", thing), ("worked out", thing))
    elif verb is None:
        yield ("every claim",)
    else:
        yield ("every", verb) if value is None else ("to", value, verb)
        yield from (("following by", verb), ("worked out by", verb))


class NotedContents:
    """What a site is made of, which notes at what of it the pages of identifiers look.

    Parameters
    ----------
    of
        What the site is made of.
    images, drawings
        Its images, and pictures of it.
    """

    def __init__(self, of: SiteContents, images: Images, drawings: Drawings) -> None:
        self._of = of
        self.looks = Looks(of, images, drawings)
        self.basis = NotedBasis(of.basis, self.looks)
        self.said = self.basis.said()
        self.snapshot, self.words = self.basis.snapshot, self.basis.words
        self.base, self.kind = of.base, of.kind
        self.kinds = _NotedOf(self.looks, "kinds")
        self.passages = _NotedOf(self.looks, "passage")
        self.recorders = _NotedOf(self.looks, "recorder")
        self.stems = _NotedOf(self.looks, "stem")
        self.images_of = _NotedOf(self.looks, "images of")
        self.image = _NotedOf(self.looks, "image")
        self.cited = _NotedOf(self.looks, "cited of image")

    def asked(self, question: Question, values: Mapping[str, str]) -> Answer:
        """Put a named question, whose answer is what all that it reads makes of it."""
        looks = self.looks.looks
        for verb, of in reads(question.name):
            if verb is None:
                looks.add(("all",))
            elif of is None:
                looks |= {("every", verb), ("following by", verb), ("worked out by", verb)}
            else:
                looks |= {("to", of, verb), ("following of class", of), ("worked out of class", of)}
        for verb in claims_read(question.name):
            looks.add(("every claim",) if verb is None else ("claims saying", verb))
        for value in values.values():
            iri = self.base + value
            looks |= {("about", iri), ("kinds", iri)}
        return question.ask(self._asked, **values)

    def why(self, triple: Triple) -> Sequence[Triple]:
        """Return the believed statements that an inferred or reckoned one rests on."""
        found: Sequence[Triple] = self.looks.at("leaves", *triple)
        return found

    @cached_property
    def _asked(self) -> QuestionData:
        answers = self._of.answers
        store = cast(ox.Store, _NotedStore(answers.store, self.looks))
        evidence = Evidence(lambda: self._of.snapshot.contents, store, self.why)
        return QuestionData(answers.store, answers.asked.things, evidence)

    def href(self, iri: str, root: str) -> str:
        """Return the address of an identifier as a page links to it; empty if it has none."""
        found: str = self.looks.at("href", iri, root)
        return found

    def figures(self, iri: str, root: str) -> tuple[Markup, ...]:
        """Return the pictures on a thing's page, as the page shows them."""
        found: tuple[Markup, ...] = self.looks.at("figures", iri, root)
        return found

    def place(self, passage: Passage) -> tuple[PageImage, Region] | None:
        """Find the image and the region that a passage cites."""
        found: tuple[PageImage, Region] | None = self.looks.at(
            "place", passage.source, passage.locator, passage.region
        )
        return found
