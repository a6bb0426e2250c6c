"""What changed of the manifests, for those who harvest them: IIIF Change Discovery 1.0, level 1."""

from collections.abc import Iterator
from urllib.parse import quote

from glost.publish.data.described import json_bytes
from glost.publish.iiif.manifests import shown
from glost.publish.site.holdings import SiteContents
from glost.publish.site.images import Images

CONTEXT = "http://iiif.io/api/discovery/1/context.json"
CHANGES, PAGE = "iiif/changes.json", "iiif/changes-1.json"
"""The files within a site: the list, and the one page that it has."""

Json = dict[str, object]


def changes(holdings: SiteContents, images: Images) -> Iterator[tuple[str, bytes]]:
    """Yield the manifests by the day something of each was last recorded, the oldest first."""
    days: dict[str, str] = {}
    for claim in holdings.claims:
        for iri in {str(claim.passage.source), *(str(s) for s, _, _ in claim.statements)}:
            days[iri] = max(days.get(iri, ""), claim.recorded_on)
    told: list[Json] = []
    for iri, file in shown(holdings, images).items():
        manifest = {"id": holdings.base + quote(file), "type": "Manifest"}
        moment = {"endTime": f"{days[iri]}T00:00:00Z"} if days.get(iri) else {}
        told.append({"type": "Update", "object": manifest, **moment})
    told.sort(key=lambda each: (str(each.get("endTime", "")), str(each["object"])))
    here, page = holdings.base + CHANGES, holdings.base + PAGE
    whole: Json = {
        "@context": CONTEXT, "id": here, "type": "OrderedCollection", "totalItems": len(told),
    }  # fmt: skip
    if told:
        whole["last"] = {"id": page, "type": "OrderedCollectionPage"}
        within: Json = {
            "@context": CONTEXT, "id": page, "type": "OrderedCollectionPage",
            "partOf": {"id": here, "type": "OrderedCollection"}, "orderedItems": told,
        }  # fmt: skip
        yield PAGE, json_bytes(within)
    yield CHANGES, json_bytes(whole)
