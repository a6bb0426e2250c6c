"""Everything found wrong, kept up to date: a check is made again only where it would look anew.

Checks that look at one thing at a time are kept thing by thing; the others as a whole each. What
each of them looked at is noted as it is made (`glost.answer.living.tracing`).
"""

from collections import Counter, defaultdict
from collections.abc import Callable, Hashable, Iterable, Iterator

from rdflib import Graph, URIRef
from rdflib.namespace import SKOS

from glost.answer.clashes import clash_findings
from glost.answer.desk import Desk
from glost.answer.errata import column_findings, errata_findings
from glost.answer.findings import constraint_findings, in_order
from glost.answer.living.tracing import Look, TracedBelief, TracedGraph, seen_by
from glost.answer.pictured import image_findings
from glost.answer.shacl import Violation
from glost.answer.times import conflict_findings
from glost.answer.values import differing_values, length_properties, single, unreadable_value
from glost.findings import Finding
from glost.record.belief import Belief
from glost.record.claims import Triple
from glost.record.errata import overtaken, unknown_columns
from glost.record.wording import Words
from glost.trade.assortments.findings import assortment_findings, stated_findings
from glost.trade.assortments.having import Having
from glost.trade.assortments.holding import Holding
from glost.trade.assortments.lists import Lists
from glost.trade.assortments.order import Order
from glost.trade.codes.findings import code_findings
from glost.trade.kilns.findings import kiln_findings
from glost.trade.lineage import lineage, lineage_findings

Unit = tuple[Hashable, ...]
"""A check, and the thing it is made of where it is made thing by thing."""


def _stated(desk: Desk, belief: Belief) -> Iterable[Finding]:
    margin, graph = desk.record.collection.margin, belief.worded
    having = Having(Lists(belief, margin), Order(desk.chronology))
    return stated_findings(Holding(having, Words(graph), margin), graph)


_CHECKS: dict[str, Callable[[Desk, Belief], Iterable[Finding]]] = {
    "kilns": lambda desk, b: kiln_findings(b, b.worded),
    "lineage": lambda desk, b: lineage_findings(lineage(b), desk.record.collection.margin),
    "assortments": lambda desk, b: assortment_findings(b, b.worded),
    "stated": _stated,
    "codes": lambda desk, b: code_findings(b, b.worded, desk.record.collection.margin),
    "conflicts": lambda desk, b: conflict_findings(desk.chronology, b.worded),
    "images": lambda desk, b: image_findings(
        b, desk.record.collection.path, desk.record.base, b.worded
    ),
    "clashes": lambda desk, b: clash_findings(desk.closure, b, b.worded),
    "errata": lambda desk, b: errata_findings(overtaken(desk.record, b), b.worded),
    "columns": lambda desk, b: column_findings(unknown_columns(desk.record, b), b.worded),
}
"""Checks that are made as a whole."""

_OF_TIMES = ("stated", "conflicts")
"""Those that look at the chronology too."""
_ALWAYS = ("clashes", "errata", "columns")
"""Those that look at more than is believed, and are quick: proofs, claims that are withdrawn."""


