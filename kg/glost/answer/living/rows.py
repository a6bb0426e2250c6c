"""Which rows of an answer a change may touch, read from the question's query and its evidence.

A row tells of a thing, its *anchor*: the first of the columns from which chains of the query's own
patterns lead to every other. A statement that comes or goes can make, unmake or support only rows
whose anchor such a chain leads to, so the statement is followed backwards along the chains and the
question is put of what is found alone. A chain goes by patterns that must hold for the one it
leads to; where none does, because parts of a ``UNION`` or an ``OPTIONAL`` lead to it, every chain
is followed. The same is done for constraints, in `glost.answer.living.ways`.
"""

import itertools
import re
from collections.abc import Container, Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cache, cached_property
from typing import Any, TypeAlias

import pyoxigraph as ox
from rdflib import OWL, RDF, Literal, URIRef, Variable
from rdflib.paths import AlternativePath, InvPath, MulPath, SequencePath
from rdflib.plugins.sparql import prepareQuery
from rdflib.plugins.sparql.parserutils import CompValue

from glost.answer.headers import Pattern, Slot
from glost.answer.questions import Question, catalogue
from glost.data import vocabulary
from glost.names import GLOST, PREFIXES
from glost.record.terms import Term, to_oxigraph

MOST = 300
"""Of more things a question is not put one by one, but of all."""
_ON_THE_WAY = 3000
"""Through more things than these no chain is followed."""
_WIDE = 100
"""So much worse than one step more is a step that fans out: from a year, say, or from the record's
graph to all claims."""
_DEEPEST = 3
"""So many ``BIND`` of several variables are followed one after another."""
_PARTS = ("begin", "end", "run", "made", "decorated")
_UNSAID = (("Builtin_COALESCE", "arg"), ("Builtin_IF", "arg2"), ("Builtin_IF", "arg3"),
           ("Builtin_IRI", "arg"), ("Builtin_CONCAT", "arg"), ("Builtin_STR", "arg"),
           ("Builtin_STRBEFORE", "arg1"))  # fmt: skip
"""Where in an expression stands what its value is taken from."""

_NAMED = re.compile(r"\b(\w+):(\w[\w-]*)")
_ANY = re.compile(r"\?\w+\s+\?\w+\s+\?\w+|\ba\s+\?\w+")

Slots: TypeAlias = ox.Variable | Term
Scope: TypeAlias = tuple[int, ...]
Step: TypeAlias = tuple[tuple[tuple[ox.NamedNode | None, bool], ...], bool]
"""Properties, each with whether it is followed from subject to object, None for any; and whether
any number of such steps may follow one another."""


class NotFollowedError(ValueError):
    """A query from which it cannot be read which rows a statement takes part in."""


@dataclass(frozen=True)
class _Match:
    """A triple pattern, with the graph it stands in (None for the default one) and its scope.

    One of the evidence bears the number of its group: it makes no rows, and need not hold of one.
    """

    subject: Slots
    steps: tuple[Step, ...]
    object: Slots
    graph: Slots | None
    scope: Scope
    evidence: int | None = None

    @property
    def ends(self) -> tuple[Slots | None, ...]:
        return self.subject, self.object, self.graph

    @cached_property
    def verbs(self) -> frozenset[ox.NamedNode | None]:
        return frozenset(verb for step, _ in self.steps for verb, _ in step)


@dataclass(frozen=True)
class _Made:
    """A variable that is made of others, by ``BIND``: the same term, or a point of its life."""

    variable: ox.Variable
    sources: frozenset[ox.Variable]
    scope: Scope


@dataclass(frozen=True)
class _Hop:
    """A step from some terms to others."""

    kind: str
    steps: tuple[Step, ...] = ()

    def ends(self, store: ox.Store, terms: set[Term]) -> set[Term]:
        if self.kind == "point":
            return {each for term in terms for each in _points(term)}
        if self.kind == "path":
            for step in self.steps:
                terms = _stepped(store, terms, step)
            return terms
        found: set[Any] = set()
        here, there = self.kind.split(">")
        for term, verb in itertools.product(terms, {v for s, _ in self.steps for v, _ in s}):
            given = dict.fromkeys(("subject", "object", "graph_name")) | {here: term}
            if here != "object" and not isinstance(term, ox.NamedNode | ox.BlankNode):
                continue
            three: Any = given["subject"], verb, given["object"], given["graph_name"]
            for quad in store.quads_for_pattern(*three):
                found.add(getattr(quad, there))
        return {each for each in found if not isinstance(each, ox.DefaultGraph)}


