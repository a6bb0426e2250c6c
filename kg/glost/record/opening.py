"""Files of a collection opened with care: none that waits for ever, leads out, or has no end."""

import stat
from pathlib import Path

from glost.record.errors import RecordError


def unreadable(top: Path, path: Path, most: int) -> RecordError | None:
    """Say why a file of a collection is not opened; None if nothing speaks against it.

    Parameters
    ----------
    top
        The collection's folder.
    path
        The file, in that folder or one below.
    most
        Octets it may have.

    Returns
    -------
    RecordError or None
        If it is no ordinary file (a pipe would wait for ever, a device never ends), leads out of
        the collection (what stands there is nobody's to hand on), or is too large.
    """
    file = path.relative_to(top).as_posix()
    try:
        if not path.resolve().is_relative_to(top.resolve()):
            remedy = "copy the file into the collection in place of the link"
            return RecordError(
                file, "the link leads out of the collection and is not followed", remedy
            )
        found = path.stat()
    except FileNotFoundError:
        return RecordError(file, "it is not there, or is a link to nothing", "put it there")
    except (OSError, RuntimeError, ValueError) as bad:
        return RecordError(file, f"it cannot be read ({_why(bad)})", "see who may read it")
    if not stat.S_ISREG(found.st_mode):
        return RecordError(
            file, "it is no ordinary file", "take it out, or put a file in its place"
        )
    if found.st_size > most:
        remedy = f"files of this kind may have {most:,} octets; part it into several"
        return RecordError(file, f"it has {found.st_size:,} octets", remedy)
    return None


def read_whole(top: Path, path: Path, most: int) -> bytes | RecordError:
    """Read a file of a collection, or say why it is not read; see `unreadable`."""
    fault = unreadable(top, path, most)
    if fault is not None:
        return fault
    try:
        with path.open("rb") as file:
            data = file.read(most + 1)
    except OSError as bad:
        name = path.relative_to(top).as_posix()
        return RecordError(name, f"it cannot be read ({_why(bad)})", "see who may read it")
    return data[:most]


def _why(bad: Exception) -> str:
    return getattr(bad, "strerror", None) or str(bad)


def text_of(file: str, data: bytes, remedy: str) -> str | RecordError:
    """Read bytes as UTF-8, with or without a byte order mark, or say where they are not.

    Parameters
    ----------
    file
        Name to give in the error.
    data
        The bytes.
    remedy
        What to do if they are not UTF-8.
    """
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as bad:
        line = data[: bad.start].count(b"\n") + 1
        found = data[bad.start : bad.start + 1].hex()
        message = f"line {line} holds the byte {found}, which is not UTF-8"
        return RecordError(file, message, remedy)
