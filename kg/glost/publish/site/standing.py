"""Whether a site stands just as it was made of just these files: then nothing need be made."""

from collections.abc import Callable, Iterator
from functools import cached_property
from hashlib import sha256
from pathlib import Path

import msgspec

from glost.answer.cache import Cache
from glost.answer.checked import PASSING
from glost.answer.snapshot import Snapshot
from glost.publish.editions.edition import FOLDER as EDITIONS
from glost.publish.site.paths import MANIFEST, listed
from glost.publish.site.units import SiteNotes
from glost.record.files import digest
from glost.record.images import FOLDER as IMAGES
from glost.record.transaction import Place

_PROGRAM = (".html", ".css", ".js", ".rq")
"""Endings of files of the program that make part of pages and are not in the name of a cache."""


class StandingSite:
    """A folder, and what a site of a collection is made of beside its tables.

    Parameters
    ----------
    snapshot
        The collection; it is not read.
    folder
        The site's folder.
    """

    def __init__(self, snapshot: Snapshot, folder: Path) -> None:
        self._snapshot, self._folder = snapshot, folder
        self._cache: Cache | None = snapshot.cache
        self._beside = "" if self._cache is None else self._told_beside()

    def files(self) -> int | None:
        """Return how many files the site has if it stands as it would be made; None if not.

        Each must have the size, the times and the place on the disk that it had when it was
        published.
        """
        if self._cache is None or Place.beside(self._folder).journal.exists():
            return None
        told = self._first
        return told[1] if told is not None and self._cache.has(told[0]) else None

    @cached_property
    def _first(self) -> tuple[str, int] | None:
        """A name for the site as it stood at first, and how many files it had."""
        return self._told()

    def before(self) -> SiteNotes | None:
        """Return what the site that stands was made of; None if it does not stand as it was made.

        What is wrong with a file of it is then not found out file by file: all is made.
        """
        if self._cache is None or Place.beside(self._folder).journal.exists():
            return None
        kept, told = self._cache.along(self._name), self._first
        if kept is None or told is None:
            return None
        try:
            found = msgspec.msgpack.decode(kept, type=SiteNotes)
        except (msgspec.DecodeError, msgspec.ValidationError):
            return None
        return found if found.stands == told[0] else None

    @property
    def _name(self) -> str:
        return f"site {self._folder.resolve()}"

    def note(self, noted: Callable[[str], SiteNotes] | None = None) -> None:
        """Note that the site stands as it is made, once it was published.

        Parameters
        ----------
        noted
            Gives what it was made of, by a name for it as it stands; None if that is not known.
        """
        beside = self._beside
        if self._cache is None or beside != self._told_beside():
            return
        told = self._told()
        if told is not None and not any(f.kind == PASSING for f in self._snapshot.record.findings):
            self._cache.values(told[0], dict, dict, dict)
            if noted is not None:
                self._cache.put_along(self._name, msgspec.msgpack.encode(noted(told[0])))

    def _told(self) -> tuple[str, int] | None:
        """Return a name for the site as it stands, and how many files it has; None if it is not."""
        whole = sha256(f"{self._folder.resolve()}\x1e{self._beside}".encode())
        try:
            files = listed(self._folder)
            for file in (MANIFEST, *files):
                of = (self._folder / file).stat()
                times = f"{of.st_mtime_ns} {of.st_ctime_ns}"
                whole.update(f"{file}\x1f{of.st_ino} {of.st_size} {times}\x1e".encode())
        except OSError:
            return None
        return f"site-{whole.hexdigest()[:32]}", len(files)

    def _told_beside(self) -> str:
        whole = sha256()
        for name, path in self._files_beside():
            whole.update(f"{name}\x1f{digest(path)}\x1e".encode())
        return whole.hexdigest()

    def _files_beside(self) -> Iterator[tuple[str, Path]]:
        """Yield what pages show that is no table: of the program, images, and editions."""
        here = Path(__file__).parents[2]
        for path in sorted(here.rglob("*")):
            if path.suffix in _PROGRAM:
                yield path.relative_to(here).as_posix(), path
        own = self._snapshot.collection
        for top in (own.path, *(each.collection.path for each in own.members)):
            for folder in (IMAGES, EDITIONS):
                for path in sorted((top / folder).rglob("*")):
                    if path.is_file():
                        yield f"{top} {path.relative_to(top).as_posix()}", path
