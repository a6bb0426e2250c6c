"""Files written so that a failure leaves the old ones as they were."""

import os
import tempfile
from hashlib import file_digest, sha256
from pathlib import Path

SETTINGS = "collection.toml"
"""The file that makes a folder a collection."""


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
    for path in (top / SETTINGS, *table_files(top), *trig_files(top)):
        with path.open("rb") as file:
            digest = file_digest(file, "sha256").hexdigest()
        whole.update(f"{path.relative_to(top).as_posix()}\x1f{digest}\x1e".encode())
    return whole.hexdigest()


def write_whole(path: Path, content: str | bytes) -> None:
    """Write a file by way of a temporary one beside it, renamed when complete.

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
    data = content.encode() if isinstance(content, str) else content
    path.parent.mkdir(parents=True, exist_ok=True)
    mode = path.stat().st_mode & 0o777 if path.exists() else 0o666 & ~_umask()
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        Path(name).chmod(mode)
        Path(name).replace(path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
