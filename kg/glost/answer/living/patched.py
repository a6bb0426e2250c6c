"""The store that questions are put to, patched by what a change touches, and turned back again.

Of each graph only those statements are put in and taken out that a change brings and takes, and
what is reckoned is reckoned again of the things alone that it bears on. Who was first, last and
alone to have a form is judged of the forms alone that a change touches
(`glost.answer.living.judging`), and stands in the store only while it is asked for.
"""

import shutil
import tempfile
import weakref
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from functools import lru_cache
from itertools import chain
from pathlib import Path

import pyoxigraph as ox
from rdflib import BNode, URIRef
from rdflib.namespace import PROV, RDF, RDFS, SKOS

from glost.answer.answers import Answers, gather
from glost.answer.dataset import VOCABULARY, said_by
from glost.answer.evidence import DERIVED
from glost.answer.living.judging import Judging
from glost.answer.living.passed import NotPatched, Passed
from glost.answer.living.timing import POINTS
from glost.answer.named import named
from glost.answer.snapshot import Snapshot
from glost.answer.store import store
from glost.answer.times import bounded, lapsed, outlying
from glost.answer.years import reckon as years
from glost.names import DATED, GLOST
from glost.reason.closure import Closure
from glost.reason.rules import Triple
from glost.record.claims import Claim
from glost.record.patching import Shift
from glost.record.terms import quad
from glost.trade.kilns.measures import numbers
from glost.trade.kilns.zones import reckon as zones
from glost.trade.times import Chronology
from glost.trade.times.pieced import Pieced

BOUNDS = (GLOST.notBefore, GLOST.notAfter, GLOST.notBeforeYear, GLOST.notAfterYear,
          GLOST.inDispute)  # fmt: skip
"""The properties of the bounds of a point in time."""
_IN_MEMORY = 50_000
"""The store for a collection of more claims lies on disk: in memory a claim takes 40 kB of it."""
_YEARS = (GLOST.earliestYear, GLOST.latestYear)
_NAMES = (SKOS.prefLabel, RDFS.label)
OF_LISTS = (GLOST.followsAssortment, GLOST.judges, GLOST.judgedForm, GLOST.judgedShape,
            GLOST.judgedAmong, GLOST.byList, GLOST.verdict, GLOST.because, GLOST.deciding,
            GLOST.disputed, GLOST.says, PROV.wasDerivedFrom, PROV.hadMember)  # fmt: skip
"""The properties of what is judged of lists, and of which list follows which."""
_MAPPINGS = (SKOS.exactMatch, SKOS.closeMatch, SKOS.broadMatch, SKOS.narrowMatch,
             SKOS.relatedMatch)  # fmt: skip
_TELLING_HOME = (GLOST.treatmentNumber, GLOST.homeShape, GLOST.issuedBy)
_SCHEME_TABLES = ("code_schemes", "code_parts")


@dataclass
class StoreDelta:
    """Statements that come into the store and go out of it."""

    came: set[ox.Quad] = field(default_factory=set)
    gone: set[ox.Quad] = field(default_factory=set)

    def make(self, store: ox.Store) -> None:
        for each in self.gone:
            store.remove(each)
        store.extend(self.came)

    def take_back(self, store: ox.Store) -> None:
        for each in self.came:
            store.remove(each)
        store.extend(self.gone)


@dataclass(frozen=True)
class AskedState:
    """A collection as questions see it at one time, beside the store.

    Attributes
    ----------
    snapshot
        The collection.
    homes
        What the home of each treatment rests on that only its number tells.
    mappings
        What each relation to what an authority lists rests on.
    """

    snapshot: Snapshot
    homes: Mapping[Triple, tuple[Triple, ...]]
    mappings: Mapping[Triple, tuple[Triple, ...]]
    _claims: dict[str, Claim | None] = field(default_factory=dict, repr=False)
    _believed: dict[str, bool] = field(default_factory=dict, repr=False)

    def claim(self, iri: str) -> Claim | None:
        """Return a claim by its IRI; None if there is none."""
        if iri not in self._claims:
            self._claims[iri] = self.snapshot.record.claims.at(iri)
        return self._claims[iri]

    def believes(self, iri: str) -> bool:
        """Say whether a claim is believed."""
        if iri not in self._believed:
            self._believed[iri] = self.snapshot.belief.claims.at(iri) is not None
        return self._believed[iri]