def _points(term: Term) -> Iterator[Term]:
    yield term
    if isinstance(term, ox.NamedNode):
        whole = term.value.partition("#")[0]
        yield ox.NamedNode(whole)
        yield from (ox.NamedNode(f"{whole}#{part}") for part in _PARTS)


def _stepped(store: ox.Store, starts: set[Term], step: Step) -> set[Term]:
    ways, many = step
    found = set(starts) if many else set[Term]()
    pending = list(starts)
    while pending:
        at = pending.pop()
        for verb, onward in ways:
            if onward and isinstance(at, ox.Literal):
                continue
            quads = (
                store.quads_for_pattern(at, verb, None, None)  # type: ignore[arg-type]
                if onward
                else store.quads_for_pattern(None, verb, at, None)
            )
            new = {each.object if onward else each.subject for each in quads} - found
            found |= new  # type: ignore[arg-type]
            if many:
                pending += new  # type: ignore[arg-type]
    return found


Chain: TypeAlias = tuple[str, tuple[_Hop, ...]]
"""Where in a statement it begins (``subject``, ``object``, ``graph_name``), and the way from there
to the anchor."""


@dataclass(frozen=True, eq=False)
class Plan:
    """How to ask a question of those things alone that statements touch.

    Attributes
    ----------
    question
        The question.
    """

    question: Question

    @cached_property
    def _read(self) -> "_Planned":
        """The anchor, and each pattern with the chains from it: read once it is touched at all."""
        return _planned(self.question)

    @property
    def anchor(self) -> str:
        """The column that tells what a row is about; empty if it must be asked of everything."""
        return self._read.anchor

    @property
    def place(self) -> int | None:
        """The place of the anchor among the columns; None if there is none."""
        names = [name for name, _ in self.question.header.columns]
        return names.index(self.anchor) if self.anchor else None

    @cached_property
    def verbs(self) -> frozenset[URIRef]:
        """The properties and classes that its query and its evidence name."""
        header = self.question.header
        found = {
            f"{PREFIXES[m[1]]}{m[2]}" for m in _NAMED.finditer(header.query) if m[1] in PREFIXES
        }
        return frozenset(map(URIRef, found))

    @cached_property
    def _of_any(self) -> bool:
        """Whether a property or a class may be anything."""
        return bool(_ANY.search(self.question.header.query))

    def query(self, text: str, things: Iterable[Term]) -> str:
        """Return a query that tells of some things alone."""
        return _about(text, self.anchor, things)

    def touched(self, store: ox.Store, quads: "Touching") -> set[Term] | None:
        """Return the things whose rows statements take part in; None for all."""
        found: set[Term] = set()
        if not self._of_any and quads.named.isdisjoint(self.verbs):
            return found
        for match, chains in self._read.chains:
            taking = [
                quad
                for verb in match.verbs
                for quad in quads.of(verb, default=match.graph is None)
                if _takes_part(match, quad)
            ]
            if not taking:
                continue
            if not chains:
                return None
            for place, hops in chains:
                at = _starts(store, match, place, taking)
                for hop in hops:
                    at = hop.ends(store, at)
                    if len(at) > _ON_THE_WAY:
                        return None
                found |= at
        told: set[Term] = {
            each
            for each in found
            if not isinstance(each, ox.BlankNode) and self._read.may_be(store, each)
        }
        return told if len(told) <= MOST else None


class Touching:
    """Statements that come or go, by property.

    Parameters
    ----------
    quads
        The statements.
    """

    def __init__(self, quads: Iterable[ox.Quad]) -> None:
        self._by: dict[tuple[object, bool], list[ox.Quad]] = {}
        quads = list(quads)
        kind = ox.NamedNode(str(RDF.type))
        told = {each.object if each.predicate == kind else each.predicate for each in quads}
        self.named = {URIRef(each.value) for each in told if isinstance(each, ox.NamedNode)}
        for each in dict.fromkeys(quads):
            default = isinstance(each.graph_name, ox.DefaultGraph)
            for verb in (each.predicate, None):
                self._by.setdefault((verb, default), []).append(each)

    def of(self, verb: ox.NamedNode | None, *, default: bool) -> list[ox.Quad]:
        """Return those of a property, None for any, in the default graph or in others."""
        return self._by.get((verb, default), [])


def _about(text: str, anchor: str, things: Iterable[Term]) -> str:
    """Return a query that tells of some things alone, and so do queries within that give them."""
    before, where, rest = text.partition("WHERE {")
    told = f" VALUES ?{anchor} {{ {' '.join(sorted(map(str, things)))} }} "
    given = re.compile(rf"\bSELECT(?: DISTINCT)?(?: \?\w+)*? \?{anchor}\b[^{{}}]*\{{")
    return f"{before}{where}{told}" + given.sub(lambda found: found[0] + told, rest)


