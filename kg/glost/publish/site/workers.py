"""Jobs shared with processes forked from this one, which have all that this one has made ready."""

import multiprocessing
import os
import sys
import threading
import warnings
from collections.abc import Callable, Iterator, Sequence
from multiprocessing.connection import Connection
from multiprocessing.context import ForkContext, ForkProcess
from typing import TypeVar

_MOST = 4
"""Processes at most, each with a share of the memory of its own."""

Done = TypeVar("Done")
Job = Callable[[], Done]


def processes() -> int:
    """Return how many processes to share with: one for each core, 1 where none can be forked.

    macOS can fork, but its own libraries do not survive it.
    """
    if sys.platform == "darwin" or "fork" not in multiprocessing.get_all_start_methods():
        return 1
    allowed = getattr(os, "sched_getaffinity", None)
    cores = len(allowed(0)) if allowed else os.cpu_count() or 1
    return max(1, min(cores, _MOST))


def share(own: Job[Done], jobs: Sequence[Job[Done]], many: int) -> list[Done]:
    """Do jobs in several processes.

    Parameters
    ----------
    own
        A job that only this process may do: it uses what does not survive a fork, such as the
        threads of a database.
    jobs
        Jobs that any may do, whoever is free taking the next. What they give is pickled.
    many
        How many processes, this one among them; with 1 nothing is forked.

    Returns
    -------
    list
        What `own` gave, then what each job gave, in the order of `jobs` whoever did it.

    Raises
    ------
    Exception
        What a job raised, in whichever process.
    ChildProcessError
        If a process ended before its time.
    """
    if many < 2 or len(jobs) < 2:
        return [own(), *(job() for job in jobs)]
    context = multiprocessing.get_context("fork")
    queue = _Queue(context, len(jobs))
    life = os.pipe()
    hands = [_Hand(context, queue, jobs, life) for _ in range(many - 1)]
    try:
        first = own()
        done = dict(_taken(queue, jobs))
        for hand in hands:
            done.update(hand.given())
    finally:
        for hand in hands:
            hand.end()
        for end in life:
            os.close(end)
    return [first, *(done[number] for number in range(len(jobs)))]


class _Queue:
    """The numbers of the jobs not yet taken."""

    def __init__(self, context: ForkContext, many: int) -> None:
        self._next, self._many = context.Value("l", 0), many

    def take(self) -> int | None:
        """Return the number of the next job; None if there is none left."""
        with self._next.get_lock():
            number: int = self._next.value
            self._next.value = number + 1
        return number if number < self._many else None


def _taken(queue: _Queue, jobs: Sequence[Job[Done]]) -> Iterator[tuple[int, Done]]:
    while (number := queue.take()) is not None:
        yield number, jobs[number]()


class _Hand:
    """A process that takes jobs until there are none left."""

    def __init__(
        self,
        context: ForkContext,
        queue: _Queue,
        jobs: Sequence[Job[Done]],
        life: tuple[int, int],
    ) -> None:
        self._mine, theirs = context.Pipe(duplex=False)
        self._process: ForkProcess = context.Process(
            target=_work, args=(theirs, queue, jobs, life), daemon=True
        )
        with warnings.catch_warnings():
            # Python 3.12 warns of threads there are: no job may use what they belong to
            warnings.filterwarnings("ignore", "This process .* is multi-threaded")
            self._process.start()
        theirs.close()

    def given(self) -> dict[int, Done]:
        """Wait for what it did, by number of the job."""
        try:
            told = self._mine.recv()
        except EOFError:
            message = "a process that made pages ended early; perhaps memory was short"
            raise ChildProcessError(message) from None
        if isinstance(told, BaseException):
            raise told
        found: dict[int, Done] = told
        return found

    def end(self) -> None:
        """End it, if it has not ended."""
        self._process.terminate()
        self._process.join()
        self._mine.close()


def _work(to: Connection, queue: _Queue, jobs: Sequence[Job[Done]], life: tuple[int, int]) -> None:
    told: object
    until, mine = life
    os.close(mine)
    threading.Thread(target=_end_with, args=(until,), daemon=True).start()
    try:
        told = dict(_taken(queue, jobs))
    except Exception as bad:
        told = bad
    to.send(told)
    to.close()


def _end_with(life: int) -> None:
    """End when the other end of a pipe goes with the first process, so that none is left alone."""
    os.read(life, 1)
    os._exit(1)
