"""What search engines read in a page: schema.org as JSON-LD, its context written out in it."""

import json

from markupsafe import Markup
from rdflib import Literal, URIRef
from rdflib.namespace import DCTERMS

from glost.names import GLOST
from glost.publish.site.holdings import SiteContents

_TYPES = {
    GLOST.Pottery: "Organization", GLOST.Firm: "Organization", GLOST.Person: "Person",
    GLOST.Plant: "Place", GLOST.Piece: "VisualArtwork", GLOST.Source: "CreativeWork",
    GLOST.Shape: "ProductGroup", GLOST.Article: "ProductModel", GLOST.Decal: "CreativeWork",
    GLOST.Treatment: "CreativeWork",
}  # fmt: skip


def schema(holdings: SiteContents, iri: str) -> Markup:
    """Describe a thing in schema.org's terms, fit to stand inside a ``script`` element.

    Returns
    -------
    Markup
        JSON-LD that needs no fetched context; every ``<`` and ``&`` in it is written as an escape.
    """
    graph = holdings.snapshot.belief.graph
    found = next((_TYPES[k] for k in holdings.kinds.get(iri, ()) if k in _TYPES), "Thing")
    told: dict[str, object] = {
        "@context": {"@vocab": "https://schema.org/"},
        "@type": found,
        "@id": iri,
        "name": holdings.words.label(URIRef(iri)),
    }
    described = sorted(
        str(v) for v in graph.objects(URIRef(iri), DCTERMS.description) if isinstance(v, Literal)
    )
    if described:
        told["description"] = described[0]
    settings = holdings.snapshot.record.collection
    told["isPartOf" if found == "CreativeWork" else "subjectOf"] = {
        "@type": "Dataset", "@id": settings.base, "name": settings.title,
    }  # fmt: skip
    return script(told)


def script(value: object) -> Markup:
    """Write a value as JSON that cannot end the ``script`` element it stands in."""
    text = json.dumps(value, ensure_ascii=False, sort_keys=True)
    for char in "<>&\u2028\u2029":
        text = text.replace(char, f"\\u{ord(char):04x}")
    return Markup(text)