def _takes_part(match: _Match, quad: ox.Quad) -> bool:
    if len(match.steps) == 1 and not match.steps[0][1]:
        ways = [on for verb, on in match.steps[0][0] if verb in (quad.predicate, None)]
        return any(
            _fits(match.subject, quad.subject if on else quad.object)
            and _fits(match.object, quad.object if on else quad.subject)
            for on in ways
        )
    return True  # a longer path is looked at where it begins


def _fits(slot: Slots, term: object) -> bool:
    return isinstance(slot, ox.Variable) or slot == term


def _starts(store: ox.Store, match: _Match, place: str, quads: Iterable[ox.Quad]) -> set[Term]:
    """Return what stands in a place of a pattern where a statement takes part in it."""
    found: set[Any] = set()
    here: set[Any]
    for quad in quads:
        if place == "graph_name":
            found.add(quad.graph_name)
            continue
        for at, (ways, many) in enumerate(match.steps):
            for verb, onward in ways:
                if verb not in (quad.predicate, None):
                    continue
                if place == "subject":
                    here = {quad.subject if onward else quad.object}
                    way = _turned((*match.steps[:at], *(((ways, many),) if many else ())))
                else:
                    here = {quad.object if onward else quad.subject}
                    way = (*(((ways, many),) if many else ()), *match.steps[at + 1 :])
                for step in way:
                    here = _stepped(store, here, step)
                found |= here
    return found


# -- reading a question ----------------------------------------------------------------------------


@cache
def plans() -> tuple[Plan, ...]:
    """Return how each named question is asked, those with the shortest queries first."""
    found = sorted(catalogue().values(), key=lambda each: (len(each.header.query), each.name))
    return tuple(map(Plan, found))


@dataclass(frozen=True)
class _Planned:
    """What was read of a question.

    Attributes
    ----------
    anchor
        The column that tells what a row is about; empty if none is.
    chains
        Each pattern, with the chains from it to the anchor.
    all_of, one_of
        The patterns in which the anchor of every row stands: in all of the ones, and in one of the
        others, if there are any.
    """

    anchor: str
    chains: tuple[tuple[_Match, tuple[Chain, ...]], ...]
    all_of: tuple[_Match, ...] = ()
    one_of: tuple[_Match, ...] = ()

    def may_be(self, store: ox.Store, thing: Term) -> bool:
        """Say whether a row may tell of a thing: it then stands in patterns of the query."""
        anchor = ox.Variable(self.anchor)
        if not all(_stands(store, each, anchor, thing) for each in self.all_of):
            return False
        return not self.one_of or any(_stands(store, e, anchor, thing) for e in self.one_of)


def _stands(store: ox.Store, match: _Match, anchor: ox.Variable, thing: Term) -> bool:
    """Say whether a thing stands in a pattern in the place of a variable."""
    other = match.object if match.subject == anchor else match.subject
    given = None if isinstance(other, ox.Variable) else other
    for verb, onward in match.steps[0][0]:
        subject: Term | None = thing
        value = given
        if (match.subject == anchor) != onward:
            subject, value = given, thing
        if isinstance(subject, ox.Literal):
            continue
        if any(True for _ in store.quads_for_pattern(subject, verb, value, None)):
            return True
    return False


def _standing(anchor: ox.Variable, reader: "_Reader") -> Iterator[tuple[_Match, bool]]:
    """Yield the patterns in which the anchor of a row stands, and whether it does in any row."""
    reader.by_evidence = False
    for each in reader.binding:
        if anchor not in (each.subject, each.object) or each.subject == each.object:
            continue
        if reader.unbinding.isdisjoint(each.scope) and reader.optional.isdisjoint(each.scope):
            plain = len(each.steps) == 1 and not each.steps[0][1]
            yield each, plain and not each.scope


def _planned(question: Question) -> _Planned:
    reader = _Reader()
    reader.read(prepareQuery(question.header.query).algebra)
    selected = reader.selected
    for number, group in enumerate(question.header.evidence):
        reader.matches += _evidence(group, selected, number)
    columns = [name for name, _ in question.header.columns]
    columns = [
        name
        for name in columns
        if ox.Variable(name) in reader.certain and _can_be_told(question.header.query, name)
    ]
    for reader.by_evidence in (False, True):  # what is given as evidence mostly is in the query too
        for column in columns:
            anchor = ox.Variable(column)
            found = [(each, _chains(each, anchor, reader)) for each in reader.matches]
            if all(chains for _, chains in found):
                return _Planned(column, tuple(found), *_patterns_of(anchor, reader))
    return _Planned("", tuple((each, ()) for each in reader.matches))


