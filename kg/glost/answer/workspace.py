"""A workspace: a collection opened once, changed as one works, that says what each change does."""

import gc
import weakref
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, TypeAlias

import pyoxigraph as ox
from rdflib import URIRef
from rdflib.graph import ReadOnlyGraphAggregate
from rdflib.namespace import RDF

from glost.answer.background import build_ahead
from glost.answer.consequences import Consequences, Following, Moved, following, moved, said
from glost.answer.living.about import About
from glost.answer.living.breaches import Breaches, suspects
from glost.answer.living.called import WordedGraph
from glost.answer.living.closing import Closing
from glost.answer.living.found import Found
from glost.answer.living.passed import NotPatched, Passed
from glost.answer.living.timing import Timing, moves
from glost.answer.snapshot import Snapshot
from glost.collecting import undisturbed
from glost.data import vocabulary
from glost.findings import Finding
from glost.names import GLOST
from glost.reason.rules import Triple, reading_order
from glost.record.belief import Belief
from glost.record.changes import Change, changed
from glost.record.index import whole
from glost.record.patching import Corrections, Shift, foreseen, hand_over
from glost.record.record import Record
from glost.trade.times import Chronology
from glost.words.labels import Words

# What answers are asked with is imported when something is asked: it takes long.
if TYPE_CHECKING:
    from glost.answer.affected import Affected
    from glost.answer.answers import Answers
    from glost.answer.living.asking import Asking
    from glost.answer.living.judging import Judging
    from glost.answer.living.naming import KnownNow
    from glost.answer.questions import QuestionData

_Brought: TypeAlias = tuple[
    list[Triple],
    list[Triple],
    tuple[Finding, ...],
    tuple[Finding, ...],
    frozenset[str] | None,
]
"""What follows now, what no longer does, findings that are new, findings that are gone, and the
things of which the chronology was reckoned again; None for all."""

_DONE = object()
SMALL = 5_000
"""Of fewer claims than this the dataset is made whole for the first question, and kept."""


