"""Small changes to a closure, without closing everything again.

Facts added are carried forward rule by rule.  Facts withdrawn take with them everything that may
rest on them, and what still follows from the rest is then put back.  Where a change goes too far,
or touches which names mean the same thing, everything is closed again.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import product

import numpy as np
import polars as pl
from rdflib import BNode
from rdflib.namespace import OWL, RDF

from glost.reason.coding import Fact, Quads
from glost.reason.engine import ASSERTED, Engine
from glost.reason.executor import embedded
from glost.reason.index import StatementIndex
from glost.reason.instances import Instances, bind, fill
from glost.reason.sql import SqlTable

_BUDGET = 20_000
"""Rule instances to look at before everything is closed again."""
_MOST = 400
"""So many ``SELECT`` are put together at once; SQLite takes no more than 500."""


class _TooFarError(Exception):
    """A change that is better made by closing everything again."""


@dataclass(frozen=True, slots=True)
class Revision:
    """What a change did to what is known.

    Attributes
    ----------
    follows
        Facts that follow now, not being given, and that did not before; sorted.
    falls
        Facts that followed before, not being given, and do not now; sorted.
    known, unknown
        Facts, given or not, that hold now and did not; that held and do not. None if everything
        had to be closed again.
    """

    follows: list[Fact]
    falls: list[Fact]
    known: list[Fact] | None
    unknown: list[Fact] | None


class ClosureChange:
    """Keeps an engine's tables, and the index over them, up to date.

    Parameters
    ----------
    engine
        After its rules have run.
    """

    def __init__(self, engine: Engine) -> None:
        self._engine = engine
        self._instances: Instances | None = None
        self._new: dict[Fact, int] = {}
        self._gone: set[Fact] = set()
        self._spent = 0
        self._before: dict[Fact, int | None] | None = None
        self._known: set[Fact] | None = None

    @property
    def instances(self) -> Instances:
        """Finds rule instances over all facts, changes included."""
        if self._instances is None:
            self._instances = Instances(StatementIndex(self._engine))
        return self._instances

    def inferred_sql(self) -> str:
        """Return the ``SELECT`` of the facts that follow and were not given."""
        return inferred_sql(self._engine)

    def revise(self, added: list[Fact], withdrawn: list[Fact]) -> "Revision":
        """Withdraw facts and add others, and say what that does to what follows.

        Parameters
        ----------
        added
            Facts that were not given.
        withdrawn
            Facts that were given.
        """
        if self._engine.same:  # what names mean the same may change: all is compared
            self._before, self._known = {}, self._inferred()
        else:
            self._before, self._known = {}, None
        self.withdraw(withdrawn)
        self.add(added)
        before, known = self._before, self._known
        self._before = self._known = None
        if known is not None:
            now = self._inferred()
            return Revision(sorted(now - known), sorted(known - now), None, None)
        steps = {fact: (step, self.instances.index.step(fact)) for fact, step in before.items()}
        told = {fact: each for fact, each in steps.items() if self._told(fact)}
        return Revision(
            sorted(f for f, (was, now) in told.items() if _follows(now) and not _follows(was)),
            sorted(f for f, (was, now) in told.items() if _follows(was) and not _follows(now)),
            [fact for fact, (was, now) in steps.items() if was is None and now is not None],
            [fact for fact, (was, now) in steps.items() if was is not None and now is None],
        )

    def following(self, code: int) -> Iterator[Fact]:
        """Yield the facts that follow, not being given, with a name; kinds of things aside.

        Only where no two names mean the same.
        """
        index = self.instances.index
        for (verb, kind), rel in index.relations.items():
            if kind is None and meant(rel):
                rows = (*index.match(code, verb, None), *index.match(None, verb, code))
                yield from ((s, verb, o) for s, o, step in rows if _follows(step))

    def _inferred(self) -> set[Fact]:
        """Return everything that follows and was not given."""
        self.write()
        found = self._engine.executor.read(f"SELECT s, p, o FROM ({self.inferred_sql()}) i")
        return set(zip(*(found[column].tolist() for column in "spo"), strict=True))

    def _told(self, fact: Fact) -> bool:
        """Say whether a fact is of a relation that means something outside the reasoner."""
        index = self.instances.index
        rel = index.relations.get(index.key(fact[1], fact[2]))
        return rel is not None and meant(rel)

    def _note(self, fact: Fact) -> None:
        """Keep in which step a fact appeared before the change that is being made."""
        if self._before is not None and fact not in self._before:
            self._before[fact] = self.instances.index.step(fact)

    def _anew(self) -> None:
        if self._before is not None and self._known is None:
            now = self._inferred()
            for fact, step in self._before.items():
                if self._told(fact):
                    (now.add if _follows(step) else now.discard)(fact)
            self._known = now
        self._engine.restart()
        self._engine.run()
        self._instances = None
        self._new.clear()
        self._gone.clear()

    def write(self) -> None:
        """Bring the tables up to date with the changes made in the index."""
        if not self._new and not self._gone:
            return
        index = self.instances.index
        by_relation: dict[SqlTable, tuple[list[Fact], list[Fact]]] = {}
        for place, facts in enumerate((self._gone | set(self._new), self._new)):
            for fact in sorted(facts):
                rel = index.relations.get(index.key(fact[1], fact[2]))
                if rel is not None:
                    by_relation.setdefault(rel, ([], []))[place].append(fact)
        for rel, (gone, new) in by_relation.items():
            self._engine.replace(rel, gone, [(f[0], f[2], self._new[f]) for f in new])
        self._new.clear()
        self._gone.clear()

    # -- adding ----------------------------------------------------------------------------------

    def add(self, facts: Iterable[Fact]) -> None:
        """Add facts and what follows from them."""
        index = self.instances.index
        fresh = [f for f in dict.fromkeys(facts) if not index.asserted(f)]
        if not fresh:
            return
        self._engine.assert_rows(fresh)
        for fact in fresh:
            index.forget_asserted(fact)
        try:
            self._forward(fresh)
        except _TooFarError:
            self._anew()

    def _forward(self, fresh: list[Fact]) -> None:
        instances, find = self.instances, self._engine.same.find
        if any(f[1] == instances.sameness for f in fresh):
            raise _TooFarError
        self._spent = 0
        level = []
        for fact in fresh:
            stood = self._standing(fact)
            if instances.index.step(stood) is None:
                level.append(stood)
            if stood == fact or instances.index.step(stood) is None:
                self._put(stood, ASSERTED)
        step = max(self._engine.step, ASSERTED)
        while level:
            step += 1
            found: dict[Fact, None] = {}
            for fact in level:
                for head in self._uses(fact):
                    if head[1] == instances.sameness:
                        if find(head[0]) != find(head[2]) and min(head[0], head[2]) >= 0:
                            raise _TooFarError
                        continue
                    stood = self._standing(head)
                    if head[0] >= 0 and instances.index.step(stood) is None:
                        found[stood] = None
            for fact in found:
                self._put(fact, step)
            level = list(found)
        self._engine.step = step

    def _standing(self, fact: Fact) -> Fact:
        find = self._engine.same.find
        o = fact[2] if fact[1] == self.instances.index.typed else find(fact[2])
        return find(fact[0]), fact[1], o

    def _put(self, fact: Fact, step: int) -> None:
        self._note(fact)
        self.instances.index.add(fact, step)
        self._new[fact] = step
        self._gone.discard(fact)

    def _uses(self, fact: Fact) -> Iterator[Fact]:
        """Yield what follows in one step from a fact and others."""
        instances = self.instances
        same, (s, p, o) = self._engine.same, fact
        objects = [o] if p == instances.index.typed else same.members(o)
        for coded, i in instances.by_body.get(instances.index.key(p, o), ()):
            if coded.head is None:
                continue
            rest = [*coded.body[:i], *coded.body[i + 1 :]]
            for x, y in product(same.members(s), objects):
                start = bind(coded.body[i], x, y, {})
                if start is None:
                    continue
                for binding in instances.solve(rest, start):
                    self._spend()
                    head = fill(coded.head, binding)
                    if head[0] != head[2] or head[1] != instances.sameness:
                        yield head

    def _spend(self) -> None:
        self._spent += 1
        if self._spent > _BUDGET:
            raise _TooFarError

    # -- withdrawing -----------------------------------------------------------------------------

    def withdraw(self, facts: list[Fact]) -> None:
        """Withdraw facts and what no longer follows from the rest."""
        try:
            lost, back = self._falling(facts)
        except _TooFarError:
            self._engine.retract_rows(facts)
            self._anew()
            return
        self._engine.retract_rows(facts)
        index = self.instances.index
        for fact in facts:
            index.forget_asserted(fact)
        for fact in lost:
            self._note(fact)
            index.remove(fact)
            self._new.pop(fact, None)
            self._gone.add(fact)
        for fact, step in back.items():
            self._put(fact, step)
        self._engine.step = max([self._engine.step, *back.values()])

    def lost(self, facts: list[Fact]) -> list[Fact]:
        """Return the facts that would no longer hold if facts were withdrawn."""
        given = [f for f in facts if self.instances.index.asserted(f)]
        try:
            lost: Iterable[Fact] = self._falling(given)[0]
        except _TooFarError:
            lost = self._difference(given)
        return [f for f in lost if not self._nameless(f)]

    def _nameless(self, fact: Fact) -> bool:
        return fact[1] == self.instances.index.typed and isinstance(
            self._engine.terms.term(fact[2]), BNode
        )

    def _falling(self, facts: list[Fact]) -> tuple[set[Fact], dict[Fact, int]]:
        """Return what falls with some facts, and what seems to but does not, with new steps.

        References
        ----------
        Gupta, Mumick and Subrahmanian, "Maintaining views incrementally", 1993 (delete and
        rederive).
        """
        self._spent = 0
        withdrawn = set(facts)
        doubted = dict.fromkeys(facts)
        for fact in doubted:
            self._check_sameness(fact)
        waiting = list(doubted)
        while waiting:
            for head in self._uses(waiting.pop()):
                if head in doubted or not self._derived_only(head, withdrawn):
                    continue
                self._check_sameness(head)
                doubted[head] = None
                waiting.append(head)
        lost, step = set(doubted), self._engine.step
        back: dict[Fact, int] = {}
        while True:
            step += 1
            saved = [f for f in doubted if f in lost and self._follows_without(f, lost)]
            if not saved:
                return lost, back
            lost.difference_update(saved)
            back.update(dict.fromkeys(saved, step))

    def _derived_only(self, fact: Fact, withdrawn: set[Fact]) -> bool:
        instances = self.instances
        if fact[0] < 0 or fact[1] == instances.sameness or fact in instances.given:
            return False
        return fact in withdrawn or not instances.index.asserted(fact)

    def _check_sameness(self, fact: Fact) -> None:
        """Give up if a fact has to do with names that were equated."""
        same, instances = self._engine.same, self.instances
        if not same:
            return
        users = instances.by_body.get(instances.index.key(fact[1], fact[2]), ())
        equates = fact[1] == instances.sameness or any(c.rule.equates for c, _ in users)
        if equates or len(same.members(fact[0])) > 1 or len(same.members(fact[2])) > 1:
            raise _TooFarError

    def _follows_without(self, fact: Fact, lost: set[Fact]) -> bool:
        instances = self.instances
        if fact in instances.given:
            return True
        for coded in instances.by_head.get(instances.index.key(fact[1], fact[2]), ()):
            start = bind(coded.head, fact[0], fact[2], {}) if coded.head else None
            if start is None:
                continue
            for binding in instances.solve(coded.body, start):
                self._spend()
                if not any(fill(pattern, binding) in lost for pattern in coded.body):
                    return True
        return False

    def _difference(self, facts: list[Fact]) -> Iterator[Fact]:
        """Close the rest by itself and compare."""
        self.write()
        engine = self._engine
        given = engine.executor.read("SELECT s, p, o FROM asserted")
        rest = pl.DataFrame(given).join(_frame(facts), on=["s", "p", "o"], how="anti")
        columns = [rest[c].to_numpy() for c in "spo"]
        other = Engine(engine.program, engine.terms, embedded(len(rest)))
        other.load(Quads(columns[0], columns[1], columns[2], engine.terms))
        other.run()
        before, after = (
            pl.concat(
                [
                    pl.DataFrame(e.executor.read("SELECT s, p, o FROM asserted")),
                    pl.DataFrame(e.executor.read(f"SELECT s, p, o FROM ({inferred_sql(e)}) i")),
                ]
            )
            for e in (engine, other)
        )
        other.executor.close()
        yield from before.join(after, on=["s", "p", "o"], how="anti").unique().iter_rows()


def _follows(step: int | None) -> bool:
    return step is not None and step > ASSERTED


def _frame(facts: Iterable[Fact]) -> pl.DataFrame:
    columns = np.array(list(facts), np.int32).reshape(-1, 3)
    return pl.DataFrame({c: columns[:, i] for i, c in enumerate("spo")})


def meant(rel: SqlTable) -> bool:
    """Tell whether facts of a relation mean something outside the reasoner."""
    return not isinstance(rel.cls, BNode) and not isinstance(rel.link, BNode)


def _columns(engine: Engine, rel: SqlTable) -> str:
    code = engine.terms.code
    o = "o" if rel.cls is None else f"{code(rel.cls)}"
    return f"s, {code(rel.link)} AS p, {o} AS o"


def _together(selects: list[str]) -> str:
    """Return the ``SELECT`` of the rows of several."""
    parts = [" UNION ALL ".join(selects[at : at + _MOST]) for at in range(0, len(selects), _MOST)]
    return " UNION ALL ".join(f"SELECT s, p, o FROM ({part}) n" for part in parts)


def inferred_sql(engine: Engine) -> str:
    """Return the ``SELECT`` of the facts that follow and were not given.

    Parameters
    ----------
    engine
        After its rules have run.

    Returns
    -------
    str
        Columns ``s``, ``p`` and ``o``, each fact once.
    """
    told = [rel for rel in engine.steps if meant(rel)]
    nothing = "SELECT s, p, o FROM asserted WHERE false"
    if not engine.same:
        parts = [
            f"SELECT {_columns(engine, rel)} FROM {engine.names[rel]} WHERE step > {ASSERTED}"
            for rel in told
        ]
        return _together([nothing, *parts])
    pairs = [(code, root) for root, group in engine.same.groups() for code in group]
    name, root = np.array(sorted(pairs), np.int32).T
    engine.executor.load("naming", {"name": np.ascontiguousarray(name), "root": root.copy()})
    known = [f"SELECT {_columns(engine, rel)} FROM {engine.names[rel]}" for rel in told]
    everything = _together(["SELECT s, p, o FROM asserted", *known])
    typed, same = engine.terms.code(RDF.type), engine.terms.code(OWL.sameAs)
    rooted = (
        "SELECT DISTINCT coalesce(x.root, k.s) AS s, k.p AS p, "
        f"CASE WHEN k.p = {typed} THEN k.o ELSE coalesce(y.root, k.o) END AS o "
        f"FROM ({everything}) k LEFT JOIN naming x ON k.s = x.name "
        f"LEFT JOIN naming y ON k.o = y.name WHERE k.p <> {same}"
    )
    named = (
        "SELECT coalesce(x.name, r.s) AS s, r.p AS p, "
        f"CASE WHEN r.p = {typed} THEN r.o ELSE coalesce(y.name, r.o) END AS o "
        f"FROM ({rooted}) r LEFT JOIN naming x ON r.s = x.root "
        f"LEFT JOIN naming y ON r.o = y.root AND r.p <> {typed}"
    )
    sameness = (
        f"SELECT a.name AS s, {same} AS p, b.name AS o "
        "FROM naming a JOIN naming b ON a.root = b.root WHERE a.name <> b.name"
    )
    found = f"SELECT s, p, o FROM ({named} UNION {sameness}) n"
    return f"{found} EXCEPT SELECT s, p, o FROM asserted"
