"""Media types of a site's files, by their endings, the same whoever serves them."""

from glost.publish.site.paths import DATA, PAGE

OFFERED = {PAGE: "text/html", **DATA}
"""What tells of an identifier, by ending; the first goes to those who do not mind."""

_TEXTS = {
    ".css": "text/css", ".csv": "text/csv", ".conf": "text/plain", ".htaccess": "text/plain",
    ".html": "text/html", ".js": "text/javascript", ".md": "text/markdown",
    ".tsv": "text/tab-separated-values", ".ttl": "text/turtle", ".txt": "text/plain",
}  # fmt: skip
_OTHERS = {
    ".gif": "image/gif", ".gz": "application/gzip", ".jpeg": "image/jpeg", ".jpg": "image/jpeg",
    ".json": "application/json", ".jsonld": "application/ld+json", ".nq": "application/n-quads",
    ".png": "image/png", ".rdf": "application/rdf+xml", ".rdfp": "application/rdf-patch",
    ".ru": "application/sparql-update", ".svg": "image/svg+xml",
    ".trig": "application/trig", ".webp": "image/webp", ".xml": "application/xml",
    ".zip": "application/zip",
}  # fmt: skip

MEDIA = dict(sorted([*((end, f"{kind}; charset=utf-8") for end, kind in _TEXTS.items()),
                     *_OTHERS.items()]))  # fmt: skip
"""Media types as they are sent. Those of text say that they are UTF-8: the registration of
text/turtle (IANA, 2011) asks for that where a file holds more than ASCII."""
