"""Everything found wrong, kept up to date: a check is made again only where it would look anew.

Checks that look at one thing at a time are kept thing by thing; the others as a whole each. What
each of them looked at is noted as it is made (`glost.answer.living.tracing`).
"""

from collections import Counter, defaultdict
from collections.abc import Hashable, Iterable, Iterator, Mapping
from functools import cache
from typing import Any, TypeAlias

from rdflib import Graph, URIRef
from rdflib.namespace import SKOS
from rdflib.term import Node

from glost.answer.checks import ByValue, checks
from glost.answer.findings import constraint_findings
from glost.answer.living.tracing import Look, TracedBelief, TracedGraph, seen_by
from glost.answer.shacl import Violation
from glost.answer.snapshot import Snapshot
from glost.findings import Finding, in_order
from glost.record.claims import Triple
from glost.words.labels import Words

Unit: TypeAlias = tuple[str, Hashable, Hashable, Hashable]
"""What is made again as a whole: its kind (``check``, ``shared``, ``value``, ``one`` or
``breach``), the check's name or the breach, and the thing and property or the key it is made of."""


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
        self._shared: dict[str, Any] = {}
        self._listed: dict[str, Mapping[Hashable, Any]] = {}
        units: list[Unit] = [("breach", each, None, None) for each in set(breaches)]
        for name, check in checks().items():
            if check.by_value is not None:
                if check.by_value.shared is not None:
                    self._make(("shared", name, None, None))
                units += _valued(name, snapshot.belief.graph)
            elif check.one_by_one is not None:
                self._listed[name] = check.one_by_one.every(snapshot)
                units += [("one", name, key, None) for key in self._listed[name]]
            else:
                units.append(("check", name, None, None))
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
        units |= set(_values(changed))
        if any(verb == SKOS.broader for _, verb, _ in changed):  # what is a kind of what
            for name in _by_value():
                units |= set(_valued(name, snapshot.belief.graph))
        lost: set[Unit] = {("breach", each, None, None) for each in gone}
        came: set[Unit] = {("breach", each, None, None) for each in new}
        for name, check in checks().items():
            if check.one_by_one is not None:
                if check.beyond or times:
                    was, now = self._listed[name], check.one_by_one.every(snapshot)
                    self._listed[name] = now
                    lost |= {("one", name, key, None) for key in was.keys() - now.keys()}
                    came |= {("one", name, key, None) for key in now.keys() - was.keys()}
            elif check.beyond or (check.timed and times):
                units.add(("check", name, None, None))
        delta: Counter[Finding] = Counter()
        if before.record.findings != snapshot.record.findings:
            for count in (delta, self._count):
                count.update(snapshot.record.findings)
                count.subtract(before.record.findings)
        for unit in [unit for unit in units if unit[0] == "shared"]:
            delta.subtract(self._drop(unit))
            delta.update(self._make(unit))
            units |= set(_valued(str(unit[1]), snapshot.belief.graph))
        for unit in units | lost | came:
            if unit[0] == "shared":
                continue
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
        found = tuple(self._found(unit, looks))
        if found or unit[0] != "value" or not _by_value()[str(unit[1])].alone:
            self._made[unit] = (found, frozenset(looks))
            for key in looks:
                self._seen[key].add(unit)
        self._count.update(found)
        return found

    def _found(self, unit: Unit, looks: set[Look]) -> Iterable[Finding]:
        kind, what, one, verb = unit
        belief = TracedBelief(self._snapshot.belief, looks)
        if isinstance(what, Violation):
            data = TracedGraph([self._snapshot.belief.graph, self._about], looks)
            words = Words(belief.worded)
            return constraint_findings([what], data, belief, words, self._snapshot.record)
        name = str(what)
        check = checks()[name]
        if kind == "one" and check.one_by_one is not None:
            return check.one_by_one.find(self._snapshot, belief, self._listed[name][one])
        if check.by_value is None:
            return check.find(self._snapshot, belief)
        if kind == "shared" and check.by_value.shared is not None:
            self._shared[name] = check.by_value.shared(self._snapshot, belief)
            return check.by_value.of_shared(self._shared[name])
        assert isinstance(one, Node)
        property_, shared = URIRef(str(verb)), self._shared.get(name)
        return check.by_value.find(self._snapshot, belief, one, property_, shared)


@cache
def _by_value() -> dict[str, ByValue]:
    found = {name: check.by_value for name, check in checks().items()}
    return {name: each for name, each in found.items() if each is not None}


@cache
def _looked_at() -> dict[URIRef, tuple[str, ...]]:
    """Return, by property, the checks that look at its values."""
    found: dict[URIRef, list[str]] = defaultdict(list)
    for name, each in _by_value().items():
        for verb in each.properties():
            found[verb].append(name)
    return {verb: tuple(names) for verb, names in found.items()}


def _values(triples: Iterable[Triple]) -> Iterator[Unit]:
    """Yield what values are looked at of some statements."""
    for thing, verb, _ in triples:
        for name in _looked_at().get(URIRef(str(verb)), ()):
            yield ("value", name, thing, verb)


def _valued(name: str, graph: Graph) -> Iterator[Unit]:
    """Yield of what values a check may find anything in a graph."""
    each = _by_value()[name]
    for verb in sorted(each.properties()):
        things: Counter[object] = Counter(thing for thing, _ in graph.subject_objects(verb))
        yield from (("value", name, thing, verb) for thing, n in things.items() if n >= each.least)
