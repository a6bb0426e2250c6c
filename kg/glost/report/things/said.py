"""Claims and statements as parts of a report: sentences with the things they name, and grounds."""

from collections import defaultdict
from collections.abc import Iterable
from functools import cache
from typing import Protocol

from rdflib import Literal, URIRef
from rdflib.namespace import DCTERMS, RDF, RDFS, SKOS, XSD
from rdflib.term import Node

from glost.names import EDTF, GLOST
from glost.record.belief import Belief
from glost.record.claims import Claim, Triple
from glost.record.dates import DateError, describe
from glost.record.dates import read as read_date
from glost.record.index import whole
from glost.record.spelling import id_of
from glost.report.things.basis import place
from glost.report.tree import (
    MANY_PLACES,
    CitedClaim,
    CitedPassage,
    Ground,
    Ref,
    Rule,
    Sentence,
    merge,
)
from glost.words.labels import Words, kind_of, label
from glost.words.sentences import FRAME, POINTS, citation, says, withdrawal

_NAMES = {RDFS.label: "name", DCTERMS.title: "title", SKOS.prefLabel: "name",
          SKOS.altLabel: "also called", DCTERMS.description: "description"}  # fmt: skip
_ITSELF = "the piece (seen)"


class Worded(Protocol):
    """What words of claims are made from: a collection, or what a store elsewhere says of it."""

    @property
    def base(self) -> str:
        """The base IRI."""

    @property
    def belief(self) -> Belief:
        """What is believed, and what was withdrawn by which correction."""

    @property
    def words(self) -> Words:
        """What things are called."""


