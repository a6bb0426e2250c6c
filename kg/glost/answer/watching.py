"""A collection watched while somebody works at its tables with another program."""

from collections.abc import Iterable, Iterator
from pathlib import Path

from glost.answer.consequences import Consequences
from glost.answer.workspace import Workspace
from glost.record.changes import between
from glost.record.errors import RecordErrors
from glost.record.files import fingerprint, read_files
from glost.record.record import read


def watching(
    workspace: Workspace, path: Path, saved: Iterable[object] | None = None
) -> Iterator[Consequences | RecordErrors]:
    """Say what each saving of a file brings about, for as long as somebody asks.

    Parameters
    ----------
    workspace
        The collection, opened; what is saved is applied to it.
    path
        Its folder.
    saved
        Yields something each time that files may have changed; by default the system tells.

    Yields
    ------
    Consequences or RecordErrors
        What the change does; or what is wrong with the files, and the workspace stays as it was
        until they can be read.
    """
    state = fingerprint(path)
    for _ in saved if saved is not None else _savings(path):
        now = fingerprint(path)
        if now == state:
            continue
        state = now
        try:
            record = read(path)
        except RecordErrors as bad:
            yield bad
            continue
        yield workspace.apply(between(workspace.record, record))


def _savings(path: Path) -> Iterator[object]:
    from watchfiles import watch  # few watch, and it is no small library

    return watch(path, watch_filter=lambda _, file: _is_read(path, Path(file)))


def _is_read(path: Path, file: Path) -> bool:
    """Say whether a file is one that is read, or was: one that is gone cannot be asked."""
    return not file.exists() or file.resolve() in {each.resolve() for each in read_files(path)}