class Workspace:
    """A collection in memory, with all that is made of it, kept up to date change by change.

    Nothing is written: files are changed by `glost.record.correcting` and the like, and what was
    changed there is told here (`glost.record.changes.between`).

    Parameters
    ----------
    snapshot
        The collection as it is to begin with; it stays as it is.
    """

    def __init__(self, snapshot: Snapshot) -> None:
        # The collector of cycles need not look through what is there for as long as this is open.
        with undisturbed(lasting=True):
            self._first = snapshot.apart
            self._open(snapshot.apart)
        self._undone: list[Change] = []
        weakref.finalize(self, gc.unfreeze)

    def _open(self, snapshot: Snapshot) -> None:
        """Make everything anew."""
        self._made_ready = False
        self._asking: Asking | None = None
        self._unasked: Passed | None = None
        self._passed: Passed | None = None
        self._snapshot = snapshot
        self._corrections = Corrections(snapshot.record.claims)
        for name in ("_closing", "_timing", "naming"):
            self.__dict__.pop(name, None)
        self._about = About(snapshot.record, snapshot.belief)
        self._data = ReadOnlyGraphAggregate(
            [snapshot.belief.graph, self._about.graph, vocabulary()]
        )
        said = ReadOnlyGraphAggregate([snapshot.belief.graph, self._about.graph])
        self._breaches = Breaches(snapshot.breaches(said), snapshot.cache)
        self._found = Found(snapshot, self._about.graph, lambda: self._breaches.all)
        worded = snapshot.belief.worded
        assert isinstance(worded, ReadOnlyGraphAggregate)
        self._worded = WordedGraph(worded, self._found.called, self._found.apart)
        snapshot.__dict__["graph"] = self._worded
        snapshot.__dict__.pop("words", None)

    @classmethod
    def open(
        cls, path: Path, as_of: date | None = None, progress: Callable[[str], None] | None = None
    ) -> "Workspace":
        """Open a collection's folder.

        Raises
        ------
        glost.record.errors.RecordErrors
            If it cannot be read.
        """
        return cls(Snapshot(path, as_of, *([progress] if progress else [])))

    @cached_property
    def _closing(self) -> Closing:
        return Closing(self._snapshot.closure, self._snapshot.forms)

    @cached_property
    def _timing(self) -> Timing:
        timing = Timing(self._snapshot.chronology, self._snapshot.record.collection)
        self._snapshot.__dict__["chronology"] = timing.chronology
        return timing

    @cached_property
    def naming(self) -> "KnownNow":
        """What pieces are named by; it is kept up to date and may be kept beyond a change."""
        from glost.answer.living.naming import KnownNow

        return KnownNow(self._snapshot)

    def ready(self) -> None:
        """Make what only a change needs; the first one makes it else.

        It is made of the collection as it was opened, so before anything is patched.
        """
        for _ in self.readying():
            pass

    def readying(self) -> Iterator[bool]:
        """Do what `ready` does, a part at each step, for who has else to do.

        Yields
        ------
        bool
            Whether the next step may take longer than a thirtieth of a second.
        """
        if self._made_ready:
            return
        yield from self._in_steps(self.record.claims.completing())
        yield from self._in_steps(self._snapshot.belief.index.readying())
        yield from self._in_steps(self._about.readying())
        for make in (
            lambda: self._closing,
            lambda: self._closing.closure.ready(),
            lambda: self._timing,
            self._breaches.ready,
            self._found.look_outside,
            self._found.ready,
        ):
            if self._made_ready:
                return
            yield True
            with undisturbed(lasting=True):
                make()
        self._made_ready = True

    def _in_steps(self, steps: Iterator[None]) -> Iterator[bool]:
        done = False
        while not (done or self._made_ready):
            yield False
            with undisturbed(lasting=True):
                done = next(steps, _DONE) is _DONE

    @property
    def snapshot(self) -> Snapshot:
        """All that is made of the collection as it is now. It must not be kept beyond a change."""
        return self._snapshot

    @property
    def record(self) -> Record:
        """The record as it is now."""
        return self._snapshot.record

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Everything found wrong now; see `glost.answer.findings.find`."""
        return self._found.all

    @property
    def asked_store(self) -> ox.Store | None:
        """What questions were put to last, patched change by change; None if nothing was asked."""
        return None if self._asking is None else self._asking.store

    @property
    def judging(self) -> "Judging | None":
        """What is judged of lists, before the last change and after it; None if nobody asked."""
        return None if self._asking is None else self._asking.judging

    @property
    def answers(self) -> "Answers":
        """What free queries are put to as things stand; made anew after each change."""
        if not self._undone:  # as it was opened, so what is kept holds of it
            self._snapshot.__dict__["cache"] = self._first.cache
        return self._snapshot.answers

    def asked(self, name: str) -> "QuestionData":
        """Return what a named question is put to as things stand; it must not outlive a change.

        Of a small collection, or one whose dataset is kept, that is the dataset until anything has
        changed. Else it is made of the collection without what is judged of lists, which takes a
        tenth of the time, and patched from then on; what is judged is made where it is asked for.
        """
        if self._asking is not None and self._unasked is not None:
            self._follow(self._unasked)
        cache = self._first.cache
        built = cache is not None and cache.has("store")
        small = len(self.record.claims) < SMALL
        if self._asking is None and not self._undone and (built or small):
            data = self.answers.asked
            if cache is not None and not built:  # it took long: not to be done again after a change
                self.ready_to_ask()
            return data
        if self._asking is None:
            with undisturbed(lasting=True):
                now = Snapshot.of(replace(self.record, _beliefs={}), self._first.as_of)
                now.__dict__["chronology"] = self._snapshot.chronology
                self._asking = _asking(now, kept=False)
        self._unasked = None
        return self._asking.data(name) or self.answers.asked

    def ready_to_ask(self) -> None:
        """Make what questions are put to after a change, if the dataset is kept.

        If not, a large one begins to be built, in a process of its own.
        """
        first = self._first
        if first.cache is None or self._asking is not None or self._undone:
            return
        if first.cache.has("store"):
            first.__dict__.setdefault("chronology", self._snapshot.chronology)
            with undisturbed(lasting=True):
                self._asking = _asking(first, kept=True)
            self._unasked = None
        else:
            build_ahead(first)

    def _follow(self, passed: Passed) -> None:
        """Take a change in to what questions are put to, of which nobody asked what it answers."""
        assert self._asking is not None
        try:
            self._asking.follow(passed)
        except NotPatched:
            self._asking = None

    @contextmanager
    def trying(self, change: Change) -> Iterator[Consequences]:
        """Make a change, and take it back in the end.

        Raises
        ------
        KeyError
            As `apply` does.
        """
        found = self.apply(change)
        try:
            yield found
        finally:
            # What nobody asked about, questions need not be told of only to be told again.
            skipped, self._unasked = self._unasked, None
            self.undo()
            if skipped is not None:
                self._unasked = None

    def apply(self, change: Change) -> Consequences:
        """Make a change and say what it brings about.

        Parameters
        ----------
        change
            The claims that come and go.

        Returns
        -------
        Consequences
            All but its answers are worked out; those are when they are asked for.

        Raises
        ------
        KeyError
            If a claim that is to be removed is not there; nothing is then changed.
        """
        back = self._back(change)
        found = self._made(change)
        self._undone.append(back)
        return found

    def undo(self) -> Consequences:
        """Take the last change back that was not taken back, so that all is as before it.

        Raises
        ------
        IndexError
            If there is none.
        """
        return self._made(self._undone.pop())

    def _back(self, change: Change) -> Change:
        """Return the change that undoes a change."""
        claims = self.record.claims
        back = {}
        for iri in change.removed:
            claim = claims.at(iri)
            if claim is None:
                raise KeyError(f"there is no claim {iri}, so it cannot be removed")
            back[iri] = claim
        new = []
        for each in change.added:
            claim = claims.at(each.iri)
            if claim is None:
                new.append(each.iri)
            else:
                back[each.iri] = claim
        return Change(tuple(back[iri] for iri in sorted(back)), tuple(sorted(new)), self.record)

    def _made(self, change: Change) -> Consequences:
        self.ready()
        before, record = self._snapshot, changed(self.record, change)
        if self._unasked is not None and self._asking is not None:
            self._follow(self._unasked)
        self._unasked = self._passed = None
        belief, shift = foreseen(before.belief, change, record.claims, self._corrections)
        called = _called(shift, before)
        withdrawn = said(shift.gone, called)
        times = before.chronology
        falling = {each: _proved(each, before) for each in self._closing.falling(shift)}
        if record.collection == self.record.collection and record.schemes == self.record.schemes:
            follows, falls, new, gone, things = self._patched(record, belief, shift)
        else:
            follows, falls, new, gone, things = self._anew(record)
            falling = {each: _proved(each, before) for each in falls}
        shifted = _moves(times, self._snapshot, things)
        follows = sorted((t for t in follows if t not in shift.unstated), key=reading_order)
        falls = sorted((t for t in falls if t not in shift.stated), key=reading_order)
        statements = [*shift.statements, *follows, *falls]
        return Consequences(
            added=said(shift.new, self._snapshot.words),
            withdrawn=withdrawn,
            follows=tuple(_proved(each, self._snapshot) for each in follows),
            falls=tuple(falling[each] for each in falls if each in falling),
            moved=shifted,
            new=new,
            gone=gone,
            stale=_stale(statements, shifted, (*new, *gone), record.base),
            called=called,
            _asked=self._answering(before.record, record, shift),
        )

    def _patched(self, record: Record, belief: Belief, shift: Shift) -> _Brought:
        """Make a change part by part, each by what it touches."""
        before = self._snapshot
        old = [c for iri in shift.touched if (c := before.record.claims.at(iri)) is not None]
        new = [c for iri in shift.touched if (c := record.claims.at(iri)) is not None]
        beliefs = before.belief, belief
        come, go = self._about.changing(old, new, beliefs, shift)
        suspected = suspects(self._data, (*shift.unstated, *go))
        self._about.change(old, new, beliefs, shift)
        hand_over(before.belief, belief, shift)
        suspected |= suspects(self._data, (*shift.stated, *come))
        follows, falls = self._closing.change(shift, belief)
        record._beliefs[before.as_of] = belief
        self._snapshot = snapshot = Snapshot.of(record, before.as_of)
        snapshot.__dict__.update(
            closure=self._closing.closure, forms=self._closing.forms, graph=self._worded
        )
        things = self._timing.change(shift, belief)
        snapshot.__dict__["chronology"] = self._timing.chronology
        broken, mended = self._breaches.revise(self._data, suspected)
        claims = ((URIRef(iri), RDF.type, GLOST.Claim) for iri in shift.touched)
        found = self._found.revise(
            snapshot,
            (*shift.statements, *come, *go, *claims),
            new=broken,
            gone=mended,
            things=things,
        )
        if "words" in vars(before):  # what things are called stays, but of those renamed
            told = {URIRef(whole(t[0])) for t in (*shift.statements, *come, *go)}
            snapshot.words.take_over(before.words, self._found.renamed | told)
        if "naming" in vars(self):
            self.naming.revise(snapshot, shift.statements)
        self._passed = self._unasked = Passed(
            before,
            snapshot,
            shift,
            come,
            go,
            follows,
            falls,
            self._closing.given,
            self._closing.taken,
            things,
            frozenset(self._found.renamed),
        )
        return follows, falls, *found, things

    def _anew(self, record: Record) -> _Brought:
        """Make everything anew, where what a cell means may have changed."""
        known, was = set(self._snapshot.closure.inferred), self.findings
        self._open(Snapshot.of(record, self._snapshot.as_of))
        now, found = set(self._snapshot.closure.inferred), self.findings
        return list(now - known), list(known - now), _apart(found, was), _apart(was, found), None

    def _answering(
        self, before: Record, after: Record, shift: Shift
    ) -> Callable[[bool], "Iterator[Affected]"]:
        """Return what puts the questions that a change may answer otherwise, when it is asked."""
        passed = self._passed

        def asked(judged: bool) -> "Iterator[Affected]":
            from glost.answer.affected import compare, put

            if passed is not None and passed is self._unasked:
                asking = self._ready(passed)
                try:
                    self._unasked = None
                    yield from asking.coming(passed, shift.claims, judged=judged)
                    return
                except NotPatched:
                    self._asking = None
            was, now = (self._anew_of(each) for each in (before, after))
            yield from compare(put(was, shift.claims, shift.gone), now)

        return asked

    def _ready(self, passed: Passed) -> "Asking":
        """Return what questions are put to, as it is before a change."""
        if self._asking is None:
            first = self._first
            if passed.before.record.claims is not first.record.claims:
                first = Snapshot.of(replace(passed.before.record, _beliefs={}), first.as_of)
            first.__dict__.setdefault("chronology", passed.before.chronology)
            kept = first.cache is not None and first.cache.has("store")
            with undisturbed(lasting=True):
                self._asking = _asking(first, kept=kept)
        return self._asking

    def _anew_of(self, record: Record) -> "Answers":
        return Snapshot.of(replace(record, _beliefs={}), self._snapshot.as_of).answers


def _asking(snapshot: Snapshot, *, kept: bool) -> "Asking":
    from glost.answer.living.asking import Asking

    return Asking(snapshot, kept=kept)


def _called(shift: Shift, snapshot: Snapshot) -> Words:
    """Keep what the things that a change speaks of were called before it."""
    terms = {term for triple in shift.statements for term in triple if isinstance(term, URIRef)}
    words = Words(snapshot.graph)
    known = {str(term): words.label(term) for term in terms}
    return Words(snapshot.graph, known)


def _proved(triple: Triple, snapshot: Snapshot) -> Following:
    return following(triple, snapshot.closure.why(triple), snapshot.belief, snapshot.words)


def _moves(
    before: Chronology, snapshot: Snapshot, things: frozenset[str] | None
) -> tuple[Moved, ...]:
    """Tell every point of some things, or of all, that is bounded otherwise than before."""
    times = snapshot.chronology
    if things is None:
        points = (*before.points(), *times.points())
        things = frozenset(str(point).partition("#")[0] for point in points)
    return tuple(
        moved(point, was, times, snapshot.words) for point, was in moves(before, times, things)
    )


def _apart(some: Iterable[Finding], others: Iterable[Finding]) -> tuple[Finding, ...]:
    known = set(others)
    return tuple(finding for finding in some if finding not in known)


def _stale(
    statements: Iterable[Triple], moves: Iterable[Moved], findings: Iterable[Finding], base: str
) -> tuple[str, ...]:
    """Name the things of which a page or a picture may show what is no longer so."""
    terms = {str(term) for s, _, o in statements for term in (s, o) if isinstance(term, URIRef)}
    terms |= {str(each.point) for each in moves}
    terms |= {about for each in findings for about in each.about}
    return tuple(sorted({term.partition("#")[0] for term in terms if term.startswith(base)}))
