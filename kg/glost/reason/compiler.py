"""From a schema to rules about facts: each line of the W3C tables, specialised to it."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from itertools import combinations
from typing import cast

from rdflib import BNode, Graph, Literal
from rdflib.namespace import OWL, RDF
from rdflib.term import Node

from glost.data import concepts, vocabulary
from glost.reason.coding import Quads, encode
from glost.reason.labels import Labels
from glost.reason.rules import Atom, FactRule, RuleTemplate, Term, Triple, Var, templates
from glost.reason.schedule import Schedule
from glost.reason.schema import EVERYTHING, close_schema, inverse_names, is_datatype, members
from glost.reason.sql import SAME, SqlTable, relation, table_names

Binding = Mapping[Var, Node]


@dataclass(frozen=True)
class Program:
    """The rules about facts that one schema gives.

    Parameters
    ----------
    rules
        Rules with a conclusion, in the order of the W3C tables.
    clashes
        Rules whose body is a contradiction.
    given
        Facts that the schema states by itself, each with the rule that gives it.
    ranges
        Property, datatype and source of every range that is a datatype.
    labels
        Readable names for classes and properties, anonymous ones included.
    """

    rules: tuple[FactRule, ...]
    clashes: tuple[FactRule, ...]
    given: Mapping[Triple, FactRule]
    ranges: tuple[tuple[Node, Node, Triple], ...]
    labels: Labels

    @cached_property
    def names(self) -> dict[SqlTable, str]:
        """What the table of each relation is called."""
        relations = {relation(Atom(*fact)) for fact in self.given}
        for rule in (*self.rules, *self.clashes):
            relations |= {relation(a) for a in (*rule.body, *filter(None, (rule.head,)))}
        return table_names(relations - {SAME}, self.labels)

    @cached_property
    def schedule(self) -> Schedule:
        """In which order the rules run."""
        return Schedule(self.rules, list(self.names))


def _unify(pattern: Term | str, value: Node, binding: dict[Var, Node]) -> bool:
    if isinstance(pattern, Var):
        return binding.setdefault(pattern, value) == value
    if isinstance(pattern, Literal):
        return isinstance(value, Literal) and value.value == pattern.value
    return pattern == value


def _candidates(
    schema: Graph, words: tuple[Term | str, ...], binding: Binding
) -> Iterator[tuple[tuple[Node, ...], tuple[Triple, ...]]]:
    """Yield the values a schema pattern may take, with the triples that say so."""
    terms = [binding.get(w, w) if isinstance(w, Var) else w for w in words]
    if terms[0] == "member":
        for m in members(schema, cast(Node, terms[1])):
            yield (m,), ()
    elif terms[0] == "pair":
        for pair in combinations(members(schema, cast(Node, terms[1])), 2):
            yield pair, ()
    else:
        known = [None if isinstance(t, (Var, Literal)) else t for t in terms]
        for triple in schema.triples(tuple(known)):  # type: ignore[arg-type]
            yield triple, (triple,)


def _matches(
    schema: Graph,
    patterns: tuple[tuple[Term | str, ...], ...],
    binding: Binding,
    source: tuple[Triple, ...] = (),
) -> Iterator[tuple[Binding, tuple[Triple, ...]]]:
    """Yield every way the schema part of a template holds."""
    if not patterns:
        yield binding, source
        return
    words, rest = patterns[0], patterns[1:]
    if words[1] == "!=":
        if binding[words[0]] != words[2]:  # type: ignore[index]
            yield from _matches(schema, rest, binding, source)
        return
    free = words[2:] if words[0] in ("member", "pair") else words
    for values, said in _candidates(schema, words, binding):
        extended = dict(binding)
        if all(_unify(w, v, extended) for w, v in zip(free, values, strict=True)):
            yield from _matches(schema, rest, extended, source + said)


def _macro(schema: Graph, words: tuple[Term | str, ...], binding: Binding) -> list[Atom]:
    """Write out ``every``, ``chain`` and ``share`` for the list they name."""
    kind, subject, head = words[0], words[1], binding[words[2]]  # type: ignore[index]
    items = members(schema, head)
    if kind == "every":
        return [Atom(subject, RDF.type, c) for c in items]  # type: ignore[arg-type]
    other = words[3]
    if kind == "chain":
        stops = [subject, *(Var(f"u{i}") for i in range(1, len(items))), other]
        return [Atom(stops[i], p, stops[i + 1]) for i, p in enumerate(items)]  # type: ignore[arg-type]
    values = [Var(f"v{i}") for i in range(1, len(items) + 1)]
    return [
        Atom(side, p, v)  # type: ignore[arg-type]
        for side in (subject, other)
        for p, v in zip(items, values, strict=True)
    ]


def _straight(atom: Atom, inverse: Mapping[Node, Node]) -> Atom:
    """Turn a pattern over a nameless inverse round, onto the property that has a name."""
    while atom.p in inverse:
        atom = Atom(atom.o, inverse[cast(Node, atom.p)], atom.s)
    return atom


def _specialise(
    schema: Graph, template: RuleTemplate, inverse: Mapping[Node, Node]
) -> Iterator[tuple[FactRule, Binding]]:
    for binding, source in _matches(schema, template.schema, {}):

        def put(word: Term | str, binding: Binding = binding) -> Term:
            return binding.get(word, word) if isinstance(word, Var) else word  # type: ignore[return-value]

        body: list[Atom] = []
        for words in template.body:
            if words[0] in ("every", "chain", "share"):
                body += _macro(schema, words, binding)
            else:
                body.append(Atom(*(put(w) for w in words)))
        if Var("l") in binding and not members(schema, binding[Var("l")]):
            continue  # an empty list says nothing
        head = template.head and Atom(*(put(t) for t in template.head))
        body = [_straight(a, inverse) for a in body]
        yield (
            FactRule(template.name, tuple(body), head and _straight(head, inverse), source),
            binding,
        )


def _relevant(rule: FactRule, schema: Graph) -> FactRule | None:
    """Drop what cannot matter: types that everything has, and classes of literals."""

    def of_everything(a: Atom) -> bool:
        return a.p == RDF.type and a.o in EVERYTHING

    def of_literals(a: Atom) -> bool:
        return a.p == RDF.type and is_datatype(schema, a.o)  # type: ignore[arg-type]

    head = rule.head
    if any(of_literals(a) for a in rule.body):
        return None
    if head is not None and (of_everything(head) or of_literals(head)):
        return None
    if head is not None and any(a.p == OWL.sameAs for a in rule.body):
        return None  # sameness is kept aside, not in a table
    if head is not None and any(a.p == RDF.type and a.o == OWL.Nothing for a in rule.body):
        return None  # a member of nothing is a clash already
    body = tuple(a for a in rule.body if not of_everything(a)) or rule.body
    if head in body:
        return None
    return FactRule(rule.name, body, head, rule.source)


def _without_unread(rules: list[FactRule], clashes: list[FactRule]) -> list[FactRule]:
    """Drop rules whose conclusion is a nameless class that no rule asks for."""
    while True:
        read = {(a.p, a.o) for r in (*rules, *clashes) for a in r.body}
        kept = [
            r
            for r in rules
            if r.head is None
            or not isinstance(r.head.o, BNode)
            or r.head.p != RDF.type
            or (r.head.p, r.head.o) in read
        ]
        if len(kept) == len(rules):
            return kept
        rules = kept


def compile_rules(schema: Graph) -> Program:
    """Specialise the rules of OWL 2 RL to a schema.

    Parameters
    ----------
    schema
        The ontology; it is not changed.

    Returns
    -------
    Program
        The same for the same schema, in the same order.

    References
    ----------
    W3C, *OWL 2 Profiles*, section 4.3; Grosof, Horrocks, Volz and Decker, "Description logic
    programs", 2003, for the idea of compiling the schema away.
    """
    closed = close_schema(schema)
    labels = Labels(closed)
    inverse = inverse_names(closed)
    rules: dict[tuple[tuple[Atom, ...], Atom | None], FactRule] = {}
    clashes: dict[tuple[tuple[Atom, ...], Atom | None], FactRule] = {}
    given: dict[Triple, FactRule] = {}
    ranges: list[tuple[Node, Node, Triple]] = []
    for template in templates():
        made = sorted(_specialise(closed, template, inverse), key=lambda pair: labels.rule(pair[0]))
        for rule, binding in made:
            if rule.name == "prp-rng" and is_datatype(closed, binding[Var("c")]):
                ranges.append((binding[Var("p")], binding[Var("c")], rule.source[0]))
            useful = _relevant(rule, closed)
            if useful is None:
                continue
            key = (useful.body, useful.head)
            if useful.head is None:
                clashes.setdefault(key, useful)
            elif not useful.body:
                given.setdefault((useful.head.s, useful.head.p, useful.head.o), useful)  # type: ignore[arg-type]
            else:
                rules.setdefault(key, useful)
    kept = _without_unread(list(rules.values()), list(clashes.values()))
    return Program(tuple(kept), tuple(clashes.values()), given, tuple(ranges), labels)


@cache
def vocabulary_rules() -> Program:
    """Return the rules that this program's own vocabulary gives, compiled once in a process."""
    return compile_rules(vocabulary())


@cache
def concept_facts() -> Quads:
    """Return the concept schemes in codes, given once in a process. Read-only."""
    return encode(concepts())
