"""What follows from a collection, kept from one command to the next.

A collection's files are hashed, and with them the program itself and the libraries it rests on;
whatever is made of them is kept under that name. So nothing kept is ever out of date: another
byte, another name. All of it may be deleted at any time and is then made again.

It lies in the user's own cache folder, never in the collection: what a collection brings along is
read as text only. The environment variable ``GLOST_CACHE`` names another folder, and if it is
empty nothing is kept.
"""

import contextlib
import json
import os
import secrets
import shutil
import sys
import time
import weakref
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from copy import copy
from datetime import date
from functools import cache
from hashlib import sha256
from importlib.metadata import version
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any, TypeVar

import msgspec
import pyoxigraph as ox
from filelock import FileLock, Timeout
from platformdirs import user_cache_path

from glost import data
from glost.record.collection import read_collection, state
from glost.record.errors import RecordErrors
from glost.record.files import digest

if TYPE_CHECKING:
    from glost.reason.closure import Closure

FOLDER = "GLOST_CACHE"
"""The environment variable that names the folder; empty for none."""

_MOST = 12
"""Collections, or states of one, to keep."""

_RESTED = 3600.0
"""Seconds for which nothing may have used what is deleted to make room."""

_ALONG = "along-"

_LIBRARIES = ("duckdb", "matplotlib", "numpy", "owlrl", "pyoxigraph", "rdflib")
_SOURCES = ("*.py", "*.sql", "*.rules", "*.csv", "*.toml", "*.json")

Made = TypeVar("Made")
Taken = TypeVar("Taken")


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
    files += (data.folder("shapes_shacl")).rglob("*.ttl")
    for path in sorted(set(files)):
        whole.update(path.read_bytes())
    return whole.hexdigest()


def _images(collection: Path) -> str:
    """Reckon what tells the images of a collection, and of all read with it, from others.

    What is made of images is their sizes, so their names and when they changed will do.
    """
    whole = sha256()
    try:
        every = read_collection(collection).every
    except RecordErrors:
        every = ()
    for each in every:
        for path in sorted((each.path / "images").rglob("*")):
            with contextlib.suppress(OSError):
                of, name = path.stat(), path.relative_to(each.path).as_posix()
                told = f"{name}\x1f{of.st_size}\x1f{of.st_mtime_ns}\x1e"
                whole.update(told.encode(errors="surrogateescape"))
    return whole.hexdigest()


