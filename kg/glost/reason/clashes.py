"""Contradictions: every one, with the facts that make it."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from rdflib.namespace import OWL
from rdflib.term import Node

from glost.reason.coding import Fact
from glost.reason.compiler import Program
from glost.reason.engine import Engine
from glost.reason.index import Key
from glost.reason.instances import Coded, Instances, bind, fill
from glost.reason.literals import in_value_space, same_value
from glost.reason.rules import Atom, FactRule, Triple, Var, reading_order
from glost.reason.sql import SAME, SqlTable, grouped, join, relation

_MESSAGES = {
    "eq-diff": "two names for one thing are said to be different things",
    "prp-irp": "a property that nothing has to itself is said of a thing and itself",
    "prp-asyp": "a property that goes one way only is said both ways",
    "prp-pdw": "two properties that exclude each other join the same two things",
    "prp-adp": "two properties that exclude each other join the same two things",
    "prp-npa": "a fact is stated that the schema denies",
    "cls-nothing2": "a thing belongs to a class that can have no members",
    "cls-com": "a thing belongs to a class and to its complement",
    "cls-maxc1": "a thing has a value of a property it may have no value of",
    "cls-maxqc": "a thing has a value of a property it may have no value of",
    "cax-": "a thing belongs to two classes that exclude each other",
    "dt-not-type": "a value is not of the datatype it should be of",
}
_LITERALS = "two different values stand where there may be one"
_MIXED = "a thing and a value stand where there may be one"


@dataclass(frozen=True, slots=True)
class Clash:
    """A contradiction.

    Parameters
    ----------
    rule
        The name of the rule in the W3C tables that finds it.
    facts
        All facts the rule was applied to, given or inferred.
    message
        What is wrong, in a sentence.
    axioms
        The triples of the schema that the rule was made from.
    """

    rule: str
    facts: tuple[Triple, ...]
    message: str
    axioms: tuple[Triple, ...] = ()


def _message(rule: FactRule) -> str:
    return next(m for start, m in _MESSAGES.items() if rule.name.startswith(start))


def _reading_order(clash: Clash) -> tuple[str, list[tuple[str, ...]]]:
    return clash.rule, [reading_order(fact) for fact in clash.facts]


class Clashes:
    """Looks for contradictions among what an engine knows.

    Parameters
    ----------
    engine
        After its rules have run.
    """

    def __init__(self, engine: Engine) -> None:
        self._engine = engine
        self._program: Program = engine.program
        self._code, self._term = engine.terms.code, engine.terms.term

    def all(self) -> tuple[Clash, ...]:
        """Return every contradiction, sorted by rule and facts."""
        found: dict[tuple[str, frozenset[Triple]], Clash] = {}
        for clash in sorted(self._each(), key=_reading_order):
            found.setdefault((clash.rule, frozenset(clash.facts)), clash)
        return tuple(found.values())

    def _each(self) -> Iterator[Clash]:
        for rule in self._program.clashes:
            if any(relation(a) == SAME for a in rule.body):
                yield from self._different(rule)
            elif all(self._engine.count[relation(a)] for a in rule.body):
                yield from self._broken(rule)
        for rule in self._engine.schedule.equations:
            if all(self._engine.count[relation(a)] for a in rule.body):
                yield from self._unequal(rule)
        yield from self._given_unequal()
        yield from self._outside_range()

    def _rows(self, select: str) -> Iterator[dict[str, int]]:
        found = self._engine.executor.read(select)
        columns = [column.tolist() for column in found.values()]
        for row in zip(*columns, strict=True):
            yield dict(zip(found, row, strict=True))

    def _facts(self, rule: FactRule, values: Mapping[Var, int]) -> tuple[Triple, ...]:
        def fill(term: Node | Var) -> Node:
            return self._term(values[term]) if isinstance(term, Var) else term

        facts = [(fill(a.s), a.p, fill(a.o)) for a in rule.body]
        return tuple(dict.fromkeys(facts))  # type: ignore[arg-type]

    def _instances(
        self, rule: FactRule, condition: str = ""
    ) -> Iterator[tuple[dict[Var, int], tuple[Triple, ...]]]:
        source = join(rule, self._engine.names, self._engine.code)
        if condition:
            source.where.append(condition)
        variables = list(source.place)
        listed = ", ".join(f"{source.place[v]} AS v{i}" for i, v in enumerate(variables))
        for row in self._rows(source.sql(f"DISTINCT {listed or '1 AS v'}")):
            values = {v: row[f"v{i}"] for i, v in enumerate(variables)}
            yield values, self._facts(rule, values)

    def _broken(self, rule: FactRule) -> Iterator[Clash]:
        for _, facts in self._instances(rule):
            yield Clash(rule.name, facts, _message(rule), rule.source)

    def _different(self, rule: FactRule) -> Iterator[Clash]:
        """Yield the names that were equated although they are said to be different."""
        same, terms = self._engine.same, self._term
        pairs: list[tuple[int, int]] = []
        equated, *said = rule.body
        if not said:
            pairs = [(self._code(equated.s), self._code(equated.o))]  # type: ignore[arg-type]
        else:
            pairs = self._statements(said[0])
        for a, b in pairs:
            if same.find(a) == same.find(b):
                x, y = terms(a), terms(b)
                facts = ((x, OWL.sameAs, y),) if a != b else ()
                yield Clash(
                    rule.name,
                    (*facts, *((x, atom.p, y) for atom in said)),  # type: ignore[arg-type]
                    _message(rule),
                    rule.source,
                )

    def _statements(self, atom: Atom) -> list[tuple[int, int]]:
        """Return the pairs said to be different, in the names they were given in."""
        same = self._engine.same
        given = f"SELECT DISTINCT s, o FROM asserted WHERE p = {self._code(atom.p)}"  # type: ignore[arg-type]
        pairs = [(row["s"], row["o"]) for row in self._rows(given)]
        rel = relation(atom)
        if self._engine.count[rel]:
            known = {(same.find(a), same.find(b)) for a, b in pairs}
            everything = self._rows(f"SELECT s, o FROM {self._engine.names[rel]}")
            inferred = ((row["s"], row["o"]) for row in everything)
            pairs += [pair for pair in inferred if pair not in known]
        return pairs

    def _unequal(self, rule: FactRule) -> Iterator[Clash]:
        """Yield the literals that a rule equates although they differ."""
        head = rule.head
        if head is None:
            return
        if rule.name in ("prp-fp", "prp-ifp"):
            for row in self._rows(grouped(rule, self._engine.names, "true", " AND min(value) < 0")):
                key = "s" if rule.body[0].s == rule.body[1].s else "o"
                shared = rule.body[0].s if key == "s" else rule.body[0].o
                values = {shared: row["k"], head.s: row["x"], head.o: row["y"]}
                facts = self._facts(rule, values)  # type: ignore[arg-type]
                yield from self._judge(rule, row["x"], row["y"], facts)
            return
        place = join(rule, self._engine.names, self._engine.code).place
        x, y = place[head.s], place[head.o]  # type: ignore[index]
        for found, facts in self._instances(rule, f"{x} < {y} AND {x} < 0"):
            yield from self._judge(rule, found[head.s], found[head.o], facts)  # type: ignore[index]

    def _judge(self, rule: FactRule, a: int, b: int, facts: tuple[Triple, ...]) -> Iterator[Clash]:
        if b >= 0:
            yield Clash(rule.name, facts, _MIXED, rule.source)
        elif not same_value(self._term(a), self._term(b)):
            yield Clash(rule.name, facts, _LITERALS, rule.source)

    def _given_unequal(self) -> Iterator[Clash]:
        """Yield names said to be the same as a literal."""
        same = self._code(OWL.sameAs)
        for row in self._rows(f"SELECT DISTINCT s, o FROM asserted WHERE p = {same} AND o < 0"):
            fact = (self._term(row["s"]), OWL.sameAs, self._term(row["o"]))
            yield Clash("eq-diff1", (fact,), _MIXED)

    def _outside_range(self) -> Iterator[Clash]:
        """Yield the literals that are not of the datatype their property asks for."""
        given = self._engine.executor.read("SELECT DISTINCT p FROM asserted WHERE o < 0")
        there = set(given["p"].tolist())
        for p, datatype, axiom in self._program.ranges:
            if SqlTable(p) not in self._engine.steps and self._code(p) not in there:
                continue
            values = f"FROM {self._values(p)} WHERE o < 0"
            wrong = [
                row["o"]
                for row in self._rows(f"SELECT DISTINCT o {values}")
                if not in_value_space(self._term(row["o"]), datatype)  # type: ignore[arg-type]
            ]
            if not wrong:
                continue
            listed = ", ".join(map(str, wrong))
            for row in self._rows(f"SELECT DISTINCT s, o {values} AND o IN ({listed})"):
                fact = (self._term(row["s"]), p, self._term(row["o"]))
                yield Clash("dt-not-type", (fact,), _MESSAGES["dt-not-type"], (axiom,))

    def _values(self, p: Node) -> str:
        """Return where the facts of a property are, inferred ones included if any."""
        rel = SqlTable(p)
        if rel in self._engine.steps:
            return self._engine.names[rel]
        return f"(SELECT s, o FROM asserted WHERE p = {self._code(p)}) g"


class Clashing:
    """Every contradiction, kept up to date while small changes are made.

    Parameters
    ----------
    engine
        Its tables up to date.
    """

    def __init__(self, engine: Engine) -> None:
        self._engine = engine
        self._found = {_key(clash): clash for clash in Clashes(engine).all()}
        self._bodies: dict[Key, list[tuple[Coded, int]]] | None = None
        self._ranges: dict[int, list[tuple[Node, Triple]]] = {}
        for p, datatype, axiom in engine.program.ranges:
            self._ranges.setdefault(engine.terms.code(p), []).append((datatype, axiom))

    def all(self) -> tuple[Clash, ...]:
        """Return every contradiction, sorted by rule and facts."""
        return tuple(sorted(self._found.values(), key=_reading_order))

    def revise(self, instances: Instances, known: list[Fact], unknown: list[Fact]) -> bool:
        """Take in facts that hold now and did not, and give up those of facts that hold no more.

        Parameters
        ----------
        instances
            Finds rule instances over all that holds now.
        known, unknown
            The facts.

        Returns
        -------
        bool
            False if only looking through everything again can tell: where things may be equated.
        """
        special = {instances.sameness, self._engine.terms.code(OWL.differentFrom)}
        touched = any(fact[1] in special for fact in (*known, *unknown))
        if touched or self._engine.schedule.equations:
            return False
        gone = {self._triple(fact) for fact in unknown}
        if gone:
            kept = {k: c for k, c in self._found.items() if gone.isdisjoint(c.facts)}
            self._found = kept
        new = [clash for fact in known for clash in self._with(instances, fact)]
        for clash in sorted(new, key=_reading_order):
            self._found.setdefault(_key(clash), clash)
        return True

    def _triple(self, fact: Fact) -> Triple:
        s, p, o = (self._engine.terms.term(code) for code in fact)
        return s, p, o

    def _with(self, instances: Instances, fact: Fact) -> Iterator[Clash]:
        """Yield the contradictions that a fact takes part in."""
        key = instances.index.key(fact[1], fact[2])
        for coded, place in self._by_body(instances).get(key, ()):
            start = bind(coded.body[place], fact[0], fact[2], {})
            if start is None:
                continue
            rest = [*coded.body[:place], *coded.body[place + 1 :]]
            for binding in instances.solve(rest, start):
                facts = dict.fromkeys(self._triple(fill(each, binding)) for each in coded.body)
                yield Clash(coded.rule.name, tuple(facts), _message(coded.rule), coded.rule.source)
        if fact[2] < 0:
            triple = self._triple(fact)
            for datatype, axiom in self._ranges.get(fact[1], ()):
                if not in_value_space(triple[2], datatype):  # type: ignore[arg-type]
                    yield Clash("dt-not-type", (triple,), _MESSAGES["dt-not-type"], (axiom,))

    def _by_body(self, instances: Instances) -> "dict[Key, list[tuple[Coded, int]]]":
        if self._bodies is None:
            self._bodies = {}
            for rule in self._engine.program.clashes:
                coded = instances.coded(rule)
                for place, pattern in enumerate(coded.body):
                    o = None if isinstance(pattern[2], Var) else pattern[2]
                    key = instances.index.key(pattern[1], o)
                    self._bodies.setdefault(key, []).append((coded, place))
        return self._bodies


def _key(clash: Clash) -> tuple[str, frozenset[Triple]]:
    return clash.rule, frozenset(clash.facts)
