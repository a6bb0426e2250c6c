"""Files written so that a failure leaves the old ones as they were."""

import os
import tempfile
from pathlib import Path


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
