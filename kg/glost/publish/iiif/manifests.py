"""A IIIF Presentation 3.0 manifest per source with page images, and a collection of them.

A canvas is a page image; the claims read on it are Web Annotations on their regions. Addresses
are absolute, as the specification asks, under the collection's base IRI.
"""

from collections.abc import Iterator
from mimetypes import guess_type
from urllib.parse import quote

from rdflib import URIRef
from rdflib.namespace import DC, DCTERMS

from glost.names import GLOST
from glost.publish.data.annotations import words
from glost.publish.data.described import json_bytes
from glost.publish.iiif.image_service import service, sized, sizes
from glost.publish.site.frame import PageFrame
from glost.publish.site.holdings import SiteContents
from glost.publish.site.images import Images, PageImage
from glost.words.labels import label

CONTEXT = "http://iiif.io/api/presentation/3/context.json"
"""The context the specification requires to be named; nothing here fetches it."""

Json = dict[str, object]


def manifests(
    holdings: SiteContents, frame: PageFrame, images: Images
) -> Iterator[tuple[str, bytes]]:
    """Yield the manifest of every source with page images, and the collection of manifests."""
    found: list[Json] = []
    for iri, file in shown(holdings, images).items():
        manifest = _manifest(holdings, frame, images, iri, file)
        found.append({"id": manifest["id"], "type": "Manifest", "label": manifest["label"]})
        yield file, json_bytes(manifest)
    collection = {
        "@context": CONTEXT,
        "id": f"{holdings.base}iiif/collection.json",
        "type": "Collection",
        "label": _text(frame.title),
        "items": found,
    }
    yield "iiif/collection.json", json_bytes(collection)


def shown(holdings: SiteContents, images: Images) -> dict[str, str]:
    """Return the file of the manifest of every source with page images."""
    stems = ((iri, holdings.addresses.stems.get(iri, "")) for iri in sorted(images.of))
    return {iri: f"iiif/{stem}/manifest.json" for iri, stem in stems if stem.startswith("source/")}


def _text(words: str, language: str = "none") -> dict[str, list[str]]:
    return {language: [words]}


def _manifest(
    holdings: SiteContents, frame: PageFrame, images: Images, iri: str, file: str
) -> Json:
    here = holdings.base + quote(file)
    stem = holdings.addresses.stems[iri]
    page = holdings.base + quote(f"{stem}.html")
    told: Json = {
        "@context": CONTEXT,
        "id": here,
        "type": "Manifest",
        "label": _text(holdings.words.label(URIRef(iri)), _language(holdings, iri)),
        "metadata": _metadata(holdings, iri),
    }
    told |= _rights(holdings, frame, iri)
    told["thumbnail"] = [_thumbnail(holdings, images.of[iri][0])]
    told["homepage"] = [
        {"id": page, "type": "Text", "label": _text("Page", "en"), "format": "text/html"}
    ]
    told["seeAlso"] = [
        {
            "id": holdings.base + quote(f"{stem}.ttl"), "type": "Dataset",
            "label": _text("Turtle", "en"), "format": "text/turtle",
        }
    ]  # fmt: skip
    told["items"] = [
        _canvas(holdings, images, picture, f"{here.removesuffix('/manifest.json')}/canvas/{n}")
        for n, picture in enumerate(images.of[iri], 1)
    ]
    return told


def _language(holdings: SiteContents, iri: str) -> str:
    """Return the language of a source's words; ``none`` unless just one is said."""
    said = sorted(map(str, set(holdings.snapshot.belief.graph.objects(URIRef(iri), DC.language))))
    return said[0] if len(said) == 1 else "none"


_FREE = ("https://creativecommons.org/", "http://creativecommons.org/")


def _rights(holdings: SiteContents, frame: PageFrame, iri: str) -> Json:
    """Say how what a manifest shows may be used, and whom to name: the source's own, if it is said.

    The specification asks for the addresses of Creative Commons and RightsStatements.org as these
    write them, which begin with ``http:``.
    """
    told: Json = {}
    graph = holdings.snapshot.belief.graph
    own = sorted(map(str, graph.objects(URIRef(iri), DCTERMS.rights)))
    if own or frame.licence_href.startswith(_FREE):
        told["rights"] = (own[0] if own else frame.licence_href).replace("https:", "http:", 1)
    credit = sorted(map(str, graph.objects(URIRef(iri), GLOST.creditLine)))
    if credit or frame.publisher:
        told["requiredStatement"] = {
            "label": _text("Credit" if credit else "Published by", "en"),
            "value": {"none": credit or [frame.publisher]},
        }
    return told


def _thumbnail(holdings: SiteContents, picture: PageImage) -> Json:
    return sized(holdings.base, picture, sizes(picture)[0])


def _metadata(holdings: SiteContents, iri: str) -> list[Json]:
    graph = holdings.snapshot.belief.graph
    told: list[Json] = []
    for property_ in (GLOST.sourceKind, GLOST.sourceDate, GLOST.heldBy, GLOST.shelfmark):
        values = sorted(label(v, holdings.words) for v in graph.objects(URIRef(iri), property_))
        if values:
            name = holdings.words.label(property_)
            told.append({"label": _text(name, "en"), "value": {"none": values}})
    return told


def _canvas(holdings: SiteContents, images: Images, picture: PageImage, iri: str) -> Json:
    body = {
        "id": holdings.base + quote(picture.file),
        "type": "Image",
        "format": guess_type(picture.file)[0] or "image/png",
        "width": picture.width,
        "height": picture.height,
        "service": [service(holdings.base, picture)],
    }
    painting = {
        "id": f"{iri}/painting/1", "type": "Annotation", "motivation": "painting", "body": body,
        "target": iri,
    }  # fmt: skip
    canvas: Json = {
        "id": iri, "type": "Canvas",
        "label": _text(images.page(picture) or picture.file.rpartition("/")[2]),
        "width": picture.width, "height": picture.height,
        "thumbnail": [_thumbnail(holdings, picture)],
        "items": [{"id": f"{iri}/painting", "type": "AnnotationPage", "items": [painting]}],
    }  # fmt: skip
    notes = list(_annotations(holdings, images, picture, iri))
    if notes:
        canvas["annotations"] = [{"id": f"{iri}/claims", "type": "AnnotationPage", "items": notes}]
    return canvas


def _annotations(
    holdings: SiteContents, images: Images, picture: PageImage, iri: str
) -> Iterator[Json]:
    for passage, region in images.cited.get(picture.file, {}).items():
        for claim in holdings.passages[passage][1]:
            data = holdings.addresses.file(str(claim.iri), ".ttl") or ""
            yield {
                "id": f"{iri}/claims/{quote(claim.id)}",
                "type": "Annotation",
                "motivation": "describing",
                "body": {
                    "type": "TextualBody", "value": words(holdings, claim),
                    "format": "text/plain", "language": "en",
                },
                "target": f"{iri}#{region.xywh}",
                "seeAlso": [
                    {"id": holdings.base + quote(data), "type": "Dataset",
                     "label": _text("The claim", "en"), "format": "text/turtle"}
                ],
            }  # fmt: skip
