"""The record's own graph: what is said of each claim, passage and recorder."""

import re
from collections.abc import Iterable, Iterator
from datetime import date
from functools import lru_cache
from hashlib import sha256
from typing import TYPE_CHECKING
from urllib.parse import quote

from rdflib import Graph, Literal, URIRef
from rdflib.namespace import DC, DCTERMS, PROV, RDF, RDFS, SKOS, XSD

from glost.names import GLOST, OA, bind
from glost.record.belief import Belief
from glost.record.claims import Claim, Passage, Triple
from glost.record.targets import Targets, shown_by

if TYPE_CHECKING:
    from glost.record.collection import Collection
    from glost.record.record import Record

_PASSAGES = 1 << 15
"""So many passages are kept by their names, for claims that share them."""

MEDIA_FRAGMENTS = URIRef("http://www.w3.org/TR/media-frags/")
"""The specification that regions of page images conform to."""


@lru_cache(maxsize=_PASSAGES)
def passage_iri(base: str, passage: Passage) -> URIRef | None:
    """Name a passage: source id and a hash of locator and region; None if it has neither."""
    if not passage.locator and not passage.region:
        return None
    text = f"{passage.source}\x1f{passage.locator}\x1f{passage.region}"
    slug = str(passage.source).rsplit("/", 1)[-1]
    return URIRef(f"{base}passage/{slug}.{sha256(text.encode()).hexdigest()[:12]}")


def recorder_iri(base: str, name: str) -> URIRef:
    """Name a person who records, from the name as written."""
    slug = re.sub(r"[^\w]+", "-", name.casefold()).strip("-")
    return URIRef(f"{base}recorder/{quote(slug) or 'unnamed'}")


def row_iri(base: str, claim: Claim) -> URIRef:
    """Name the row a claim was read from, as RFC 7111 names rows of a CSV file.

    RFC 7111 counts the header as row 1 too, so the number is the one a spreadsheet shows.
    """
    file = quote(claim.origin.file)
    return URIRef(f"{base}{file}#row={claim.origin.row}" if claim.origin.row else f"{base}{file}")


def record_triples(record: "Record", as_of: date | None = None) -> Iterator[Triple]:
    """Yield the statements of the record graph: claims first, then passages and recorders.

    Parameters
    ----------
    record
        The record.
    as_of
        The day whose withdrawals count, inclusive. Claims recorded later are left out.
    """
    belief = record.believed(as_of)
    passages: dict[URIRef, Passage] = {}
    recorders: set[tuple[URIRef, str]] = set()
    for claim in _known(record, belief):
        base = keeper_base(claim)
        passage = passage_iri(base, claim.passage)
        if passage is not None:
            passages[passage] = claim.passage
        if claim.recorded_by:
            recorders.add((recorder_iri(base, claim.recorded_by), claim.recorded_by))
        yield from claim_triples(belief, claim)
        if record.members:
            yield claim.iri, DCTERMS.isPartOf, URIRef(base)
    for each in record.collection.every if record.members else ():
        yield from _of_keeper(each)
    targets = targets_of(record, belief, passages.values())
    images: set[URIRef] = set()
    for iri, place in sorted(passages.items()):
        yield from _told(iri, place)
        images.add(target := targets.of(place))
        yield iri, OA.hasSource, target
    for image in sorted(images):
        yield from targets.sized(image)
    for iri, name in sorted(recorders):
        yield from _of_recorder(iri, name)


def targets_of(record: "Record", belief: Belief, passages: Iterable[Passage]) -> Targets:
    """Return what finds the image of each passage, by what is believed of their sources."""
    pictured = any(passage.region for passage in passages)
    return Targets(record.collection, shown_by(belief) if pictured else {})


def keeper_base(claim: Claim) -> str:
    """Return the base IRI of the collection that keeps a claim."""
    return str(claim.iri).rpartition("claim/")[0]


def _of_keeper(collection: "Collection") -> Iterator[Triple]:
    iri = URIRef(collection.base)
    yield iri, RDF.type, PROV.Collection
    for property_, text in (
        (DCTERMS.title, collection.title),
        (DC.publisher, collection.publisher),
        (DCTERMS.license, collection.licence),
    ):
        if text:
            yield iri, property_, Literal(text)


