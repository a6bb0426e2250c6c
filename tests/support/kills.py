"""Commands ended in the midst of what they write, and what is then there.

Each trial runs a command of the program in a forked process and ends it: at a call that writes,
syncs, renames, makes or deletes (see `faults`), or at a random time. Then three things must hold:

- once opened, everything is as it was before, or as it is after; never between;
- the same command run again ends well (or says it was done) and leaves everything as it is after;
- nothing else is there: no file beside the collection or the output, none in the cache's folder,
  none in the folder for temporary files.
"""

import contextlib
import io
import os
import random
import shutil
import signal
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from importlib import import_module
from pathlib import Path

import click
import httpx2 as httpx

import shelf
from faults import Faults
from glost.answer.cache import FOLDER
from glost.reason.compiler import vocabulary_rules
from glost.record.transaction import Place, settle
from glost_cli.main import main

Tree = dict[str, bytes]

_LONGEST = 120.0
_CODES = (0, 1)


def tree(top: Path) -> Tree:
    """Return every file under a folder, hidden ones too."""
    found = (path for path in top.rglob("*") if path.is_file() or path.is_symlink())
    return {path.relative_to(top).as_posix(): path.read_bytes() for path in sorted(found)}


@dataclass
class Ran:
    """How a process ended: its code (None if killed), what it printed, calls counted, seconds.

    `modules` names what it had imported.
    """

    code: int | None
    told: str
    calls: int
    seconds: float
    modules: list[str]


def run(
    place: Path, work: Callable[[], object], at: int = 0, how: str = "", kill: float = 0.0
) -> Ran:
    """Run something in a forked process, whose temporary files go to a folder of their own.

    Parameters
    ----------
    place
        Where its output goes, and its temporary files.
    work
        What it does.
    at, how
        See `faults.Faults`; only counted if 0.
    kill
        Seconds after which it is ended; 0 for not at all.
    """
    out, calls = place / "out", place / "calls"
    (place / "tmp").mkdir(exist_ok=True)
    calls.unlink(missing_ok=True)
    out.write_text("")
    began = time.monotonic()
    sys.stdout.flush()
    pid = os.fork()
    if not pid:
        _child(place, work, Faults(at, how), out, calls)
    if kill:
        time.sleep(kill)
        with contextlib.suppress(ProcessLookupError):
            os.kill(pid, signal.SIGKILL)
    _, status = os.waitpid(pid, 0)
    code = os.waitstatus_to_exitcode(status)
    counted, *modules = (calls.read_text() if calls.exists() else "").split() or ["0"]
    told = out.read_text(errors="replace")
    seconds = time.monotonic() - began
    return Ran(None if code < 0 else code, told, int(counted), seconds, modules)


