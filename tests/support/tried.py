"""What is tried on broken files, by processes that try many and are ended if one takes too long.

A trial ends well if the files are read, or refused with errors that say what to do, show a line of
a cell and nothing that a terminal obeys. Anything else is told: an exception that no user should
see, more than ten seconds of processor, more than 1 GiB, or a process that ended.
"""

import multiprocessing
import os
import resource
import shutil
import signal
import tempfile
import traceback
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

import pyoxigraph as ox

from glost.answer.refusals import QueryError, query_text, refuse
from glost.answer.snapshot import Snapshot
from glost.answer.sparql import answer
from glost.record.characters import control
from glost.record.errors import RecordError, RecordErrors
from glost.record.images import look
from glost.record.record import read
from glost.record.tables import tables
from glost.record.writing import csv_text, rows_of, trig_text
from mutants import VALLEY, Mutant, mutant
from shelf import write

SECONDS = 10
MEMORY = 1 << 30
_LONGEST = 1_500
_WHOLE_EVERY = 20
"""Of the collections that are read, each so many-th is also looked over as ``check`` does."""


@dataclass
class Outcome:
    """What came of the trials.

    Attributes
    ----------
    ends
        How often each kind ended how.
    wrong
        Number and fault of each trial that ended as none should.
    seconds, memory
        The most processor time and memory that one took.
    """

    ends: Counter[tuple[str, str]] = field(default_factory=Counter)
    wrong: list[tuple[int, str]] = field(default_factory=list)
    seconds: float = 0.0
    memory: int = 0


class WrongError(Exception):
    """A trial that ended as none should."""