class PatchedStore:
    """The store that questions about a collection are put to, kept up to date.

    Parameters
    ----------
    snapshot
        The collection, with a closure of its own.
    kept
        Whether its store is kept, with all that is judged.

    Attributes
    ----------
    base
        The collection's base IRI.
    store
        The store.
    now, newest
        The collection as the store has it, which may be turned back, and as the last change left
        it.
    judging
        What is judged of lists; None until somebody asks for it.
    """

    def __init__(self, snapshot: Snapshot, *, kept: bool) -> None:
        self.base = snapshot.record.base
        self.now = AskedState(snapshot, snapshot.homes_by_number, snapshot.mappings)
        self.newest = snapshot
        self.judging: Judging | None = None
        self._reckoned = URIRef(f"{self.base}reckoned")
        self._own: Closure = snapshot.closure
        self._turned: list[tuple[tuple[Triple, ...], tuple[Triple, ...]]] = []
        self._shown: set[ox.Quad] = set()
        self.store = _copied(self, snapshot.answers) if kept else _made(self, snapshot)
        self._full = kept  # what was judged when it was kept stands there until it is judged anew

    def change(self, passed: Passed) -> "Turn":
        """Take a change in, but for who was first, last and alone (see `judge`).

        Raises
        ------
        NotPatched
            If the store must be made anew.
        """
        before = self.now
        deltas = self._change(passed)
        return Turn(self, passed, (before, self.now), deltas)

    def turn(self, given: tuple[Triple, ...], taken: tuple[Triple, ...]) -> None:
        """Let facts come into the closure and leave it, once anybody asks it why."""
        if self._turned and self._turned[-1] == (taken, given):
            self._turned.pop()  # it is turned back before it was turned
        else:
            self._turned.append((given, taken))

    @property
    def closure(self) -> Closure:
        """What follows from the collection as the store has it."""
        for given, taken in self._turned:
            self._own.revise(given, taken)
        self._turned.clear()
        return self._own

    def of(
        self, subject: URIRef | None, verb: URIRef, value: URIRef | None, name: URIRef | None = None
    ) -> Iterator[ox.Quad]:
        """Yield statements of a graph of the store; None is the default graph."""
        given = [None if each is None else ox.NamedNode(str(each)) for each in (subject, value)]
        graph = ox.DefaultGraph() if name is None else ox.NamedNode(str(name))
        return self.store.quads_for_pattern(given[0], ox.NamedNode(str(verb)), given[1], graph)

    # -- what is judged of lists -------------------------------------------------------------------

    def _strip(self) -> None:
        """Take what is judged of lists out of a store that was kept."""
        verbs = [ox.NamedNode(str(verb)) for verb in OF_LISTS]
        kinds = [ox.NamedNode(str(kind)) for kind in (GLOST.Judgement, GLOST.Evidence)]
        name, kind = ox.NamedNode(str(self._reckoned)), ox.NamedNode(str(RDF.type))
        old = set[ox.Quad]()
        for verb, value in (*((kind, each) for each in kinds), *((verb, None) for verb in verbs)):
            old |= set(self.store.quads_for_pattern(None, verb, value, name))
        for each in old:
            if "-outside-" not in str(each.subject):
                self.store.remove(each)
                self.store.remove(held_by_default(each))

    def begin_judging(self, passed: Passed) -> None:
        """Judge how things stand before a change, of a record that nothing has changed since."""
        if self._full:
            self._strip()
            self._full = False
        record = replace(passed.before.record, _beliefs={})
        first = Snapshot.of(record, passed.before.as_of)
        self.judging = Judging(first)
        self.store.extend(self._reckoned_quads(self.judging.now.always))

    def _reckoned_quads(self, triples: Iterable[Triple]) -> set[ox.Quad]:
        """Return what is reckoned as the store has it: where it is held too."""
        found = _normal(triples, self._reckoned)
        return found | {held_by_default(each) for each in found}

    def judge(self, turn: "Turn", judging: Judging) -> tuple[ox.Quad, ...]:
        """Show what is judged otherwise; return what rests on other claims than before.

        It is taken out of the store again before the next change.
        """
        shift = turn.passed.shift
        spoken = {URIRef(str(s).partition("#")[0]) for s, _, _ in shift.statements}
        found = judging.rejudged((str(claim.iri) for claim in shift.gone), spoken)
        same, come, gone = map(self._reckoned_quads, (found.same, found.come, found.gone))
        self.store.extend(same | come)
        self._shown = same | come
        turn.deltas.append(StoreDelta(come, gone))
        went = [each for delta in turn.deltas for each in delta.gone if each.predicate == DERIVED]
        losing = {each for each in went if each.graph_name == ox.DefaultGraph()}
        losing |= {quad((iri, PROV.wasDerivedFrom, iri), None) for iri in found.losing}
        return tuple(losing)

    # -- what changes in the store -----------------------------------------------------------------

    def _change(self, passed: Passed) -> list[StoreDelta]:
        """Make a change, but for who was first, last and alone; return what it did to the store.

        What else is judged of lists comes last.
        """
        for shown in self._shown:
            self.store.remove(shown)
        self._shown = set()
        shift = passed.shift
        every = chain(shift.statements, passed.told, passed.untold, passed.follows, passed.falls)
        if passed.things is None or any(isinstance(t, BNode) for each in every for t in each):
            raise NotPatched
        delta = self._claimed(passed)
        homes = passed.after.homes_by_number if _tells_home(shift) else self.now.homes
        parts = self._reckonings(passed, homes)
        reckoned = [self._reckon_quads(old, new) for old, new in parts]
        inferred, record = URIRef(f"{self.base}inferred"), URIRef(f"{self.base}record")
        reckoned.append(
            StoreDelta(_normal(passed.follows, inferred), _normal(passed.falls, inferred))
        )
        told = StoreDelta(_normal(passed.told, record), _normal(passed.untold, record))
        for each in (told, *reckoned):
            delta.came |= each.came
            delta.gone |= each.gone
        delta.came, delta.gone = delta.came - delta.gone, delta.gone - delta.came
        delta.came = {each for each in delta.came if each not in self.store}
        delta.gone = {each for each in delta.gone if each in self.store}
        delta.make(self.store)
        held = self._held(
            passed,
            come=[q for each in reckoned for q in each.came] + [*_normal(shift.stated, None)],
            go=[q for each in reckoned for q in each.gone] + [*_normal(shift.unstated, None)],
        )
        held.make(self.store)
        self.turn(passed.given, passed.taken)
        self.now = AskedState(passed.after, homes, passed.after.mappings)
        self.newest = passed.after
        made = StoreDelta(delta.came | held.came, delta.gone | held.gone)
        return [made] if self.judging is None else [made, self._listed(passed, self.judging)]

    def _listed(self, passed: Passed, judging: Judging) -> StoreDelta:
        """Take a change in to what is judged of lists; return what it does to what stands there."""
        things = passed.things or frozenset()
        judging.change(passed.after, passed.shift, things, passed.renamed)
        was, now = (each.always for each in (judging.before, judging.now))
        come, gone = map(self._reckoned_quads, (now - was, was - now))
        found = StoreDelta(come - gone, gone - come)
        found.make(self.store)
        return found

    def _claimed(self, passed: Passed) -> StoreDelta:
        """Return what changes in the graphs of claims."""
        was, now = passed.before, passed.after
        found = StoreDelta()
        for iri in passed.shift.touched:
            old, new = (dict(_said(each, iri)) for each in (was, now))
            for name in old.keys() | new.keys():
                node = ox.NamedNode(str(name))
                there = set(self.store.quads_for_pattern(None, None, None, node))
                then = _normal(new.get(name, ()), name)
                found.came |= then - there
                found.gone |= there - then
        return found

    def _held(self, passed: Passed, come: list[ox.Quad], go: list[ox.Quad]) -> StoreDelta:
        """Return what changes in the default graph, once the other graphs are as they will be."""
        delta = StoreDelta()
        believed = passed.after.belief.claims
        lasting = {f"{self.base}inferred", f"{self.base}reckoned", str(VOCABULARY)}
        delta.came = {q for q in map(held_by_default, come) if q not in self.store}
        for each in set(map(held_by_default, go)):
            names = [
                q.graph_name.value
                for q in self.store.quads_for_pattern(each.subject, each.predicate, each.object)
                if isinstance(q.graph_name, ox.NamedNode)
            ]
            if not any(name in lasting or believed.at(name) is not None for name in names):
                delta.gone |= {each} if each in self.store else set()
        delta.came -= delta.gone
        return delta

    def _reckonings(
        self, passed: Passed, homes: Mapping[Triple, object]
    ) -> Iterator[tuple[Iterable[ox.Quad], Iterable[Triple]]]:
        """Yield what was reckoned of what a change bears on, and what is reckoned of it now."""
        after, graph = passed.after, passed.after.belief.graph
        things = passed.things or frozenset()
        dated = {URIRef(str(s)) for s, verb, _ in passed.shift.statements if verb in DATED}
        dates = (t for s in dated for verb in DATED for t in graph.triples((s, verb, None)))
        yield self._reckoned_of(dated, _YEARS), years(dates, after.record.collection.margin)
        for verbs, new in (
            ((*numbers().values(), GLOST.unexplainedLength), zones(after.belief)),
            ((GLOST.wareClass,), after.forms.reckoned()),
            ((GLOST.homeByNumber,), homes),
            ((GLOST.overtakenBy,), after.overtakings),
            (_MAPPINGS, after.mappings),
        ):
            yield self._reckoned_of((None,), verbs), new
        old = chain.from_iterable(map(self._timed, things))
        yield old, _timed(after.chronology, things)
        terms = {URIRef(str(s).partition("#")[0]) for s, _, _ in passed.shift.statements}
        called = passed.renamed | terms | set(map(URIRef, things))
        called |= {URIRef(str(s)) for s in graph.subjects(GLOST.withdraws, None)}
        now = named(after.words, after.chronology, self.base, called)
        yield self._reckoned_of(called, _NAMES), now

    def _reckoned_of(
        self, things: Iterable[URIRef | None], verbs: Iterable[URIRef]
    ) -> Iterator[ox.Quad]:
        for thing in things:
            for verb in verbs:
                yield from self.of(thing, verb, None, self._reckoned)

    def _timed(self, thing: str) -> Iterator[ox.Quad]:
        """Yield what was reckoned of the time of a thing."""
        yield from self._reckoned_of(points_of(thing), BOUNDS)
        yield from self.worked_out(thing)

    def worked_out(self, thing: str) -> Iterator[ox.Quad]:
        """Yield what is told of lapses since a thing's points, and of what lies outside its run."""
        name = ox.NamedNode(str(self._reckoned))
        for point in points_of(thing):
            for verb in (GLOST.lapseFrom, GLOST.outsideAt):
                for each in list(self.store.quads_for_pattern(
                    None, ox.NamedNode(str(verb)), ox.NamedNode(str(point)), name
                )):  # fmt: skip
                    yield from self.store.quads_for_pattern(each.subject, None, None, name)

    def _reckon_quads(self, old: Iterable[ox.Quad], new: Iterable[Triple]) -> StoreDelta:
        there, then = set(old), _normal(new, self._reckoned)
        return StoreDelta(then - there, there - then)