class Found:
    """Everything found wrong.

    Parameters
    ----------
    desk
        The collection.
    about
        The record's graph.
    breaches
        The breaches of the SHACL constraints.
    """

    def __init__(self, desk: Desk, about: Graph, breaches: Iterable[Violation]) -> None:
        self._desk, self._about = desk, about
        self._made: dict[Unit, tuple[tuple[Finding, ...], frozenset[Look]]] = {}
        self._seen: dict[Look, set[Unit]] = defaultdict(set)
        self._count: Counter[Finding] = Counter(desk.record.findings)
        self._breaches = set(breaches)
        units: list[Unit] = [("check", name) for name in _CHECKS]
        units += [("breach", each) for each in self._breaches]
        units += _valued(desk.belief.graph)
        for unit in units:
            self._make(unit)

    @property
    def all(self) -> tuple[Finding, ...]:
        """All findings in order; see `glost.answer.findings.find`."""
        return in_order(finding for finding, count in self._count.items() if count > 0)

    def revise(
        self,
        desk: Desk,
        changed: Iterable[Triple],
        *,
        new: Iterable[Violation],
        gone: Iterable[Violation],
        times: bool,
    ) -> tuple[tuple[Finding, ...], tuple[Finding, ...]]:
        """Make again what would look at something else now.

        Parameters
        ----------
        desk
            The collection as it is now.
        changed
            Every statement that a claim that came or went makes, or that is told of it.
        new, gone
            The breaches of SHACL constraints that are new, and those that are mended.
        times
            Whether the chronology is another.

        Returns
        -------
        tuple
            The findings that are new and those that are gone, each in order.
        """
        before, self._desk = self._desk, desk
        changed = tuple(changed)
        units = {unit for key in seen_by(changed) for unit in self._seen.get(key, ())}
        units |= {("check", name) for name in _ALWAYS}
        units |= {("check", name) for name in _OF_TIMES if times}
        units |= set(_values(changed))
        if any(verb == SKOS.broader for _, verb, _ in changed):  # what is a kind of what
            units |= _valued(desk.belief.graph)
        lost, came = {("breach", each) for each in gone}, {("breach", each) for each in new}
        delta: Counter[Finding] = Counter()
        if before.record.findings != desk.record.findings:
            for count in (delta, self._count):
                count.update(desk.record.findings)
                count.subtract(before.record.findings)
        for unit in units | lost | came:
            delta.subtract(self._drop(unit))
            if unit not in lost:
                delta.update(self._make(unit))
        return self._counted(delta)

    def _counted(
        self, delta: "Counter[Finding]"
    ) -> tuple[tuple[Finding, ...], tuple[Finding, ...]]:
        was = {finding for finding in delta if self._count[finding] - delta[finding] > 0}
        now = {finding for finding in delta if self._count[finding] > 0}
        for finding in delta.keys() - now:
            del self._count[finding]
        return in_order(now - was), in_order(was - now)

    def _drop(self, unit: Unit) -> tuple[Finding, ...]:
        found, looks = self._made.pop(unit, ((), frozenset()))
        for key in looks:
            self._seen[key].discard(unit)
            if not self._seen[key]:
                del self._seen[key]
        self._count.subtract(found)
        return found

    def _make(self, unit: Unit) -> tuple[Finding, ...]:
        looks: set[Look] = set()
        found = tuple(self._found(unit, TracedBelief(self._desk.belief, looks), looks))
        if found or unit[0] != "value":
            self._made[unit] = (found, frozenset(looks))
            for key in looks:
                self._seen[key].add(unit)
        self._count.update(found)
        return found

    def _found(self, unit: Unit, belief: Belief, looks: set[Look]) -> Iterable[Finding]:
        kind, what, *rest = unit
        if kind == "breach" and isinstance(what, Violation):
            data = TracedGraph([self._desk.belief.graph, self._about], looks)
            words = Words(belief.worded)
            return constraint_findings([what], data, belief, words, self._desk.record)
        if kind == "value" and isinstance(what, URIRef):
            return _of_value(self._desk, belief, what, rest[0])
        return _CHECKS[str(what)](self._desk, belief)


def _of_value(desk: Desk, belief: Belief, thing: URIRef, verb: object) -> Iterator[Finding]:
    property_ = URIRef(str(verb))
    if property_ in single():
        values = belief.graph.objects(thing, property_)
        margin = desk.record.collection.margin
        yield from differing_values(thing, property_, values, belief, belief.worded, margin)
    if property_ in length_properties():
        for value in belief.graph.objects(thing, property_):
            yield from unreadable_value(thing, property_, value, belief, belief.worded)


def _values(triples: Iterable[Triple]) -> Iterator[Unit]:
    """Yield what values are compared, or read, of some statements."""
    compared = single() | length_properties()
    for thing, verb, _ in triples:
        if verb in compared:
            yield ("value", thing, verb)


def _valued(graph: Graph) -> set[Unit]:
    """Return what values may disagree, or be unreadable, in a graph."""
    found: set[Unit] = set()
    for verb in single() | length_properties():
        things: Counter[object] = Counter(thing for thing, _ in graph.subject_objects(verb))
        for thing, count in things.items():
            if count > 1 or verb in length_properties():
                found.add(("value", thing, verb))
    return found