def shared_triples(claim: Claim, targets: Targets) -> Iterator[Triple]:
    """Yield what is said of a claim's passage and recorder; other claims may share them."""
    base = keeper_base(claim)
    passage = passage_iri(base, claim.passage)
    if passage is not None:
        yield from _told(passage, claim.passage)
        yield from target_triples(passage, claim.passage, targets)
    if claim.recorded_by:
        yield from _of_recorder(recorder_iri(base, claim.recorded_by), claim.recorded_by)


@lru_cache(maxsize=_PASSAGES)
def _told(iri: URIRef, passage: Passage) -> tuple[Triple, ...]:
    return tuple(_of_passage(iri, passage))


def target_triples(iri: URIRef, passage: Passage, targets: Targets) -> Iterator[Triple]:
    """Yield what a passage is cut from: an image, with its size, or the source."""
    target = targets.of(passage)
    yield iri, OA.hasSource, target
    yield from targets.sized(target)


def _of_recorder(iri: URIRef, name: str) -> Iterator[Triple]:
    yield iri, RDF.type, PROV.Agent
    yield iri, RDFS.label, Literal(name)


def record_graph(record: "Record", as_of: date | None = None) -> Graph:
    """Gather `record_triples` into a graph."""
    graph = bind(Graph("SimpleMemory", URIRef(f"{record.base}record")))
    for triple in record_triples(record, as_of):
        graph.add(triple)
    return graph


def _known(record: "Record", belief: Belief) -> Iterator[Claim]:
    day = belief.as_of.isoformat() if belief.as_of else ""
    for claim in record.claims:
        if not day or claim.recorded_on <= day:
            yield claim


def claim_triples(belief: Belief, claim: Claim) -> Iterator[Triple]:
    """Yield what is said of a claim itself, and of what was withdrawn of it."""
    base = keeper_base(claim)
    iri, passage = claim.iri, passage_iri(base, claim.passage)
    yield iri, RDF.type, GLOST.Claim
    yield iri, PROV.hadPrimarySource, claim.passage.source
    if passage is not None:
        yield iri, GLOST.restsOn, passage
    if claim.certainty is not None:
        yield iri, GLOST.certainty, claim.certainty
    if claim.recorded_by:
        yield iri, PROV.wasAttributedTo, recorder_iri(base, claim.recorded_by)
    if claim.recorded_on:
        yield iri, DCTERMS.created, Literal(claim.recorded_on, datatype=XSD.date, normalize=False)
    if claim.note:
        yield iri, SKOS.note, Literal(claim.note)
    yield iri, PROV.wasDerivedFrom, row_iri(base, claim)
    if iri in belief.withdrawn:
        yield from _withdrawn(iri, belief.withdrawn[iri])
    for part in belief.parts.get(iri, ()):
        yield part.iri, RDF.type, GLOST.WithdrawnPart
        yield part.iri, DCTERMS.isPartOf, iri
        yield part.iri, PROV.hadPrimarySource, claim.passage.source
        if passage is not None:
            yield part.iri, GLOST.restsOn, passage
        yield from _withdrawn(part.iri, part.correction)
    for old in belief.replaced.get(iri, ()):
        yield iri, PROV.wasRevisionOf, old


def _withdrawn(name: URIRef, correction: Claim) -> Iterator[Triple]:
    """Say of a claim, or of a part of one, which claim and which activity withdrew it."""
    yield name, GLOST.withdrawnByClaim, correction.iri
    for activity, predicate, _ in correction.statements:
        if predicate == GLOST.withdraws:
            yield name, PROV.wasInvalidatedBy, activity


def _of_passage(iri: URIRef, passage: Passage) -> Iterator[Triple]:
    yield iri, RDF.type, GLOST.Passage
    yield iri, RDF.type, OA.SpecificResource
    yield iri, DCTERMS.isPartOf, passage.source
    if passage.locator:
        yield iri, GLOST.locator, Literal(passage.locator)
    if passage.region:
        image, _, fragment = passage.region.rpartition("#")
        selector = URIRef(f"{iri}#region")
        yield iri, OA.hasSelector, selector
        yield selector, RDF.type, OA.FragmentSelector
        yield selector, RDF.value, Literal(fragment)
        yield selector, DCTERMS.conformsTo, MEDIA_FRAGMENTS
        if image:
            yield selector, GLOST.onImage, Literal(image)