class Turn:
    """Turns what questions are put to back to what it was before a change, and on again."""

    def __init__(
        self,
        patched: PatchedStore,
        passed: Passed,
        states: tuple[AskedState, AskedState],
        deltas: list[StoreDelta],
    ) -> None:
        self._patched, self.passed, self._states, self.deltas = patched, passed, states, deltas

    @contextmanager
    def back(self) -> Iterator[None]:
        """Let all be as it was before the change, for a while."""
        patched, passed = self._patched, self.passed
        for delta in reversed(self.deltas):
            delta.take_back(patched.store)
        patched.turn(passed.taken, passed.given)
        patched.now = self._states[0]
        try:
            yield
        finally:
            for delta in self.deltas:
                delta.make(patched.store)
            patched.turn(passed.given, passed.taken)
            patched.now = self._states[1]


def _tells_home(shift: Shift) -> bool:
    """Say whether a change may bear on which home the number of a treatment tells."""
    if any(verb in _TELLING_HOME for _, verb, _ in shift.statements):
        return True
    return any(claim.origin.table in ("", *_SCHEME_TABLES) for claim in shift.claims)


def points_of(thing: str) -> Iterator[URIRef]:
    for name in POINTS:
        yield URIRef(f"{thing}#{name}" if name else thing)


def _timed(times: Chronology, things: frozenset[str]) -> Iterator[Triple]:
    """Yield what is reckoned of the time of some things; see `glost.answer.times.reckoned`."""
    parts: dict[int, Chronology] = {}
    for thing in sorted(things):
        part = times.at(thing) if isinstance(times, Pieced) else times
        parts[id(part)] = part
        for point in points_of(thing):
            yield from bounded(part, point)
    for part in parts.values():
        for lapse in part.lapses():
            if lapse.first.partition("#")[0] in things:
                yield from lapsed(lapse)
        for each in part.outside():
            if str(each.shape) in things:
                yield from outlying(each)