def trials(seed: int, first: int, count: int, only: str = "", processes: int = 2) -> Outcome:
    """Try mutants number `first` and on, shared among so many processes."""
    outcome = Outcome()
    context = multiprocessing.get_context("fork")
    queue = context.SimpleQueue()
    share = -(-count // processes)
    parts = [
        (first + n * share, min(first + (n + 1) * share, first + count)) for n in range(processes)
    ]
    running = {}
    for part, (begin, end) in enumerate(parts):
        running[part] = _start(context, queue, part, seed, begin, end, only), begin, end
    last = {part: begin - 1 for part, (begin, _) in enumerate(parts)}
    while running:
        if queue.empty():
            for part, (process, _, end) in list(running.items()):
                process.join(0.02)
                if process.is_alive() or not queue.empty():
                    continue
                del running[part]
                if process.exitcode:
                    number = last[part] + 1
                    kind = mutant(seed, number, only).kind
                    outcome.wrong.append(
                        (number, f"{kind}: the process ended by {-process.exitcode}")
                    )
                    outcome.ends[kind, "ended the process"] += 1
                    last[part] = number
                if last[part] + 1 < end:
                    again = _start(context, queue, part, seed, last[part] + 1, end, only)
                    running[part] = again, last[part] + 1, end
            continue
        part, number, kind, ended, fault, seconds, memory = queue.get()
        last[part] = number
        outcome.ends[kind, ended] += 1
        outcome.seconds = max(outcome.seconds, seconds)
        outcome.memory = max(outcome.memory, memory)
        if memory > MEMORY:
            fault = fault or f"{kind}: {memory >> 20} MiB"
        if fault:
            outcome.wrong.append((number, fault))
    return outcome


def _start(context, queue, *of):  # type: ignore[no-untyped-def]
    process = context.Process(target=_work, args=(queue, *of), daemon=True)
    process.start()
    return process


def _work(queue, part: int, seed: int, begin: int, end: int, only: str) -> None:  # type: ignore[no-untyped-def]
    os.environ["GLOST_CACHE"] = ""
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    memory = "/dev/shm" if Path("/dev/shm").is_dir() else None
    with tempfile.TemporaryDirectory(prefix="mutants-", dir=memory) as name:
        top = Path(name) / "c"
        for number in range(begin, end):
            made = mutant(seed, number, only)
            before = _processor()
            # The default of both signals ends the process, in the midst of a library's code too.
            signal.setitimer(signal.ITIMER_PROF, SECONDS)
            signal.setitimer(signal.ITIMER_REAL, 20 * SECONDS)
            _forget_peak()
            ended, fault = _tried(top, made, number)
            signal.setitimer(signal.ITIMER_PROF, 0)
            signal.setitimer(signal.ITIMER_REAL, 0)
            queue.put((part, number, made.kind, ended, fault, _processor() - before, _peak()))


def _processor() -> float:
    used = resource.getrusage(resource.RUSAGE_SELF)
    return used.ru_utime + used.ru_stime


def _forget_peak() -> None:
    """Begin to count the most memory anew (Linux)."""
    reset = Path("/proc/self/clear_refs")
    if reset.exists():
        reset.write_text("5")


def _peak() -> int:
    status = Path("/proc/self/status")
    if not status.exists():
        return 0
    line = next(line for line in status.read_text().splitlines() if line.startswith("VmHWM"))
    return int(line.split()[1]) << 10


def _tried(top: Path, made: Mutant, number: int) -> tuple[str, str]:
    shutil.rmtree(top, ignore_errors=True)
    if made.kind == "valley":
        shutil.copytree(VALLEY, top, ignore=shutil.ignore_patterns("images"))
    else:
        write(top)
    for file, content in made.files.items():
        (top / file).parent.mkdir(exist_ok=True)
        if content or not file.startswith("tables/"):
            (top / file).write_bytes(content)
        else:
            (top / file).unlink(missing_ok=True)
    try:
        return _END[made.kind](top, made, number), ""
    except RecordErrors as refused:
        return "refused", _badly_told([str(error) for error in refused.errors])
    except QueryError as refused:
        return "refused", _badly_told([str(refused)])
    except (Exception, SystemExit) as bad:  # what is looked for
        where = traceback.extract_tb(bad.__traceback__)[-3:]
        told = " < ".join(f"{Path(f.filename).name}:{f.lineno} {f.name}" for f in reversed(where))
        return "raised", f"{made.kind}: {type(bad).__name__}: {str(bad)[:150]} at {told}"


def _badly_told(messages: list[str]) -> str:
    if not messages:
        return "refused without a message"
    for message in messages:
        if control(message) or "\n" in message:
            return f"a message holds a control character: {ascii(message)[:200]}"
        if len(message) > _LONGEST:
            return f"a message has {len(message)} characters: {ascii(message)[:200]}"
        if message.rstrip().endswith(":"):
            return f"a message says nothing: {ascii(message)[:200]}"
    return ""


def _collection(top: Path, _: Mutant, number: int) -> str:
    record = read(top)
    for claim in record.claims:
        for statement in claim.statements:
            if fault := control("".join(map(str, statement))):
                raise WrongError(f"a statement holds {fault}")
    rows, left = rows_of(record, record.claims)
    for name, found in rows.items():
        csv_text(tables()[name], found)
    trig_text(record, left)
    if number % _WHOLE_EVERY == 0:
        snapshot = Snapshot(top)
        snapshot.findings("shacl")
        return "read and checked"
    return "read"


def _image(top: Path, made: Mutant, _: int) -> str:
    found = [look(top, file) for file in made.files]
    for each in found:
        if isinstance(each, RecordError) and (badly := _badly_told([str(each)])):
            raise WrongError(badly)
    return "refused" if isinstance(found[0], RecordError) else "read"


_STORE = ox.Store()


def _query(top: Path, _: Mutant, __: int) -> str:
    text = query_text(top / "query.rq")
    refuse(text)
    answer(_STORE, text)
    return "read"


_END = {
    "image": _image,
    "query": _query,
    **dict.fromkeys(("csv", "tsv", "xlsx", "parquet", "trig", "toml", "valley"), _collection),
}
