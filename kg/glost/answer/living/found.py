"""Everything found wrong, kept up to date: a check is made again only where it would look anew.

Checks that look at one thing at a time are kept thing by thing; the others as a whole each. What
each of them looked at is noted as it is made (`glost.answer.living.tracing`).
"""

import json
from bisect import bisect_left
from collections import Counter, defaultdict
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from functools import cache
from hashlib import blake2b
from typing import Any, TypeAlias

import msgspec
from rdflib import BNode, Graph, URIRef
from rdflib.namespace import SKOS
from rdflib.term import Node
from rdflib.util import from_n3

from glost.answer.checks import ByValue, OneByOne, checks
from glost.answer.findings import constraint_findings
from glost.answer.living.called import CalledAlike, CalledText, ToldApart
from glost.answer.living.tracing import (
    KeptParts,
    Look,
    Notes,
    TracedBelief,
    TracedGraph,
    TracedTimes,
    seen_by,
)
from glost.answer.shacl import Violation, of_plain
from glost.answer.snapshot import Snapshot
from glost.findings import Finding, in_order, reading_key
from glost.plain import plain
from glost.record.claims import Triple
from glost.words.labels import Words, remembered

Unit: TypeAlias = tuple[str, Hashable, Hashable, Hashable]
"""What is made again as a whole: its kind (``check``, ``shared``, ``value``, ``one``, ``breach`` or
``told``), the check's name or the breach, and the thing and property or the key it is made of.
What is told apart is no finding, but findings look at it: its kind of things, and their text."""

_DEEPEST = 10
"""What tells things apart may name others that are told apart, and so on: so often at most."""


