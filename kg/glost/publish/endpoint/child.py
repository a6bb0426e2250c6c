"""One process that answers queries, as its pool sees it."""

import asyncio
import json
import os
import signal
import sys
import time
from asyncio.subprocess import DEVNULL, PIPE, Process
from contextlib import suppress
from dataclasses import asdict
from pathlib import Path
from typing import Any

from glost.answer.refusals import QueryError
from glost.publish.endpoint.limits import Limits
from glost.publish.endpoint.messages import Query, Reply, Titled

_TOP = str(Path(__file__).resolve().parents[3])
_PROGRAM = (
    "import sys; sys.path.insert(0, sys.argv.pop(1));"
    "from glost.publish.endpoint.worker import main; main()"
)
_LONGEST_LINE = 1 << 20
_READY = 60.0


class Ended(Exception):  # noqa: N818 - it is what happened
    """A process ended when an answer was expected.

    Attributes
    ----------
    code
        Its exit code; below nought, the signal that ended it.
    """

    def __init__(self, code: int) -> None:
        self.code = code
        super().__init__(f"exit code {code}")

    @property
    def killed(self) -> bool:
        """Whether somebody else ended it, and not what it was doing."""
        return self.code in (-signal.SIGKILL, -signal.SIGTERM)


class Child:
    """A process that answers queries, one at a time.

    Attributes
    ----------
    statements
        How many statements its dataset holds, every graph counted.
    """

    def __init__(self, process: Process) -> None:
        self._process = process
        self._busy = False
        self._stepped_back = False
        self.statements = 0

    @property
    def clean(self) -> bool:
        """Whether it can be asked again as if it were new."""
        return not (self._busy or self._stepped_back)

    @property
    def gone(self) -> bool:
        """Whether it has ended."""
        stream = self._process.stdout
        return self._process.returncode is not None or stream is None or stream.at_eof()

    @property
    def effort(self) -> float:
        """Seconds of processor's time it has taken so far; of time where the system won't say."""
        try:
            # The clock of another process, as Linux numbers it: MAKE_PROCESS_CPUCLOCK.
            return time.clock_gettime(~self._process.pid << 3 | 2)
        except OSError:
            return time.monotonic()

    @classmethod
    async def start(cls, folder: Path, named: Titled, limits: Limits) -> "Child":
        """Start a process and wait until it is ready.

        Raises
        ------
        Ended
            If it ends instead.
        """
        settings = json.dumps({**asdict(limits), **asdict(named), "folder": str(folder)})
        process = await asyncio.create_subprocess_exec(
            sys.executable, "-c", _PROGRAM, _TOP, settings,
            stdin=PIPE, stdout=PIPE, stderr=DEVNULL, start_new_session=True, limit=_LONGEST_LINE,
        )  # fmt: skip
        child = cls(process)
        try:
            head = await asyncio.wait_for(child._head(), _READY)
        except BaseException:
            await child.kill()
            raise
        child.statements = head["statements"]
        return child

    async def ask(self, query: Query) -> Reply:
        """Put a query and wait for its answer.

        Raises
        ------
        QueryError
            If there is no answer.
        Ended
            If the process ended over it.
        """
        if self._process.stdin is None or self._process.stdout is None:
            raise TypeError("the process has no streams to talk over")
        self._busy = True
        with suppress(ConnectionError):
            self._process.stdin.write(query.line())
            await self._process.stdin.drain()
        head = await self._head()
        try:
            lengths = head.pop("octets")
            written, packed = [await self._process.stdout.readexactly(each) for each in lengths]
        except asyncio.IncompleteReadError:
            raise Ended(await self._process.wait()) from None
        self._busy = False
        if "error" in head:
            raise QueryError(**head["error"])
        return Reply(written=written, packed=packed, **head)

    def step_back(self, niceness: int) -> None:
        """Let other processes go first from now on; it cannot be undone.

        Linux shares the processor out among sessions first (sched(7), autogroup), and the process
        has one of its own, so the session steps back too.
        """
        self._stepped_back = True
        with suppress(OSError):
            os.setpriority(os.PRIO_PROCESS, self._process.pid, niceness)
        with suppress(OSError):
            Path(f"/proc/{self._process.pid}/autogroup").write_text(str(niceness))

    async def kill(self) -> None:
        """End the process at once, and wait until it has."""
        with suppress(ProcessLookupError):
            self._process.kill()
        await self._process.wait()

    async def _head(self) -> dict[str, Any]:
        if self._process.stdout is None:
            raise TypeError("the process has no stream to read")
        line = await self._process.stdout.readline()
        if not line.endswith(b"\n"):
            raise Ended(await self._process.wait())
        told: dict[str, Any] = json.loads(line)
        return told