def _shown(collection: Path) -> str:
    """Reckon what tells one state of a collection from others: what is read, and its images."""
    return f"{state(collection)} {_images(collection)}"


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
        self._state = _shown(collection)
        name = sha256(f"{_program()} {self._state} {as_of}".encode()).hexdigest()[:32]
        self._top = top
        self._place = top / name
        self._locks = _locks(top)
        told = f"{_program()} {collection.resolve()} {as_of}"
        self._last = top / f"last-{sha256(told.encode()).hexdigest()[:32]}"

    @classmethod
    def of(cls, collection: Path, as_of: date | None = None) -> "Cache | None":
        """Return the cache of a collection, or None where nothing can or is to be kept."""
        top = _usable()
        try:
            return None if top is None else cls(top, collection, as_of)
        except OSError:
            return None

    def closure(self, make: "Callable[[], Closure]") -> "Closure":
        """Return the closure, made only if it is not kept."""
        from glost.reason.archive import load, save  # many questions need no closure

        return self._kept("closure", make, save, load)

    def labels(self, make: Callable[[], dict[str, str]]) -> dict[str, str]:
        """Return labels by IRI, made only if they are not kept."""
        return self._kept("labels", make, _write_json, _read_json)

    def checked(self, make: Callable[[], dict[str, Any]]) -> dict[str, Any]:
        """Return what checking found, as plain values, made only if it is not kept."""
        return self._kept("checked", make, _write_json, _read_json)

    def values(
        self,
        name: str,
        make: Callable[[], Made],
        plain: Callable[[Made], dict[str, Any]],
        back: Callable[[dict[str, Any]], Made],
    ) -> Made:
        """Return what is kept as plain values, made only if it is not kept.

        Parameters
        ----------
        name
            What it is.
        make
            Makes it.
        plain, back
            Turn it into plain values, and these back into it. What cannot be kept, since it would
            not be found again, raises a ValueError.
        """

        def put(made: Made, path: Path) -> None:
            _write_json(plain(made), path)

        return self._kept(name, make, put, lambda path: back(_read_json(path)))

    def has(self, name: str) -> bool:
        """Tell whether something is kept already."""
        return (self._place / name).exists()

    def tables(
        self,
        name: str,
        make: Callable[[], Made],
        write: Callable[[Made, Path], object],
        read: Callable[[Path], Taken],
    ) -> Made | Taken:
        """Return what is looked up in files, written only if they are not kept.

        They lie in a folder beside what tells whether they have changed since.

        Parameters
        ----------
        name
            What it is.
        make
            Makes what is written, which does in its place if it cannot be.
        write, read
            Write it to a file or folder that is not there yet, and look it up there.
        """

        def put(made: Made, path: Path) -> None:
            path.mkdir()
            write(made, path / _DATA)
            (path / _SUMS).write_text(json.dumps(_sums(path / _DATA)), encoding="utf-8")

        def take(path: Path) -> Taken:
            if json.loads((path / _SUMS).read_text(encoding="utf-8")) != _sums(path / _DATA):
                raise ValueError(f"{path} has changed since it was put there")
            return read(path / _DATA)

        return self._kept(name, make, put, take)

    def store(self, make: Callable[[Path | None], ox.Store]) -> tuple[ox.Store, Path | None]:
        """Return the dataset as a store, and the folder it lies in if it could be kept.

        Parameters
        ----------
        make
            Makes it in a folder that is not there yet, or in memory if there is None.
        """

        def take(path: Path) -> tuple[ox.Store, Path]:
            return ox.Store.read_only(str(path)), path

        found = self.tables("store", lambda: None, lambda _, path: make(path), take)
        return found or (make(None), None)

    # -- from one state to the next --------------------------------------------------------------

    def note_last(self, state: str) -> None:
        """Note that what is kept of this state of the collection is the last that is whole."""
        told = {"place": self._place.name, "state": state, "images": _images(self._collection)}
        part = self._last.with_name(f"{self._last.name}-{secrets.token_hex(8)}")
        with contextlib.suppress(OSError):
            _write_json(told, part)
            part.replace(self._last)

    def last(self) -> "tuple[Cache | None, str]":
        """Return what is kept of the state noted last, and that state; None if there is none.

        What is kept of it was made of the images that there are now.
        """
        try:
            told = _read_json(self._last)
            place, state = self._top / str(told["place"]), str(told["state"])
        except (OSError, ValueError, KeyError, TypeError):
            return None, ""
        if told.get("images") != _images(self._collection) or place.parent != self._top:
            return None, ""
        found = copy(self)
        found._place = place
        return found, state

    def along(self, name: str) -> bytes | None:
        """Return what was noted last of some state of the collection; None if nothing was."""
        path = self._along(name)
        try:
            told, _, noted = path.read_bytes().partition(b"\n")
            os.utime(path)
        except OSError:
            return None
        return noted if sha256(noted).hexdigest().encode() == told else None

    def put_along(self, name: str, noted: bytes) -> None:
        """Note something of this state of the collection for a later one, in place of the last."""
        path = self._along(name)
        part = path.with_name(f"{path.name}-{secrets.token_hex(8)}")
        with contextlib.suppress(OSError):
            part.write_bytes(sha256(noted).hexdigest().encode() + b"\n" + noted)
            part.replace(path)
            others = sorted(
                self._top.glob(f"{_ALONG}*"), key=lambda each: each.stat().st_mtime, reverse=True
            )
            for each in others[_MOST:]:
                _delete(each)

    def _along(self, name: str) -> Path:
        told = f"{self._last.name} {name}"
        return self._top / f"{_ALONG}{sha256(told.encode()).hexdigest()[:32]}"

    # -- keeping ---------------------------------------------------------------------------------

    def _kept(
        self,
        part: str,
        make: Callable[[], Made],
        put: Callable[[Made, Path], object],
        take: Callable[[Path], Taken],
    ) -> Made | Taken:
        """Take a part out, or make it and put it away; only one process at a time makes it.

        Where it cannot be put away, because there is no room for instance, it is made all the same.
        """
        path = self._place / part
        found = self._taken(path, take)
        if found is not None:
            return found
        with ExitStack() as held:
            try:
                held.enter_context(FileLock(self._locks / f"{part}-{self._place.name[:2]}"))
                aside = held.enter_context(_aside(self._top))
            except OSError:
                return make()
            found = self._taken(path, take)
            if found is not None:
                return found
            made = make()
            try:
                put(made, aside / part)
                there = self._keep(aside / part, path)
                return take(there) if made is None else made  # a store is where it was put
            except Exception:  # of the disk, by whichever library writes
                return made

    def _taken(self, path: Path, take: Callable[[Path], Taken]) -> Taken | None:
        """Take a part out if it is there; one that is not what was put there is deleted."""
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
        self._make_room()
        if _shown(self._collection) != self._state:
            apart = ExitStack()
            path = apart.enter_context(_aside(self._top)) / path.name
            weakref.finalize(self, apart.close)
        path.parent.mkdir(mode=0o700, exist_ok=True)
        made.rename(path)
        return path

    def _make_room(self) -> None:
        """Delete what was not used for longest, beyond what is kept."""
        ages = []
        for place in self._top.iterdir():
            with contextlib.suppress(OSError):
                apart = place.name.startswith(_ASIDE) or place in (self._place, self._locks)
                if place.is_dir() and not apart:
                    ages.append((place.stat().st_mtime, place))
        rested = time.time() - _RESTED
        for used, place in sorted(ages)[: max(0, len(ages) + 1 - _MOST)]:
            if used < rested:
                _delete(place)


