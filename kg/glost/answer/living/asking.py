"""Named questions, asked again after a change of the things alone that it touches.

To say what became of an answer its question is put twice, before and after, of what
`glost.answer.living.rows` finds touched, to a store that is patched and turned back in between
(`glost.answer.living.patched`). The questions that read what is judged of lists come last.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import chain

import pyoxigraph as ox
from rdflib import URIRef
from rdflib.namespace import RDF, SKOS

from glost.answer.affected import Affected, settings
from glost.answer.evidence import Evidence
from glost.answer.living.judging import Judging
from glost.answer.living.passed import Passed
from glost.answer.living.patched import (
    BOUNDS,
    OF_LISTS,
    AskedState,
    PatchedStore,
    Turn,
    held_by_default,
    points_of,
)
from glost.answer.living.rows import QuestionPlan, Touching, plans
from glost.answer.parameters import Things, written
from glost.answer.questions import AnswerRow, QuestionData, Value
from glost.answer.snapshot import Snapshot
from glost.answer.store import from_store
from glost.answer.times import bounds, leaves
from glost.names import GLOST, SCHEMES
from glost.reason.rules import Triple
from glost.record.claims import Claim
from glost.record.terms import Term, quad, to_oxigraph
from glost.trade.times import Chronology


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


class Asking:
    """Named questions about a collection, kept up to date.

    Parameters are those of `PatchedStore`.
    """

    def __init__(self, snapshot: Snapshot, *, kept: bool) -> None:
        self._patched = PatchedStore(snapshot, kept=kept)
        self._things: Things | None = None

    @property
    def store(self) -> ox.Store:
        """What questions are put to."""
        return self._patched.store

    @property
    def judging(self) -> Judging | None:
        """What is judged of lists; None until somebody asks for it."""
        return self._patched.judging

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
            self._patched.begin_judging(passed)
        self._things = None
        turn = self._patched.change(passed)
        for plan, things in self._touched(turn, of_lists=False).items():
            yield from self._put(plan, things, turn, claims)
        if not judged or self.judging is None:
            return
        losing = self._patched.judge(turn, self.judging)
        for plan, things in self._touched(turn, losing, of_lists=True).items():
            yield from self._put(plan, things, turn, claims)

    def follow(self, passed: Passed) -> None:
        """Take in a change of which nobody asked what it answers otherwise.

        Raises
        ------
        NotPatched
            If the store must be made anew.
        """
        self._things = None
        self._patched.change(passed)

    def data(self, name: str) -> QuestionData | None:
        """Return what a named question is put to as things stand; it must not outlive a change.

        None if it reads what is judged of lists, of which the store holds a part.
        """
        plan = next(each for each in plans() if each.question.name == name)
        if _of_lists(plan):
            return None
        if self._things is None:
            members = self._patched.newest.record.collection.members
            keepers = {each.name: each.collection.base for each in members}
            self._things = Things(self.store, self._patched.base, keepers)
        return QuestionData(self.store, self._things, self._evidence())

    # -- putting questions -------------------------------------------------------------------------

    def _put(
        self, plan: QuestionPlan, things: _Things, turn: Turn, claims: Sequence[Claim]
    ) -> Iterator[Affected]:
        """Put a question before and after, of what is touched; say what became of its rows."""
        question, went = plan.question, frozenset(str(c.iri) for c in turn.passed.shift.gone)
        columns = tuple(column for column, _ in question.header.columns)
        with turn.back():
            kinds = _Kinds(self.store, self._patched.base)
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
        self, plan: QuestionPlan, things: set[Term] | None, given: Mapping[str, str]
    ) -> tuple[tuple[AnswerRow, frozenset[str]], ...]:
        question = plan.question
        kinds = {each.name: each.kinds[0] for each in question.parameters}
        filled = {name: written(kinds[name], value) for name, value in given.items()}
        text = question.header.bound(filled)
        if things is not None:
            text = plan.query(text, things)
        return question.rows(self.store, self._evidence(), text)

    def _evidence(self) -> Evidence:
        now, judging = self._patched.now, self.judging
        if judging is None:
            return Evidence(lambda: now, self.store, partial(self._why, now))
        resting = partial(judging.resting, before=now.snapshot is not self._patched.newest)
        return Evidence(lambda: now, self.store, partial(self._why, now), judged=resting)

    def _why(self, now: AskedState, triple: Triple) -> Iterable[Triple]:
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
        return self._patched.closure.why(triple).facts

    def _ordering(self) -> tuple[Triple, ...]:
        """Return the statements that put sources in an order; see `Lists.ordering`."""
        found = []
        for verb in (GLOST.subjectRun, GLOST.objectRun):
            for each in self._patched.of(None, verb, None):
                whole = URIRef(str(from_store(each.object)).partition("#")[0])
                if any(self._patched.of(whole, RDF.type, GLOST.Source)):
                    found.append(_triple(each))
        return tuple(sorted(found))

    # -- what is touched ---------------------------------------------------------------------------

    def _touched(
        self, turn: Turn, losing: Iterable[ox.Quad] = (), *, of_lists: bool
    ) -> dict[QuestionPlan, _Things]:
        """Return the questions that a change may answer otherwise, each with what to ask it of.

        Parameters
        ----------
        turn
            What turns the store back to what it was.
        losing
            What rests on other claims than before, beside what follows or is reckoned.
        of_lists
            Whether those are meant that read what is judged of lists, or all others.
        """
        asked = [plan for plan in plans() if _of_lists(plan) == of_lists]
        said = [quad(triple, None) for triple in turn.passed.shift.statements]
        now = self._things_of(
            asked, (each for delta in turn.deltas for each in (*said, *delta.came))
        )
        with turn.back():
            was = self._things_of(asked, (e for delta in turn.deltas for e in delta.gone))
            resting = self._things_of(asked, (*said, *self._resting(turn.passed), *losing))
        found = {}
        for plan in now:
            touched = _both(_both(was[plan], now[plan]), resting[plan])
            if touched is None or touched:
                place = plan.place
                every = None if place is None else touched
                found[plan] = _Things(every, resting[plan], place)
        return found

    def _things_of(
        self, asked: Iterable[QuestionPlan], quads: Iterable[ox.Quad]
    ) -> dict[QuestionPlan, set[Term] | None]:
        touching = Touching(quads)
        return {plan: plan.touched(self.store, touching) for plan in asked}

    def _resting(self, passed: Passed) -> Iterator[ox.Quad]:
        """Yield what is reckoned or follows and rests on statements of the claims that went."""
        facts = frozenset(t for claim in passed.shift.went for t in claim.statements)
        if not facts:
            return
        closure = self._patched.closure
        for triple in closure.falls(t for t in facts if t in closure):
            yield quad(triple, None)
        for triple, grounds in chain(
            self._patched.now.homes.items(), self._patched.now.mappings.items()
        ):
            if not facts.isdisjoint(grounds):
                yield quad(triple, None)
        things, times = passed.things or (), passed.before.chronology
        for thing in sorted(things):
            for point in points_of(thing):
                if _rests(times, point, facts):
                    for verb in BOUNDS:
                        yield from self._patched.of(point, verb, None)
            for each in self._patched.worked_out(thing):
                yield held_by_default(each)


def _rests(times: Chronology, point: URIRef, facts: frozenset[Triple]) -> bool:
    """Say whether when a point falls, or that it is disputed, rests on any of some statements."""
    dated = (times.reading_facts(point, late=late) for late in (False, True))
    return not (all(map(facts.isdisjoint, dated)) and facts.isdisjoint(times.disputing(point)))


def _of_lists(plan: QuestionPlan) -> bool:
    """Say whether a question reads what is judged of lists."""
    verbs = plan.verbs
    return GLOST.outsideAt not in verbs and not verbs.isdisjoint(OF_LISTS)


def _both(one: set[Term] | None, other: set[Term] | None) -> set[Term] | None:
    return None if one is None or other is None else one | other


def _triple(each: ox.Quad) -> Triple:
    return from_store(each.subject), from_store(each.predicate), from_store(each.object)
