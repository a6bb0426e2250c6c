"""The folder of a site: only what changed is written, and nothing is left half done."""

import json
import os
from collections import Counter
from collections.abc import Callable, Generator, Iterable, Sequence
from dataclasses import dataclass
from functools import partial
from hashlib import sha256
from pathlib import Path
from typing import Any, NamedTuple, TypeAlias

from glost.publish.site.paths import MANIFEST, MARKER, listed, within
from glost.publish.site.workers import share
from glost.record.errors import RecordError, RecordErrors
from glost.record.files import sync_folder, write_whole
from glost.record.transaction import FolderChange, Place, changing


@dataclass(frozen=True, slots=True)
class WrittenSite:
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


@dataclass(frozen=True, slots=True)
class StandingFile:
    """The content of a file that stands in the site as it would be made, by its SHA-256."""

    digest: str


Content: TypeAlias = bytes | StandingFile
"""The content of a file."""

Files: TypeAlias = Iterable[tuple[str, Content]]
"""Path within the site and content of each of some files."""


def write_site(
    folder: Path,
    base: str,
    files: Files,
    parts: Sequence[Callable[[], Files]] = (),
    many: int = 1,
    noting: Callable[[Any], object] = lambda _: None,
) -> WrittenSite:
    """Write a site, or bring one up to date.

    Parameters
    ----------
    folder
        See `check`.
    base
        The collection's base IRI.
    files
        Path within the site and content of files, each once, `MARKER` among them.
    parts
        Each gives more files, in whichever process; see `glost.publish.site.workers.share`.
    many
        How many processes make `parts`; they write the same whatever their number.
    noting
        Told what the generator of each part returned when it came to its end.

    Returns
    -------
    Written
        What was done. Files are first all written beside the folder. One that is not there yet
        then appears whole; into one that is, they are moved each by itself, and what was cut
        short there is finished by the next run; see `glost.record.transaction`.

    Raises
    ------
    RecordErrors
        If the folder may not be written to.
    ValueError
        If a path would leave the folder, or comes twice.
    """
    with changing(Place.beside(folder), f"publish {folder}") as change:
        check(folder, base)
        staging = change.staged("")
        staging.mkdir()
        put = partial(_put, str(folder), str(staging))
        done = share(partial(put, lambda: files), [partial(put, part) for part in parts], many)
        for _, told in done[1:]:
            noting(told)
        return _moved(folder, change, [each for part, _ in done for each in part])


class _Put(NamedTuple):
    """A file of the site: its digest, and whether it is new or changed and waits to be moved in."""

    file: str
    digest: str
    waits: bool


def _put(folder: str, staging: str, part: Callable[[], Files]) -> tuple[list[_Put], object]:
    """Write what is new or changed of a part beside the site; return what the part told, too."""
    found: list[_Put] = []
    there = Path(folder).is_dir()
    files = _Told(part())
    for file, content in files:
        if not within(file):
            raise ValueError(f"{file!r} is no path of the site")
        if isinstance(content, StandingFile):
            found.append(_Put(file, content.digest, False))
            continue
        waits = not there or not _same(f"{folder}/{file}", content)
        if waits:
            _write(staging, file, content)
        found.append(_Put(file, sha256(content).hexdigest(), waits))
    return found, files.told


class _Told:
    """Files, and what their generator returned when it came to its end."""

    def __init__(self, files: Files) -> None:
        self._files = files
        self.told: object = None

    def __iter__(self) -> Generator[tuple[str, Content], None, None]:
        self.told = yield from iter(self._files)  # type: ignore[func-returns-value]


def _moved(folder: Path, change: FolderChange, found: list[_Put]) -> WrittenSite:
    """Move what waits into the site, and remove what is no more."""
    now = {put.file: put.digest for put in found}
    if len(now) < len(found):
        raise _twice(next(f for f, count in Counter(p.file for p in found).items() if count > 1))
    changed = sorted(put.file for put in found if put.waits)
    gone = sorted(set(listed(folder)) - set(now))
    if not folder.exists():
        write_whole(change.staged(MANIFEST), _manifest(now))
        change.staged("").replace(folder)
        sync_folder(folder.parent)
    elif changed or gone or not (folder / MANIFEST).exists():
        for file in changed:
            change.adopt(file, now[file])
        for file in gone:
            change.drop(file)
        change.put(MANIFEST, _manifest(now))
        change.commit()
    return WrittenSite(len(now), tuple(changed), tuple(gone))


def _twice(file: str) -> ValueError:
    return ValueError(f"{file!r} is no path of the site for two files")


def _manifest(files: dict[str, str]) -> str:
    return "".join(f"{digest}  {file}\n" for file, digest in sorted(files.items()))


def _same(path: str, content: bytes) -> bool:
    try:
        handle = os.open(path, os.O_RDONLY)
    except (FileNotFoundError, NotADirectoryError):
        return False
    with os.fdopen(handle, "rb") as file:
        return os.fstat(handle).st_size == len(content) and file.read() == content


def _write(staging: str, file: str, content: bytes) -> None:
    path, flags = f"{staging}/{file}", os.O_WRONLY | os.O_CREAT | os.O_EXCL
    try:
        handle = os.open(path, flags, 0o666)
    except FileNotFoundError:
        Path(path).parent.mkdir(parents=True, exist_ok=True)
        handle = os.open(path, flags, 0o666)
    except FileExistsError:
        raise _twice(file) from None
    with os.fdopen(handle, "wb", buffering=0) as out:
        out.write(content)
