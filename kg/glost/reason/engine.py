"""The fixpoint: rules run over tables of codes until nothing new follows."""

from collections import defaultdict
from collections.abc import Iterable, Iterator

import numpy as np
from rdflib.namespace import OWL, RDF
from rdflib.term import Node

from glost.reason.coding import Dictionary, Quads
from glost.reason.compiler import Program
from glost.reason.executor import Executor
from glost.reason.operators import components, reachable
from glost.reason.rules import Atom, FactRule, Var
from glost.reason.sql import (
    SqlTable,
    arguments,
    conclusions,
    equations,
    firing_windows,
    relation,
)
from glost.reason.tables import Tables


class Sameness:
    """Union-find over codes; the least code of a group stands for it.

    References
    ----------
    Galler and Fischer, "An improved equivalence algorithm", 1964.
    """

    def __init__(self) -> None:
        self._parent: dict[int, int] = {}
        self._members: dict[int, list[int]] = {}

    def __bool__(self) -> bool:
        """Whether any two names have been equated."""
        return bool(self._parent)

    def find(self, code: int) -> int:
        """Return the code that stands for another."""
        root = code
        while (above := self._parent.get(root, root)) != root:
            root = above
        while (above := self._parent.get(code, code)) != root:
            self._parent[code], code = root, above
        return root

    def union(self, a: int, b: int) -> tuple[int, int] | None:
        """Equate two codes.

        Returns
        -------
        tuple of int or None
            The code that no longer stands for itself and the one that now stands for it, or
            ``None`` if they were the same already.
        """
        kept, lost = sorted((self.find(a), self.find(b)))
        if kept == lost:
            return None
        self._members.setdefault(kept, [kept]).extend(self._members.pop(lost, [lost]))
        self._parent[lost] = kept
        return lost, kept

    def members(self, code: int) -> list[int]:
        """Return all codes equated with a code, itself included."""
        return self._members.get(self.find(code), [code])

    def groups(self) -> Iterator[tuple[int, list[int]]]:
        """Yield the groups of more than one, each with the code that stands for it."""
        yield from self._members.items()


ASSERTED = 1
"""The step of the facts that were given."""

_ROUNDS = 6
"""Rounds of joins before a transitive property is closed as a graph instead."""


