"""Named questions, asked again after a change of the things alone that it touches.

The store that questions are put to is patched: of each graph only those statements are put in and
taken out that a change brings and takes, and what is reckoned is reckoned again of the things alone
that it bears on. To say what became of an answer its question is put twice, before and after, of
what `glost.answer.living.rows` finds touched. Who was first, last and alone to have a form is
judged of the forms alone that a change touches (`glost.answer.living.judging`), and stands in the
store only while it is asked for; the questions that read what is judged of lists come last.
"""

import shutil
import tempfile
import weakref
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from functools import partial
from itertools import chain
from pathlib import Path

import pyoxigraph as ox
from rdflib import BNode, URIRef
from rdflib.namespace import PROV, RDF, RDFS, SKOS

from glost.answer.affected import Affected, settings
from glost.answer.answers import Answers, gather
from glost.answer.dataset import VOCABULARY, Why, said_by
from glost.answer.evidence import Bindings, Claims, Evidence
from glost.answer.headers import Pattern
from glost.answer.living.judging import Judging
from glost.answer.living.rows import Plan, Touching, plans
from glost.answer.living.timing import POINTS
from glost.answer.named import named
from glost.answer.parameters import Things, written
from glost.answer.questions import AnswerRow, QuestionData, Value
from glost.answer.snapshot import Snapshot
from glost.answer.store import from_store, store
from glost.answer.times import bounded, bounds, lapsed, leaves, outlying
from glost.answer.years import reckon as years
from glost.names import DATED, GLOST, SCHEMES
from glost.reason.closure import Closure
from glost.reason.rules import Triple
from glost.record.claims import Claim
from glost.record.patching import Shift
from glost.record.terms import Term, quad, to_oxigraph
from glost.trade.kilns.measures import numbers
from glost.trade.kilns.zones import reckon as zones
from glost.trade.times import Chronology
from glost.trade.times.pieced import Pieced

_BOUNDS = (GLOST.notBefore, GLOST.notAfter, GLOST.notBeforeYear, GLOST.notAfterYear,
           GLOST.inDispute)  # fmt: skip
_YEARS = (GLOST.earliestYear, GLOST.latestYear)
_NAMES = (SKOS.prefLabel, RDFS.label)
_OF_LISTS = (GLOST.followsAssortment, GLOST.judges, GLOST.judgedForm, GLOST.judgedShape,
             GLOST.judgedAmong, GLOST.byList, GLOST.verdict, GLOST.because, GLOST.deciding,
             GLOST.disputed, GLOST.says, PROV.wasDerivedFrom)  # fmt: skip
"""The properties of what is judged of lists, and of which list follows which."""
_MAPPINGS = (SKOS.exactMatch, SKOS.closeMatch, SKOS.broadMatch, SKOS.narrowMatch,
             SKOS.relatedMatch)  # fmt: skip
_TELLING_HOME = (GLOST.treatmentNumber, GLOST.homeShape, GLOST.issuedBy)
_SCHEME_TABLES = ("code_schemes", "code_parts")
_EVERYWHERE = 200
"""So many things are looked at for what their dates rest on; of more, all dates are touched."""


class NotPatched(Exception):  # noqa: N818 - it is no error: all is made anew then
    """A change of which the store is made anew: it bears on everything."""


@dataclass(frozen=True)
class Passed:
    """What a change did in a workspace.

    Attributes
    ----------
    before, after
        The collection before and after it; of that before only what a change leaves as it is may
        be asked for.
    shift
        What it did to what is believed.
    told, untold
        Statements that the record makes of its claims now, and that it no longer makes.
    follows, falls
        Statements that follow now, and that no longer follow.
    given, taken
        The facts that the closure was given, and those that were taken from it.
    things
        IRIs of the things of which the chronology was reckoned again; None for all.
    renamed
        The things that may be called otherwise.
    """

    before: Snapshot = field(repr=False)
    after: Snapshot = field(repr=False)
    shift: Shift
    told: tuple[Triple, ...]
    untold: tuple[Triple, ...]
    follows: list[Triple]
    falls: list[Triple]
    given: tuple[Triple, ...]
    taken: tuple[Triple, ...]
    things: frozenset[str] | None
    renamed: frozenset[URIRef]


