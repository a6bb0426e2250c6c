"""A published collection as an RO-Crate 1.2: the files of the whole, with sizes and checksums."""

from collections.abc import Sequence

from glost.publish.data.catalogue import last_day
from glost.publish.data.described import json_bytes
from glost.publish.data.facts import PublishedFile
from glost.publish.site.frame import PageFrame
from glost.publish.site.holdings import SiteContents

Json = dict[str, object]


def ro_crate(
    holdings: SiteContents,
    frame: PageFrame,
    files: Sequence[PublishedFile],
    images: Sequence[PublishedFile],
    names: dict[str, str],
    rights: dict[str, str],
) -> bytes:
    """Describe the site's folder as an RO-Crate 1.2.

    Its date is that of the last claim recorded, so that the same record gives the same crate.

    Parameters
    ----------
    holdings
        What the site is made of.
    frame
        The collection's title, publisher and licence.
    files
        Every whole-collection file.
    images
        Every page image and picture of a thing.
    names
        What a visitor would call each image, by path.
    rights
        How an image may be used, where that is said of it, by path.
    """
    settings = holdings.snapshot.record.collection
    root: Json = {
        "@id": "./", "@type": "Dataset", "name": frame.title,
        "description": frame.description or f"{frame.title}: claims with their sources.",
        "identifier": holdings.base, "url": holdings.base,
        "datePublished": settings.issued or last_day(holdings) or "1970-01-01",
        "dateModified": last_day(holdings) or "1970-01-01",
        "inLanguage": settings.language or "en",
        "license": {"@id": frame.licence_href} if frame.licence_href else
        (frame.licence or "No licence is stated; ask the publisher."),
        "hasPart": [{"@id": each.path} for each in (*files, *images)],
    }  # fmt: skip
    if settings.keywords:
        root["keywords"] = ", ".join(settings.keywords)
    graph: list[Json] = [
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
    standards = sorted({each.told.conforms_to for each in files} - {""})
    graph += [{"@id": iri, "@type": "CreativeWork", "name": iri} for iri in standards]
    for file in files:
        told = file.told
        node = _file(file) | {"name": told.title, "description": told.description}
        if told.conforms_to:
            node["conformsTo"] = {"@id": told.conforms_to}
        graph.append(node)
    for image in images:
        node = _file(image, "ImageObject") | {"name": names.get(image.path, image.path)}
        if image.path in rights:
            node["license"] = {"@id": rights[image.path]}
        graph.append(node)
    for iri in sorted(set(rights.values()) - {frame.licence_href}):
        graph.append({"@id": iri, "@type": "CreativeWork", "name": iri})
    return json_bytes({"@context": "https://w3id.org/ro/crate/1.2/context", "@graph": graph})


def _file(file: PublishedFile, *kinds: str) -> Json:
    return {
        "@id": file.path, "@type": ["File", *kinds] if kinds else "File",
        "encodingFormat": file.media, "contentSize": str(file.octets), "sha256": file.digest,
    }  # fmt: skip
