"""Claims read on images as Web Annotations (W3C Recommendation, 2017), each on its own region."""

from collections.abc import Iterator
from mimetypes import guess_type
from urllib.parse import quote

from glost.names import EXIF
from glost.publish.data.described import json_bytes
from glost.publish.site.frame import PageFrame
from glost.publish.site.holdings import SiteContents
from glost.publish.site.images import Images, PageImage, Region
from glost.record.claims import Claim, Passage
from glost.record.provenance import recorder_iri
from glost.words.sentences import says

ANNOTATIONS = "data/annotations.jsonld"
"""The file within a site."""

CONTEXT = "http://www.w3.org/ns/anno.jsonld"
"""The context the specification requires to be named; nothing here fetches it."""

Json = dict[str, object]


def words(holdings: SiteContents, claim: Claim) -> str:
    """Say what a claim says, and what of it was withdrawn."""
    told = says(holdings.graphs[claim.iri], holdings.words)
    if claim.iri in holdings.withdrawn:
        told = f"Withdrawn: {told}"
    for part in holdings.snapshot.belief.parts.get(claim.iri, ()):
        told += f". Withdrawn: {says(part.statements, holdings.words)}"
    return told


def annotations_file(
    holdings: SiteContents, frame: PageFrame, images: Images
) -> Iterator[tuple[str, bytes]]:
    """Yield a page of annotations: of each claim that cites a region, what it says of the image.

    The target is the image's file, with a selector and the image's size; that it shows a source,
    a piece among them, is said of the image.
    """
    items = list(_annotations(holdings, frame, images))
    if items:
        page: Json = {
            "@context": CONTEXT, "id": holdings.base + ANNOTATIONS, "type": "AnnotationPage",
            "items": items,
        }  # fmt: skip
        yield ANNOTATIONS, json_bytes(page)


def _annotations(holdings: SiteContents, frame: PageFrame, images: Images) -> Iterator[Json]:
    for file, cited in sorted(images.cited.items()):
        for iri, region in sorted(cited.items()):
            passage, claims = holdings.passages[iri]
            target = _target(holdings, images.all[file], passage, region)
            for claim in claims:
                made: Json = {
                    "id": f"{claim.iri}#annotation", "type": "Annotation",
                    "motivation": "describing",
                    "body": [
                        {"id": str(claim.iri), "type": "Dataset"},
                        {"type": "TextualBody", "value": words(holdings, claim),
                         "format": "text/plain", "language": "en"},
                    ],
                    "target": target,
                }  # fmt: skip
                if claim.recorded_by:
                    agent = recorder_iri(holdings.base, claim.recorded_by)
                    made["creator"] = {"id": str(agent), "name": claim.recorded_by}
                if claim.recorded_on:
                    made["created"] = f"{claim.recorded_on}T00:00:00Z"
                if frame.licence_href:
                    made["rights"] = frame.licence_href
                yield made


def _target(holdings: SiteContents, picture: PageImage, passage: Passage, region: Region) -> Json:
    source: Json = {
        "id": holdings.base + quote(picture.file), "type": "Image",
        "format": guess_type(picture.file)[0] or "image/png",
        str(EXIF.width): picture.width, str(EXIF.height): picture.height,
        "http://purl.org/dc/terms/isPartOf": {"id": str(passage.source)},
    }  # fmt: skip
    selector = {
        "type": "FragmentSelector", "conformsTo": "http://www.w3.org/TR/media-frags/",
        "value": region.xywh,
    }  # fmt: skip
    return {"type": "SpecificResource", "source": source, "selector": selector}
