"""A process that is ended, or refused room, at the n-th thing it asks of the disk.

To be used in a process of its own: what Python has for writing, syncing, renaming, making and
deleting files is wrapped by a counter. The library knows nothing of it. What libraries in other
languages write is not counted; kills at random times reach that.
"""

import builtins
import errno
import io
import os
import signal
from collections.abc import Callable
from typing import Any

CALLS = (
    "write",
    "fsync",
    "replace",
    "rename",
    "link",
    "unlink",
    "remove",
    "mkdir",
    "rmdir",
    "ftruncate",
    "fchmod",
    "chmod",
    "utime",
)
"""The functions of `os` that are counted."""

_MAKING = ("write", "mkdir", "link")


class Faults:
    """Counts, and does what it is told at one call.

    Parameters
    ----------
    at
        The number of the call, from 1; 0 for none.
    how
        ``kill`` ends the process before the call, ``half`` after half of what it is to write is
        written, ``full`` refuses room for it and all that follow.
    """

    def __init__(self, at: int, how: str) -> None:
        self.count = 0
        self._at, self._how = at, how
        self._main = os.getpid()

    def install(self) -> None:
        """Wrap the functions, for good."""
        self.write = os.write
        for name in CALLS:
            setattr(os, name, self._wrapped(name, getattr(os, name)))
        real = io.open

        def opened(
            file: Any, mode: str = "r", buffering: int = -1, *more: Any, **named: Any
        ) -> Any:
            if not set(mode) & set("wax+"):
                return real(file, mode, buffering, *more, **named)
            return self._opened(file, mode, buffering, *more, **named)

        io.open = builtins.open = opened  # type: ignore[assignment]

    def _wrapped(self, name: str, call: Callable[..., Any]) -> Callable[..., Any]:
        def counted(*given: Any, **named: Any) -> Any:
            if name == "write":
                self.due(name, lambda: self.write(given[0], bytes(given[1])[: len(given[1]) // 2]))
            else:
                self.due(name, lambda: None)
            return call(*given, **named)

        return counted

    def due(self, name: str, half: Callable[[], object]) -> None:
        """Count a call, and end the process or refuse if it is the one."""
        self.count += 1
        if self._how == "full" and self._at and self.count >= self._at and name in _MAKING:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        if self.count == self._at and self._how != "full":
            if self._how == "half":
                half()
            os.kill(self._main, signal.SIGKILL)

    def _opened(
        self,
        file: Any,
        mode: str,
        buffering: int = -1,
        encoding: str | None = None,
        errors: str | None = None,
        newline: str | None = None,
        closefd: bool = True,
        opener: Any = None,
    ) -> Any:
        """Open as `io.open` does, over a file whose writing is counted."""
        faults = self

        class Counted(io.FileIO):
            def write(self, data: Any, /) -> int:
                faults.due("write", lambda: io.FileIO.write(self, bytes(data)[: len(data) // 2]))
                return super().write(data)

        plain = mode.replace("b", "").replace("t", "")
        raw = Counted(file, plain, closefd, opener)
        if buffering == 0:
            return raw
        kind = io.BufferedRandom if "+" in mode else io.BufferedWriter
        buffered = kind(raw)
        if "b" in mode:
            return buffered
        text = io.TextIOWrapper(buffered, encoding, errors, newline, buffering == 1)
        text.mode = mode  # type: ignore[misc]
        return text