def _patterns_of(
    anchor: ox.Variable, reader: "_Reader"
) -> tuple[tuple[_Match, ...], tuple[_Match, ...]]:
    """Return the patterns in all of which the anchor of a row stands, and those in one of which."""
    found = list(_standing(anchor, reader))
    always = tuple(each for each, sure in found if sure)
    plain = all(len(each.steps) == 1 and not each.steps[0][1] for each, _ in found)
    return always, () if always or not plain else tuple(each for each, _ in found)


def _can_be_told(text: str, column: str) -> bool:
    try:
        ox.Store().query(_about(text, column, [ox.NamedNode("urn:any")]))
    except SyntaxError:
        return False
    return True


def _evidence(
    group: Iterable[Pattern], selected: frozenset[ox.Variable], number: int
) -> Iterator[_Match]:
    for subject, verb, value in group:
        ends = [_own(slot, selected, number) for slot in (subject, value)]
        named = verb if isinstance(verb, ox.NamedNode) else None
        yield _Match(ends[0], ((((named, True),), False),), ends[1], None, (), number)


def _own(slot: Slot, selected: frozenset[ox.Variable], number: int) -> Slots:
    if isinstance(slot, ox.Variable) and slot not in selected:
        return ox.Variable(f"{slot.value}_of_{number}")
    return slot


class _Reader:
    """Reads the patterns of a query's algebra."""

    def __init__(self) -> None:
        self.matches: list[_Match] = []
        self.made: list[_Made] = []
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
    def binding(self) -> Iterator[_Match]:
        """The patterns that make rows: those of the query itself."""
        return (each for each in self.matches if each.evidence is None or self.by_evidence)

    def goes_by(self, each: _Match, match: _Match) -> bool:
        """Say whether a chain from a pattern may go by another."""
        return self.by_evidence or each.evidence in (None, match.evidence)

    def read(self, algebra: CompValue) -> None:
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
            self.matches.append(_Match(ends[0], _steps(p), ends[1], graph, scope))
        if part.name == "values":
            self._bound |= {_slot(each, names) for row in part.res for each in row}
        if part.name == "Extend":
            self._bound.add(_slot(part.var, names))
            variable, sources = _slot(part.var, names), _sources(part.expr)
            if isinstance(variable, ox.Variable) and sources:
                told = frozenset(_slot(each, names) for each in sources)
                self.made.append(_Made(variable, told, scope))  # type: ignore[arg-type]
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


def _steps(path: Any) -> tuple[Step, ...]:
    if isinstance(path, Variable):
        return ((((None, True),), False),)
    if isinstance(path, URIRef):
        return ((((ox.NamedNode(str(path)), True),), False),)
    if isinstance(path, InvPath):
        return _turned(_steps(path.arg))
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


def _turned(steps: tuple[Step, ...]) -> tuple[Step, ...]:
    return tuple((tuple((v, not on) for v, on in ways), many) for ways, many in reversed(steps))


# -- chains ----------------------------------------------------------------------------------------


def _chains(match: _Match, anchor: ox.Variable, reader: _Reader) -> tuple[Chain, ...]:
    """Return the chains from a pattern to the anchor that must be followed; none if none leads."""
    own = [(place, slot) for place, slot in (("subject", match.subject), ("object", match.object),
           ("graph_name", match.graph)) if isinstance(slot, ox.Variable)]  # fmt: skip
    found = [
        [(place, hops) for hops in ways]
        for place, slot in own
        if (ways := _leading(slot, anchor, match, reader)) is not None
    ]
    if not found:
        return ()
    return tuple(min(found, key=lambda chains: _cost(match, chains, reader)))


def _cost(match: _Match, chains: Iterable[Chain], reader: _Reader) -> int:
    """Say how dear it is to follow chains: by their steps, those that fan out much above others."""
    cost = 0
    for place, hops in chains:
        begun = match.graph in reader.records and place == "graph_name"
        wide = begun + sum(_fans_out(hop) for hop in hops)
        cost += 1 + len(hops) + _WIDE * wide + (place == "object" and None in match.verbs)
    return cost


def _fans_out(hop: _Hop) -> bool:
    """Say whether a step leads from a value, such as a year, to all that has it."""
    if hop.kind in ("object>graph_name", "object>subject"):
        return any(verb in _valued() for ways, _ in hop.steps for verb, _ in ways)
    if hop.kind != "path":
        return False
    return any(verb in _valued() and not onward for verb, onward in hop.steps[0][0])


