"""What claims say of a thing, each value with what it rests on."""

from collections.abc import Collection, Iterator
from functools import lru_cache

from rdflib import URIRef
from rdflib.namespace import DCTERMS, RDF, RDFS, SKOS
from rdflib.term import Node

from glost.names import DATED, GLOST
from glost.record.claims import Triple
from glost.record.index import whole
from glost.report.things.basis import ThingBasis
from glost.report.things.said import Said
from glost.report.tree import Group, Section, Statement
from glost.words.sentences import FRAME, POINTS

_FIRST = (
    *(RDFS.label, DCTERMS.title, SKOS.altLabel, GLOST.treatmentNumber, GLOST.wording),
    *(GLOST.madeBy, GLOST.ofShape, GLOST.form, GLOST.tradeSize, GLOST.bearsTreatment),
)
"""Properties that are told first, in this order."""
_RANK: dict[Node, int] = {property_: rank for rank, property_ in enumerate(_FIRST)}
_ELSEWHERE = {GLOST.image, GLOST.hasOffering}
"""Properties whose values are shown, or stand in a table of their own."""
_HIDDEN = frozenset(FRAME | _ELSEWHERE)


@lru_cache(maxsize=4)
def own(basis: ThingBasis, thing: str) -> list[Triple]:
    """Return what is believed of a thing and of the parts of its life, sorted for reading."""
    found = {
        triple
        for claim in basis.about(thing)
        if claim.iri not in basis.belief.withdrawn
        for triple in basis.belief.kept(claim)
        if whole(triple[0]) == thing and triple[1] not in _HIDDEN
    }
    return sorted(found, key=_reading_order)


def _reading_order(triple: Triple) -> tuple[int, str, str, str]:
    subject, predicate, value = triple
    rank = _RANK.get(predicate, len(_FIRST))
    rank += (predicate == DCTERMS.description) + (predicate == RDF.type)
    return rank, str(subject), str(predicate), str(value)


def said_of(
    basis: ThingBasis, said: Said, thing: URIRef, disputed: Collection[Triple]
) -> Iterator[Section]:
    """Tell what claims say of a thing; dates stand in their own section."""
    introducing = described(basis, thing)
    told = tuple(
        _statement(said, triple, "disputed" if triple in disputed else "")
        for triple in own(basis, str(thing))
        if not dating(triple) and triple[1] != RDF.type and triple != introducing
    )
    if told:
        yield Section("said", "Statements", (Group(told),))


def described(basis: ThingBasis, thing: URIRef) -> Triple | None:
    """Return the longest description of a thing: it stands among the first sentences."""
    texts = sorted(set(basis.belief.graph.objects(thing, DCTERMS.description)), key=str)
    text = min(texts, key=lambda value: -len(str(value)), default=None)
    return None if text is None else (thing, DCTERMS.description, text)


def dating(triple: Triple) -> bool:
    """Say whether a statement gives a date of a thing's life, or a source's own."""
    return triple[1] in DATED and _point(triple[0]) in {*POINTS, ""}


def _point(subject: Node) -> str:
    return str(subject).partition("#")[2]


def _statement(said: Said, triple: Triple, status: str) -> Statement:
    subject, predicate, value = triple
    point = _point(subject)
    name = said.heading(predicate)
    if point:
        name = (*name, f" ({point})")
    return Statement((said.value(value),), said.stated(triple), status, name)


def kinds_of(basis: ThingBasis, thing: URIRef) -> tuple[Node, ...]:
    """Return the narrowest classes that claims say a thing is of, sorted."""
    from glost.data import vocabulary

    said = set(basis.belief.graph.objects(thing, RDF.type))
    above = {
        wider
        for kind in said
        for wider in vocabulary().transitive_objects(kind, RDFS.subClassOf)
        if wider != kind
    }
    return tuple(sorted(said - above, key=str))
