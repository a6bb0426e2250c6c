"""Which rows of an answer a change may touch, read from the question's query and its evidence.

A row tells of a thing, its *anchor*: the first of the columns from which chains of the query's own
patterns (`glost.answer.living.chains`) lead to every other. A statement that comes or goes can
make, unmake or support only rows whose anchor such a chain leads to, so the statement is followed
backwards along the chains and the question is put of what is found alone. The same is done for
constraints, in `glost.answer.living.ways`.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache, cached_property
from typing import Any

import pyoxigraph as ox
from rdflib import RDF, URIRef
from rdflib.plugins.sparql import prepareQuery

from glost.answer.living.chains import ON_THE_WAY, Chain, chains_to, points, starts, takes_part
from glost.answer.living.patterns import QueryPatterns, TriplePattern, evidence_patterns
from glost.answer.living.ways import TooMany
from glost.answer.questions import Question, catalogue
from glost.names import PREFIXES
from glost.record.terms import Term

MOST = 300
"""Of more things a question is not put one by one, but of all."""

_NAMED = re.compile(r"\b(\w+):(\w[\w-]*)")
_MADE = r"BIND\((?:(?:COALESCE|IRI|STRBEFORE|STR)\(|\?(\w+)|\"#\w*\"|[), ])+ AS \?{anchor}\)"
"""Where the anchor is made of a variable: the same term, or the thing of which that is a point."""
_VARIABLE = re.compile(r"\?\w+")
_ANY = re.compile(r"\?\w+\s+\?\w+\s+\?\w+|\ba\s+\?\w+")


@dataclass(frozen=True, eq=False)
class QuestionPlan:
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
        if not all(_there(store, each) for each in self._read.needed):
            return found
        for match, chains in self._read.chains:
            taking = [
                quad
                for verb in match.verbs
                for quad in quads.of(verb, default=match.graph is None)
                if takes_part(match, quad)
            ]
            if not taking:
                continue
            if not chains:
                return None
            try:
                found |= {end for chain in chains for end in _led_to(store, match, chain, taking)}
            except TooMany:
                return None
        told: set[Term] = {
            each
            for each in found
            if not isinstance(each, ox.BlankNode) and self._read.may_be(store, each)
        }
        return told if len(told) <= MOST else None


def _led_to(
    store: ox.Store, match: TriplePattern, chain: Chain, taking: list[ox.Quad]
) -> set[Term]:
    place, hops = chain
    at = starts(store, match, place, taking)
    for hop in hops:
        if len(at) > ON_THE_WAY:
            raise TooMany
        at = hop.ends(store, at)
    if len(at) > ON_THE_WAY:
        raise TooMany
    return at


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
    """Return a query that tells of some things alone, and so do queries within that give them.

    Where the anchor is made of another variable, of a point in the life of a thing, say, that one
    tells of the points of these things alone.
    """
    things = set(things)
    before, where, rest = text.partition("WHERE {")
    told = f" VALUES ?{anchor} {{ {_listed(things)} }} "
    given = re.compile(rf"\bSELECT(?: DISTINCT)?(?: \?\w+)*? \?{anchor}\b[^{{}}]*\{{")
    made = re.search(_MADE.format(anchor=anchor), rest)
    if made and rest[: made.start()].count("{") == rest[: made.start()].count("}"):
        told_of = (
            f" FILTER(?{anchor} IN ({_listed(things, ', ')})) "  # none can have a value before
        )
    else:
        told_of = told
    rest = given.sub(lambda found: found[0] + told, rest)
    if made and len(set(_VARIABLE.findall(made[0]))) == 2:  # itself, and one that it is made of
        values = _listed({point for each in things for point in points(each)})
        start = f"VALUES ?{made[1]} {{ {values} }} "
        rest = rest.replace(made[0], start + made[0])
    return f"{before}{where}{told_of}{rest}"


def _listed(terms: Iterable[Term], between: str = " ") -> str:
    return between.join(sorted(map(str, terms)))


# -- reading a question ----------------------------------------------------------------------------


@cache
def plans() -> tuple[QuestionPlan, ...]:
    """Return how each named question is asked, those with the shortest queries first."""
    found = sorted(catalogue().values(), key=lambda each: (len(each.header.query), each.name))
    return tuple(map(QuestionPlan, found))


@dataclass(frozen=True)
class _Planned:
    """What was read of a question.

    Attributes
    ----------
    anchor
        The column that tells what a row is about; empty if none is.
    chains
        Each pattern, with the chains from it to the anchor.
    needed
        Patterns without which there are no rows at all.
    all_of, one_of
        The patterns in which the anchor of every row stands: in all of the ones, and in one of the
        others, if there are any.
    """

    anchor: str
    chains: tuple[tuple[TriplePattern, tuple[Chain, ...]], ...]
    needed: tuple[TriplePattern, ...]
    all_of: tuple[TriplePattern, ...] = ()
    one_of: tuple[TriplePattern, ...] = ()

    def may_be(self, store: ox.Store, thing: Term) -> bool:
        """Say whether a row may tell of a thing: it then stands in patterns of the query."""
        anchor = ox.Variable(self.anchor)
        if not all(_stands(store, each, anchor, thing) for each in self.all_of):
            return False
        return not self.one_of or any(_stands(store, e, anchor, thing) for e in self.one_of)


def _stands(store: ox.Store, match: TriplePattern, anchor: ox.Variable, thing: Term) -> bool:
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


def _standing(anchor: ox.Variable, reader: QueryPatterns) -> Iterator[tuple[TriplePattern, bool]]:
    """Yield the patterns in which the anchor of a row stands, and whether it does in any row."""
    reader.by_evidence = False
    for each in reader.binding:
        if anchor not in (each.subject, each.object) or each.subject == each.object:
            continue
        if reader.unbinding.isdisjoint(each.scope) and reader.optional.isdisjoint(each.scope):
            plain = len(each.steps) == 1 and not each.steps[0][1]
            yield each, plain and not each.scope


def _planned(question: Question) -> _Planned:
    reader = QueryPatterns()
    reader.read(prepareQuery(question.header.query).algebra)
    selected = reader.selected
    for number, group in enumerate(question.header.evidence):
        reader.matches += evidence_patterns(group, selected, number)
    needed = tuple(_needed(reader))
    columns = [name for name, _ in question.header.columns]
    columns = [
        name
        for name in columns
        if ox.Variable(name) in reader.certain and _can_be_told(question.header.query, name)
    ]
    columns.sort(key=lambda name: f"VALUES ?{name} {{\n" in question.header.query)  # a few kinds
    for reader.by_evidence in (False, True):  # what is given as evidence mostly is in the query too
        for column in columns:
            anchor = ox.Variable(column)
            found = [(each, chains_to(each, anchor, reader)) for each in reader.matches]
            if all(chains for _, chains in found):
                return _Planned(column, tuple(found), needed, *_patterns_of(anchor, reader))
    return _Planned("", tuple((each, ()) for each in reader.matches), needed)


def _needed(reader: QueryPatterns) -> Iterator[TriplePattern]:
    """Yield the patterns, of one step along a property, that tell of what each row has."""
    for each in reader.matches:
        plain = len(each.steps) == 1 and not each.steps[0][1] and None not in each.verbs
        told = not reader.certain.isdisjoint((each.subject, each.object))
        if plain and told and not each.scope and each.evidence is None:
            yield each


def _there(store: ox.Store, match: TriplePattern) -> bool:
    """Say whether anything stands in a pattern."""
    graph = ox.DefaultGraph() if match.graph is None else None
    for verb, onward in match.steps[0][0]:
        ends = (match.subject, match.object) if onward else (match.object, match.subject)
        subject, value = (None if isinstance(end, ox.Variable) else end for end in ends)
        given: Any = subject, verb, value, graph
        if any(True for _ in store.quads_for_pattern(*given)):
            return True
    return False


def _patterns_of(
    anchor: ox.Variable, reader: QueryPatterns
) -> tuple[tuple[TriplePattern, ...], tuple[TriplePattern, ...]]:
    """Return the patterns in all of which the anchor of a row stands, and those in one of which."""
    found = list(_standing(anchor, reader))
    always = tuple(each for each, sure in found if sure)
    plain = all(len(each.steps) == 1 and not each.steps[0][1] for each, _ in found)
    made = any(each.variable == anchor for each in reader.made)  # elsewhere it stands in none
    return always, () if always or made or not plain else tuple(each for each, _ in found)


def _can_be_told(text: str, column: str) -> bool:
    try:
        ox.Store().query(_about(text, column, [ox.NamedNode("urn:any")]))
    except SyntaxError:
        return False
    return True