class Found:
    """Everything found wrong.

    Parameters
    ----------
    snapshot
        The collection.
    about
        The record's graph.
    breaches
        Gives the breaches of the SHACL constraints; asked only if nothing is kept.

    Attributes
    ----------
    renamed
        The things that may be called otherwise since the last change.
    apart
        What tells things apart that are called alike.
    """

    def __init__(
        self, snapshot: Snapshot, about: Graph, breaches: Callable[[], Iterable[Violation]]
    ) -> None:
        self._about, self._notes = about, Notes()
        self._parts = KeptParts(self._notes)
        self._name_by(CalledAlike(snapshot.belief.worded, {}), {})
        self._made: dict[Unit, tuple[tuple[Finding, ...], frozenset[Look]]] = {}
        self._seen: dict[Look, set[Unit]] = defaultdict(set)
        self._count: Counter[Finding] = Counter(snapshot.record.findings)
        self._shared: dict[str, Any] = {}
        self.renamed: set[URIRef] = set()
        self._listed: dict[str, Mapping[Hashable, Any]] = {}
        self._keys: dict[str, dict[Hashable, tuple[Any, int]]] = {}
        self._numbers: dict[str, dict[Hashable, int]] = defaultdict(dict)
        self._asked: dict[str, TracedTimes] = {}
        self._asked_of: dict[str, frozenset[str]] = {}
        self._ordered: list[Finding] | None = None
        self._kept = _Kept((), {}, {})
        self._codes: dict[Unit, str] = {}
        self._ones: dict[str, Unit] = {}
        cache = snapshot.cache
        if cache is None:
            self._kept = self._find(snapshot, breaches())
        else:
            self._kept = cache.values(
                "found",
                lambda: self._find(snapshot, breaches()),
                lambda _: self._plain(),
                lambda kept: self._loaded(snapshot, kept),
            )
        self._looked_outside = False

    def look_outside(self) -> None:
        """Find what is found of files beside the tables, if that was not done.

        It is never kept, and must be found before anything is changed.
        """
        if self._looked_outside:
            return
        self._looked_outside = True
        for name, check in checks().items():
            if check.outside and self._told(name):
                for unit in list(_valued(name, self._snapshot.belief.graph)):
                    self._make(unit)

    def _told(self, name: str) -> bool:
        """Say whether anything is told that a check looks at, without making a statement."""
        properties = frozenset(map(str, _by_value()[name].properties()))
        told = self._snapshot.belief.table(properties).of.values()
        return any(not each.is_empty() for each in told)

    def ready(self) -> None:
        """List what is found one by one, which only changes need.

        It is found already where it was kept; two that are told by one text say the same.
        """
        for name, check in checks().items():
            if check.one_by_one is None or name in self._listed:
                continue
            self._listed[name] = self._list(name, check.one_by_one, self._snapshot)
            for key, each in self._listed[name].items():
                unit: Unit = ("one", name, key, None)
                code = json.dumps(["one", name, check.one_by_one.code(each)])
                if code not in self._ones:
                    self._codes[unit], self._ones[code] = code, unit
                if unit not in self._codes or not self._kept.has(code):
                    self._make(unit)

    def _find(self, snapshot: Snapshot, breaches: Iterable[Violation]) -> "_Kept":
        """Find everything that may be kept; nothing is then read from what is kept."""
        self._name_by(CalledAlike(snapshot.belief.worded), {})
        self._take(snapshot)
        for each in set(breaches):
            self._make(("breach", each, None, None))
        for name, check in checks().items():
            if check.by_value is not None and not check.outside:
                if check.by_value.shared is not None:
                    self._make(("shared", name, None, None))
                for unit in _valued(name, self._snapshot.belief.graph):
                    self._make(unit)
            elif check.by_value is None and check.one_by_one is None:
                self._make(("check", name, None, None))
        self.ready()
        return self._kept

    def _plain(self) -> dict[str, Any]:
        """Return all that is made as plain values, to be kept.

        Raises
        ------
        ValueError
            If something is about a thing without a name, which would not be found again.
        """
        if any(isinstance(each, BNode) for unit in self._made for each in _terms(unit)):
            raise ValueError("what is found of a thing without a name cannot be kept")
        findings = {finding: place for place, finding in enumerate(self._count)}
        made = {unit: of for unit, of in self._made.items() if self._coded(unit)}
        units = {unit: place for place, unit in enumerate(made)}
        return {
            "called": dict(self._called.texts),
            "told": [[*key, dict(texts)] for key, texts in self.apart.texts.items()],
            "asked": {
                name: sorted(things)
                for name, asked in self._asked.items()
                if (things := asked.things()) is not None
            },
            "findings": plain(list(findings)),
            "units": [
                [self._coded(unit), [findings[each] for each in found]]
                for unit, (found, _) in made.items()
            ],
            "looks": {
                _code(key): [units[unit] for unit in seen if unit in units]
                for key, seen in self._seen.items()
            },
        }

    def _coded(self, unit: Unit) -> str:
        """Return a text that stands for a unit; none if nothing does, or no longer."""
        return self._codes.get(unit, "") if unit[0] == "one" else _code_of_unit(unit)

    def _loaded(self, snapshot: Snapshot, kept: dict[str, Any]) -> "_Kept":
        """Take in what was kept."""
        told = {(kind, text): texts for kind, text, texts in kept["told"]}
        self._name_by(CalledAlike(snapshot.belief.worded, kept["called"]), told)
        self._take(snapshot)
        self._asked_of = {name: frozenset(things) for name, things in kept["asked"].items()}
        findings = msgspec.convert(kept["findings"], list[Finding])
        units = tuple(code for code, _ in kept["units"])
        found = {code: tuple(findings[place] for place in places) for code, places in kept["units"]}
        for some in found.values():
            self._count.update(some)
        return _Kept(units, found, kept["looks"])

    def _name_by(self, called: CalledAlike, told: Mapping[CalledText, Mapping[str, str]]) -> None:
        """Take which things are called alike, and what tells them apart as far as it is known."""
        self._called = called
        self.apart = ToldApart(called, lambda kind, text: self._tell(kind, text), told)

    def _tell(self, kind: str, text: str) -> None:
        """Work out what tells things apart, with what is looked at for it."""
        self._make(("told", kind, text, None))

    def _take(self, snapshot: Snapshot) -> None:
        """Take a collection as it is from now on."""
        self._snapshot = snapshot
        self._belief = TracedBelief(snapshot.belief, self._notes, self._called, self.apart)
        graphs = [snapshot.belief.graph, self._about]
        self._data = TracedGraph(graphs, self._notes, self._called)

    @property
    def called(self) -> CalledAlike:
        """Which things are called alike."""
        return self._called

    @property
    def all(self) -> tuple[Finding, ...]:
        """All findings in order; see `glost.answer.findings.find`."""
        self.look_outside()
        if self._ordered is None:
            there = (finding for finding, count in self._count.items() if count > 0)
            self._ordered = list(in_order(there))
        return tuple(self._ordered)

    def revise(
        self,
        snapshot: Snapshot,
        changed: Iterable[Triple],
        *,
        new: Iterable[Violation],
        gone: Iterable[Violation],
        things: frozenset[str] | None,
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
        things
            IRIs of the things of which the chronology is another; None for all.

        Returns
        -------
        tuple
            The findings that are new and those that are gone, each in order.
        """
        before, times = self._snapshot, things is None or bool(things)
        self._take(snapshot)
        changed = tuple(changed)
        keys = seen_by(changed)
        texts, self.renamed = self._called.revise(snapshot.belief.worded, changed)
        keys |= {("called", kind, text) for kind, text in texts}
        self._parts.revise(keys, snapshot.chronology if times else None)
        units = self._told_again({unit for key in keys for unit in self._looking(key)})
        units |= set(_values(changed))
        if any(verb == SKOS.broader for _, verb, _ in changed):  # what is a kind of what
            for name in _by_value():
                units |= set(_valued(name, snapshot.belief.graph))
        lost: set[Unit] = {("breach", each, None, None) for each in gone}
        came: set[Unit] = {("breach", each, None, None) for each in new}
        for name, check in checks().items():
            if check.one_by_one is not None:
                if check.beyond or times:
                    was = self._listed[name]
                    self._listed[name] = now = self._list(name, check.one_by_one, snapshot)
                    lost |= {("one", name, key, None) for key in was.keys() - now.keys()}
                    came |= {("one", name, key, None) for key in now.keys() - was.keys()}
            elif check.beyond or (check.timed and times and not self._as_before(name, things)):
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

    def _list(self, name: str, check: OneByOne, snapshot: Snapshot) -> Mapping[Hashable, Any]:
        """List what a check looks at one by one, by a number that stands for all that is told."""
        known, self._keys[name] = self._keys.get(name, {}), {}
        numbers = self._numbers[name]
        found: dict[Hashable, Any] = {}
        for token, each in check.every(snapshot).items():
            if token in known:
                number = known[token][1]
            else:
                number = numbers.setdefault(check.key(each), len(numbers))
            self._keys[name][token] = each, number  # which also keeps its token from another's use
            found[number] = each
        return found

    def _as_before(self, name: str, things: frozenset[str] | None) -> bool:
        """Say whether the chronology still answers all that a check asked of it.

        Of a check that was not made since all was opened it is known of which things it asked.
        """
        asked = self._asked.get(name)
        if asked is not None:
            return asked.holds(self._snapshot.chronology)
        of = self._asked_of.get(name)
        return of is not None and things is not None and of.isdisjoint(things)

    def _told_again(self, units: set[Unit]) -> set[Unit]:
        """Tell apart again what units tell, and what looks at it; return all but those units."""
        found = {unit for unit in units if unit[0] != "told"}
        stale = units - found
        for _ in range(_DEEPEST):
            before = {}
            for unit in stale:
                self._drop(unit)
                key = str(unit[1]), str(unit[2])
                before[key] = self.apart.texts.pop(key, {})
            changed = set[str]()
            for key, was in before.items():
                if key not in self.apart.texts:  # another may have asked for it
                    self._tell(*key)
                now = self.apart.texts[key]
                changed |= {each for each in was.keys() | now if was.get(each) != now.get(each)}
            looking = {u for each in changed for u in self._looking(("told", URIRef(each)))}
            stale = {unit for unit in looking if unit[0] == "told"}
            found |= looking - stale
            if not stale:
                break
        return found

    def _looking(self, key: Look) -> Iterator[Unit]:
        """Yield what looked so, and was not made again since."""
        yield from self._seen.get(key, ())
        for code in self._kept.looking(_code(key)):
            yield self._ones[code] if code in self._ones else _unit_of_code(code)

    def _counted(
        self, delta: "Counter[Finding]"
    ) -> tuple[tuple[Finding, ...], tuple[Finding, ...]]:
        was = {finding for finding in delta if self._count[finding] - delta[finding] > 0}
        now = {finding for finding in delta if self._count[finding] > 0}
        for finding in delta.keys() - now:
            del self._count[finding]
        new, gone = in_order(now - was), in_order(was - now)
        if self._ordered is not None:
            for finding in gone:
                del self._ordered[self._place(finding)]
            for finding in new:
                self._ordered.insert(self._place(finding), finding)
        return new, gone

    def _place(self, finding: Finding) -> int:
        """Return the place of a finding among all, or where it belongs."""
        assert self._ordered is not None
        at = bisect_left(self._ordered, reading_key(finding), key=reading_key)
        while at < len(self._ordered) and reading_key(self._ordered[at]) == reading_key(finding):
            if self._ordered[at] == finding:
                return at
            at += 1
        return at

    def _drop(self, unit: Unit) -> tuple[Finding, ...]:
        found, looks = self._made.pop(unit, ((), frozenset()))
        found += self._kept.take(self._coded(unit))
        if unit in self._codes:
            del self._ones[self._codes.pop(unit)]
        for key in looks:
            self._seen[key].discard(unit)
            if not self._seen[key]:
                del self._seen[key]
        self._count.subtract(found)
        return found

    def _make(self, unit: Unit) -> tuple[Finding, ...]:
        with self._noting() as looks:
            found = tuple(self._found(unit))
        if found or unit[0] != "value" or not _by_value()[str(unit[1])].alone:
            self._made[unit] = (found, frozenset(looks))
            for key in looks:
                self._seen[key].add(unit)
        self._count.update(found)
        return found

    @contextmanager
    def _noting(self) -> Iterator[set[Look]]:
        """Note looks in a new set for as long as this lasts, in which each thing is named once."""
        before, self._notes.looks = self._notes.looks, set()
        try:
            with remembered(self._belief.worded):
                yield self._notes.looks
        finally:
            self._notes.looks = before

    def _found(self, unit: Unit) -> Iterable[Finding]:
        kind, what, one, verb = unit
        belief = self._belief
        if kind == "told":
            self._notes.looks.add(("called", str(what), str(one)))
            self.apart.work_out(str(what), str(one), belief.worded)
            return ()
        if isinstance(what, Violation):
            words, record = Words(belief.worded), self._snapshot.record
            return constraint_findings([what], self._data, belief, words, record)
        name = str(what)
        check = checks()[name]
        if kind == "one" and check.one_by_one is not None:
            return check.one_by_one.find(self._snapshot, belief, self._listed[name][one])
        if check.by_value is None:
            return check.find(self._timed(name) if check.timed else self._snapshot, belief)
        if kind == "shared" and check.by_value.shared is not None:
            self._shared[name] = check.by_value.shared(self._snapshot, belief)
            return check.by_value.of_shared(self._shared[name])
        assert isinstance(one, Node)
        shared = self._of_shared(name, check.by_value)
        return check.by_value.find(self._snapshot, belief, one, URIRef(str(verb)), shared)

    def _timed(self, name: str) -> Snapshot:
        """Return the collection with a chronology that keeps what a check asks of it."""
        times, self._asked[name] = TracedTimes.of(
            self._snapshot.chronology, self._belief, self._parts
        )
        snapshot = Snapshot.of(self._snapshot.record, self._snapshot.as_of)
        snapshot.__dict__["chronology"] = times
        return snapshot

    def _of_shared(self, name: str, check: ByValue) -> Any:
        """Return what is the same for all values; what it looks at is noted where it is found."""
        if name not in self._shared and check.shared is not None:
            with self._noting():
                self._shared[name] = check.shared(self._snapshot, self._belief)
        return self._shared.get(name)


# -- what is kept ----------------------------------------------------------------------------------


class _Kept:
    """What was found of a collection when it was opened before, with what was looked at.

    Parameters
    ----------
    units
        The units, as texts.
    found
        What was found of each.
    looks
        By a look's code the places of the units that looked so.
    """

    def __init__(
        self,
        units: tuple[str, ...],
        found: dict[str, tuple[Finding, ...]],
        looks: Mapping[str, list[int]],
    ) -> None:
        self._units, self._found, self._looks = units, found, looks

    def has(self, unit: str) -> bool:
        """Say whether it is known what was found of a unit."""
        return unit in self._found

    def looking(self, code: str) -> Iterator[str]:
        """Yield the units that looked so, those left out that were taken away."""
        for place in self._looks.get(code, ()):
            if self._units[place] in self._found:
                yield self._units[place]

    def take(self, unit: str) -> tuple[Finding, ...]:
        """Take a unit away; return what was found of it."""
        return self._found.pop(unit, ())


def _code(key: Look) -> str:
    """Return a short code of a look: two that bear the same one only make a unit anew too often."""
    text = "\x1f".join(map(_written, key))
    return blake2b(text.encode(), digest_size=8).hexdigest()


def _code_of_unit(unit: Unit) -> str:
    """Return a text that stands for a unit."""
    kind, what, one, verb = unit
    if isinstance(what, Violation):
        return json.dumps([kind, what.constraint, _written(what.focus)])
    if kind == "value":
        return json.dumps([kind, what, _written(one), str(verb)])
    return json.dumps([kind, what, one] if kind == "told" else [kind, what])


def _terms(unit: Unit) -> tuple[object, ...]:
    return (unit[1].focus,) if isinstance(unit[1], Violation) else unit[1:]


def _unit_of_code(code: str) -> Unit:
    kind, what, *rest = json.loads(code)
    if kind == "breach":
        (breach,) = of_plain({"breaches": [[what, rest[0]]]})
        return kind, breach, None, None
    if kind == "value":
        return kind, what, _read(rest[0]), URIRef(rest[1])
    return kind, what, rest[0] if kind == "told" else None, None


def _written(term: object) -> str:
    return f"<{term}>" if isinstance(term, URIRef) else getattr(term, "n3", lambda: str(term))()


def _read(text: str) -> Node:
    term = URIRef(text[1:-1]) if text.startswith("<") else from_n3(text)
    assert isinstance(term, Node)
    return term


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
