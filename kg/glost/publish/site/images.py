"""Page images of a collection, and the regions of them that claims cite."""

import re
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from urllib.parse import unquote

from rdflib import URIRef
from rdflib.namespace import DCTERMS

from glost.names import GLOST
from glost.publish.site.holdings import SiteContents
from glost.record.claims import Passage
from glost.record.images import ImageFile, look

_REGION = re.compile(
    r"xywh=(?:(pixel|percent):)?([0-9]+(?:\.[0-9]+)?),([0-9]+(?:\.[0-9]+)?),([0-9]+(?:\.[0-9]+)?),([0-9]+(?:\.[0-9]+)?)"
)


@dataclass(frozen=True, slots=True)
class PageImage:
    """An image file of the collection.

    Attributes
    ----------
    file
        Where it stands in the collection and in the site, ``images/p7.png``.
    path
        The file itself.
    width, height
        In pixels.
    """

    file: str
    path: Path
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class Region:
    """A region of an image, in pixels from its top left corner."""

    x: float
    y: float
    w: float
    h: float

    @property
    def xywh(self) -> str:
        """The region as a media fragment, in whole pixels."""
        return "xywh=" + ",".join(f"{round(each)}" for each in (self.x, self.y, self.w, self.h))


class Images:
    """The images of a collection.

    Parameters
    ----------
    holdings
        What the site is made of.
    """

    def __init__(self, holdings: SiteContents) -> None:
        self._holdings = holdings

    @cached_property
    def all(self) -> dict[str, PageImage]:
        """Every image in ``images/`` that can be read, by file, sorted."""
        top = self._holdings.snapshot.record.collection.path
        found = {}
        for path in sorted((top / "images").rglob("*")):
            file = path.relative_to(top).as_posix()
            hidden = any(part.startswith(".") for part in path.relative_to(top).parts)
            image = None if hidden else look(top, file)
            if isinstance(image, ImageFile) and image.width:
                found[file] = PageImage(file, path, image.width, image.height)
        return found

    @cached_property
    def of(self) -> dict[str, list[PageImage]]:
        """The images of each thing that has any."""
        found: dict[str, list[PageImage]] = {}
        for thing, value in sorted(
            self._holdings.snapshot.belief.graph.subject_objects(GLOST.image)
        ):
            picture = self.all.get(unquote(str(value)).removeprefix(self._holdings.base))
            if picture is not None and picture not in found.setdefault(str(thing), []):
                found[str(thing)].append(picture)
        return found

    @cached_property
    def rights(self) -> dict[str, str]:
        """How an image may be used, by file, where a claim says it of what the image shows."""
        graph = self._holdings.snapshot.belief.graph
        found: dict[str, str] = {}
        for thing, pictures in sorted(self.of.items()):
            said = sorted(map(str, graph.objects(URIRef(thing), DCTERMS.rights)))
            for picture in pictures if said else ():
                found.setdefault(picture.file, said[0])
        return found

    @cached_property
    def names(self) -> dict[str, str]:
        """What a visitor would call each image, by IRI: ``page image of Catalogue No. 8, p. 13``.

        The page is told if all passages that cite the image stand on one.
        """
        found: dict[str, str] = {}
        for thing, value in sorted(
            self._holdings.snapshot.belief.graph.subject_objects(GLOST.image)
        ):
            picture = self.all.get(unquote(str(value)).removeprefix(self._holdings.base))
            if picture is not None:
                found.setdefault(str(value), self._name(URIRef(str(thing)), picture))
        return found

    def _name(self, thing: URIRef, picture: PageImage) -> str:
        name = self._holdings.words.label(thing)
        own = self.of[str(thing)]
        count = f" {own.index(picture) + 1}" if len(own) > 1 else ""
        if self._holdings.kind(str(thing)) != "source":
            return f"picture{count} of {name}"
        page = self.page(picture)
        return f"page image{'' if page else count} of {name}{page and f', {page}'}"

    def page(self, picture: PageImage) -> str:
        """Return the page a picture is of, as passages that cite it say, ``p. 13``; or nothing."""
        passages = [self._holdings.passages[each][0] for each in self.cited.get(picture.file, {})]
        pages = {passage.locator.partition(",")[0] for passage in passages}
        return pages.pop() if len(pages) == 1 else ""

    def place(self, passage: Passage) -> tuple[PageImage, Region] | None:
        """Find the image and the region that a passage cites.

        Returns
        -------
        tuple or None
            None if it cites no region, or it cannot be told of which image. A region that names
            no image is of the source's only one. What reaches over the edge is cut there.
        """
        named, _, fragment = passage.region.rpartition("#")
        match = _REGION.fullmatch(fragment)
        own = self.of.get(str(passage.source), [])
        picture = self.all.get(f"images/{named}") if named else own[0] if len(own) == 1 else None
        if match is None or picture is None:
            return None
        x, y, w, h = map(float, match.groups()[1:])
        if match[1] == "percent":
            x, w = x * picture.width / 100, w * picture.width / 100
            y, h = y * picture.height / 100, h * picture.height / 100
        w, h = min(w, picture.width - x), min(h, picture.height - y)
        return (picture, Region(x, y, w, h)) if w > 0 and h > 0 else None

    @cached_property
    def cited(self) -> dict[str, dict[URIRef, Region]]:
        """Of each image, the passages that cite a region of it."""
        found: dict[str, dict[URIRef, Region]] = {}
        for iri, (passage, _) in self._holdings.passages.items():
            place = self.place(passage)
            if place is not None:
                found.setdefault(place[0].file, {})[iri] = place[1]
        return found