@dataclass
class _Delta:
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
class _Standing:
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


class Asking:
    """Named questions about a collection, kept up to date.

    Parameters
    ----------
    snapshot
        The collection, with a closure of its own.
    kept
        Whether its store is kept, with all that is judged.
    """

    def __init__(self, snapshot: Snapshot, *, kept: bool) -> None:
        self._base = snapshot.record.base
        self._reckoned = URIRef(f"{self._base}reckoned")
        self._own: Closure = snapshot.closure
        self._turned: list[tuple[tuple[Triple, ...], tuple[Triple, ...]]] = []
        self._now = _Standing(snapshot, snapshot.homes_by_number, snapshot.mappings)
        self._newest = snapshot
        self.judging: Judging | None = None
        self._shown: set[ox.Quad] = set()
        self._things: Things | None = None
        self.store = _copied(self, snapshot.answers) if kept else _made(snapshot)
        self._full = kept  # what was judged when it was kept stands there until it is judged anew

    def coming(
        self, passed: Passed, claims: Sequence[Claim], *, judged: bool = True
    ) -> Iterator[Affected]:
        """Take a change in; yield what becomes of every answer, the simplest questions first.

        Parameters
        ----------
        passed
            What the change did.
        claims
            The claims that it speaks of.
        judged
            Whether to go on to the questions that read what is judged of lists.

        Raises
        ------
        NotPatched
            If the store must be made anew; nothing is yielded then.
        """
        if judged and self.judging is None:
            self._begin_judging(passed)
        before, deltas = self._now, self._change(passed)
        turn = _Turn(self, passed, (before, self._now), deltas)
        for plan, things in self._touched(turn).items():
            if not _of_lists(plan):
                yield from self._put(plan, things, turn, claims)
        if not judged or self.judging is None:
            return
        losing = self._judge(turn, self.judging)
        for plan, things in self._touched(turn, losing).items():
            if _of_lists(plan):
                yield from self._put(plan, things, turn, claims)

    # -- what is judged of lists -------------------------------------------------------------------

    def _strip(self) -> None:
        """Take what is judged of lists out of a store that was kept."""
        verbs = [ox.NamedNode(str(verb)) for verb in _OF_LISTS]
        kind = ox.NamedNode(str(GLOST.Judgement))
        name = ox.NamedNode(str(self._reckoned))
        old = set(self.store.quads_for_pattern(None, ox.NamedNode(str(RDF.type)), kind, name))
        for verb in verbs:
            old |= set(self.store.quads_for_pattern(None, verb, None, name))
        for each in old:
            if "-outside-" not in str(each.subject):
                self.store.remove(each)
                self.store.remove(_held_by_default(each))

    def _begin_judging(self, passed: Passed) -> None:
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
        return found | {_held_by_default(each) for each in found}

    def _judge(self, turn: "_Turn", judging: Judging) -> tuple[ox.Quad, ...]:
        """Show what is judged otherwise; return what rests on other claims than before.

        It is taken out of the store again before the next change.
        """
        shift = turn.passed.shift
        spoken = {URIRef(str(s).partition("#")[0]) for s, _, _ in shift.statements}
        found = judging.rejudged((str(claim.iri) for claim in shift.gone), spoken)
        same, come, gone = map(self._reckoned_quads, (found.same, found.come, found.gone))
        self.store.extend(same | come)
        self._shown = same | come
        turn.deltas.append(_Delta(come, gone))
        return tuple(quad((iri, PROV.wasDerivedFrom, iri), None) for iri in found.losing)

    def follow(self, passed: Passed) -> None:
        """Take in a change of which nobody asked what it answers otherwise.

        Raises
        ------
        NotPatched
            If the store must be made anew.
        """
        self._change(passed)

    def turn(self, given: tuple[Triple, ...], taken: tuple[Triple, ...]) -> None:
        """Let facts come into the closure and leave it, once anybody asks it why."""
        if self._turned and self._turned[-1] == (taken, given):
            self._turned.pop()  # it is turned back before it was turned
        else:
            self._turned.append((given, taken))

    @property
    def _closure(self) -> Closure:
        for given, taken in self._turned:
            self._own.revise(given, taken)
        self._turned.clear()
        return self._own

    def data(self, name: str) -> QuestionData | None:
        """Return what a named question is put to as things stand; it must not outlive a change.

        None if it reads what is judged of lists, of which the store holds a part.
        """
        plan = next(each for each in plans() if each.question.name == name)
        if _of_lists(plan):
            return None
        if self._things is None:
            members = self._newest.record.collection.members
            keepers = {each.name: each.collection.base for each in members}
            self._things = Things(self.store, self._base, keepers)
        return QuestionData(self.store, self._things, self._evidence())

    # -- putting questions -------------------------------------------------------------------------

    def _put(
        self, plan: Plan, things: "_Things", turn: "_Turn", claims: Sequence[Claim]
    ) -> Iterator[Affected]:
        """Put a question before and after, of what is touched; say what became of its rows."""
        question, went = plan.question, frozenset(str(c.iri) for c in turn.passed.shift.gone)
        columns = tuple(column for column, _ in question.header.columns)
        with turn.back():
            kinds = _Kinds(self.store, self._base)
            asked = [
                (given, self._rows(plan, things.touched, given))
                for given in settings(question, claims, kinds)
            ]
        for given, rows in asked:
            now = {row.values: row for row, _ in self._rows(plan, things.touched, given)}
            was = {row.values for row, _ in rows}
            gone = [row for row, _ in rows if row.values not in now]
            may = [
                row
                for row, named in rows
                if row.values in now and (named & went or things.rests(row.values))
            ]
            with turn.back():
                for row in (*gone, *may):
                    row.claims  # noqa: B018 - looked up while it is at hand
            lost = {
                row.values
                for row in may
                if went.intersection(row.claims).difference(now[row.values].claims)
            }
            for fate, told in (
                ("no longer", gone),
                ("still", [now[values] for values in now if values in lost]),
                ("new", [now[values] for values in now if values not in was]),
            ):
                for row in told:
                    yield Affected(question.name, given, columns, row.values, fate, row.claims)

    def _rows(
        self, plan: Plan, things: set[Term] | None, given: Mapping[str, str]
    ) -> tuple[tuple[AnswerRow, frozenset[str]], ...]:
        question = plan.question
        kinds = {each.name: each.kinds[0] for each in question.parameters}
        filled = {name: written(kinds[name], value) for name, value in given.items()}
        text = question.header.bound(filled)
        if things is not None:
            text = plan.query(text, things)
        return question.rows(self.store, self._evidence(), text)

    def _evidence(self) -> Evidence:
        now, judging = self._now, self.judging
        if judging is None:
            return Evidence(lambda: now, self.store, partial(self._why, now))
        resting = partial(judging.resting, before=now.snapshot is not self._newest)
        return _EvidenceOfLists(lambda: now, self.store, partial(self._why, now), resting)

    def _why(self, now: _Standing, triple: Triple) -> Iterable[Triple]:
        if bounds(triple):
            return leaves(now.snapshot.chronology, triple)
        if triple[1] == GLOST.wareClass:
            return now.snapshot.forms.grounds(URIRef(str(triple[0])))
        if triple[1] == GLOST.homeByNumber:
            return now.homes[triple]
        if triple in now.mappings:
            return now.mappings[triple]
        if triple[1] == GLOST.followsAssortment:
            return self._ordering()
        return self._closure.why(triple).facts

    def _ordering(self) -> tuple[Triple, ...]:
        """Return the statements that put sources in an order; see `Lists.ordering`."""
        found = []
        for verb in (GLOST.subjectRun, GLOST.objectRun):
            for each in self._of(None, verb, None):
                whole = URIRef(str(from_store(each.object)).partition("#")[0])
                if any(self._of(whole, RDF.type, GLOST.Source)):
                    found.append(_triple(each))
        return tuple(sorted(found))

    def _of(
        self, subject: URIRef | None, verb: URIRef, value: URIRef | None, name: URIRef | None = None
    ) -> Iterator[ox.Quad]:
        """Yield statements of a graph of the store; None is the default graph."""
        given = [None if each is None else ox.NamedNode(str(each)) for each in (subject, value)]
        graph = ox.DefaultGraph() if name is None else ox.NamedNode(str(name))
        return self.store.quads_for_pattern(given[0], ox.NamedNode(str(verb)), given[1], graph)

    # -- what is touched ---------------------------------------------------------------------------

    def _touched(self, turn: "_Turn", losing: Iterable[ox.Quad] = ()) -> "dict[Plan, _Things]":
        """Return the questions that a change may answer otherwise, each with what to ask it of.

        Parameters
        ----------
        turn
            What turns the store back to what it was.
        losing
            What rests on other claims than before, beside what follows or is reckoned.
        """
        said = [quad(triple, None) for triple in turn.passed.shift.statements]
        now = self._things_of(each for delta in turn.deltas for each in (*said, *delta.came))
        with turn.back():
            was = self._things_of(each for delta in turn.deltas for each in delta.gone)
            resting = self._things_of((*said, *self._resting(turn.passed), *losing))
        found = {}
        for plan in now:
            touched = _both(_both(was[plan], now[plan]), resting[plan])
            if touched is None or touched:
                place = plan.place
                every = None if place is None else touched
                found[plan] = _Things(every, resting[plan], place)
        return found

    def _things_of(self, quads: Iterable[ox.Quad]) -> dict[Plan, set[Term] | None]:
        touching = Touching(quads)
        return {plan: plan.touched(self.store, touching) for plan in plans()}

    def _resting(self, passed: Passed) -> Iterator[ox.Quad]:
        """Yield what is reckoned or follows and rests on statements of the claims that went."""
        facts = frozenset(t for claim in passed.shift.went for t in claim.statements)
        if not facts:
            return
        closure = self._closure
        for triple in closure.falls(t for t in facts if t in closure):
            yield quad(triple, None)
        for triple, grounds in chain(self._now.homes.items(), self._now.mappings.items()):
            if not facts.isdisjoint(grounds):
                yield quad(triple, None)
        things, times = passed.things or (), passed.before.chronology
        for thing in sorted(things):
            for point in _of_thing(thing):
                told = (
                    *(times.reading_facts(point, late=late) for late in (False, True)),
                    times.disputing(point),
                )
                if len(things) > _EVERYWHERE or not all(map(facts.isdisjoint, told)):
                    for verb in _BOUNDS:
                        yield from self._of(point, verb, None)
            for each in self._worked_out(thing):
                yield _held_by_default(each)

    # -- what changes in the store -----------------------------------------------------------------

    def _change(self, passed: Passed) -> list[_Delta]:
        """Make a change, but for who was first, last and alone; return what it did to the store.

        What else is judged of lists comes last.
        """
        self._things = None
        for shown in self._shown:
            self.store.remove(shown)
        self._shown = set()
        shift = passed.shift
        every = chain(shift.statements, passed.told, passed.untold, passed.follows, passed.falls)
        if passed.things is None or any(isinstance(t, BNode) for each in every for t in each):
            raise NotPatched
        delta = self._claimed(passed)
        homes = passed.after.homes_by_number if _tells_home(shift) else self._now.homes
        parts = self._reckonings(passed, homes)
        reckoned = [self._reckon_quads(old, new) for old, new in parts]
        inferred, record = URIRef(f"{self._base}inferred"), URIRef(f"{self._base}record")
        reckoned.append(_Delta(_normal(passed.follows, inferred), _normal(passed.falls, inferred)))
        told = _Delta(_normal(passed.told, record), _normal(passed.untold, record))
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
        self._now = _Standing(passed.after, homes, passed.after.mappings)
        self._newest = passed.after
        made = _Delta(delta.came | held.came, delta.gone | held.gone)
        return [made] if self.judging is None else [made, self._listed(passed, self.judging)]

    def _listed(self, passed: Passed, judging: Judging) -> _Delta:
        """Take a change in to what is judged of lists; return what it does to what stands there."""
        things = passed.things or frozenset()
        judging.change(passed.after, passed.shift, things, passed.renamed)
        was, now = (each.always for each in (judging.before, judging.now))
        come, gone = map(self._reckoned_quads, (now - was, was - now))
        found = _Delta(come - gone, gone - come)
        found.make(self.store)
        return found

    def _claimed(self, passed: Passed) -> _Delta:
        """Return what changes in the graphs of claims."""
        was, now = passed.before, passed.after
        found = _Delta()
        for iri in passed.shift.touched:
            old, new = (dict(_said(each, iri)) for each in (was, now))
            for name in old.keys() | new.keys():
                node = ox.NamedNode(str(name))
                there = set(self.store.quads_for_pattern(None, None, None, node))
                then = _normal(new.get(name, ()), name)
                found.came |= then - there
                found.gone |= there - then
        return found

    def _held(self, passed: Passed, come: list[ox.Quad], go: list[ox.Quad]) -> _Delta:
        """Return what changes in the default graph, once the other graphs are as they will be."""
        delta = _Delta()
        believed = passed.after.belief.claims
        lasting = {f"{self._base}inferred", f"{self._base}reckoned", str(VOCABULARY)}
        delta.came = {q for q in map(_held_by_default, come) if q not in self.store}
        for each in set(map(_held_by_default, go)):
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
        now = named(after.words, after.chronology, self._base, called)
        yield self._reckoned_of(called, _NAMES), now

    def _reckoned_of(
        self, things: Iterable[URIRef | None], verbs: Iterable[URIRef]
    ) -> Iterator[ox.Quad]:
        for thing in things:
            for verb in verbs:
                yield from self._of(thing, verb, None, self._reckoned)

    def _timed(self, thing: str) -> Iterator[ox.Quad]:
        """Yield what was reckoned of the time of a thing."""
        yield from self._reckoned_of(_of_thing(thing), _BOUNDS)
        yield from self._worked_out(thing)

    def _worked_out(self, thing: str) -> Iterator[ox.Quad]:
        """Yield what is told of lapses since a thing's points, and of what lies outside its run."""
        name = ox.NamedNode(str(self._reckoned))
        for point in _of_thing(thing):
            for verb in (GLOST.lapseFrom, GLOST.outsideAt):
                for each in list(self.store.quads_for_pattern(
                    None, ox.NamedNode(str(verb)), ox.NamedNode(str(point)), name
                )):  # fmt: skip
                    yield from self.store.quads_for_pattern(each.subject, None, None, name)

    def _reckon_quads(self, old: Iterable[ox.Quad], new: Iterable[Triple]) -> _Delta:
        there, then = set(old), _normal(new, self._reckoned)
        return _Delta(then - there, there - then)


