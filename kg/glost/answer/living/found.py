"""Everything found wrong, kept up to date: a check is made again only where it would look anew.

Checks that look at one thing at a time are kept thing by thing; the others as a whole each. What
each of them looked at is noted as it is made (`glost.answer.living.tracing`).
"""

from collections import Counter, defaultdict
from collections.abc import Hashable, Iterable, Iterator

from rdflib import Graph, URIRef
from rdflib.namespace import SKOS

from glost.answer.checks import ByValue, checks
from glost.answer.findings import constraint_findings
from glost.answer.living.tracing import Look, TracedBelief, TracedGraph, seen_by
from glost.answer.shacl import Violation
from glost.answer.snapshot import Snapshot
from glost.findings import Finding, in_order
from glost.record.belief import Belief
from glost.record.claims import Triple
from glost.words.labels import Words

Unit = tuple[Hashable, ...]
"""A check, and the thing it is made of where it is made thing by thing."""


class Found:
    """Everything found wrong.

    Parameters
    ----------
    snapshot
        The collection.
    about
        The record's graph.
    breaches
        The breaches of the SHACL constraints.
    """

    def __init__(self, snapshot: Snapshot, about: Graph, breaches: Iterable[Violation]) -> None:
        self._snapshot, self._about = snapshot, about
        self._made: dict[Unit, tuple[tuple[Finding, ...], frozenset[Look]]] = {}
        self._seen: dict[Look, set[Unit]] = defaultdict(set)
        self._count: Counter[Finding] = Counter(snapshot.record.findings)
        self._breaches = set(breaches)
        units: list[Unit] = [
            ("check", name) for name, check in checks().items() if check.by_value is None
        ]
        units += [("breach", each) for each in self._breaches]
        units += _valued(snapshot.belief.graph)
        for unit in units:
            self._make(unit)

    @property
    def all(self) -> tuple[Finding, ...]:
        """All findings in order; see `glost.answer.findings.find`."""
        return in_order(finding for finding, count in self._count.items() if count > 0)

    def revise(
        self,
        snapshot: Snapshot,
        changed: Iterable[Triple],
        *,
        new: Iterable[Violation],
        gone: Iterable[Violation],
        times: bool,
    ) -> tuple[tuple[Finding, ...], tuple[Finding, ...]]:
        """Make again what would look at something else now.

        Parameters
        ----------
        snapshot
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
        before, self._snapshot = self._snapshot, snapshot
        changed = tuple(changed)
        units = {unit for key in seen_by(changed) for unit in self._seen.get(key, ())}
        for name, check in checks().items():
            if check.beyond or (check.timed and times):
                units.add(("check", name))
        units |= set(_values(changed))
        if any(verb == SKOS.broader for _, verb, _ in changed):  # what is a kind of what
            units |= _valued(snapshot.belief.graph)
        lost, came = {("breach", each) for each in gone}, {("breach", each) for each in new}
        delta: Counter[Finding] = Counter()
        if before.record.findings != snapshot.record.findings:
            for count in (delta, self._count):
                count.update(snapshot.record.findings)
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
        found = tuple(self._found(unit, TracedBelief(self._snapshot.belief, looks), looks))
        if found or unit[0] != "value":
            self._made[unit] = (found, frozenset(looks))
            for key in looks:
                self._seen[key].add(unit)
        self._count.update(found)
        return found

    def _found(self, unit: Unit, belief: Belief, looks: set[Look]) -> Iterable[Finding]:
        kind, what, *rest = unit
        if kind == "breach" and isinstance(what, Violation):
            data = TracedGraph([self._snapshot.belief.graph, self._about], looks)
            words = Words(belief.worded)
            return constraint_findings([what], data, belief, words, self._snapshot.record)
        if kind == "value" and isinstance(what, URIRef):
            return _of_value(self._snapshot, belief, what, rest[0])
        return checks()[str(what)].find(self._snapshot, belief)


def _of_value(snapshot: Snapshot, belief: Belief, thing: URIRef, verb: object) -> Iterator[Finding]:
    property_ = URIRef(str(verb))
    for each in _by_value():
        if property_ in each.properties():
            yield from each.find(snapshot, belief, thing, property_)


def _by_value() -> list[ByValue]:
    return [check.by_value for check in checks().values() if check.by_value is not None]


def _values(triples: Iterable[Triple]) -> Iterator[Unit]:
    """Yield what values are looked at of some statements."""
    looked_at = {verb for each in _by_value() for verb in each.properties()}
    for thing, verb, _ in triples:
        if verb in looked_at:
            yield ("value", thing, verb)


def _valued(graph: Graph) -> set[Unit]:
    """Return of what values anything can be found in a graph."""
    found: set[Unit] = set()
    for each in _by_value():
        for verb in each.properties():
            things: Counter[object] = Counter(thing for thing, _ in graph.subject_objects(verb))
            found |= {("value", thing, verb) for thing, n in things.items() if n >= each.least}
    return found
