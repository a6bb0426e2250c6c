"""The collection that lies on the desk: what its files say now, and what follows from it."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar
from urllib.parse import quote, unquote

from rdflib import URIRef

from glost.answer.alike import Meetings
from glost.answer.answers import Answers
from glost.answer.consequences import Consequences
from glost.answer.earlier import keep_ahead
from glost.answer.living.breaches import reading
from glost.answer.questions import Answer, question
from glost.answer.remarks import Remark, remarks
from glost.answer.snapshot import Snapshot
from glost.answer.workspace import SMALL, Workspace
from glost.findings import Finding
from glost.names import GLOST, SCHEMES
from glost.record.changes import Change, between
from glost.record.claims import Claim, Passage
from glost.record.files import stamp
from glost.record.images import ImageFile, look
from glost.record.provenance import keeper_base, passage_iri
from glost.record.record import Record, read
from glost.record.sequence import ClaimSequence
from glost.record.spelling import id_of
from glost.report.things.basis import Living, place
from glost.report.things.said import Said
from glost.trade.naming.known import Known
from glost.words.labels import kind_of, label, told_by_claims
from glost.words.lookup import Names, gathering, names_after, names_of

if TYPE_CHECKING:
    import subprocess

Told = TypeVar("Told")

_GATHERED = ("claims", "in_order", "_apart", "findings_about", "_worked")
"""What a `Living` gathers once and keeps as plain values."""
_FEW = 200
"""After a change of no more claims than this what things are called is patched, not gathered."""
_AT_ONCE, _SHORT, _LONG = 0.0, 0.25, 3.0
"""Seconds without a request before a part is made ready that takes less than a thirtieth of one,
less than one, or several."""
_DAYS = 2
"""Earlier days that are kept open."""


class State:
    """A collection as it is at one time, and how it is shown.

    Parameters
    ----------
    snapshot
        The collection.
    findings
        What disagrees in it; None to look only for what is in dispute about things.
    workspace
        What keeps up to date what pieces are named by and what questions are put to; None for a
        day of which nothing changes.
    """

    def __init__(
        self,
        snapshot: Snapshot,
        findings: tuple[Finding, ...] | None,
        workspace: Workspace | None = None,
    ) -> None:
        self.snapshot = snapshot
        self._workspace = workspace
        self.basis = Living(snapshot, findings)
        self.as_of = snapshot.as_of

    @property
    def record(self) -> Record:
        """The record."""
        return self.snapshot.record

    @property
    def base(self) -> str:
        """Its base IRI."""
        return self.snapshot.record.base

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What disagrees."""
        return self.basis.findings

    @cached_property
    def known(self) -> ClaimSequence:
        """Every claim known on the day, withdrawn ones too."""
        return self.basis.known

    @property
    def count(self) -> int:
        """How many claims are known."""
        return len(self.known)

    @property
    def names(self) -> Names:
        """What things are called."""
        return self.snapshot.names

    @cached_property
    def said(self) -> Said:
        """What words statements."""
        return Said(self.basis)

    @cached_property
    def naming(self) -> Known:
        """What pieces are named by."""
        if self._workspace is not None:
            return self._workspace.naming
        return Known(self.snapshot.belief, self.snapshot.words)

    def ask(self, name: str, given: Mapping[str, str]) -> Answer:
        """Put a named question."""
        if self._workspace is None:
            return self.snapshot.answers.ask(name, **given)
        return question(name).ask(self._workspace.asked(name), **given)

    @property
    def answers(self) -> Answers:
        """What free queries are put to."""
        return self.snapshot.answers if self._workspace is None else self._workspace.answers

    def iri(self, kind: str, name: str) -> URIRef:
        """Name a thing by kind and id."""
        return URIRef(f"{self.base}{kind}/{quote(name, safe='')}")

    @cached_property
    def kept(self) -> Mapping[str, tuple[str, ...]]:
        """The things of other keepers that are read together with this collection, by kind."""
        members = tuple(each.collection.base for each in self.record.collection.members)
        found: dict[str, list[str]] = {}
        for iri in sorted(self.basis.things()) if members else ():
            kind = id_of(iri).partition("/")[0]
            if iri.startswith(members) and kind in self.record.ids:
                found.setdefault(kind, []).append(iri)
        return {kind: tuple(iris) for kind, iris in found.items()}

    def claim(self, name: str) -> Claim | None:
        """Find a claim by id, or by keeper and id, as it is on the day."""
        keeper, colon, rest = name.rpartition(":")
        found = self.basis.claim(self.placed(f"{keeper}{colon}claim/{rest}"))
        if found is None and (other := self.record.claim(name)) is not None:
            found = self.basis.claim(str(other.iri))
        return found

    def placed(self, place: str) -> str:
        """Return the IRI of a place on the desk: ``shape/alder``, ``valley:shape/alder``."""
        iri = self.record.collection.named(place)
        return iri if iri != place else f"{self.base}{place}"

    def thing(self, place: str) -> URIRef | None:
        """Find a thing by kind and id, or kind and the last part of its IRI; None if none is so."""
        elsewhere = self.placed(place)
        if not elsewhere.startswith(self.base):
            named = unquote(elsewhere)
            return next((URIRef(i) for i in self.basis.things() if unquote(i) == named), None)
        kind, _, name = place.partition("/")
        for iri in (URIRef(f"{self.base}{place}"), self.iri(kind, name)):
            if self.basis.about(str(iri)):
                return iri
        if name in self.record.ids.get(kind, ()):
            return self.iri(kind, name)
        plain = unquote(place)
        # An address may come with what an IRI escapes no longer escaped.
        there = (i for i in self.basis.things() if unquote(i.removeprefix(self.base)) == plain)
        return next(map(URIRef, there), None)

    def called(self, iri: str) -> str:
        """Return what a thing is called."""
        return label(URIRef(iri), self.snapshot.words)

    def found(self, iri: str) -> str:
        """Return what a thing among the names is called, without looking it up anew."""
        kind = kind_of(URIRef(iri))
        known = kind != "claim" and not told_by_claims(kind)
        return (known and self.names.label(iri)) or self.called(iri)

    def link(self, iri: str) -> str | None:
        """Return where a thing leads on the desk; None if nowhere."""
        members = self.record.collection.members
        keeper = next((m for m in members if iri.startswith(m.collection.base)), None)
        if keeper is None and not iri.startswith(self.base):
            outside = iri.startswith(("http://", "https://"))
            return None if not outside or iri.startswith((str(GLOST), str(SCHEMES))) else iri
        base, before = self.base, ""
        if keeper is not None:
            base, before = keeper.collection.base, f"{keeper.name}:"
        kind, slash, name = iri.removeprefix(base).partition("#")[0].partition("/")
        if not slash or not name:
            return None
        day = f"?as_of={self.as_of.isoformat()}" if self.as_of else ""
        if kind == "findings":
            return f"/conflicts{day}{'&' if day else '?'}finding={quote(name)}#{quote(name)}"
        if kind == "passage":
            return f"/passage/{before}{name}"
        if kind == "claim":
            return f"/claim/{before}{name}{day}"
        there = kind in self.record.ids or bool(self.basis.about(iri.partition("#")[0]))
        return f"/thing/{before}{kind}/{quote(name)}{day}" if there else None

    def same_as(self, other: "State") -> None:
        """Take over what was gathered of the same collection, in objects of before a change.

        A change that was taken back leaves everything as it was, but what looks things up in the
        closure and the graphs must look in those of now.
        """
        gathered = vars(other.basis)
        vars(self.basis).update({name: gathered[name] for name in _GATHERED if name in gathered})
        for name in ("resting", "pictures"):
            if name in vars(other):
                vars(self)[name] = vars(other)[name]
        self.record.made.update(other.record.made)

    @cached_property
    def remarks(self) -> tuple[Remark, ...]:
        """What was noted of claims that are left open or doubted."""
        return remarks(self.snapshot.belief)

    def noted_on(self, claim: str | URIRef) -> list[Remark]:
        """Return what was noted of a claim, alone or with others."""
        return [each for each in self.remarks if str(claim) in each.on]

    # -- page images -----------------------------------------------------------------------------

    def passage(self, iri: str) -> Passage | None:
        """Find a passage that names a place and that a claim rests on, by its IRI."""
        source = iri.rpartition("/")[2].rpartition(".")[0]
        for claim in self.known.resting_on_named(source):
            if str(passage_iri(keeper_base(claim), claim.passage)) == iri:
                return claim.passage
        return None

    @cached_property
    def resting(self) -> Mapping[Passage, tuple[Claim, ...]]:
        """Of each passage that names a region, the claims that rest on it, by file and row."""
        found: dict[Passage, list[Claim]] = {}
        for claim in sorted(self.known.with_region(), key=place):
            found.setdefault(claim.passage, []).append(claim)
        return {passage: tuple(claims) for passage, claims in found.items()}

    @cached_property
    def pictures(self) -> Mapping[str, tuple[str, ...]]:
        """Of each image file, ``images/p7.png``, the IRIs of the things it is an image of."""
        found: dict[str, set[str]] = {}
        told = self.snapshot.belief.table(frozenset({str(GLOST.image)})).of[str(GLOST.image)]
        for thing, value in told.select("subject", "object").iter_rows():
            file = f"images/{self._kept_by(value)}{value.rsplit('/images/', 1)[-1]}"
            found.setdefault(file, set()).add(thing)
        shown = f"{self.base}public-statement/"

        def order(thing: str) -> tuple[bool, str]:
            return thing.startswith(shown), thing  # what was said of it comes last

        return {file: tuple(sorted(of, key=order)) for file, of in sorted(found.items())}

    def _kept_by(self, iri: str) -> str:
        """Return what stands before the name of another keeper's image."""
        for each in self.record.collection.members:
            if iri.startswith(each.collection.base):
                return f"{each.name}:images/"
        return ""

    def image(self, file: str) -> ImageFile | None:
        """Look at an image file of the collection; None if it is none that can be shown."""
        keeper, own = self.record.collection.keeper(file.removeprefix("images/"))
        found = look(keeper.path, own) if keeper else look(self.record.collection.path, file)
        return found if isinstance(found, ImageFile) else None

    def image_of(self, passage: Passage) -> str:
        """Return the image file that a passage's region is of; empty if that cannot be told."""
        named, _, fragment = passage.region.rpartition("#")
        if "xywh=" not in fragment:
            return ""
        own = [f for f, things in self.pictures.items() if str(passage.source) in things]
        if named:
            return f"images/{self._kept_by(str(passage.source))}{named}"
        return own[0] if len(own) == 1 else ""


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
        if kept:
            _ = workspace.snapshot.names
        for _ in pages:
            yield _AT_ONCE
        for longer in workspace.readying():
            yield _SHORT if longer else _AT_ONCE
        for _ in reading():
            yield _AT_ONCE
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


def by_kind(things: Iterable[str]) -> dict[str, list[str]]:
    """Part IRIs of things by their kind."""
    found: dict[str, list[str]] = {}
    for iri in sorted(things):
        found.setdefault(id_of(iri).partition("/")[0], []).append(iri)
    return found