class _EvidenceOfLists(Evidence):
    """Finds the claims under rows; a judgement that the last change touches stands for its own.

    Parameters
    ----------
    claims, store, why
        See `Evidence`.
    resting
        Gives the claims under what is a judgement; None if it is none.
    """

    def __init__(
        self,
        claims: Callable[[], Claims],
        store: ox.Store,
        why: Why,
        resting: Callable[[str], tuple[str, ...] | None],
    ) -> None:
        super().__init__(claims, store, why)
        self._resting = resting

    def iris(
        self, evidence: Iterable[tuple[Pattern, ...]], named: Iterable[str], row: Bindings
    ) -> tuple[str, ...]:
        """Return the IRIs of the claims under a row, sorted."""
        named = tuple(named)
        terms = [row.get(each) for each in named]
        told = [
            under
            for term in terms
            if isinstance(term, ox.NamedNode) and (under := self._resting(term.value)) is not None
        ]
        found = super().iris(evidence, named, row)
        if len(told) == 1 and not found:
            return told[0]
        return tuple(sorted({*found, *chain.from_iterable(told)})) if told else found


@dataclass(frozen=True)
class _Things:
    """What a change touches of an answer.

    Attributes
    ----------
    touched
        The things whose rows it may touch; None for all.
    resting
        Those of them whose rows may rest on something else; None for all.
    place
        In which column a row names its thing; None if it must be asked of everything.
    """

    touched: set[Term] | None
    resting: set[Term] | None
    place: int | None

    def rests(self, values: tuple[Value, ...]) -> bool:
        """Say whether a row may rest on something else."""
        if self.resting is None or self.place is None:
            return self.resting is None or bool(self.resting)
        value = values[self.place]
        return value is not None and to_oxigraph(value) in self.resting


