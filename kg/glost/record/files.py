"""Files written so that a failure leaves the old ones as they were, and told from one another."""

import errno
import os
import stat
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from hashlib import file_digest, sha256
from pathlib import Path

from glost.limits import TEXT_FILE
from glost.record.opening import unreadable

if sys.platform != "win32":
    import fcntl

SETTINGS = "collection.toml"
"""The file that makes a folder a collection."""

_NO_LINK = getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0)


def table_files(top: Path) -> list[Path]:
    """List the files in a collection's ``tables/`` that are to be read, sorted."""
    folder = top / "tables"
    found = sorted(folder.iterdir()) if folder.is_dir() else []
    return [
        path
        for path in found
        if not path.name.startswith((".", "~")) and not path.name.endswith("-metadata.json")
    ]


def trig_files(top: Path) -> list[Path]:
    """List the TriG files of a collection, sorted."""
    return sorted(top.glob("*.trig"))


def read_files(top: Path) -> list[Path]:
    """List everything that reading a collection reads, sorted within each kind."""
    return [top / SETTINGS, *table_files(top), *trig_files(top)]


def stamp(top: Path) -> tuple[tuple[str, int, int, int], ...]:
    """Return what shows, without reading anything, that a collection's files have changed.

    Parameters
    ----------
    top
        The collection's folder.

    Returns
    -------
    tuple
        Of each file its name, its number on the disk, its size and when it last changed (ns).
    """
    found = []
    for path in read_files(top):
        with suppress(OSError):
            of = path.stat()
            found.append((path.name, of.st_ino, of.st_size, of.st_mtime_ns))
    return tuple(found)


def fingerprint(top: Path) -> str:
    """Reckon what tells one state of a collection from every other.

    Parameters
    ----------
    top
        The collection's folder.

    Returns
    -------
    str
        SHA-256, as hex digits, over names and bytes of everything that reading it reads.

    Raises
    ------
    OSError
        If a file cannot be read.
    """
    whole = sha256()
    for path in read_files(top):
        name = path.relative_to(top).as_posix()
        # What reading refuses to open is not opened here either: its fault tells the state.
        fault = unreadable(top, path, TEXT_FILE)
        whole.update(f"{name}\x1f{fault or digest(path)}\x1e".encode(errors="surrogateescape"))
    return whole.hexdigest()


def digest(path: Path) -> str | None:
    """Return the SHA-256 of a file's bytes as hex digits; None if there is no such file."""
    try:
        with path.open("rb") as file:
            return file_digest(file, "sha256").hexdigest()
    except FileNotFoundError:
        return None


def write_whole(path: Path, content: str | bytes) -> None:
    """Write a file by way of another beside it, renamed when it is complete and on the disk.

    The other is always named ``.NAME.part``: one that was left by a process that was ended is
    used by the next, and goes.

    Parameters
    ----------
    path
        The file; its folder is made if need be.
    content
        Text, written as UTF-8 with line ends as they are, or bytes.

    Raises
    ------
    OSError
        If it cannot be written; what stood there before is then untouched.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        part = path.with_name(f".{path.name}.part")
        with _alone(part) as handle:
            try:
                write_down(handle, content, mode_of(path))
                if os.name != "nt":  # where no open file can be renamed, the last to come wins
                    part.replace(path)
            except BaseException:
                with suppress(OSError):
                    part.unlink()
                raise
        if os.name == "nt":
            part.replace(path)
        sync_folder(path.parent)
    except OSError as bad:
        raise refusal(bad, path, "nothing was written") from bad


_REMEDIES = {
    errno.ENOSPC: "make room on the disk, then do the same again",
    errno.EDQUOT: "make room within your quota, then do the same again",
    errno.EACCES: "give yourself the right to write there, or name another folder",
    errno.EPERM: "give yourself the right to write there, or name another folder",
    errno.EEXIST: "something else stands there: name another place",
    errno.ENOTDIR: "something else stands there: name another place",
    errno.EXDEV: "have the whole folder on one disk",
    errno.EROFS: "the disk is read-only: copy the folder to one that can be written",
}


def refusal(bad: OSError, where: Path, stands: str) -> OSError:
    """Say what the system refused, what to do, and how things stand now."""
    remedy = _REMEDIES.get(bad.errno or 0, "see what is wrong there, then do the same again")
    told = f"{bad.strerror or bad}; {remedy}; {stands}"
    return OSError(bad.errno, told, str(bad.filename or where))


def write_down(handle: int, content: str | bytes, mode: int) -> None:
    """Write a file that is open, from its beginning, and bring it to the disk."""
    left = memoryview(content.encode() if isinstance(content, str) else content)
    os.ftruncate(handle, 0)
    while left:
        left = left[os.write(handle, left) :]
    if hasattr(os, "fchmod"):
        os.fchmod(handle, mode)
    os.fsync(handle)


def write_new(path: Path, content: str | bytes, mode: int) -> None:
    """Write a file where nobody else looks, and bring it to the disk."""
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | _NO_LINK, 0o600)
    try:
        write_down(handle, content, mode)
    finally:
        os.close(handle)


def mode_of(path: Path) -> int:
    """Return who may read and write a file; of one that is not there, as the user's mask says."""
    with suppress(FileNotFoundError, NotADirectoryError):
        found = path.stat().st_mode
        if stat.S_ISREG(found):
            return found & 0o777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask


def sync_folder(folder: Path) -> None:
    """Bring to the disk which files a folder holds, where the system lets one ask for it."""
    if sys.platform == "win32":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    except OSError as bad:
        if bad.errno not in (errno.EINVAL, errno.ENOTSUP):  # a disk that knows no such thing
            raise
    finally:
        os.close(handle)


@contextmanager
def _alone(part: Path) -> Iterator[int]:
    """Open a file to write that no other process writes meanwhile."""
    handle = _locked(part)
    try:
        yield handle
    finally:
        os.close(handle)


def _locked(part: Path) -> int:
    while True:
        handle = os.open(part, os.O_RDWR | os.O_CREAT | _NO_LINK, 0o600)
        try:
            if not stat.S_ISREG(os.fstat(handle).st_mode):
                raise FileExistsError(errno.EEXIST, "this is no plain file", str(part))
            if sys.platform != "win32":
                fcntl.flock(handle, fcntl.LOCK_EX)
            if _bears(part, handle):
                return handle
        except BaseException:
            os.close(handle)
            raise
        os.close(handle)  # renamed or deleted while we waited


def _bears(path: Path, handle: int) -> bool:
    try:
        return os.path.samestat(os.fstat(handle), path.lstat())
    except FileNotFoundError:
        return False
