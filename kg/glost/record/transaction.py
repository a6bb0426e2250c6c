"""A change of a folder: all of it or nothing, one at a time, whatever ends when.

New files are written into a folder of their own, ``.glost-change``, and brought to the disk. Then
one record, the journal, says what is to become of every file: from that moment the change counts.
The files are moved into their places, the journal goes, and the folder with it. A process that is
ended before the journal stands has changed nothing; one that is ended after it has left all that
is needed to finish. Whoever opens the folder next does the one or the other (`settle`).

While a change lasts a lock names who makes it; the lock's file is there for as long, so that one
look tells a reader that nothing is unfinished.

The method is write-ahead logging with redo (Gray and Reuter, *Transaction Processing: Concepts and
Techniques*, 1993, chapters 9 and 10), for whole files.
"""

import errno
import json
import os
import shutil
import socket
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from datetime import datetime
from hashlib import sha256
from pathlib import Path, PurePosixPath

from filelock import FileLock, Timeout

from glost.record.errors import RecordError, RecordErrors
from glost.record.files import digest, mode_of, refusal, sync_folder, write_new
from glost.record.opening import unreadable

WORK = ".glost-change"
"""The folder in which a change is made ready."""

PATIENCE = 10.0
"""Seconds to wait for whoever is changing the same folder."""

_LARGEST = 1 << 40
"""Octets a file may have that is moved: as good as any number."""

_LONGEST = 4096
"""Octets the note in a lock may have."""

_ANY = "*"
_JOURNAL = "journal.json"
_NEW = "new"


@dataclass(frozen=True, slots=True)
class Place:
    """Where a folder is changed.

    Attributes
    ----------
    top
        The folder whose files change.
    work
        Where the change is made ready: a folder on the same disk, there only while it lasts.
    """

    top: Path
    work: Path

    @classmethod
    def within(cls, top: Path) -> "Place":
        """Make changes ready within the folder itself."""
        return cls(top, top / WORK)

    @classmethod
    def beside(cls, top: Path) -> "Place":
        """Make changes ready beside the folder, which others may be looking at."""
        top = top.resolve()
        return cls(top, top.with_name(f".{top.name}{WORK}"))

    @property
    def lock(self) -> Path:
        """The file that is there while a change lasts, and says who makes it."""
        return self.work.with_name(f"{self.work.name}.lock")

    @property
    def journal(self) -> Path:
        """The record that makes a change count."""
        return self.work / _JOURNAL


@dataclass
class FolderChange:
    """A change under way; see `changing`.

    Attributes
    ----------
    place
        Where.
    what
        What it does, in a few words.
    settled
        What was found unfinished and done about it before this change began; empty if nothing.
    """

    place: Place
    what: str
    settled: str = ""
    _files: dict[str, tuple[str | None, str | None]] = field(default_factory=dict)

    def staged(self, file: str) -> Path:
        """Return where a file's new content lies until it is moved."""
        return self.place.work / _NEW / file

    def put(self, file: str, content: str | bytes) -> None:
        """Give a file new content, or make one, once the change counts.

        Parameters
        ----------
        file
            Path relative to the folder, parted by ``/``.
        content
            Text, written as UTF-8 with line ends as they are, or bytes.
        """
        data = content.encode() if isinstance(content, str) else content
        old, new = self.place.top / _checked(self.place.top, file), self.staged(file)
        new.parent.mkdir(parents=True, exist_ok=True)
        write_new(new, data, mode_of(old))
        self._files[file] = (_stands(self.place.top, old), sha256(data).hexdigest())

    def adopt(self, file: str, content: str) -> None:
        """Give a file the content that was written where `staged` says, whatever it has now.

        Parameters
        ----------
        file
            Path relative to the folder, of which the caller knows that it stays there.
        content
            SHA-256 of it, as hex digits.
        """
        self._files[file] = (_ANY, content)

    def drop(self, file: str) -> None:
        """Take a file away, and folders that are empty without it, once the change counts."""
        old = self.place.top / _checked(self.place.top, file)
        self._files[file] = (_stands(self.place.top, old), None)

    def commit(self) -> None:
        """Make the change count, and carry it out; files go in the order they were put in.

        Raises
        ------
        OSError
            If the disk or the system refuses. If the journal stands by then, the next to open
            the folder carries the change out.
        """
        if not self._files:
            return
        work = self.place.work
        for folder in _folders(self._files):
            if _disk(self.place.top / folder) != _disk(work):
                raise OSError(errno.EXDEV, os.strerror(errno.EXDEV), str(self.place.top / folder))
            if self.staged(folder).is_dir():
                sync_folder(self.staged(folder))
        told = {"what": self.what, **_who(), "files": self._files}
        part = work / f"{_JOURNAL}.part"
        write_new(part, json.dumps(told, indent=1, ensure_ascii=False), 0o644)
        part.replace(self.place.journal)
        sync_folder(work)
        sync_folder(work.parent)
        _carry_out(self.place, self._files)
        self._files.clear()


