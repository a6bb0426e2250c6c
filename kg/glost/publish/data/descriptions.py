"""What describes a published collection to machines: VoID, DCAT 3 and RO-Crate 1.2."""

from collections import Counter
from collections.abc import Mapping

from rdflib import Graph, Literal, URIRef
from rdflib.namespace import DCAT, DCTERMS, FOAF, RDF, VOID, XSD

from glost.names import GLOST
from glost.publish.data.described import json_bytes
from glost.publish.site.frame import PageFrame
from glost.publish.site.holdings import SiteContents

MEDIA = {
    ".trig": "application/trig", ".nq": "application/n-quads", ".ttl": "text/turtle",
    ".csv": "text/csv", ".json": "application/json", ".jsonld": "application/ld+json",
}  # fmt: skip
"""Media types of the whole-collection files."""

Sizes = Mapping[str, int]
"""Path and octets of each whole-collection file."""


def _day(holdings: SiteContents) -> str:
    """Return the day of the last claim recorded, or the last day taken into account."""
    if holdings.snapshot.as_of is not None:
        return holdings.snapshot.as_of.isoformat()
    return max((claim.recorded_on for claim in holdings.claims), default="")


def _size(octets: int) -> Literal:
    return Literal(str(octets), datatype=XSD.nonNegativeInteger, normalize=False)


def void_and_dcat(holdings: SiteContents, frame: PageFrame, files: Sizes, triples: int) -> bytes:
    """Describe the dataset and each file of it, as Turtle.

    Parameters
    ----------
    holdings
        What the site is made of.
    frame
        The collection's title, publisher and licence.
    files
        Path and octets of every whole-collection file.
    triples
        Statements in the whole dataset, counted in every graph.
    """
    base = holdings.base
    graph = Graph()
    for prefix, space in (("dcat", DCAT), ("void", VOID), ("dcterms", DCTERMS), ("foaf", FOAF)):
        graph.bind(prefix, space)
    catalogue, dataset = URIRef(f"{base}data/catalogue"), URIRef(f"{base}data/dataset")
    for subject, kind in ((catalogue, DCAT.Catalog), (dataset, DCAT.Dataset)):
        graph.add((subject, RDF.type, kind))
        graph.add((subject, DCTERMS.title, Literal(frame.title, lang="en")))
        if frame.licence_href:
            graph.add((subject, DCTERMS.license, URIRef(frame.licence_href)))
        if frame.publisher:
            publisher = URIRef(f"{base}data/publisher")
            graph.add((subject, DCTERMS.publisher, publisher))
            graph.add((publisher, RDF.type, FOAF.Agent))
            graph.add((publisher, FOAF.name, Literal(frame.publisher)))
        if day := _day(holdings):
            graph.add((subject, DCTERMS.modified, Literal(day, datatype=XSD.date, normalize=False)))
    graph.add((catalogue, DCAT.dataset, dataset))
    if frame.description:
        graph.add((dataset, DCTERMS.description, Literal(frame.description, lang="en")))
    graph.add((dataset, FOAF.homepage, URIRef(base)))
    for file, octets in files.items():
        place = URIRef(base + file)
        graph.add((dataset, DCAT.distribution, place))
        graph.add((place, RDF.type, DCAT.Distribution))
        graph.add((place, DCTERMS.title, Literal(file)))
        graph.add((place, DCAT.downloadURL, place))
        graph.add((place, DCAT.byteSize, _size(octets)))
        media = MEDIA["." + file.rpartition(".")[2]]
        iana = URIRef(f"https://www.iana.org/assignments/media-types/{media}")
        graph.add((place, DCAT.mediaType, iana))
    _void(graph, dataset, holdings, triples)
    return graph.serialize(format="turtle", encoding="utf-8")


def _void(graph: Graph, dataset: URIRef, holdings: SiteContents, triples: int) -> None:
    base = holdings.base
    graph.add((dataset, RDF.type, VOID.Dataset))
    graph.add((dataset, VOID.uriSpace, Literal(base)))
    graph.add((dataset, VOID.triples, Literal(triples)))
    graph.add((dataset, VOID.vocabulary, URIRef(str(GLOST))))
    graph.add((dataset, VOID.dataDump, URIRef(f"{base}data/dataset.nq")))
    graph.add((dataset, VOID.dataDump, URIRef(f"{base}data/dataset.trig")))
    counts = Counter(kind for found in holdings.kinds.values() for kind in found)
    for kind, count in sorted(counts.items()):
        part = URIRef(f"{base}data/dataset#{str(kind).replace('#', '/').rpartition('/')[2]}")
        graph.add((dataset, VOID.classPartition, part))
        graph.add((part, VOID["class"], kind))
        graph.add((part, VOID.entities, Literal(count)))
    for iri in holdings.things[:1]:
        graph.add((dataset, VOID.exampleResource, URIRef(iri)))


def ro_crate(holdings: SiteContents, frame: PageFrame, files: Sizes) -> bytes:
    """Describe the site's folder as an RO-Crate 1.2.

    The crate names the whole-collection files and the page images' folder; its date is that of
    the last claim recorded, so that the same record gives the same crate.
    """
    parts = [{"@id": file} for file in files]
    root: dict[str, object] = {
        "@id": "./", "@type": "Dataset", "name": frame.title,
        "description": frame.description or f"{frame.title}: claims with their sources.",
        "datePublished": _day(holdings) or "1970-01-01",
        "license": {"@id": frame.licence_href} if frame.licence_href else
        (frame.licence or "No licence is stated; ask the publisher."),
        "hasPart": parts,
    }  # fmt: skip
    graph: list[dict[str, object]] = [
        {
            "@id": "ro-crate-metadata.json", "@type": "CreativeWork", "about": {"@id": "./"},
            "conformsTo": {"@id": "https://w3id.org/ro/crate/1.2"},
        },
        root,
    ]  # fmt: skip
    if frame.publisher:
        root["publisher"] = {"@id": "#publisher"}
        graph.append({"@id": "#publisher", "@type": "Organization", "name": frame.publisher})
    if frame.licence_href:
        graph.append({"@id": frame.licence_href, "@type": "CreativeWork", "name": frame.licence})
    for file, octets in files.items():
        media = MEDIA["." + file.rpartition(".")[2]]
        graph.append(
            {
                "@id": file, "@type": "File", "name": file.rpartition("/")[2],
                "encodingFormat": media, "contentSize": str(octets),
            }
        )  # fmt: skip
    return json_bytes({"@context": "https://w3id.org/ro/crate/1.2/context", "@graph": graph})
