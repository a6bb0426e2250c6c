"""The triple patterns of a query, and what it assigns, read from its algebra.

Each pattern and assignment bears its scope: the groups of the query in which it stands, outermost
first, of which some need not hold (``OPTIONAL``, a part of a ``UNION``) and some bind nothing
(``MINUS``, ``EXISTS``).
"""

import itertools
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, TypeAlias

import pyoxigraph as ox
from rdflib import Literal, URIRef, Variable
from rdflib.paths import AlternativePath, InvPath, MulPath, SequencePath
from rdflib.plugins.sparql.parserutils import CompValue

from glost.answer.headers import Pattern, Slot
from glost.names import GLOST
from glost.record.terms import Term, to_oxigraph

_UNSAID = (("Builtin_COALESCE", "arg"), ("Builtin_IF", "arg2"), ("Builtin_IF", "arg3"),
           ("Builtin_IRI", "arg"), ("Builtin_CONCAT", "arg"), ("Builtin_STR", "arg"),
           ("Builtin_STRBEFORE", "arg1"))  # fmt: skip
"""Where in an expression stands what its value is taken from."""

Slots: TypeAlias = ox.Variable | Term
Scope: TypeAlias = tuple[int, ...]
"""Numbers of groups."""
PathStep: TypeAlias = tuple[tuple[tuple[ox.NamedNode | None, bool], ...], bool]
"""Properties, each with whether it is followed from subject to object, None for any; and whether
any number of such steps may follow one another."""


class NotFollowedError(ValueError):
    """A query from which it cannot be read which rows a statement takes part in."""


@dataclass(frozen=True)
class TriplePattern:
    """A triple pattern, or one of a property path.

    Attributes
    ----------
    subject, object
        What stands at its ends.
    steps
        The path from the one to the other.
    graph
        The graph it stands in; None for the default one.
    scope
        The groups it stands in, outermost first.
    evidence
        The number of its group if it is one of the evidence: it makes no rows then, and need not
        hold of one.
    """

    subject: Slots
    steps: tuple[PathStep, ...]
    object: Slots
    graph: Slots | None
    scope: Scope
    evidence: int | None = None

    @property
    def ends(self) -> tuple[Slots | None, ...]:
        """What stands at its ends, and its graph."""
        return self.subject, self.object, self.graph

    @cached_property
    def verbs(self) -> frozenset[ox.NamedNode | None]:
        """The properties that it goes by; None stands for any."""
        return frozenset(verb for step, _ in self.steps for verb, _ in step)


@dataclass(frozen=True)
class Assignment:
    """A variable that is made of others, by ``BIND``: the same term, or a point of its life."""

    variable: ox.Variable
    sources: frozenset[ox.Variable]
    scope: Scope


class QueryPatterns:
    """The patterns of a query, read from its algebra.

    Attributes
    ----------
    matches
        The patterns.
    made
        The variables that are made of others.
    selected, certain
        The variables that the query gives, and those that are bound in each of its solutions.
    unbinding, optional
        The groups that bind nothing, and those that need not hold.
    by_evidence
        Whether patterns of the evidence count as ones of the query.
    """

    def __init__(self) -> None:
        self.matches: list[TriplePattern] = []
        self.made: list[Assignment] = []
        self.selected: frozenset[ox.Variable] = frozenset()
        self.certain: frozenset[ox.Variable] = frozenset()
        self.unbinding: set[int] = set()
        self.optional: set[int] = set()
        self.by_evidence = False
        self._bound: set[Slots | None] = set()
        self._numbers = itertools.count(1)

    @cached_property
    def records(self) -> frozenset[Slots | None]:
        """The variables that stand for the record's graph, for it tells what is a claim."""
        claim = ox.NamedNode(str(GLOST.Claim))
        return frozenset(
            each.graph
            for each in self.matches
            if each.object == claim and isinstance(each.graph, ox.Variable)
        )

    @property
    def binding(self) -> Iterator[TriplePattern]:
        """The patterns that make rows: those of the query itself."""
        return (each for each in self.matches if each.evidence is None or self.by_evidence)

    def goes_by(self, each: TriplePattern, match: TriplePattern) -> bool:
        """Say whether a chain from a pattern may go by another."""
        return self.by_evidence or each.evidence in (None, match.evidence)

    def read(self, algebra: CompValue) -> None:
        """Read a query.

        Raises
        ------
        NotFollowedError
            If it has a path that is not understood here.
        """
        while "PV" not in algebra:
            algebra = algebra.p
        self.selected = frozenset(ox.Variable(str(each)) for each in algebra.PV)
        while algebra.name != "Project":
            algebra = algebra.p
        self._read(algebra.p, (), None, {})
        bound = self._bound | {end for each in self.matches for end in each.ends}
        self.made = [replace(each, sources=each.sources & bound) for each in self.made]
        self.made = [each for each in self.made if each.sources]
        self.certain = frozenset(map(ox.Variable, _certain(algebra.p)))

    def _read(
        self, part: Any, scope: Scope, graph: Slots | None, names: dict[Variable, str]
    ) -> None:
        if isinstance(part, list | tuple):
            for each in part:
                self._read(each, scope, graph, names)
        if not isinstance(part, CompValue):
            return
        if part.name in ("Builtin_EXISTS", "Builtin_NOTEXISTS"):
            self.unbinding.add(number := next(self._numbers))
            self._read(part.graph, (*scope, number), graph, names)
            return
        if part.name == "Graph":
            graph = _slot(part.term, names)
        if part.name == "Project":  # variables of a query within that it does not give are its own
            inner, number = {str(v) for v in part.PV}, next(self._numbers)
            names = _Renamed(names, inner, number)
        for s, p, o in part["triples"] if "triples" in part else ():  # noqa: SIM401 - get is another
            ends = _slot(s, names), _slot(o, names)
            self.matches.append(TriplePattern(ends[0], _steps(p), ends[1], graph, scope))
        if part.name == "values":
            self._bound |= {_slot(each, names) for row in part.res for each in row}
        if part.name == "Extend":
            self._bound.add(_slot(part.var, names))
            variable, sources = _slot(part.var, names), _sources(part.expr)
            if isinstance(variable, ox.Variable) and sources:
                told = frozenset(_slot(each, names) for each in sources)
                self.made.append(Assignment(variable, told, scope))  # type: ignore[arg-type]
        for key, each in part.items():
            if key not in ("triples", "_vars", "PV", "var", "term"):
                apart = (part.name in ("Minus", "LeftJoin") and key in ("p2", "expr")) or (
                    part.name == "Union" and key in ("p1", "p2")
                )
                within = (*scope, next(self._numbers)) if apart else scope
                if apart and part.name != "Union":
                    (self.optional if part.name == "LeftJoin" else self.unbinding).add(within[-1])
                self._read(each, within, graph, names)


