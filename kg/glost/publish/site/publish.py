"""A collection made into a site: every file of it, and the folder they are written to."""

import gc
import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import partial
from pathlib import Path
from typing import TypeVar

from glost.answer.snapshot import Snapshot
from glost.collecting import undisturbed
from glost.publish.data.annotations import annotations_file
from glost.publish.data.described import Described
from glost.publish.data.grounds import grounds_file
from glost.publish.data.whole import data_files
from glost.publish.iiif.discovery import changes
from glost.publish.iiif.image_service import image_files
from glost.publish.iiif.manifests import manifests
from glost.publish.pictures.svg import dark
from glost.publish.site.editions import edition_files
from glost.publish.site.entities import Entities
from glost.publish.site.findings import finding_pages
from glost.publish.site.folder import Content, Files, WrittenSite, check, write_site
from glost.publish.site.former import Former
from glost.publish.site.frame import HERE, PageFrame
from glost.publish.site.holdings import SiteContents
from glost.publish.site.lists import ListPages
from glost.publish.site.others import Others
from glost.publish.site.paths import MARKER, listed
from glost.publish.site.questions import question_pages
from glost.publish.site.search import search_files
from glost.publish.site.sitemap import sitemap
from glost.publish.site.standing import StandingSite
from glost.publish.site.units import SiteNotes, Units
from glost.publish.site.vocabulary import vocabulary_pages
from glost.publish.site.workers import processes

_PART = 100
"""How many identifiers one process takes at a time."""


def publish(
    snapshot: Snapshot, folder: Path, validator: str | None = None, many: int | None = None
) -> WrittenSite:
    """Publish a collection: a site of pages, with its data beside them.

    Parameters
    ----------
    snapshot
        The collection.
    folder
        A folder that is new, empty, or holds an earlier site of the same collection. Only files
        that change are written; files of an earlier site that are no more are deleted. If it
        stands as it was made of the same files by the same program, nothing is made.
    validator
        Which SHACL validator looks for findings; see `glost.answer.shacl.begin`.
    many
        How many processes make it; None for one for each core, or one alone where processes
        cannot be forked. The site is the same.

    Returns
    -------
    Written
        What was written, left as it was and removed.

    Raises
    ------
    RecordErrors
        If the collection cannot be read, or the folder holds anything else.
    """
    check(folder, snapshot.collection.base)
    standing = StandingSite(snapshot, folder)
    if validator is None and (files := standing.files()) is not None:
        return WrittenSite(files, (), ())
    with undisturbed():
        holdings = SiteContents(snapshot, snapshot.findings(validator))
        holdings.complete()
        before = standing.before()
        made = Making(holdings, before, folder)
        snapshot.progress("pages")
        gc.freeze()
        count = processes() if many is None else many
        notes: list[bytes] = []
        written = write_site(
            folder, snapshot.record.base, made.own(), made.parts(), count, notes.append
        )
    standing.note(lambda stands: made.units.noted(stands, filter(None, notes)))
    return written


class Making:
    """Makes every file of a site.

    Parameters
    ----------
    holdings
        What the site is made of.
    before, folder
        What the site that stands was made of, None if none does, and where.
    """

    def __init__(
        self,
        holdings: SiteContents,
        before: SiteNotes | None = None,
        folder: Path = Path(),
    ) -> None:
        self._held = holdings
        self._frame = PageFrame.of(holdings)
        self._made = Entities(holdings, self._frame)
        self._others = Others(self._made)
        self._described = Described(holdings, self._made.noted.looks)
        self._drawn = self._made.drawings.places
        looks = self._made.noted.looks
        same = (self._frame, holdings.snapshot.collection, holdings.snapshot.as_of)
        digests = {} if before is None else listed(folder)
        self.units = Units(looks, looks.digest(repr(same)), before, folder, digests)

    def own(self) -> Iterator[tuple[str, Content]]:
        """Yield what takes the whole collection to make, and asks it questions."""
        held, frame, entities = self._held, self._frame, self._made
        lists, progress = ListPages(entities), self._held.snapshot.progress
        former = Former.of(held)
        yield MARKER, _marker(held, frame, former)
        yield from former.page(held, frame)
        yield from sitemap(held)
        for path in sorted((HERE / "assets").iterdir()):
            content = path.read_bytes()
            yield (
                f"assets/{path.name}",
                content + dark().encode() if path.suffix == ".css" else content,
            )
        for file, picture in entities.images.all.items():
            yield file, picture.path.read_bytes()
        progress("pictures")
        for thing in held.things:
            if thing in self._drawn:
                yield from self.units.one("thing", thing, entities.thing)
        for each in entities.drawings.files():
            yield each
            gc.collect()  # a figure is full of cycles
            gc.freeze()  # what is left need not be looked through for the next
        progress("lists")
        for recorder in held.recorders:
            yield from self.units.one("recorder", str(recorder), self._others.recorder)
        yield from self._others.graphs()
        yield from lists.all()
        yield from lists.front()
        yield from lists.missing()
        progress("questions")
        yield from question_pages(entities, self.units)
        progress("findings, vocabulary, search")
        yield from finding_pages(entities)
        yield from self.units.one("vocabulary", "", lambda _: vocabulary_pages(entities))
        yield from search_files(entities, lists)
        progress("data")
        yield from data_files(held, frame, entities.images, self.units)
        yield from annotations_file(held, frame, entities.images)
        yield from manifests(held, frame, entities.images)
        yield from changes(held, entities.images)
        yield from image_files(held.base, entities.images)
        yield from edition_files(held.snapshot.record.collection.path, frame)
        progress("pages")

    def parts(self) -> list[Callable[[], Files]]:
        """Return what makes the pages and the data of identifiers, some of them at a time."""
        held, entities = self._held, self._made
        return [
            *self._units(
                "thing",
                entities.thing,
                [each for each in held.things if each not in self._drawn],
            ),
            lambda: [
                grounds_file(held, entities.noted.why)
            ],  # by who has looked for reasons before
            *self._units("claim", self._others.claim, [str(each.iri) for each in held.claims]),
            *self._units("passage", self._others.passage, list(map(str, held.passages))),
            *self._units("data", self._described.files, list(held.addresses.stems)),
        ]

    def _units(
        self, of: str, make: Callable[[str], Iterable[tuple[str, bytes]]], what: Sequence[str]
    ) -> Iterator[Callable[[], Files]]:
        """Yield what makes units of a kind, or takes them as they stand."""
        return _cut(partial(self.units.make, of, make), what)


_Each = TypeVar("_Each")


def _cut(
    make: Callable[[Sequence[_Each]], Files], what: Sequence[_Each]
) -> Iterator[Callable[[], Files]]:
    for at in range(0, len(what), _PART):
        yield partial(make, what[at : at + _PART])


def _marker(holdings: SiteContents, frame: PageFrame, former: Former) -> bytes:
    told = {
        "site": 1,
        "base": holdings.base,
        "title": frame.title,
        "exceptions": dict(sorted(holdings.addresses.exceptions.items())),
        **former.marked(),
    }
    return (json.dumps(told, indent=1, ensure_ascii=False) + "\n").encode()