@contextmanager
def changing(place: Place, what: str, patience: float = PATIENCE) -> Iterator[FolderChange]:
    """Hold a folder for a change; nothing of it is left if `FolderChange.commit` was not reached.

    Parameters
    ----------
    place
        Where; the folder is made if need be.
    what
        What the change does, in a few words, for whoever has to wait, or to finish it.
    patience
        Seconds to wait for another who is changing it.

    Raises
    ------
    RecordErrors
        If another has not done by then, or has left a change that cannot be finished.
    OSError
        If the system does not let it be written; it says whether the change counts already.
    """
    new = not place.work.parent.exists()
    try:
        place.work.parent.mkdir(parents=True, exist_ok=True)
        with _held(place, what, patience) as before:
            change = FolderChange(place, what, _settled(place, before))
            try:
                place.work.mkdir()
                yield change
            finally:
                if not place.journal.exists():
                    shutil.rmtree(place.work, ignore_errors=True)
    except BaseException as bad:
        if new:
            with suppress(OSError):  # it is not empty
                place.work.parent.rmdir()
        if not isinstance(bad, OSError):
            raise
        if bad.errno is None:
            raise
        stands = "nothing was changed"
        if place.journal.exists():
            stands = "the change is written down, and whoever opens the folder next finishes it"
        raise refusal(bad, place.top, stands) from bad


def settle(place: Place) -> str:
    """Finish or undo what another left unfinished; wait for one who is about to finish.

    Parameters
    ----------
    place
        Where; it need not be there.

    Returns
    -------
    str
        What was done, as a sentence; empty if there was nothing to do.

    Raises
    ------
    RecordErrors
        If a change counts, but cannot be finished: files have changed since, or nothing can be
        written there.
    """
    if not (place.lock.exists() or place.work.exists()):
        return ""
    try:
        patience = PATIENCE if place.journal.exists() else 0.0
        with _held(place, "finishing what was cut short", patience) as before:
            return _settled(place, before)
    except RecordErrors:
        if place.journal.exists():
            raise
        return ""  # another is at work, and what can be read is still as it was
    except OSError as bad:
        if not place.journal.exists():
            return ""
        message = f"a change was left unfinished, and cannot be finished: {bad.strerror or bad}"
        remedy = "run the same as a user who may write there"
        raise RecordErrors([RecordError(place.work.name, message, remedy)]) from bad


# -- the lock ------------------------------------------------------------------------------------


def _who() -> dict[str, str | int]:
    now = datetime.now().astimezone().isoformat(timespec="seconds")
    return {"pid": os.getpid(), "host": socket.gethostname(), "since": now}


@contextmanager
def _held(place: Place, what: str, patience: float) -> Iterator[str]:
    """Hold the lock, and yield who held it before if its file was still there.

    The file goes while the lock is held, which whoever waits for it notices.
    """
    before = _told(place.lock)

    def note(handle: int) -> None:
        with suppress(OSError):  # where there is no room for a note it holds all the same
            os.ftruncate(handle, 0)
            os.write(handle, json.dumps({"what": what, **_who()}, ensure_ascii=False).encode())

    lock = FileLock(place.lock, timeout=patience, mode=0o644, on_acquired=note)
    try:
        lock.acquire()
    except Timeout:
        raise RecordErrors([_busy(place)]) from None
    try:
        yield before
    finally:
        if not place.journal.exists():
            with suppress(OSError):  # Windows lets no file go that is open
                place.lock.unlink()
        lock.release()


def _told(lock: Path) -> str:
    """Return who holds a lock, or held it, and what for."""
    try:
        if lock.is_symlink() or unreadable(lock.parent, lock, _LONGEST):
            return ""
        told = json.loads(lock.read_text(encoding="utf-8"))
        who = f"process {int(told['pid'])} on {told['host']} since {told['since']}"
        return f"{told['what']} ({who})"
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return ""


def _busy(place: Place) -> RecordError:
    who = _told(place.lock) or "another process, which does not say who it is"
    message = f"{place.top} is being changed: {who}"
    return RecordError(place.lock.name, message, "wait until it has done, or end it")


# -- what was left -------------------------------------------------------------------------------

_Files = Mapping[str, tuple[str | None, str | None]]


