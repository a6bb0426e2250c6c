"""All the ways a fact is supported: the minimal sets of given facts that entail it."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from glost.reason.backward import Backward, Node
from glost.reason.coding import Fact
from glost.reason.instances import Instances
from glost.reason.rules import Triple

Facts = frozenset[Fact]


@dataclass(frozen=True, slots=True)
class Supports:
    """Sets of given facts, each enough for a fact and none with a fact too many.

    Parameters
    ----------
    sets
        Sorted, the smallest first.
    cut
        Whether the search stopped at its cap; there may then be other sets, and each set
        still is enough by itself.
    """

    sets: tuple[frozenset[Triple], ...]
    cut: bool


def minimal(sets: Iterable[Facts]) -> list[Facts]:
    """Return the sets that hold no other of the sets, the smallest first."""
    kept: list[Facts] = []
    for candidate in sorted(set(sets), key=lambda s: (len(s), sorted(s))):
        if not any(other <= candidate for other in kept):
            kept.append(candidate)
    return kept


class _Search:
    """The sets of each node of a graph of rule instances, worked out to a fixpoint."""

    def __init__(self, behind: Backward, cap: int) -> None:
        self.behind, self.cap, self.cut = behind, cap, behind.cut
        self.sets: dict[Node, list[Facts]] = {}

    def _product(self, premises: tuple[Node, ...]) -> list[Facts]:
        product: list[Facts] = [frozenset()]
        for premise in dict.fromkeys(premises):
            choices = self.sets[premise]
            product = self._capped(x | y for x in product for y in choices)
        return product

    def _capped(self, sets: Iterable[Facts]) -> list[Facts]:
        kept = minimal(sets)
        if len(kept) > self.cap:
            self.cut = True
            del kept[self.cap :]
        return kept

    def run(self, given: Iterable[Fact], asserted: Instances) -> list[Facts]:
        by_schema = set(given)
        users: dict[Node, set[Node]] = defaultdict(set)
        for node, ways in self.behind.ways.items():
            for way in ways:
                for premise in way.premises:
                    users[premise].add(node)
        for node in self.behind.ways:
            self.sets[node] = []
            if node.fact in by_schema:
                self.sets[node] = [frozenset()]
            elif asserted.index.asserted(node.fact):
                self.sets[node] = [frozenset({node.fact})]
        work = dict.fromkeys(u for n in self.behind.ways if self.sets[n] for u in users[n])
        while work:
            node = next(iter(work))
            del work[node]
            found = list(self.sets[node])
            for way in self.behind.ways[node]:
                if all(self.sets[p] for p in way.premises):
                    found += self._product(way.premises)
            found = self._capped(found)
            if found != self.sets[node]:
                self.sets[node] = found
                work.update(dict.fromkeys(users[node]))
        return self.sets[self.behind.root]


def supports(instances: Instances, fact: Fact, cap: int) -> tuple[list[Facts], bool]:
    """Find the minimal sets of given facts that entail a fact.

    Parameters
    ----------
    instances
        Finds rule instances over the facts known.
    fact
        In codes.
    cap
        How many sets to keep for one fact, and how many instances of one rule; ten times as
        many facts are looked at.

    Returns
    -------
    tuple
        The sets, the smallest first, and whether the search stopped at the cap.

    References
    ----------
    Green, Karvounarakis and Tannen, "Provenance semirings", 2007 (minimal why-provenance).
    """
    search = _Search(Backward(instances, fact, 10 * cap, cap), cap)
    found = search.run(instances.given, instances)
    return found, search.cut
