"""What a passage is a part of, as Web Annotation targets it: an image, or the source itself.

W3C, *Web Annotation Data Model* (2017), section 4: a specific resource has one source, the thing
that its selector is applied to. A box of pixels is applied to an image.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING
from urllib.parse import quote, unquote

from rdflib import Literal, URIRef
from rdflib.namespace import DCMITYPE, RDF

from glost.names import EXIF, GLOST
from glost.record.claims import Passage, Triple
from glost.record.fragments import FragmentError, read_fragment

if TYPE_CHECKING:
    from glost.record.belief import Belief
    from glost.record.collection import Collection

Shown = Mapping[URIRef, frozenset[URIRef]]
"""The images of each thing that has any."""

_IMAGE = frozenset({str(GLOST.image)})


def shown_by(belief: "Belief") -> Shown:
    """Return the images that are believed to show each thing."""
    found: dict[URIRef, set[URIRef]] = defaultdict(set)
    for frame in belief.table(_IMAGE).of.values():
        for thing, image, literal in frame.select("subject", "object", "literal").iter_rows():
            if literal is None:
                found[URIRef(thing)].add(URIRef(image))
    return {thing: frozenset(images) for thing, images in found.items()}


class Targets:
    """Finds the image that the region of a passage is of.

    Parameters
    ----------
    collection
        The settings of the collection, and of those read together with it.
    shown
        The images of each source.
    """

    def __init__(self, collection: "Collection", shown: Shown) -> None:
        self._collection = collection
        self._shown = dict(shown)
        self._sizes: dict[URIRef, tuple[Triple, ...]] = {}

    def of(self, passage: Passage) -> URIRef:
        """Return the image that a passage is a region of; else its source.

        A region that names no file is of its source's only image. If it has none or several, or if
        the passage is a page or a stretch of a recording, it is of the source.
        """
        if not passage.region:
            return passage.source
        try:
            fragment = read_fragment(passage.region)
        except FragmentError:  # TriG may hold any text
            return passage.source
        images = self._shown.get(passage.source, frozenset())
        if not fragment.box:
            return passage.source
        if not fragment.file:
            return next(iter(images)) if len(images) == 1 else passage.source
        for image in images:
            if unquote(image).endswith(f"/images/{fragment.file}"):
                return image
        holder = self._collection.holding(passage.source) or self._collection
        return URIRef(f"{holder.base}images/{quote(fragment.file)}")

    def sized(self, image: URIRef) -> tuple[Triple, ...]:
        """Tell that an image is one, and of what size; nothing if its file cannot be shown."""
        if image not in self._sizes:
            self._sizes[image] = tuple(self._size(image))
        return self._sizes[image]

    def _size(self, image: URIRef) -> Iterator[Triple]:
        from glost.record.images import ImageFile, look  # most collections cite no region

        holder = self._collection.holding(image)
        if holder is None:
            return
        found = look(holder.path, unquote(image.removeprefix(holder.base)))
        if isinstance(found, ImageFile) and found.width:
            yield image, RDF.type, DCMITYPE.StillImage
            yield image, EXIF.width, Literal(found.width)
            yield image, EXIF.height, Literal(found.height)

    def changed(
        self, stated: Iterable[Triple], unstated: Iterable[Triple]
    ) -> tuple["Targets", frozenset[URIRef]]:
        """Return the targets after a change, and the things of which other images are known."""
        moved: dict[URIRef, set[URIRef]] = {}
        for statements, more in ((unstated, False), (stated, True)):
            for thing, predicate, image in statements:
                if predicate != GLOST.image:
                    continue
                if not isinstance(thing, URIRef) or not isinstance(image, URIRef):
                    continue
                images = moved.setdefault(thing, set(self._shown.get(thing, ())))
                (images.add if more else images.discard)(image)
        if not moved:
            return self, frozenset()
        after = Targets(
            self._collection,
            self._shown | {thing: frozenset(images) for thing, images in moved.items()},
        )
        return after, frozenset(moved)