class Engine(Tables):
    """Tables of what is known, and the steps by which they grow.

    Parameters
    ----------
    program
        The rules of one schema.
    terms
        The codes of the terms.
    executor
        Where the tables are.
    """

    def __init__(self, program: Program, terms: Dictionary, executor: Executor) -> None:
        self.program, self.terms = program, terms
        self.same = Sameness()
        self.schedule = program.schedule
        super().__init__(executor, program.names, self.schedule.transitive)
        self._ran: dict[int, int] = defaultdict(int)
        self._copied: dict[int, set[int]] = defaultdict(set)

    # -- loading ---------------------------------------------------------------------------

    def code(self, term: Node) -> int:
        """Return the code that stands for a term."""
        return self.same.find(self.terms.code(term))

    def load(self, quads: Quads) -> None:
        """Take the facts in.

        Parameters
        ----------
        quads
            Facts in codes.
        """
        self.executor.load("asserted", {"s": quads.s, "p": quads.p, "o": quads.o})
        self.restart()

    def restart(self) -> None:
        """Begin anew from the table ``asserted``."""
        self.clear()
        self._ran.clear()
        self._copied.clear()
        self.same = Sameness()
        self.step = ASSERTED
        code = self.terms.code
        for rel in self._present():
            listed, kind = ", ".join(rel.columns), f" AND o = {code(rel.cls)}" if rel.cls else ""
            rows = f"SELECT {listed} FROM asserted WHERE p = {code(rel.link)}{kind}"
            self._add(rel, rows, True)
        self.step += 1
        for fact in self.program.given:
            self._give(Atom(*fact))

    def _present(self) -> list[SqlTable]:
        """Return the relations that have facts."""
        term, typed = self.terms.term, self.terms.code(RDF.type)
        found = self.executor.read(
            f"SELECT DISTINCT p, CASE WHEN p = {typed} THEN o ELSE 0 END AS c FROM asserted"
        )
        pairs = zip(found["p"].tolist(), found["c"].tolist(), strict=True)
        there = {SqlTable(term(p), term(c) if p == typed else None) for p, c in pairs}
        return [rel for rel in self.names if rel in there]

    def _give(self, atom: Atom) -> None:
        """Add one fact that the schema gives."""
        rel = relation(atom)
        values = [self.terms.code(t) for t in arguments(atom)]  # type: ignore[arg-type]
        row = ", ".join(f"{v} AS {c}" for v, c in zip(values, rel.columns, strict=True))
        self._insert(rel, [f"SELECT {row}"], True)

    # -- growing ---------------------------------------------------------------------------

    def _selects(self, rule: FactRule) -> list[str]:
        """Return what to run so that a rule sees everything new since it last ran."""
        since = self._ran[id(rule)]
        self._ran[id(rule)] = self.step
        body = [relation(a) for a in rule.body]
        if not all(self.count[rel] for rel in body):
            return []
        if all(self.newest[rel] <= since for rel in body):
            return []
        undoing = self._copied.get(self.schedule.undoes.get(id(rule)) or 0, set())
        if undoing:
            fresh = {step for step in self.steps[body[0]] if step > since} - undoing
            if not fresh:
                return []
            which = f"t0.step IN ({', '.join(map(str, sorted(fresh)))})"
            return [conclusions(rule, self.names, self.code, None, which)]
        return [
            conclusions(rule, self.names, self.code, windows)
            for windows in firing_windows(rule.body, since, self.newest)
        ]

    def _grow(self, rel: SqlTable) -> int:
        """Run the rules that conclude a relation, once; return the number of new rows."""
        selects: list[str] = []
        used = []
        for rule in self.schedule.joins(rel):
            found = self._selects(rule)
            selects += found
            used += [rule] if found else []
        self.step += bool(selects)
        only = id(used[0]) if len(used) == 1 and id(used[0]) in self.schedule.copies else 0
        added = self._insert(rel, selects, True, bool(only) and len(selects) == 1)
        if added and only:
            self._copied[only].add(self.step)
        if rel in self.schedule.equivalences:
            added += self._close_equivalence(rel)
        elif rel in self.schedule.transitive:
            added += self._close_transitive(rel)
        return added

    def _close_equivalence(self, rel: SqlTable) -> int:
        """Close a symmetric and transitive relation: everything in a component with everything."""
        rule = self.schedule.transitive[rel]
        if self.newest[rel] <= self._ran[id(rule)]:
            return 0
        edges = self.executor.read(f"SELECT s, o FROM {self.names[rel]} WHERE base")
        node, label = components(edges["s"], edges["o"])
        self.executor.load("labelled", {"node": node, "label": label})
        self.step += 1
        pairs = "SELECT a.node AS s, b.node AS o FROM labelled a JOIN labelled b USING (label)"
        added = self._insert(rel, [f"SELECT s, o FROM ({pairs}) p WHERE s >= 0"], False)
        self._ran[id(rule)] = self.step
        return added

    def _close_transitive(self, rel: SqlTable) -> int:
        """Close a transitive relation: joins with the base rows first, as a graph if deep."""
        rule, table = self.schedule.transitive[rel], self.names[rel]
        total = 0
        for _ in range(_ROUNDS):
            since = self._ran[id(rule)]
            self._ran[id(rule)] = self.step
            if not self.count[rel] or self.newest[rel] <= since:
                return total
            step = f"SELECT a.s AS s, b.o AS o FROM {table} a, {table} b WHERE a.o = b.s AND b.base"
            selects = (
                [step]
                if since == 0
                else [
                    f"{step} AND a.step > {since}",
                    f"{step} AND b.step > {since} AND a.step <= {since}",
                ]
            )
            self.step += 1
            added = self._insert(rel, selects, False)
            total += added
            if not added:
                return total
        edges = self.executor.read(f"SELECT s, o FROM {table} WHERE base")
        s, o = reachable(edges["s"], edges["o"])
        self.executor.load("reached", {"s": s, "o": o})
        self.step += 1
        total += self._insert(rel, ["SELECT s, o FROM reached"], False)
        self._ran[id(rule)] = self.step
        return total

    # -- sameness --------------------------------------------------------------------------

    def _equated(self) -> Iterator[tuple[int, int]]:
        """Yield the pairs of names that the rules equate and that are not yet the same."""
        for rule in self.schedule.equations:
            since = self._ran[id(rule)]
            self._ran[id(rule)] = self.step
            body = [relation(a) for a in rule.body]
            if not all(self.count[r] for r in body) or all(self.newest[r] <= since for r in body):
                continue
            for select in equations(rule, self.names, self.code, since, self.newest):
                found = self.executor.read(select)
                yield from zip(found["x"].tolist(), found["y"].tolist(), strict=True)

    def _asserted_same(self) -> Iterator[tuple[int, int]]:
        found = self.executor.read(
            f"SELECT s, o FROM asserted WHERE p = {self.terms.code(OWL.sameAs)} "
            "AND s <> o AND s >= 0 AND o >= 0"
        )
        yield from zip(found["s"].tolist(), found["o"].tolist(), strict=True)

    def _merge(self, pairs: Iterable[tuple[int, int]]) -> bool:
        """Equate pairs of names and rewrite the rows that used the names given up."""
        lost = [merged[0] for a, b in pairs if (merged := self.same.union(a, b))]
        if not lost:
            return False
        self.step += 1
        old = np.array(sorted(lost), np.int32)
        new = np.array([self.same.find(x) for x in old.tolist()], np.int32)
        self.executor.load("renamed", {"old": old, "new": new})
        for rel in list(self.steps):
            self.count[rel] = self.executor.rename(
                self.names[rel], rel.columns, "renamed", self.step
            )
            self.newest[rel] = self.step
            self.steps[rel].add(self.step)
        gone = set(lost)
        for rule in self.program.rules:
            named = {t for a in (*rule.body, *filter(None, (rule.head,))) for t in (a.s, a.o)}
            if any(not isinstance(t, Var) and self.terms.code(t) in gone for t in named):
                self._ran.pop(id(rule), None)
        return True

    def run(self) -> None:
        """Run the rules until nothing new follows."""
        self._merge(self._asserted_same())
        while True:
            for part, recursive in self.schedule.order:
                while sum(self._grow(rel) for rel in part) and recursive:
                    pass
            if not self._merge(self._equated()):
                return