@cache
def _valued() -> frozenset[ox.NamedNode]:
    """Return the properties whose values are no things."""
    found = vocabulary().subjects(RDF.type, OWL.DatatypeProperty)
    return frozenset(ox.NamedNode(str(each)) for each in found)


def _leading(
    start: ox.Variable,
    anchor: ox.Variable,
    match: _Match,
    reader: _Reader,
    scopes: tuple[Scope, ...] = (),
    tried: set[ox.Variable] | None = None,
) -> list[tuple[_Hop, ...]] | None:
    """Return ways from a variable to the anchor, of which one must hold; None if none is sure to.

    What binds a variable on the way may be parts of a ``UNION``, an ``OPTIONAL`` or a ``BIND`` of
    several; then from each of them a way must lead on.
    """
    tried = set() if tried is None else tried
    reached = _reached(start, match, reader, (match.scope, *scopes))
    if anchor in reached:
        return [reached[anchor]]
    if len(scopes) > _DEEPEST:
        return None
    for at, way in reached.items():
        if at not in tried:
            tried.add(at)
            onward = _onward(at, anchor, match, reader, scopes, tried)
            if onward:
                return [(*way, *rest) for rest in onward]
    return None


def _onward(
    at: ox.Variable,
    anchor: ox.Variable,
    match: _Match,
    reader: _Reader,
    scopes: tuple[Scope, ...],
    tried: set[ox.Variable],
) -> list[tuple[_Hop, ...]] | None:
    """Return ways from whatever else binds a variable; None if one of them leads nowhere."""
    found: list[tuple[_Hop, ...]] = []
    for made in (each for each in reader.made if each.variable == at):
        for source in sorted(made.sources, key=str):
            ways = _leading(source, anchor, match, reader, (*scopes, made.scope), set(tried))
            if ways is None:
                return None
            found += [(_Hop("point"), *way) for way in ways]
    within = (match.scope, *scopes)
    told = {m.scope for m in reader.binding if m is not match and at in m.ends}
    told = {s for s in told if reader.unbinding.isdisjoint(set(s).difference(match.scope))}
    firm = {s for s in told if reader.optional.isdisjoint(set(s).difference(match.scope))}
    for scope in sorted(firm or (told if not found else ())):
        if any(scope == each[: len(scope)] for each in within):
            continue  # these were gone by already
        ways = _leading(at, anchor, match, reader, (*scopes, scope), set(tried))
        if ways is None:
            return None
        found += ways
    return list(dict.fromkeys(found))


def _reached(
    start: ox.Variable, match: _Match, reader: _Reader, scopes: Iterable[Scope]
) -> dict[ox.Variable, tuple[_Hop, ...]]:
    """Return the shortest ways by patterns that hold wherever those of some scopes do."""
    scopes = tuple(scopes)
    matches = [
        each
        for each in reader.matches
        if each is not match and reader.goes_by(each, match) and _holds(each, scopes)
    ]
    made = [each for each in reader.made if len(each.sources) == 1 and _holds(each, scopes)]
    ways: dict[ox.Variable, tuple[_Hop, ...]] = {start: ()}
    pending = [start]
    for at in pending:
        for hop, there in _moves(at, matches, made, reader.records):
            if there not in ways:
                ways[there] = (*ways[at], hop)
                pending.append(there)
    return ways


def _holds(each: _Match | _Made, scopes: tuple[Scope, ...]) -> bool:
    return any(each.scope == scope[: len(each.scope)] for scope in scopes)


def _moves(
    at: ox.Variable,
    matches: Iterable[_Match],
    made: Iterable[_Made],
    records: Container[Slots | None],
) -> Iterator[tuple[_Hop, ox.Variable]]:
    if at in records:  # all claims are told of in the record's graph
        return
    for each in matches:
        if at not in each.ends:
            continue
        slots = {"subject": each.subject, "object": each.object, "graph_name": each.graph}
        for here, there in itertools.permutations(slots, 2):
            end = slots[there]
            if slots[here] != at or not isinstance(end, ox.Variable):
                continue
            if "graph_name" not in (here, there):
                steps = each.steps if here == "subject" else _turned(each.steps)
                yield _Hop("path", steps), end
            elif len(each.steps) == 1:
                inverse = not each.steps[0][0][0][1]
                turned = {"subject": "object", "object": "subject"} if inverse else {}
                yield _Hop(f"{turned.get(here, here)}>{turned.get(there, there)}", each.steps), end
    for one in made:
        if one.variable == at:
            yield from ((_Hop("point"), source) for source in one.sources)
        elif at in one.sources:
            yield _Hop("point"), one.variable
