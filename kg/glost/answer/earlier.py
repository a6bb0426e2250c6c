"""A large collection made ready, and later checked by what changed since, not from nothing.

What a workspace opens with is kept of one state of the collection, with the very files; a later
state is that workspace with the change made in it, as `glost.answer.watching` makes it. Whatever
does not fit, is gone or is not what was put there: the collection is then checked from nothing.
"""

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING
from zipfile import BadZipFile, ZipFile

from glost.answer.background import beside
from glost.answer.cache import scratch
from glost.answer.snapshot import Snapshot
from glost.answer.workspace import Workspace
from glost.record.changes import between
from glost.record.errors import RecordErrors
from glost.record.files import fingerprint, read_files
from glost.record.record import Record, read

if TYPE_CHECKING:
    import subprocess

_MOST = 200
"""Claims that come and go at most; of more, another state is made ready."""

_FILES = "files"


def keep(snapshot: Snapshot) -> None:
    """Keep what a collection is opened with, and a later state of it is checked from.

    Nothing is kept where nothing is to be.
    """
    cache = snapshot.cache
    if cache is None or snapshot.collection.together:
        return
    record = snapshot.record
    workspace = Workspace(snapshot)
    workspace.ready()
    workspace.snapshot.keep_names()

    def put(record: Record, path: Path) -> None:
        with ZipFile(path, "w") as archive:
            for file in read_files(snapshot.path):
                archive.write(file, file.relative_to(snapshot.path).as_posix())

    def take(path: Path) -> str:
        return record.state if _state_in(path) == record.state else ""

    if cache.tables(_FILES, lambda: record, put, take) and cache.has(_FILES):
        cache.note_last(record.state)


def later(snapshot: Snapshot) -> Workspace | None:
    """Return a workspace in which a collection is as it is now, by what changed.

    Parameters
    ----------
    snapshot
        The collection, which has been read.

    Returns
    -------
    Workspace or None
        None if nothing fit is kept, or if so much changed that it would not be quicker. What is
        found in it is the same as from nothing.
    """
    record, cache = snapshot.record, snapshot.cache
    if cache is None or record.collection.together:
        return None
    before, state = cache.last()
    if before is None or not all(map(before.has, ("found", "breaches", _FILES))):
        return None
    old = before.tables(_FILES, lambda: None, lambda *_: None, lambda path: _read(path, state))
    if old is None:
        return None
    old = replace(old, collection=replace(old.collection, path=record.collection.path))
    if old.collection != record.collection or old.schemes != record.schemes:
        return None
    change = between(old, record)
    if len(change.added) + len(change.removed) > _MOST:
        return None
    opened = Snapshot(snapshot.path, snapshot.as_of)
    opened.__dict__.update(record=old, cache=before)
    workspace = Workspace(opened)
    workspace.apply(change)
    return workspace


def _read(path: Path, state: str) -> Record:
    """Read the collection that was kept.

    Raises
    ------
    ValueError
        If it is not what was put there.
    """
    with scratch() as place:
        try:
            with ZipFile(path) as archive:
                archive.extractall(place)
            record = read(place)
        except (BadZipFile, RecordErrors) as bad:
            raise ValueError(f"{path} is not what was put there") from bad
    if record.state != state:
        raise ValueError(f"{path} is of another state")
    return record


def _state_in(path: Path) -> str:
    with scratch() as place, ZipFile(path) as archive:
        archive.extractall(place)
        return fingerprint(place)


def keep_ahead(snapshot: Snapshot) -> "subprocess.Popen[bytes] | None":
    """Begin to make a large collection ready in a process of its own; see `keep`.

    Parameters
    ----------
    snapshot
        The collection.

    Returns
    -------
    subprocess.Popen or None
        The process, which goes on when this one ends; None where nothing is kept.
    """
    return None if snapshot.cache is None else beside(run, snapshot)


def run(path: str, day: str) -> None:
    """Make a collection ready and end: what the process of `keep_ahead` does."""
    keep(Snapshot(Path(path), date.fromisoformat(day) if day else None))