class _Turn:
    """Turns what questions are put to back to what it was before a change, and on again."""

    def __init__(
        self,
        asking: Asking,
        passed: Passed,
        states: tuple[_Standing, _Standing],
        deltas: list[_Delta],
    ) -> None:
        self._asking, self.passed, self._states, self.deltas = asking, passed, states, deltas

    @contextmanager
    def back(self) -> Iterator[None]:
        """Let all be as it was before the change, for a while."""
        asking, passed = self._asking, self.passed
        for delta in reversed(self.deltas):
            delta.take_back(asking.store)
        asking.turn(passed.taken, passed.given)
        asking._now = self._states[0]
        try:
            yield
        finally:
            for delta in self.deltas:
                delta.make(asking.store)
            asking.turn(passed.given, passed.taken)
            asking._now = self._states[1]


class _Kinds:
    """The things of each kind in a store, looked up one by one; see `parameters.Things`."""

    def __init__(self, store: ox.Store, base: str) -> None:
        self._store, self._base = store, base

    def of(self, kind: str) -> "_Kind":
        """Return what tells whether a thing is of a kind."""
        return _Kind(self._store, self._base, kind)


@dataclass(frozen=True)
class _Kind:
    store: ox.Store
    base: str
    kind: str

    def __contains__(self, iri: object) -> bool:
        verb, value = RDF.type, None if self.kind == "thing" else GLOST[self.kind.capitalize()]
        if self.kind == "form":
            verb, value = SKOS.inScheme, URIRef(f"{SCHEMES}form")
        if self.kind == "thing" and not str(iri).startswith(self.base):
            return False
        found = self.store.quads_for_pattern(
            ox.NamedNode(str(iri)),
            ox.NamedNode(str(verb)),
            None if value is None else ox.NamedNode(str(value)),
            ox.DefaultGraph(),
        )
        return any(True for _ in found)