def _said(snapshot: Snapshot, iri: str) -> Iterator[tuple[URIRef, tuple[Triple, ...]]]:
    """Yield the graphs of a claim, as the dataset has them."""
    claim, day = snapshot.record.claims.at(iri), snapshot.as_of
    if claim is not None and (day is None or claim.recorded_on <= day.isoformat()):
        yield from said_by(claim, snapshot.belief.parts)


def held_by_default(each: ox.Quad) -> ox.Quad:
    """Return a statement as the default graph has it."""
    return ox.Quad(each.subject, each.predicate, each.object, ox.DefaultGraph())


def _normal(triples: Iterable[Triple], graph: URIRef | None) -> set[ox.Quad]:
    """Return statements as the store has them, for it rewrites literals."""
    found = (quad(triple, graph) for triple in triples)
    return {
        ox.Quad(q.subject, q.predicate, _rewritten(q.object), q.graph_name)
        if isinstance(q.object, ox.Literal)
        else q
        for q in found
    }


@lru_cache(maxsize=1 << 16)  # most are dates, years and names that many statements have
def _rewritten(literal: ox.Literal) -> ox.Literal:
    scratch, node = ox.Store(), ox.BlankNode()
    scratch.add(ox.Quad(node, ox.NamedNode(str(RDF.value)), literal))
    (found,) = (each.object for each in scratch)
    assert isinstance(found, ox.Literal)
    return found


def _made(owner: object, snapshot: Snapshot) -> ox.Store:
    """Load all but what is judged of lists into a store."""
    large = len(snapshot.record.claims) > _IN_MEMORY
    contents = gather(
        snapshot.record,
        snapshot.as_of,
        inferred=lambda: snapshot.closure.inferred,
        reckoned=snapshot.reckoned_otherwise,
    )
    return store(contents, _place(owner) if large else None)


def _copied(owner: object, answers: Answers) -> ox.Store:
    """Copy the store that is kept, so that it may be changed."""
    if answers.folder is None:
        return answers.store
    return ox.Store(str(shutil.copytree(answers.folder, _place(owner))))


def _place(owner: object) -> Path:
    """Return where a store may lie as long as its owner is there."""
    place = tempfile.mkdtemp(prefix="glost-")
    weakref.finalize(owner, shutil.rmtree, place, ignore_errors=True)
    return Path(place) / "store"
