"""The folder of a site: only what changed is written, and nothing is left half done."""

import json
import os
import shutil
import tempfile
from collections.abc import Iterable
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path, PurePosixPath

from glost.publish.site.paths import MANIFEST, MARKER
from glost.record.errors import RecordError, RecordErrors
from glost.record.files import write_whole


@dataclass(frozen=True, slots=True)
class Written:
    """What writing a site did.

    Attributes
    ----------
    files
        How many files the site has, the manifest left out.
    written
        Those that are new or changed, sorted.
    removed
        Those that are no more, sorted.
    """

    files: int
    written: tuple[str, ...]
    removed: tuple[str, ...]


def check(folder: Path, base: str) -> None:
    """See that a site of this collection may be written to a folder.

    Parameters
    ----------
    folder
        A folder that is new, empty, or holds an earlier site of the same collection.
    base
        The collection's base IRI.

    Raises
    ------
    RecordErrors
        If it holds anything else.
    """
    remedy = "name a new or empty folder, or that of an earlier site; nothing was written"
    if folder.exists() and not folder.is_dir():
        raise RecordErrors([RecordError(str(folder), "this is a file, not a folder", remedy)])
    if not folder.exists() or not any(folder.iterdir()):
        return
    marker = folder / MARKER
    try:
        found = json.loads(marker.read_text(encoding="utf-8"))["base"]
    except (OSError, ValueError, KeyError, TypeError):
        message = "the folder is not empty and holds no site made by glost publish"
        raise RecordErrors([RecordError(str(folder), message, remedy)]) from None
    if found != base:
        message = f"the folder holds the site of another collection, {found}"
        raise RecordErrors([RecordError(str(folder), message, remedy, found=str(found))])


def write_site(folder: Path, base: str, files: Iterable[tuple[str, bytes]]) -> Written:
    """Write a site, or bring one up to date.

    Parameters
    ----------
    folder
        See `check`.
    base
        The collection's base IRI.
    files
        Path within the site and content of every file, each once, `MARKER` among them.

    Returns
    -------
    Written
        What was done. Files are first all written beside the folder, and only when there is
        none left are they moved in, each replaced whole; the list of files comes last. Until then
        the list holds the old files and the new, so that a run cut short is put right by the next.

    Raises
    ------
    RecordErrors
        If the folder may not be written to.
    ValueError
        If a path would leave the folder, or comes twice.
    """
    check(folder, base)
    folder.parent.mkdir(parents=True, exist_ok=True)
    before = _listed(folder)
    staging = Path(tempfile.mkdtemp(prefix=f".{folder.name}.", dir=folder.parent))
    try:
        return _moved(folder, staging, before, files)
    finally:
        shutil.rmtree(staging, ignore_errors=True)


def _moved(
    folder: Path, staging: Path, before: dict[str, str], files: Iterable[tuple[str, bytes]]
) -> Written:
    now: dict[str, str] = {}
    changed: list[str] = []
    for file, content in files:
        if file in now or not _within(file):
            raise ValueError(f"{file!r} is no path of the site, or comes twice")
        now[file] = sha256(content).hexdigest()
        if not _same(folder / file, content):
            _write(staging / str(len(changed)), content)
            changed.append(file)
    gone = sorted(set(before) - set(now))
    if changed or gone or not (folder / MANIFEST).exists():
        write_whole(folder / MANIFEST, _manifest(before | now))
        made: set[Path] = set()
        for number, file in enumerate(changed):
            place = folder / file
            if place.parent not in made:
                place.parent.mkdir(parents=True, exist_ok=True)
                made.add(place.parent)
            (staging / str(number)).replace(place)
        _remove(folder, gone)
        write_whole(folder / MANIFEST, _manifest(now))
    return Written(len(now), tuple(sorted(changed)), tuple(gone))


def _listed(folder: Path) -> dict[str, str]:
    """Return the files that an earlier run wrote, with their hashes; other files are not ours."""
    try:
        text = (folder / MANIFEST).read_text(encoding="utf-8")
    except FileNotFoundError:
        return {}
    pairs = (line.partition("  ") for line in text.splitlines())
    return {file: digest for digest, _, file in pairs if _within(file)}


def _manifest(files: dict[str, str]) -> str:
    return "".join(f"{digest}  {file}\n" for file, digest in sorted(files.items()))


def _within(file: str) -> bool:
    parts = PurePosixPath(file).parts
    plain = bool(parts) and not file.startswith("/") and "\n" not in file and "\\" not in file
    return plain and ".." not in parts and file == "/".join(parts) and file != MANIFEST


def _same(path: Path, content: bytes) -> bool:
    try:
        if path.stat().st_size != len(content):
            return False
        return path.read_bytes() == content
    except (FileNotFoundError, NotADirectoryError):
        return False


def _write(path: Path, content: bytes) -> None:
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o644)
    with os.fdopen(handle, "wb") as file:
        file.write(content)


def _remove(folder: Path, files: list[str]) -> None:
    """Delete files that are no more, and folders they leave empty."""
    for file in files:
        (folder / file).unlink(missing_ok=True)
    for place in sorted({parent for file in files for parent in Path(file).parents}, reverse=True):
        within = folder / place
        if place != Path() and within.is_dir() and not any(within.iterdir()):
            within.rmdir()