class Said:
    """Words what a collection says, each thing and passage once.

    Parameters
    ----------
    basis
        The collection.
    quoting
        Whether what each claim says is told with it.

    Attributes
    ----------
    about
        The thing that is told of; if it is a piece that is its own source, it is cited as seen.
    """

    about: str = ""

    def __init__(self, basis: Worded, quoting: bool = False) -> None:
        self._quoting, self._base = quoting, basis.base
        self._belief: Belief = basis.belief
        self._words: Words = basis.words
        self._cited: dict[URIRef, CitedClaim] = {}
        self._sources: dict[URIRef, Ref] = {}
        self._things: dict[Node, Ref] = {}

    # -- sentences ---------------------------------------------------------------------------------

    def ref(self, thing: Node) -> Ref:
        """Return a thing by what it is called."""
        found = self._things.get(thing)
        if found is None:
            kind, _, name = id_of(str(thing)).partition("/")
            text = f"claim {name}" if kind == "claim" else label(thing, self._words)
            if self._elsewhere(thing):
                text = str(thing)
            found = self._things[thing] = Ref(str(thing), text)
        return found

    def _elsewhere(self, thing: Node) -> bool:
        """Say whether a thing is one that others describe, and nothing here names."""
        return (
            isinstance(thing, URIRef)
            and not thing.startswith(self._base)
            and bool(kind_of(thing))
            and not self._words.known(thing)
        )

    def value(self, value: Node) -> str | Ref:
        """Return a value: a thing by its name, a date in words, anything else as written."""
        if isinstance(value, URIRef):
            return self.ref(value)
        return literal(value) if isinstance(value, Literal) else "a nameless class"

    def name(self, property_: Node) -> str:
        """Return what a property is called."""
        return _NAMES.get(URIRef(str(property_))) or label(property_, self._words)

    def heading(self, property_: Node) -> Sentence:
        """Return what a property is called, to stand above or before its value."""
        return (Ref(str(property_), capital(self.name(property_))),)

    def sentence(self, triple: Triple) -> Sentence:
        """Say a statement: ``Alder: maker Harrow Pottery``, ``Alder began 1908``."""
        subject, predicate, value = triple
        point = str(subject).partition("#")[2]
        thing = self.ref(URIRef(whole(subject)))
        if predicate == GLOST.date and point in POINTS:
            return thing, f" {POINTS[point]} ", self.value(value)
        if predicate == RDF.type:
            return thing, " is of kind ", self.value(value)
        return thing, f": {self.name(predicate)} ", self.value(value)

    def says(self, statements: Iterable[Triple]) -> Sentence:
        """Say several statements together, thing by thing; kinds only if there is nothing else."""
        triples = [t for t in statements if t[1] not in FRAME]
        told = [t for t in triples if t[1] != RDF.type] or triples
        parts: list[str | Ref] = []
        last: Node | None = None
        for triple in dict.fromkeys(told):
            first, *rest = self.sentence(triple)
            if triple[0] != last:
                parts += ["; "] if parts else []
                parts += [first, *rest]
            else:
                verb = str(rest[0]).removeprefix(":").strip()
                parts += [", ", f"{verb} ", *rest[1:]]
            last = triple[0]
        return tuple(parts)

    # -- grounds -----------------------------------------------------------------------------------

    def cited(self, claim: Claim) -> CitedClaim:
        """Return a claim as it is cited."""
        found = self._cited.get(claim.iri)
        if found is None:
            found = self._cited[claim.iri] = self._claim(claim)
        return found

    def _claim(self, claim: Claim) -> CitedClaim:
        sure = claim.certainty
        return CitedClaim(
            str(claim.iri),
            str(claim.origin),
            claim.passage.place,
            label(sure, self._words) if sure is not None else "",
            ", ".join(part for part in (claim.recorded_by, claim.recorded_on) if part),
            claim.note,
            self._gone(claim),
            says(claim.statements, self._words) if self._quoting else "",
        )

    def _gone(self, claim: Claim) -> str:
        correction = self._belief.withdrawn.get(claim.iri)
        return self.reason(correction) if correction is not None else ""

    def reason(self, correction: Claim) -> str:
        """Say why something was withdrawn, on what evidence, by which correction and when."""
        passage = correction.passage
        where = ", ".join(p for p in (self._source(passage.source).text, passage.locator) if p)
        on = f", {correction.recorded_on}" if correction.recorded_on else ""
        return f"{withdrawal(correction)} ({where}) [correction {correction.id}{on}]"

    def grounds(self, claims: Iterable[Claim]) -> tuple[Ground, ...]:
        """Return the passages on which some claims rest as grounds; see `passages`."""
        return self.passages(claims)

    def passages(self, claims: Iterable[Claim]) -> tuple[CitedPassage, ...]:
        """Return the passages on which some claims rest, by file and row."""
        found: dict[URIRef, dict[str, list[CitedClaim]]] = defaultdict(lambda: defaultdict(list))
        for claim in sorted(set(claims), key=place):
            found[claim.passage.source][claim.passage.locator].append(self.cited(claim))
        passages: list[CitedPassage] = []
        for source, places in found.items():
            name = self.source(source)
            some = [CitedPassage(name, locator, tuple(held)) for locator, held in places.items()]
            whole = self._quoting or len(some) <= MANY_PLACES
            passages += some if whole else [merge(some)]
        return tuple(passages)

    def by(self, claims: Iterable[Claim]) -> str:
        """Name the source of each claim and the place in it, each once, with how sure it is."""
        places = []
        for claim in claims:
            source = label(claim.passage.source, self._words)
            place = ", ".join(part for part in (source, claim.passage.locator) if part)
            sure = f" ({label(claim.certainty, self._words)})" if claim.certainty else ""
            places.append(place + sure)
        return "; ".join(dict.fromkeys(places))

    def source(self, source: URIRef) -> Ref:
        """Return a source by its short title and year, with what it repeats or is quoted in."""
        return Ref(str(source), _ITSELF) if str(source) == self.about else self._source(source)

    def _source(self, source: URIRef) -> Ref:
        """Return the same, whatever is told of: a claim is cited in the same words everywhere."""
        found = self._sources.get(source)
        if found is None:
            found = self._sources[source] = Ref(str(source), citation(source, self._words))
        return found

    def resting(self, triple: Triple) -> tuple[CitedPassage, ...]:
        """Return the passages on which a statement that is believed rests."""
        return self.passages(self._belief.rests_on(triple))

    def stated(self, triple: Triple) -> tuple[Ground, ...]:
        """Return the same, or that the vocabulary says it."""
        return self.resting(triple) or (VOCABULARY,)


VOCABULARY = Rule("The vocabulary says so")
"""The ground of a statement that no claim makes."""


def capital(text: str) -> str:
    """Return a text with a capital at its beginning."""
    return text[:1].upper() + text[1:]


@cache
def literal(value: Literal) -> str:
    """Return a literal in words: a date as one reads it, yes or no, else as it is written."""
    text = str(value)
    if value.datatype == EDTF:
        try:
            return describe(read_date(text))
        except DateError:
            return text
    if value.datatype == XSD.boolean:
        return {"true": "yes", "false": "no"}.get(text, text)
    return text
