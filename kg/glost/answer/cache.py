"""What follows from a collection, kept from one command to the next.

A collection's files are hashed, and with them the program itself and the libraries it rests on;
whatever is made of them is kept under that name. So nothing kept is ever out of date: another
byte, another name. All of it may be deleted at any time and is then made again.

It lies in the user's own cache folder, never in the collection: what a collection brings along is
read as text only. The environment variable ``GLOST_CACHE`` names another folder, and if it is
empty nothing is kept.
"""

import contextlib
import os
import shutil
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import date
from functools import cache
from hashlib import sha256
from importlib.metadata import version
from pathlib import Path
from typing import TypeVar

import pyoxigraph as ox
from filelock import FileLock
from platformdirs import user_cache_path

from glost import data
from glost.reason.closure import Closure
from glost.reason.kept import put_away, take_out
from glost.record.files import fingerprint

FOLDER = "GLOST_CACHE"
"""The environment variable that names the folder; empty for none."""

_MOST = 12
"""Collections, or states of one, to keep."""

_RESTED = 3600.0
"""Seconds for which nothing may have used what is deleted to make room."""

_LIBRARIES = ("duckdb", "numpy", "owlrl", "pyoxigraph", "rdflib")
_SOURCES = ("*.py", "*.rules", "*.csv", "*.toml", "*.json")

Kept = TypeVar("Kept")


def folder() -> Path | None:
    """Return where things are kept, or None if nothing is to be kept."""
    named = os.environ.get(FOLDER)
    if named is None:
        return user_cache_path("glost", appauthor=False)
    return Path(named) if named else None


@cache
def _program() -> str:
    """Reckon what tells this program, with its vocabulary and libraries, from every other."""
    whole = sha256(sys.version.encode())
    for library in _LIBRARIES:
        whole.update(f"{library} {version(library)}\x1e".encode())
    here = Path(data.__file__).parent
    files = [path for pattern in _SOURCES for path in here.rglob(pattern)]
    files += (data.folder("ontology")).rglob("*.ttl")
    files += (data.folder("ontology")).rglob("*.json")
    for path in sorted(set(files)):
        whole.update(path.read_bytes())
    return whole.hexdigest()


class Cache:
    """What is kept of one state of one collection.

    Parameters
    ----------
    top
        The folder of all caches.
    collection
        The collection's folder.
    as_of
        The last day taken into account; None for all there is.
    """

    def __init__(self, top: Path, collection: Path, as_of: date | None = None) -> None:
        self._collection = collection
        self._state = fingerprint(collection)
        name = sha256(f"{_program()} {self._state} {as_of}".encode()).hexdigest()[:32]
        self._top = top
        self._place = top / name
        self._locks = top / "locks"
        self._locks.mkdir(exist_ok=True)

    @classmethod
    def of(cls, collection: Path, as_of: date | None = None) -> "Cache | None":
        """Return the cache of a collection, or None where nothing can or is to be kept."""
        top = folder()
        if top is None:
            return None
        try:
            top.mkdir(mode=0o700, parents=True, exist_ok=True)
            own = not hasattr(os, "getuid") or top.stat().st_uid == os.getuid()
            return cls(top, collection, as_of) if own and os.access(top, os.W_OK) else None
        except OSError:
            return None

    def closure(self, make: Callable[[], Closure]) -> Closure:
        """Return the closure, made only if it is not kept."""
        return self._kept("closure", lambda path: put_away(make(), path), take_out)

    def store(self, make: Callable[[Path], object]) -> tuple[ox.Store, Path]:
        """Return the dataset as a store that is read only, and the folder it lies in.

        Parameters
        ----------
        make
            Makes it in a folder that is not there yet, and leaves it closed.
        """
        return self._kept("store", make, lambda path: (ox.Store.read_only(str(path)), path))

    def has_store(self) -> bool:
        """Tell whether the dataset is kept already."""
        return (self._place / "store").exists()

    # -- keeping ---------------------------------------------------------------------------------

    def _kept(self, part: str, put: Callable[[Path], object], take: Callable[[Path], Kept]) -> Kept:
        """Take a part out, or make it first; only one process at a time makes it."""
        path = self._place / part
        found = self._taken(path, take)
        if found is not None:
            return found
        with FileLock(self._locks / f"{part}-{self._place.name[:2]}"):
            found = self._taken(path, take)
            if found is not None:
                return found
            with tempfile.TemporaryDirectory(dir=self._top, prefix="making-") as aside:
                put(Path(aside) / part)
                return take(self._keep(Path(aside) / part, path))

    def _taken(self, path: Path, take: Callable[[Path], Kept]) -> Kept | None:
        """Take a part out if it is there; one that cannot be read is deleted."""
        if not path.exists():
            return None
        try:
            found = take(path)
            os.utime(self._place)
        except Exception:
            _delete(path)
            return None
        return found

    def _keep(self, made: Path, path: Path) -> Path:
        """Put what was made in its place, or apart if the collection has changed meanwhile."""
        if fingerprint(self._collection) != self._state:
            path = Path(tempfile.mkdtemp(dir=self._top, prefix="passing-")) / path.name
        self._make_room()
        path.parent.mkdir(mode=0o700, exist_ok=True)
        made.rename(path)
        return path

    def _make_room(self) -> None:
        """Delete what was not used for longest, beyond what is kept."""
        ages = []
        for place in self._top.iterdir():
            with contextlib.suppress(OSError):
                if place.is_dir() and place not in (self._place, self._locks):
                    ages.append((place.stat().st_mtime, place))
        rested = time.time() - _RESTED
        for used, place in sorted(ages)[: max(0, len(ages) + 1 - _MOST)]:
            if used < rested:
                _delete(place)


def _delete(path: Path) -> None:
    if path.is_dir():
        shutil.rmtree(path, ignore_errors=True)
    else:
        path.unlink(missing_ok=True)