def _tells_home(shift: Shift) -> bool:
    """Say whether a change may bear on which home the number of a treatment tells."""
    if any(verb in _TELLING_HOME for _, verb, _ in shift.statements):
        return True
    return any(claim.origin.table in ("", *_SCHEME_TABLES) for claim in shift.claims)


def _of_lists(plan: Plan) -> bool:
    """Say whether a question reads what is judged of lists."""
    verbs = plan.verbs
    return GLOST.outsideAt not in verbs and not verbs.isdisjoint(_OF_LISTS)


def _both(one: set[Term] | None, other: set[Term] | None) -> set[Term] | None:
    return None if one is None or other is None else one | other


def _of_thing(thing: str) -> Iterator[URIRef]:
    for name in POINTS:
        yield URIRef(f"{thing}#{name}" if name else thing)


def _timed(times: Chronology, things: frozenset[str]) -> Iterator[Triple]:
    """Yield what is reckoned of the time of some things; see `glost.answer.times.reckoned`."""
    parts: dict[int, Chronology] = {}
    for thing in sorted(things):
        part = times.at(thing) if isinstance(times, Pieced) else times
        parts[id(part)] = part
        for point in _of_thing(thing):
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


def _held_by_default(each: ox.Quad) -> ox.Quad:
    """Return a statement as the default graph has it."""
    return ox.Quad(each.subject, each.predicate, each.object, ox.DefaultGraph())


def _normal(triples: Iterable[Triple], graph: URIRef | None) -> set[ox.Quad]:
    """Return statements as the store has them, for it rewrites literals."""
    scratch = ox.Store()
    scratch.extend(quad(triple, graph) for triple in triples)
    return set(scratch)


def _triple(each: ox.Quad) -> Triple:
    return from_store(each.subject), from_store(each.predicate), from_store(each.object)


def _made(snapshot: Snapshot) -> ox.Store:
    """Load all but what is judged of lists into a store."""
    contents = gather(
        snapshot.record,
        snapshot.as_of,
        inferred=lambda: snapshot.closure.inferred,
        reckoned=snapshot.reckoned_otherwise,
    )
    return store(contents)


def _copied(owner: object, answers: Answers) -> ox.Store:
    """Copy the store that is kept, so that it may be changed."""
    if answers.folder is None:
        return answers.store
    place = tempfile.mkdtemp(prefix="glost-")
    weakref.finalize(owner, shutil.rmtree, place, ignore_errors=True)
    return ox.Store(str(shutil.copytree(answers.folder, Path(place) / "store")))