def _settled(place: Place, before: str) -> str:
    """Finish what counts, undo what does not; the lock is held."""
    if place.journal.exists():
        what, files = _read_journal(place)
        _see_unchanged(place, files)
        _carry_out(place, files)
        return f"A change of {place.top} that was cut short has been finished: {what}."
    if not place.work.exists():
        return ""
    begun = any(place.work.iterdir())
    shutil.rmtree(place.work)
    who = f": {before}" if before else ""
    return f"A change of {place.top} that was cut short has been undone{who}." if begun else ""


def _read_journal(place: Place) -> tuple[str, _Files]:
    """Read what is to become of every file; the folder may come from anywhere, and so the journal.

    It is only followed where it is a file in a folder, neither of them a link.
    """
    try:
        if place.work.is_symlink() or place.journal.is_symlink():
            raise ValueError("a link")
        if unreadable(place.work, place.journal, _LARGEST):
            raise ValueError("no ordinary file")
        told = json.loads(place.journal.read_text(encoding="utf-8"))
        what = f"{told['what']} (process {int(told['pid'])} on {told['host']}, {told['since']})"
        return what, {str(file): (was, new) for file, (was, new) in told["files"].items()}
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as bad:
        message = "the journal of a change that was cut short cannot be read"
        remedy = f"look whether {place.work} holds anything you want, then delete it"
        raise RecordErrors([RecordError(place.journal.name, message, remedy)]) from bad


def _see_unchanged(place: Place, files: _Files) -> None:
    """See that each file is as the change found it or leaves it, and what is to come is whole."""
    errors = []
    for file, (was, new) in files.items():
        target = place.top / _checked(place.top, file)
        now = _stands(place.top, target)
        staged = place.work / _NEW / file
        straight = staged.resolve() == place.work.resolve() / _NEW / file  # no link on the way
        ready = new in (now, None) or (straight and _content(place.work, staged) == new)
        if (was != _ANY and now not in (was, new)) or not ready:
            message = "it has changed since a change that was cut short; neither was carried out"
            remedy = f"compare it with {staged}, keep what you want here, then delete {place.work}"
            errors.append(RecordError(file, message, remedy))
    if errors:
        raise RecordErrors(errors)


def _stands(top: Path, file: Path) -> str | None:
    """Return the hash of what stands in a file's place; None if nothing, or a folder, does."""
    nothing = not os.path.lexists(file) or (file.is_dir() and not file.is_symlink())
    return None if nothing else _content(top, file)


def _content(top: Path, file: Path) -> str:
    """Return the hash of a file that may be opened; anything else has none."""
    return "" if unreadable(top, file, _LARGEST) else digest(file) or ""


def _carry_out(place: Place, files: _Files) -> None:
    """Take files away, then move in what is not in its place yet; twice does no harm."""
    coming = [file for file, (_, new) in files.items() if new is not None]
    for file in files.keys() - set(coming):
        (place.top / file).unlink(missing_ok=True)
        _prune(place.top, (place.top / file).parent)
    for folder in _folders(coming):
        (place.top / folder).mkdir(parents=True, exist_ok=True)
    for file in coming:
        try:
            os.replace(f"{place.work}/{_NEW}/{file}", f"{place.top}/{file}")  # noqa: PTH105
        except FileNotFoundError:
            if not os.path.lexists(place.top / file):  # else it had been moved before
                raise
    for folder in _folders(files):
        if (place.top / folder).is_dir():
            sync_folder(place.top / folder)
    shutil.rmtree(place.work / _NEW, ignore_errors=True)
    place.journal.unlink()  # before it goes, all else must be done
    shutil.rmtree(place.work, ignore_errors=True)


def _folders(files: Iterable[str]) -> list[str]:
    """Return the folders that files stand in and those above them, the deepest first."""
    found = {file.rpartition("/")[0] for file in files}
    above = {str(parent) for folder in found for parent in PurePosixPath(folder).parents}
    return sorted(found | {"" if each == "." else each for each in above}, reverse=True)


def _prune(top: Path, folder: Path) -> None:
    while folder != top and folder.is_dir() and not any(folder.iterdir()):
        folder.rmdir()
        folder = folder.parent


def _checked(top: Path, file: str) -> str:
    """Return a path that stays in the folder; a journal may come from anywhere."""
    parts = PurePosixPath(file).parts
    plain = bool(parts) and not file.startswith("/") and ".." not in parts and "\\" not in file
    if not plain or not (top / file).parent.resolve().is_relative_to(top.resolve()):
        message = f'a change that was cut short names "{file[:80]}", which is not in {top}'
        remedy = f"delete {WORK}; nothing was changed"
        raise RecordErrors([RecordError(WORK, message, remedy)])
    return file


def _disk(path: Path) -> int:
    """Return the disk that a file is on, or will be."""
    return next(each for each in (path, *path.parents) if each.is_dir()).stat().st_dev
