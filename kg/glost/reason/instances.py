"""Rule instances: how a fact follows in one step, and what follows from it in one step.

Facts are looked up by codes; names that were equated are told apart here, so that a proof speaks
of the facts that were given.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import islice
from typing import NamedTuple

from rdflib.namespace import OWL

from glost.reason.coding import Fact
from glost.reason.index import StatementIndex
from glost.reason.rules import Atom, FactRule, Var

Slot = int | Var
Pattern = tuple[Slot, int, Slot]
Binding = dict[Var, int]

SYMMETRY, TRANSITIVITY, REPLACE_S, REPLACE_O = "eq-sym", "eq-trans", "eq-rep-s", "eq-rep-o"


class Coded(NamedTuple):
    """A rule with codes for its terms."""

    rule: FactRule
    body: tuple[Pattern, ...]
    head: Pattern | None


class Instance(NamedTuple):
    """A rule applied: its name, what it was applied to, the rule where it has one."""

    name: str
    premises: tuple[Fact, ...]
    rule: FactRule | None


def bind(pattern: Pattern, s: int, o: int, binding: Binding) -> Binding | None:
    """Return the binding extended so that a pattern reads as a row, or ``None``."""
    extended = dict(binding)
    for slot, value in ((pattern[0], s), (pattern[2], o)):
        if isinstance(slot, Var):
            if extended.setdefault(slot, value) != value:
                return None
        elif slot != value:
            return None
    return extended


def fill(pattern: Pattern, binding: Binding) -> Fact:
    """Return the fact that a pattern means under a binding."""
    s, p, o = pattern
    return (
        binding[s] if isinstance(s, Var) else s,
        p,
        binding[o] if isinstance(o, Var) else o,
    )


class Instances:
    """Finds rule instances over an index.

    Parameters
    ----------
    index
        The facts.
    """

    def __init__(self, index: StatementIndex) -> None:
        self.index = index
        engine = index.engine
        self.same = engine.same
        self._code = engine.terms.code
        self.sameness = self._code(OWL.sameAs)
        self.by_head: dict[tuple[int, int | None], list[Coded]] = {}
        self.by_body: dict[tuple[int, int | None], list[tuple[Coded, int]]] = {}
        for rule in engine.program.rules:
            coded = self.coded(rule)
            if coded.head is not None:
                self.by_head.setdefault(self._key(coded.head), []).append(coded)
            for i, pattern in enumerate(coded.body):
                self.by_body.setdefault(self._key(pattern), []).append((coded, i))
        self.given: dict[Fact, FactRule] = {
            (self._code(s), self._code(p), self._code(o)): rule
            for (s, p, o), rule in engine.program.given.items()
        }
        self.transitive = {self._code(rel.link) for rel in engine.schedule.transitive}

    def coded(self, rule: FactRule) -> Coded:
        """Return a rule in codes."""
        return Coded(
            rule, tuple(self._pattern(a) for a in rule.body), rule.head and self._pattern(rule.head)
        )

    def _slot(self, term: object) -> Slot:
        return term if isinstance(term, Var) else self._code(term)  # type: ignore[arg-type]

    def _pattern(self, atom: Atom) -> Pattern:
        return self._slot(atom.s), self._code(atom.p), self._slot(atom.o)  # type: ignore[arg-type]

    def _key(self, pattern: Pattern) -> tuple[int, int | None]:
        _, p, o = pattern
        return self.index.key(p, None if isinstance(o, Var) else o)

    # -- facts under all their names ----------------------------------------------------------

    def rows(self, s: int | None, p: int, o: int | None) -> Iterable[tuple[int, int]]:
        """Return the facts that agree with what is given, each under all its names."""
        same = self.same
        if p == self.sameness:
            return self._same_rows(s, o)
        if not same:
            return [(a, b) for a, b, _ in self.index.match(s, p, o)]
        found = self.index.match(
            None if s is None else same.find(s),
            p,
            o if o is None or p == self.index.typed else same.find(o),
        )
        return [
            (x, y)
            for a, b, _ in found
            for x in ((s,) if s is not None else same.members(a))
            for y in ((o,) if o is not None else same.members(b))
        ]

    def _same_rows(self, s: int | None, o: int | None) -> list[tuple[int, int]]:
        if s is not None:
            return [(s, y) for y in self.same.members(s) if y != s and o in (None, y)]
        if o is not None:
            return [(x, o) for x in self.same.members(o) if x != o]
        return [(x, y) for _, group in self.same.groups() for x in group for y in group if x != y]

    def holds(self, fact: Fact) -> bool:
        """Tell whether a fact is known, given or inferred."""
        return any(True for _ in self.rows(*fact))

    def solve(self, body: Sequence[Pattern], binding: Binding) -> Iterator[Binding]:
        """Yield every way a body holds."""
        if not body:
            yield binding
            return

        def value(slot: Slot) -> int | None:
            return binding.get(slot) if isinstance(slot, Var) else slot

        free = [(value(b[0]) is None) + (value(b[2]) is None) for b in body]
        least = min(free)
        at = free.index(least)
        if least and free.count(least) > 1:
            equal = [i for i, number in enumerate(free) if number == least]
            at = min(equal, key=lambda i: self._size(body[i], value))
        chosen, rest = body[at], [*body[:at], *body[at + 1 :]]
        for s, o in self.rows(value(chosen[0]), chosen[1], value(chosen[2])):
            extended = bind(chosen, s, o, binding)
            if extended is not None:
                yield from self.solve(rest, extended)

    def _size(self, pattern: Pattern, value: Callable[[Slot], int | None]) -> int:
        s, p, o = value(pattern[0]), pattern[1], value(pattern[2])
        if p == self.sameness:
            return 0
        find = self.same.find
        return self.index.size(
            None if s is None else find(s), p, o if o is None or p == self.index.typed else find(o)
        )

    # -- backward --------------------------------------------------------------------------------

    def concluding(self, fact: Fact, most: int, skip: str = "") -> tuple[list[Instance], bool]:
        """Return the rule instances that conclude a fact.

        Parameters
        ----------
        fact
            A known fact.
        most
            How many instances of one rule to return at most.
        skip
            A rule to leave out.

        Returns
        -------
        tuple
            The instances, and whether some were left out because there were too many.
        """
        found: dict[Instance, None] = {}
        cut = False
        for coded in self.by_head.get(self.index.key(fact[1], fact[2]), ()):
            if coded.rule.name == skip or coded.head is None:
                continue
            start = bind(coded.head, fact[0], fact[2], {})
            if start is None:
                continue
            number = 0
            for binding in islice(self.solve(coded.body, start), most + 1):
                number += 1
                premises = tuple(fill(pattern, binding) for pattern in coded.body)
                if fact not in premises:
                    found[Instance(coded.rule.name, premises, coded.rule)] = None
            cut |= number > most
        for instance in self._renamed(fact):
            found[instance] = None
        return list(found), cut

    def _renamed(self, fact: Fact) -> Iterator[Instance]:
        """Yield the rules of equality that conclude a fact."""
        s, p, o = fact
        if not self.same:
            return
        if p == self.sameness:
            if self.index.asserted((o, p, s)):
                yield Instance(SYMMETRY, ((o, p, s),), None)
            for z in self.same.members(s):
                if z not in (s, o):
                    yield Instance(TRANSITIVITY, ((s, p, z), (z, p, o)), None)
            return
        for other in self.same.members(s):
            if other != s:
                yield Instance(REPLACE_S, ((other, self.sameness, s), (other, p, o)), None)
        if p != self.index.typed:
            for other in self.same.members(o):
                if other != o:
                    yield Instance(REPLACE_O, ((other, self.sameness, o), (s, p, other)), None)
