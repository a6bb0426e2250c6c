"""Claims as nanopublications: what one says, what it rests on, and who published it, apart.

By the *Nanopublication Guidelines* (Concept Web Alliance, 2015): a head that names three graphs, of
which the assertion is a claim's own, under the claim's name, so that both are one. A part of a
claim that was withdrawn by itself is a nanopublication of its own. Names are not trusty URIs: these
would change with every byte, where a claim's name is to last.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

import pyoxigraph as ox
from rdflib import Literal, Namespace, URIRef
from rdflib.namespace import DCTERMS, PROV, RDF
from rdflib.term import Node

from glost.names import GLOST, OA, PREFIXES
from glost.record.claims import Triple
from glost.record.terms import quad

if TYPE_CHECKING:
    from glost.answer.snapshot import Snapshot

NANOPUB, ENDING = "nanopub", ".nanopub.trig"
"""The format's name, and the usual ending of a file of it."""

NP = Namespace("http://www.nanopub.org/nschema#")
NPX = Namespace("http://purl.org/nanopub/x/")
"""The terms of nanopublications, and what is usual beside them."""

_OF_CLAIM: dict[Node, URIRef] = {
    PROV.wasAttributedTo: DCTERMS.creator,
    DCTERMS.created: DCTERMS.created,
}
"""What the record says of a claim's recording, and how it is said of the nanopublication."""

Stated = tuple[Triple, URIRef]
"""A statement and the graph it stands in."""


def nanopub_bytes(snapshot: "Snapshot") -> bytes:
    """Write every claim as a nanopublication, and every part of one that was withdrawn, as TriG.

    Parameters
    ----------
    snapshot
        The collection; its day counts. A claim of which nothing is left makes none.
    """
    prefixes = {name: str(space) for name, space in PREFIXES.items()}
    prefixes |= {"np": str(NP), "npx": str(NPX)}
    quads = (quad(triple, graph) for triple, graph in _all(snapshot))
    return ox.serialize(quads, format=ox.RdfFormat.TRIG, prefixes=prefixes) or b""


def within(name: URIRef, part: str) -> URIRef:
    """Name something after a claim or a withdrawn part of one."""
    return URIRef(f"{name}{'.' if '#' in name else '#'}{part}")


def _all(snapshot: "Snapshot") -> Iterator[Stated]:
    contents, licence = snapshot.contents, snapshot.collection.licence
    record: dict[Node, list[Triple]] = defaultdict(list)
    withdrawn: dict[Node, list[URIRef]] = defaultdict(list)
    said = {name: statements for name, statements in contents.said() if statements}
    for triple in sorted(contents.record):
        record[triple[0]].append(triple)
        if triple[1] == GLOST.withdrawnByClaim and triple[0] in said:
            withdrawn[triple[2]].append(URIRef(str(triple[0])))
    for name in sorted(said):
        whole, published = within(name, "nanopub"), within(name, "pubinfo")
        yield from _head(name)
        yield from ((each, name) for each in sorted(set(said[name])))
        yield from _provenance(name, record)
        yield from ((each, published) for each in _published(name, record))
        yield (whole, DCTERMS.isPartOf, URIRef(contents.base)), published
        if licence:
            given = URIRef(licence) if "://" in licence else Literal(licence)
            yield (whole, DCTERMS.license, given), published
        for old in withdrawn[name]:
            yield (whole, NPX.retracts, within(old, "nanopub")), published


def _head(name: URIRef) -> Iterator[Stated]:
    whole, head = within(name, "nanopub"), within(name, "head")
    yield (whole, RDF.type, NP.Nanopublication), head
    yield (whole, NP.hasAssertion, name), head
    yield (whole, NP.hasProvenance, within(name, "provenance")), head
    yield (whole, NP.hasPublicationInfo, within(name, "pubinfo")), head


def _provenance(name: URIRef, record: Mapping[Node, list[Triple]]) -> Iterator[Stated]:
    """Yield what the record says of the assertion, and of the passage it rests on."""
    for triple in record[name]:
        if triple[1] not in _OF_CLAIM:
            yield triple, within(name, "provenance")
        if triple[1] == GLOST.restsOn:
            for told in _passage(triple[2], record):
                yield told, within(name, "provenance")


def _passage(passage: Node, record: Mapping[Node, list[Triple]]) -> Iterator[Triple]:
    for triple in record[passage]:
        yield triple
        if triple[1] in (OA.hasSelector, OA.hasSource):
            yield from record[triple[2]]


def _published(name: URIRef, record: Mapping[Node, list[Triple]]) -> Iterator[Triple]:
    """Yield who recorded the claim, and when; of a part, those of the claim."""
    whole = within(name, "nanopub")
    for _, property_, value in record[URIRef(name.partition("#")[0])]:
        if property_ in _OF_CLAIM:
            yield whole, _OF_CLAIM[property_], value
        if property_ == PROV.wasAttributedTo:
            yield from record[value]