def _child(place: Path, work: Callable[[], object], faults: Faults, out: Path, calls: Path) -> None:
    code = 70
    try:
        handle = os.open(out, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        os.dup2(handle, 1)
        os.dup2(handle, 2)
        sys.stdout, sys.stderr = (io.TextIOWrapper(io.FileIO(n, "w", False)) for n in (1, 2))
        os.environ["TMPDIR"] = str(place / "tmp")
        own = place / "cache"  # there only where it is what is tried; else one for all trials
        os.environ[FOLDER] = str(own if own.is_dir() else place.parent / "cache")
        signal.alarm(int(_LONGEST))
        write = os.write
        faults.install()
        try:
            work()
            code = 0
        except SystemExit as end:
            code = int(end.code or 0)
        told = os.open(calls, os.O_WRONLY | os.O_CREAT, 0o600)
        write(told, " ".join([str(faults.count), *sys.modules]).encode())
    except BaseException as bad:
        with contextlib.suppress(Exception):
            click.echo(f"Traceback: {type(bad).__name__}: {bad}")
    finally:
        for stream in (sys.stdout, sys.stderr):
            with contextlib.suppress(Exception):
                stream.flush()
        os._exit(code)


def command(*words: str) -> Callable[[], object]:
    """Return what runs a command of the program."""

    def work() -> None:
        sys.argv = ["glost", *words]
        main()

    return work


@dataclass
class Scenario:
    """A command, what is there before it, and how to look at what it makes.

    Attributes
    ----------
    name
        What the table calls it.
    begin
        Makes what is there before it, in a new folder.
    work
        The command, given the folder.
    open
        What opens the same afterwards and so settles it, given the folder.
    look
        What is to be the same before or after, given the folder.
    again
        Whether running it once more on what is complete ends well, too.
    weight
        How many trials it gets beside the others.
    """

    name: str
    begin: Callable[[Path], object]
    work: Callable[[Path], Callable[[], object]]
    open: Callable[[Path], Callable[[], object]]
    look: Callable[[Path], object] = field(default=lambda place: tree(place / "files"))
    again: bool = True
    weight: int = 4


@dataclass
class Tally:
    """What came of the trials of a scenario."""

    calls: int = 0
    kinds: Counter[str] = field(default_factory=Counter)
    wrong: list[str] = field(default_factory=list)


def _files(place: Path) -> Path:
    (place / "files").mkdir(parents=True)
    return place / "files"


def _collection(place: Path) -> Path:
    return shelf.write(_files(place) / "shelf")


def _settled(*places: Callable[[Path], Place]) -> Callable[[Path], Callable[[], object]]:
    def opened(place: Path) -> Callable[[], object]:
        def work() -> None:
            for each in places:
                click.echo(settle(each(place)))

        return work

    return opened


def _correct(place: Path) -> Callable[[], object]:
    grounds = ("--reason", "misread", "--source", "p2", "--on", "2005-01-01", "--quiet")
    folder = str(place / "files" / "shelf")
    return command("correct", "b7-as-printed", "number=B17", *grounds, "-c", folder)


def _corrected(place: Path) -> None:
    row = "b7-as-printed,no such number,p2,2001-01-01,fix\n"
    heading = "withdraws,reason,source,recorded_on,claim\n"
    shelf.write(_files(place) / "shelf", corrections=heading + row)


def _undo(place: Path) -> Callable[[], object]:
    grounds = ("--reason", "another piece", "--source", "p1", "--on", "2005-01-01", "--quiet")
    return command("undo", "fix", *grounds, "-c", str(place / "files" / "shelf"))


def _publish(place: Path) -> Callable[[], object]:
    return command("publish", str(place / "files" / "site"), "-c", str(place / "files" / "shelf"))


def _published(place: Path) -> None:
    folder = _collection(place)
    command_or_fail(place, _publish(place))
    table = folder / "tables" / "pieces.csv"
    table.write_text(table.read_text().replace("stacking marks", "stilt marks"))


def command_or_fail(place: Path, work: Callable[[], object]) -> None:
    """Run a command that must end well."""
    done = run(place, work)
    if done.code:
        raise RuntimeError(done.told)


def _to_file(*words: str) -> Callable[[Path], Callable[[], object]]:
    def work(place: Path) -> Callable[[], object]:
        folder = place / "files" / "shelf"
        filled = [word.format(place=place / "files") for word in words]
        return command(*filled, "-c", str(folder))

    return work


def _with_old(name: str) -> Callable[[Path], object]:
    def begin(place: Path) -> None:
        _collection(place)
        (place / "files" / name).write_bytes(b"old")

    return begin


def _sheets(place: Path) -> Callable[[], object]:
    """Draw three sheets of which two are there already."""

    def work() -> None:
        from glost.publish.pictures.canvas import Canvas
        from glost.publish.pictures.picture import Drawing, PictureWords

        def drawn() -> Canvas:
            return Canvas(72, 72)

        picture = Drawing("Runs", PictureWords("none", ("a",), ()), (drawn, drawn, drawn))
        try:
            picture.write(place / "files" / "runs.svg")
        except OSError as bad:
            click.echo(f"Error: {bad}")
            sys.exit(1)

    return work


def _two_sheets(place: Path) -> None:
    for name in ("runs-1.svg", "runs-2.svg"):
        (_files(place) if name == "runs-1.svg" else place / "files").joinpath(name).write_bytes(
            b"old"
        )


def _drawing_place(place: Path) -> Place:
    return Place(place / "files", place / "files" / ".runs.svg.glost-change")


def _uncached(place: Path) -> None:
    _collection(place)
    (place / "cache").mkdir()


def _kept(place: Path) -> object:
    """Look at what is kept: which parts there are, and what lies beside them."""
    top = place / "cache"
    parts = sorted(path.name for path in top.glob("????????????????????????????????/*"))
    others = sorted(path.name for path in top.glob("*") if len(path.name) != 32)
    return set(parts) <= {"closure", "store"}, others, tree(place / "files")


def _together(place: Path) -> Callable[[], object]:
    files = place / "files"
    return command("together", str(files / "both"), str(files / "shelf"))


def _laid(place: Path) -> Place:
    return Place.within(place / "files" / "both")


def _begun(place: Path) -> Place:
    return Place.within(place / "files" / "new")


def scenarios(server: str = "") -> list[Scenario]:
    """Return what is tried; handing over only if there is a server, whose address is given."""
    begin = lambda p: command("begin", str(p / "files" / "new"), "--title", "Mine")  # noqa: E731
    site = lambda p: Place.beside(p / "files" / "site")  # noqa: E731
    shelf_place = lambda p: Place.within(p / "files" / "shelf")  # noqa: E731
    tables = lambda p: Place.within(p / "files" / "back")  # noqa: E731
    ask = _to_file("ask", "crossings")
    found = [
        Scenario("begin", _files, begin, _settled(_begun)),
        Scenario("together", _collection, _together, _settled(_laid), again=False),
        Scenario("correct", _collection, _correct, _to_file("tally"), again=False),
        Scenario("undo", _corrected, _undo, _to_file("tally"), again=False),
        Scenario(
            "export to a file",
            _with_old("whole.nq"),
            _to_file("export", "{place}/whole.nq"),
            _settled(shelf_place),
            _visible,
        ),
        Scenario(
            "export tables",
            _collection,
            _to_file("export", "{place}/back", "--as", "tables"),
            _settled(tables),
            again=False,
        ),
        Scenario(
            "draw -o",
            _with_old("runs.svg"),
            _to_file("draw", "runs", "-o", "{place}/runs.svg"),
            _settled(_drawing_place),
        ),
        Scenario("draw several", _two_sheets, _sheets, _settled(_drawing_place)),
        Scenario(
            "sheet -o",
            _with_old("alder.md"),
            _to_file("sheet", "shape/alder", "-o", "{place}/alder.md"),
            _settled(shelf_place),
            _visible,
        ),
        Scenario("cache", _uncached, ask, ask, _kept),
        Scenario("publish, new", _collection, _publish, _settled(site), weight=2),
        Scenario("publish, again", _published, _publish, _settled(site), weight=2),
    ]
    if server:
        found.append(_handover(server))
    return found


def _visible(place: Path) -> object:
    """Look at what has a name that is not hidden: the rest goes when it is written again."""
    return {name: data for name, data in tree(place / "files").items() if "/." not in f"/{name}"}


def _handover(server: str) -> Scenario:
    def begin(place: Path) -> None:
        _collection(place)
        media = {"content-type": "application/sparql-update"}
        httpx.post(f"{server}update", content="DROP ALL", headers=media, trust_env=False)

    def work(place: Path) -> Callable[[], object]:
        state = str(place / "files" / "state.json")
        words = ("handover", f"{server}update", "--query", f"{server}query", "--state", state)
        return command(*words, "--statements", "200", "-c", str(place / "files" / "shelf"))

    def opened(place: Path) -> Callable[[], object]:
        return lambda: None

    return Scenario(
        "handover", begin, work, opened, lambda place: _arrived(server, place), weight=3
    )


def _arrived(server: str, place: Path) -> object:
    """Look at what a store holds, and at the files: only all of it counts as after."""
    answer = httpx.get(f"{server}store", headers={"accept": "application/n-quads"}, trust_env=False)
    return sorted(answer.text.splitlines()), tree(place / "files")


def trials(
    scenario: Scenario,
    count: int,
    chance: random.Random,
    top: Path,
    tally: Tally,
    *,
    full: bool = False,
) -> Iterator[str]:
    """Try a scenario so many times, and yield a word on each trial.

    Half of them end at a call that is counted, each call in turn or by chance if there are more;
    the other half at a random time. With `full`, none is ended; each finds the disk full from some
    call on, and must end with one clear error, or do without what it could not write.
    """
    place = top / "place"
    before, after, usual = _reference(scenario, place)
    tally.calls = usual.calls
    calls = list(range(1, usual.calls + 1))
    chance.shuffle(calls)
    for number in range(count):
        _fresh(scenario, place)
        if full:
            at, what = calls[number % len(calls)], f"full at call {calls[number % len(calls)]}"
            ended = run(place, scenario.work(place), at, "full")
            tally.wrong += [f"{scenario.name}, {what}: {bad}" for bad in _unclear(ended)]
        elif number % 2:
            how, at = chance.choice(("kill", "half")), calls[(number // 2) % len(calls)]
            ended, what = run(place, scenario.work(place), at, how), f"{how} at call {at}"
        else:
            wait = chance.uniform(0.0, usual.seconds * 1.05)
            ended, what = run(place, scenario.work(place), kill=wait), f"killed after {wait:.3f} s"
        tally.kinds[f"ended with {ended.code}" if ended.code is not None else "killed"] += 1
        for wrong in _judged(scenario, place, before, after, tally):
            tally.wrong.append(f"{scenario.name}, {what}: {wrong}")
        yield what


def _unclear(ended: Ran) -> Iterator[str]:
    """Say what is not clear about how a command ended that found the disk full."""
    lines = ended.told.splitlines()
    if ended.code not in _CODES or "Traceback" in ended.told:
        yield f"it ended with {ended.code}: {ended.told[-400:]}"
    elif ended.code and not (len(lines) == 1 and "No space left on device" in lines[0]):
        yield f"its error is not one clear one: {ended.told[-400:]}"


def _reference(scenario: Scenario, place: Path) -> tuple[object, object, Ran]:
    """Run the command undisturbed: once to warm what is kept between commands, once to count."""
    for _ in range(2):
        _fresh(scenario, place)
        before = scenario.look(place)
        usual = run(place, scenario.work(place))
        if usual.code or not usual.calls:
            raise RuntimeError(f"{scenario.name}: {usual}")
        make_ready(usual.modules)
    return before, scenario.look(place), usual


def make_ready(modules: Iterable[str]) -> None:
    """Import what a command imports, and compile the vocabulary, so that no trial need do it.

    Nothing of this starts a thread, which would not survive the fork of a trial.
    """
    for name in modules:
        with contextlib.suppress(ImportError):
            import_module(name)
    vocabulary_rules()


def _fresh(scenario: Scenario, place: Path) -> None:
    shutil.rmtree(place, ignore_errors=True)
    place.mkdir(parents=True)
    scenario.begin(place)


def _judged(
    scenario: Scenario, place: Path, before: object, after: object, tally: Tally
) -> Iterator[str]:
    opened = run(place, scenario.open(place))
    if opened.code != 0:
        yield f"opening it ended with {opened.code}: {opened.told[-300:]}"
    stands = scenario.look(place)
    tally.kinds["before" if stands == before else "after" if stands == after else "between"] += 1
    if stands not in (before, after) and scenario.name != "handover":
        yield f"between: {_differing(stands, before, after)}"
    again = run(place, scenario.work(place))
    if again.code not in ((0,) if scenario.again or stands == before else _CODES):
        yield f"again, it ended with {again.code}: {again.told[-300:]}"
    if "Traceback" in opened.told + again.told:
        yield f"traceback: {opened.told[-200:]} {again.told[-300:]}"
    if scenario.look(place) != after:
        yield f"again, it is not as after: {_differing(scenario.look(place), after)}"
    left = [*tree(place / "tmp"), *(name for name in tree(place / "files") if "/." in f"/{name}")]
    for kept in (place / "cache", place.parent / "cache"):
        left += [path.name for path in (*kept.glob("aside-*"), *kept.glob("locks/aside-*"))]
    if left:
        yield f"left behind: {', '.join(left[:5])}"


def _differing(found: object, *others: object) -> str:
    if not isinstance(found, dict):
        return repr(found)[:300]
    parts = []
    for other in others:
        assert isinstance(other, dict)
        names = sorted(n for n in {*found, *other} if found.get(n) != other.get(n))
        parts.append(f"{len(names)} differ, such as {', '.join(names[:4])}")
    return "; ".join(parts)
