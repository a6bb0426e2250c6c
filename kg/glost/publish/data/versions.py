"""The editions of a collection in its catalogue: versions, by DCAT 3 (section 11)."""

from collections.abc import Sequence
from pathlib import Path

from rdflib import Graph, Literal, Namespace, URIRef
from rdflib.namespace import DCTERMS, RDF, XSD

from glost.publish.data.catalogue import SPDX
from glost.publish.editions.edition import DATASET, FOLDER, Edition
from glost.publish.site.frame import PageFrame
from glost.record.files import digest

DCAT = Namespace("http://www.w3.org/ns/dcat#")
"""Of DCAT 3; rdflib 7.6 knows only what DCAT 2 had."""
_ADMS = Namespace("http://www.w3.org/ns/adms#")
_MEDIA = "http://www.iana.org/assignments/media-types/"


def add_editions(
    graph: Graph, dataset: URIRef, found: Sequence[Edition], collection: Path, frame: PageFrame
) -> None:
    """Add each edition as a version of the dataset, with its file and the sum of it.

    Parameters
    ----------
    graph
        What is added to.
    dataset
        The dataset that they are versions of.
    found
        The editions, the oldest first.
    collection
        The collection's folder.
    frame
        The collection's licence.
    """
    for each in found:
        edition = URIRef(each.iri)
        title = Literal(f"{each.title}, edition {each.name}", lang="en")
        told = f"The collection as it stood on {each.day}: {each.statements:,} statements."
        graph.add((dataset, DCAT.hasVersion, edition))
        graph.add((edition, RDF.type, DCAT.Dataset))
        graph.add((edition, DCAT.isVersionOf, dataset))
        graph.add((edition, DCAT.version, Literal(each.name)))
        graph.add((edition, DCTERMS.title, title))
        graph.add((edition, DCTERMS.description, Literal(told, lang="en")))
        graph.add((edition, DCTERMS.issued, Literal(each.day, datatype=XSD.date, normalize=False)))
        if each.note:
            graph.add((edition, _ADMS.versionNotes, Literal(each.note)))
        if each.previous:
            before = URIRef(f"{each.base}{FOLDER}/{each.previous}")
            graph.add((edition, DCAT.previousVersion, before))
        _distribution(graph, edition, title, collection / FOLDER / each.name / DATASET, frame)
    if found:
        graph.add((dataset, DCAT.hasCurrentVersion, URIRef(found[-1].iri)))


def _distribution(
    graph: Graph, edition: URIRef, title: Literal, path: Path, frame: PageFrame
) -> None:
    file = URIRef(f"{edition}/{DATASET}")
    graph.add((edition, DCAT.distribution, file))
    graph.add((file, RDF.type, DCAT.Distribution))
    graph.add((file, DCTERMS.title, title))
    graph.add((file, DCAT.accessURL, file))
    graph.add((file, DCAT.downloadURL, file))
    for property_, kind in ((DCAT.mediaType, "application/n-quads"),
                            (DCAT.compressFormat, "application/gzip")):  # fmt: skip
        media = URIRef(_MEDIA + kind)
        graph.add((file, property_, media))
        graph.add((media, RDF.type, DCTERMS.MediaType))
    if frame.licence_href:
        graph.add((file, DCTERMS.license, URIRef(frame.licence_href)))
    check = URIRef(f"{file}#checksum")
    graph.add((file, SPDX.checksum, check))
    graph.add((check, RDF.type, SPDX.Checksum))
    graph.add((check, SPDX.algorithm, SPDX.checksumAlgorithm_sha256))
    graph.add((check, SPDX.checksumValue, Literal(digest(path), datatype=XSD.hexBinary)))
