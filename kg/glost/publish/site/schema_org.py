"""What search engines read in a page: schema.org as JSON-LD, its context written out in it."""

import json
from collections.abc import Iterable

from markupsafe import Markup
from rdflib import Literal, URIRef
from rdflib.namespace import DC, DCTERMS, SKOS

from glost.names import GLOST
from glost.publish.data.catalogue import last_day, span
from glost.publish.data.facts import PublishedFile
from glost.publish.site.frame import PageFrame
from glost.publish.site.holdings import SiteContents
from glost.publish.site.noted import NotedContents

_TYPES = {
    GLOST.Pottery: "Organization", GLOST.Firm: "Organization", GLOST.Person: "Person",
    GLOST.Plant: "Place", GLOST.Place: "Place",
    GLOST.Institution: "Organization", GLOST.Piece: "IndividualProduct",
    GLOST.Source: "CreativeWork",
    GLOST.Shape: "ProductGroup", GLOST.Article: "ProductModel", GLOST.Decal: "CreativeWork",
    GLOST.Treatment: "CreativeWork",
}  # fmt: skip
_WARE = (
    ("manufacturer", GLOST.madeBy, "Organization"), ("isVariantOf", GLOST.ofShape, "ProductGroup"),
    ("category", GLOST.form, ""), ("size", GLOST.tradeSize, ""),
    ("productID", GLOST.accession, ""),
)  # fmt: skip
_FACTS = {
    "IndividualProduct": _WARE, "ProductModel": _WARE, "ProductGroup": _WARE[:1],
    "CreativeWork": (("inLanguage", DC.language, ""),),
    "Organization": (("location", GLOST.place, ""),),
}  # fmt: skip
"""Of things of a type, what is told: a property of schema.org, ours, and the type of its values,
empty if their labels are told alone."""
_VOCABULARY = {"@vocab": "https://schema.org/"}

Json = dict[str, object]


def schema(holdings: NotedContents, iri: str, images: Iterable[str] = ()) -> Markup:
    """Describe a thing in schema.org's terms, fit to stand inside a ``script`` element.

    Parameters
    ----------
    holdings
        What the site is made of.
    iri
        The thing.
    images
        Addresses of its pictures.

    Returns
    -------
    Markup
        JSON-LD that needs no fetched context; every ``<`` and ``&`` in it is written as an escape.
    """
    graph, thing = holdings.snapshot.belief.graph, URIRef(iri)
    found = next((_TYPES[k] for k in holdings.kinds.get(iri, ()) if k in _TYPES), "Thing")
    told: Json = {
        "@context": _VOCABULARY, "@type": found, "@id": iri, "url": iri,
        "name": holdings.words.label(thing),
    }  # fmt: skip
    described = sorted(
        str(v) for v in graph.objects(thing, DCTERMS.description) if isinstance(v, Literal)
    )
    if described:
        told["description"] = described[0]
    others = sorted(map(str, graph.objects(thing, SKOS.altLabel)))
    if others:
        told["alternateName"] = others
    for key, property_, kind in _FACTS.get(found, ()):
        values = sorted(graph.objects(thing, property_), key=str)
        if values:
            told[key] = [_value(holdings, each, kind) for each in values]
    pictures = sorted(images)
    if pictures:
        told["image"] = pictures
    settings = holdings.snapshot.record.collection
    told["isPartOf" if found == "CreativeWork" else "subjectOf"] = {
        "@type": "Dataset", "@id": settings.base, "name": settings.title,
    }  # fmt: skip
    return script(told)


def _value(holdings: NotedContents, value: object, kind: str) -> object:
    name = holdings.words.label(value) if isinstance(value, URIRef) else str(value)
    return {"@type": kind, "@id": str(value), "name": name} if kind else name


def dataset(
    holdings: SiteContents, frame: PageFrame, files: Iterable[PublishedFile] = ()
) -> Markup:
    """Describe the collection as a data set, fit to stand inside a ``script`` element.

    Parameters
    ----------
    holdings
        What the site is made of.
    frame
        The collection's title, publisher and licence.
    files
        The files that it is offered as.
    """
    settings, base = holdings.snapshot.record.collection, holdings.base
    told: Json = {
        "@context": _VOCABULARY, "@type": "Dataset", "@id": base, "url": base, "identifier": base,
        "name": frame.title, "isAccessibleForFree": True,
        "description": frame.description or f"{frame.title}: claims with their sources.",
        "inLanguage": settings.language or "en",
    }  # fmt: skip
    days = span(holdings)
    given: Json = {
        "license": frame.licence_href, "datePublished": settings.issued,
        "dateModified": last_day(holdings), "keywords": ", ".join(settings.keywords),
        "temporalCoverage": f"{days.first}/{days.last}" if days else "",
        "publisher": {"@type": "Organization", "name": frame.publisher} if frame.publisher else "",
        "spatialCoverage": {"@type": "Place", "name": settings.place} if settings.place else "",
        "distribution": [
            {
                "@type": "DataDownload", "@id": base + each.path, "contentUrl": base + each.path,
                "encodingFormat": each.media, "contentSize": str(each.octets),
                "name": each.told.title, "sha256": each.digest,
            }
            for each in files
        ],
    }  # fmt: skip
    return script(told | {key: value for key, value in given.items() if value})


def script(value: object) -> Markup:
    """Write a value as JSON that cannot end the ``script`` element it stands in."""
    text = json.dumps(value, ensure_ascii=False, sort_keys=True)
    for char in "<>&\u2028\u2029":
        text = text.replace(char, f"\\u{ord(char):04x}")
    return Markup(text)