# -- whether what is kept is still what was put there ---------------------------------------------

_DATA, _SUMS = "data", "sums.json"
_SHORT = 32 << 20
"""Octets up to which a store is read whole to see whether it has changed."""


def _sums(data: Path) -> dict[str, list[int | str]]:
    """Return of every file when it was written and its size, and its hash if all are short."""
    there = data.iterdir() if data.is_dir() else (data,)
    files = sorted(path for path in there if not path.name.startswith(("LOG", "LOCK")))
    short = sum(path.stat().st_size for path in files) <= _SHORT
    found: dict[str, list[int | str]] = {}
    for path in files:
        told = path.stat()
        found[path.name] = [told.st_size, told.st_mtime_ns, (short and digest(path)) or ""]
    return found


# -- what is kept as JSON, after its hash ---------------------------------------------------------


def _write_json(value: object, path: Path) -> None:
    text = msgspec.json.encode(value)
    path.write_bytes(sha256(text).hexdigest().encode() + b"\n" + text)


def _read_json(path: Path) -> dict[str, Any]:
    told, _, text = path.read_bytes().partition(b"\n")
    if sha256(text).hexdigest().encode() != told:
        raise ValueError(f"{path} has changed since it was put there")
    found: dict[str, Any] = msgspec.json.decode(text)
    return found


# -- folders for what is not yet kept -------------------------------------------------------------

_ASIDE = "aside-"


def _usable() -> Path | None:
    """Return the folder of all caches, swept, or None where nothing can or is to be kept."""
    top = folder()
    if top is None:
        return None
    try:
        top.mkdir(mode=0o700, parents=True, exist_ok=True)
        own = not hasattr(os, "getuid") or top.stat().st_uid == os.getuid()
        if not own or not os.access(top, os.W_OK):
            return None
        _locks(top).mkdir(exist_ok=True)
        _sweep(top)
    except OSError:
        return None
    return top


@contextmanager
def scratch() -> Iterator[Path]:
    """Yield a new folder for as long as it is needed.

    It goes with it; if the process is ended before, the next command deletes it.
    """
    top = _usable()
    with _aside(top) if top else TemporaryDirectory(prefix="glost-") as place:
        yield Path(place)


def _locks(top: Path) -> Path:
    return top / "locks"


@contextmanager
def _aside(top: Path) -> Iterator[Path]:
    """Yield a new folder of this process's own, which goes with it, or is swept away by others."""
    name = f"{_ASIDE}{secrets.token_hex(8)}"
    with FileLock(_locks(top) / name):
        place = top / name
        place.mkdir(mode=0o700)
        try:
            yield place
        finally:
            _delete(place)
            _delete(_locks(top) / name)


def _sweep(top: Path) -> None:
    """Delete what processes left that were ended."""
    names = {path.name for place in (top, _locks(top)) for path in place.glob(f"{_ASIDE}*")}
    for name in sorted(names):
        with contextlib.suppress(Timeout, OSError), FileLock(_locks(top) / name, timeout=0):
            _delete(top / name)
            _delete(_locks(top) / name)


def _delete(path: Path) -> None:
    if path.is_dir():
        shutil.rmtree(path, ignore_errors=True)
    else:
        path.unlink(missing_ok=True)
