"""A large collection's dataset, built in the background for the question to come."""

import subprocess
import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path

from glost.answer.snapshot import LARGE, Snapshot

_RUN = (
    "import sys; from importlib import import_module; sys.path.insert(0, sys.argv[1]); "
    "getattr(import_module(sys.argv[2]), sys.argv[3])(*sys.argv[4:])"
)


def beside(run: Callable[[str, str], None], snapshot: Snapshot) -> "subprocess.Popen[bytes]":
    """Begin to do something with a collection in a process that goes on when this one ends.

    Parameters
    ----------
    run
        A function of a module, given the collection's folder and the day, empty for all there is.
    snapshot
        The collection.
    """
    top = str(Path(__file__).resolve().parents[2])
    day = snapshot.as_of.isoformat() if snapshot.as_of else ""
    what = (run.__module__, run.__name__, str(snapshot.path.resolve()), day)
    return subprocess.Popen(
        [sys.executable, "-c", _RUN, top, *what],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )


def build_ahead(snapshot: Snapshot) -> "subprocess.Popen[bytes] | None":
    """Begin to build a large collection's dataset in a process of its own.

    That process goes on when this one ends. A question put meanwhile waits for it rather than
    build the same again.

    Parameters
    ----------
    snapshot
        The collection, which has been read.

    Returns
    -------
    subprocess.Popen or None
        The process; None if the collection is small, its dataset is kept already, or nothing is
        kept.
    """
    if snapshot.cache is None or len(snapshot.record.claims) < LARGE or snapshot.cache.has("store"):
        return None
    return beside(build, snapshot)


def build(path: str, day: str) -> None:
    """Build a collection's dataset and end: what the process of `build_ahead` does."""
    snapshot = Snapshot(Path(path), date.fromisoformat(day) if day else None)
    _ = snapshot.answers.folder
