"""Page images of a collection, and the regions of them that claims cite."""

import re
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from urllib.parse import quote, unquote

from rdflib import URIRef
from rdflib.namespace import DCTERMS

from glost.names import GLOST
from glost.publish.site.holdings import SiteContents
from glost.record.claims import Passage
from glost.record.collection import Collection
from glost.record.images import FOLDER, ImageFile, look

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
    def _folders(self) -> dict[str, tuple[Collection, str]]:
        """The collections by their base IRIs, each with where its images stand in the site."""
        own = self._holdings.snapshot.record.collection
        members = ((each.collection, f"{FOLDER}/{each.name}") for each in own.members)
        return {each.base: (each, place) for each, place in (*members, (own, FOLDER))}

    @cached_property
    def all(self) -> dict[str, PageImage]:
        """Every image in ``images/`` that can be read, by file, sorted.

        Those of a keeper whose collection is read together with this one stand in a folder of
        ``images/`` that bears the keeper's name.
        """
        found = {}
        for collection, place in self._folders.values():
            top = collection.path
            for path in (top / FOLDER).rglob("*"):
                within = path.relative_to(top)
                hidden = any(part.startswith(".") for part in within.parts)
                image = None if hidden else look(top, within.as_posix())
                if isinstance(image, ImageFile) and image.width:
                    file = f"{place}/{path.relative_to(top / FOLDER).as_posix()}"
                    found[file] = PageImage(file, path, image.width, image.height)
        return dict(sorted(found.items()))

    def at(self, iri: str) -> PageImage | None:
        """Return the image that its identifier in a collection names; None if there is none."""
        holder = self._holdings.snapshot.record.collection.holding(iri)
        if holder is None or not iri.startswith(f"{holder.base}{FOLDER}/"):
            return None
        rest = unquote(iri.removeprefix(f"{holder.base}{FOLDER}/"))
        return self.all.get(f"{self._folders[holder.base][1]}/{rest}")

    @cached_property
    def of(self) -> dict[str, list[PageImage]]:
        """The images of each thing that has any."""
        found: dict[str, list[PageImage]] = {}
        for thing, value in sorted(
            self._holdings.snapshot.belief.graph.subject_objects(GLOST.image)
        ):
            picture = self.at(str(value))
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
            picture = self.at(str(value))
            if picture is not None:
                found.setdefault(str(value), self._name(URIRef(str(thing)), picture))
        return found

    @cached_property
    def by_file(self) -> dict[str, str]:
        """The same names, by file."""
        at = ((self.at(iri), name) for iri, name in self.names.items())
        return {picture.file: name for picture, name in at if picture is not None}

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
        if named:
            holder = self._holdings.snapshot.record.collection.holding(str(passage.source))
            base = self._holdings.base if holder is None else holder.base
            picture = self.at(f"{base}{FOLDER}/{quote(named)}")
        else:
            picture = own[0] if len(own) == 1 else None
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
