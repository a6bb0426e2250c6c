"""A large collection's dataset, built in the background for the question to come."""

import subprocess
import sys
from datetime import date
from pathlib import Path

from glost.answer.snapshot import LARGE, Snapshot

_BUILD = "import sys; sys.path.insert(0, sys.argv[1]); from glost.answer.background import build; "
_BUILD += "build(*sys.argv[2:])"


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
    top = str(Path(__file__).resolve().parents[2])
    day = snapshot.as_of.isoformat() if snapshot.as_of else ""
    return subprocess.Popen(
        [sys.executable, "-c", _BUILD, top, str(snapshot.path.resolve()), day],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )


def build(path: str, day: str) -> None:
    """Build a collection's dataset and end: what the process of `build_ahead` does."""
    snapshot = Snapshot(Path(path), date.fromisoformat(day) if day else None)
    _ = snapshot.answers.folder