class _Renamed(dict[Variable, str]):
    """Names of variables within a query that stands in another."""

    def __init__(self, outer: dict[Variable, str], given: set[str], number: int) -> None:
        super().__init__(outer)
        self._outer, self._given, self._number = outer, given, number

    def __missing__(self, variable: Variable) -> str:
        if str(variable) in self._given:
            return _name(variable, self._outer)
        return f"{variable}_in_{self._number}"


def _name(variable: Variable, names: dict[Variable, str]) -> str:
    return names[variable] if isinstance(names, _Renamed) else str(variable)


def _slot(term: Any, names: dict[Variable, str]) -> Slots:
    if isinstance(term, Variable):
        return ox.Variable(_name(term, names))
    if not isinstance(term, URIRef | Literal):  # a blank node stands for anything
        return ox.Variable(f"blank_{re.sub('[^A-Za-z0-9]', '_', str(term))}")
    return to_oxigraph(term)


def _sources(expression: Any) -> frozenset[Variable]:
    """Return the variables of which an expression's value is taken; none if it is anything else."""
    found: set[Variable] = set()
    pending = [expression]
    while pending:
        at = pending.pop()
        if isinstance(at, Variable):
            found.add(at)
        elif isinstance(at, CompValue):
            keys = [key for name, key in _UNSAID if name == at.name]
            if not keys:
                return frozenset()
            for key in keys:
                value = at[key]
                value = value if isinstance(value, list | tuple) else [value]
                pending += value[:1] if at.name == "Builtin_CONCAT" else value  # as of a point
        elif not isinstance(at, Literal):
            return frozenset()
    return frozenset(found)


def _certain(part: Any) -> set[str]:
    """Return the variables that are bound in every solution."""
    if not isinstance(part, CompValue):
        return set()
    if part.name in ("LeftJoin", "Minus"):
        return _certain(part.p1)
    if part.name == "Union":
        return _certain(part.p1) & _certain(part.p2)
    if part.name == "Join":
        return _certain(part.p1) | _certain(part.p2)
    if part.name == "values":
        rows = part.res
        return {str(v) for v in rows[0] if all(v in r and r[v] != "UNDEF" for r in rows)}
    if part.name == "Project":
        return _certain(part.p) & {str(v) for v in part.PV}
    found = _certain(part.p) if "p" in part else set()
    if part.name == "Extend" and isinstance(part.expr, Variable) and str(part.expr) in found:
        found.add(str(part.var))
    for s, _, o in part["triples"] if "triples" in part else ():  # noqa: SIM401 - get is another
        found |= {str(each) for each in (s, o) if isinstance(each, Variable)}
    if part.name == "Graph" and isinstance(part.term, Variable):
        found.add(str(part.term))
    return found


def _steps(path: Any) -> tuple[PathStep, ...]:
    if isinstance(path, Variable):
        return ((((None, True),), False),)
    if isinstance(path, URIRef):
        return ((((ox.NamedNode(str(path)), True),), False),)
    if isinstance(path, InvPath):
        return turned(_steps(path.arg))
    if isinstance(path, SequencePath):
        return tuple(step for arg in path.args for step in _steps(arg))
    if isinstance(path, AlternativePath):
        parts = [_steps(arg) for arg in path.args]
        if all(len(part) == 1 and not part[0][1] for part in parts):
            return ((tuple(way for part in parts for way in part[0][0]), False),)
    if isinstance(path, MulPath):
        inner = _steps(path.path)
        if len(inner) == 1:
            return ((inner[0][0], True),)
    raise NotFollowedError(f"a question follows a path that is not understood here: {path}")


def turned(steps: tuple[PathStep, ...]) -> tuple[PathStep, ...]:
    """Return a path from its end to its beginning."""
    return tuple((tuple((v, not on) for v, on in ways), many) for ways, many in reversed(steps))


def evidence_patterns(
    group: Iterable[Pattern], selected: frozenset[ox.Variable], number: int
) -> Iterator[TriplePattern]:
    """Yield the patterns of a group of evidence.

    Parameters
    ----------
    group
        The group, as a question's header has it.
    selected
        The variables that the query gives; others are the group's own.
    number
        The number of the group.
    """
    for subject, verb, value in group:
        ends = [_own(slot, selected, number) for slot in (subject, value)]
        named = verb if isinstance(verb, ox.NamedNode) else None
        yield TriplePattern(ends[0], ((((named, True),), False),), ends[1], None, (), number)


def _own(slot: Slot, selected: frozenset[ox.Variable], number: int) -> Slots:
    if isinstance(slot, ox.Variable) and slot not in selected:
        return ox.Variable(f"{slot.value}_of_{number}")
    return slot
