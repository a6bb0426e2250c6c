"""The collection that lies on the desk: what its files say now, and what follows from it."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from glost.answer.alike import Meetings
from glost.answer.consequences import Consequences
from glost.answer.earlier import keep_ahead
from glost.answer.living.breaches import reading
from glost.answer.snapshot import Snapshot
from glost.answer.workspace import SMALL, Workspace
from glost.desk.state import State
from glost.record.changes import Change, between
from glost.record.files import stamp
from glost.record.record import Record, read
from glost.words.lookup import gathering, names_after, names_of

if TYPE_CHECKING:
    import subprocess

Told = TypeVar("Told")

_FEW = 200
"""After a change of no more claims than this what things are called is patched, not gathered."""
_AT_ONCE, _SHORT, _LONG = 0.0, 0.25, 3.0
"""Seconds without a request before a part is made ready that takes less than a thirtieth of one,
less than one, or several."""
_DAYS = 2
"""Earlier days that are kept open."""


@dataclass
class UndoableStep:
    """Something that was done at the desk, and can be undone.

    Attributes
    ----------
    what
        What it did, in words.
    correction
        Id of the correction; empty if rows were entered.
    entered
        Ids of the claims that were entered.
    taken
        The rows that were taken out, by table.
    links
        Addresses of what it is about, each with its words.
    """

    what: str
    correction: str = ""
    entered: tuple[str, ...] = ()
    taken: Mapping[str, tuple[dict[str, str], ...]] = field(default_factory=dict)
    links: tuple[tuple[str, str], ...] = field(default=())


class Opened:
    """A collection open on the desk, kept up to date with its files.

    Everything here is to be called from one thread.

    Parameters
    ----------
    folder
        The collection's folder.

    Attributes
    ----------
    steps
        What was done at this sitting and not undone, the last one last.
    by
        Who records, as given last.
    rows
        The rows entered at this sitting, by table.
    later
        Pairs that may be one and were put off at this sitting.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.steps: list[UndoableStep] = []
        self.by = ""
        self.meetings = Meetings()
        self.rows: dict[str, list[dict[str, str]]] = {}
        self._workspace: Workspace | None = None
        self._stamp: object = None
        self._state: State | None = None
        self._days: dict[date, State] = {}

    @property
    def workspace(self) -> Workspace:
        """What the files say now, opened or read again if they have changed.

        Raises
        ------
        glost.record.errors.RecordErrors
            If they cannot be read.
        """
        seen = stamp(self.folder)
        if self._workspace is None:
            self._workspace = Workspace.open(self.folder)
            self._became(seen)
        elif seen != self._stamp:
            self._follow(read(self.folder), seen)
        return self._workspace

    def state(self, as_of: date | None = None) -> State:
        """Return the collection as it is now, or as it was believed to be on a day."""
        workspace = self.workspace
        if as_of is not None:
            if as_of not in self._days:
                while len(self._days) >= _DAYS:
                    self._days.pop(next(iter(self._days)))
                self._days[as_of] = State(Snapshot.of(workspace.record, as_of), None)
            return self._days[as_of]
        if self._state is None:
            self._state = State(workspace.snapshot, workspace.findings, workspace)
        return self._state

    def readying(self, pages: Iterable[None] = ()) -> Iterator[float]:
        """Make what the first look and the first change would have to make, a part at each step.

        Between two steps a page may be asked for, so that nobody waits for what comes after.

        Parameters
        ----------
        pages
            What makes pages ready, a part at each step.

        Yields
        ------
        float
            For how many seconds nothing should have been asked before the next step is taken: the
            longer the step may be.
        """
        if self._workspace is None:
            return
        workspace = self._workspace
        kept = workspace.snapshot.names_kept
        if kept:  # what is only read, and takes a fifth of a second, comes before anybody types
            _ = workspace.snapshot.names
            yield _AT_ONCE
            _ = workspace.snapshot.closure
        for _ in pages:
            yield _AT_ONCE
        for _ in reading():
            yield _AT_ONCE
        for longer in workspace.readying():
            yield _SHORT if longer else _AT_ONCE
        yield _SHORT
        for _ in workspace.snapshot.chronology.readying():
            yield _SHORT
        if not kept:
            for _ in gathering(workspace.record):
                yield _SHORT
        yield _SHORT
        import glost.publish.pictures.kinds.runs  # noqa: F401 - what draws takes long to import

        for _ in workspace.naming.readying():
            yield _SHORT
        if not kept:
            yield _LONG
            workspace.snapshot.keep_names()
        yield _LONG
        workspace.ready_to_ask()

    def trying(self, change: Change, told: Callable[[Consequences, Snapshot], Told]) -> Told:
        """Make a change, have told what it brings about, and take it back.

        Parameters
        ----------
        change
            The change.
        told
            Given what it brings about and the collection with it; gives what is returned.
        """
        before, workspace = self.state(), self.workspace
        try:
            with workspace.trying(change) as found:
                return told(found, workspace.snapshot)
        finally:
            self._state = State(workspace.snapshot, before.findings, workspace)
            self._state.same_as(before)

    def made(self, record: Record, step: UndoableStep | None = None) -> None:
        """Take up a record that was just written, and remember what was done."""
        self._follow(record, stamp(self.folder))
        if step is not None:
            self.steps.append(step)

    def left(self) -> "subprocess.Popen[bytes] | None":
        """Begin to make ready, if that takes long, what the next opening needs and is not kept.

        Returns
        -------
        subprocess.Popen or None
            The process, which goes on when this one ends.
        """
        if self._workspace is None or len(self._workspace.record.claims) < SMALL:
            return None
        now = Snapshot(self.folder)
        return None if now.names_kept else keep_ahead(now)

    def _follow(self, record: Record, seen: object) -> None:
        assert self._workspace is not None
        before = self._workspace.record
        if record.collection != before.collection:
            self._workspace = Workspace(Snapshot.of(record))
        else:
            # Even where no claim differs the record does: it knows of what state of the files.
            if "gathering" in before.made:
                names_of(before)  # what is half gathered cannot be patched
            change = between(before, record)
            old = [c for iri in change.removed if (c := before.claims.at(iri)) is not None]
            self._workspace.apply(change)
            if "names" in before.made and len(old) + len(change.added) <= _FEW:
                changed = (*old, *change.added)
                names_after(names_of(before), self._workspace.record, changed)
        self._became(seen)

    def _became(self, seen: object) -> None:
        self._stamp, self._state = seen, None
        self._days.clear()
