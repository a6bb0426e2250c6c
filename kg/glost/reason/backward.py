"""The ways back from a fact to what was given, as a bounded graph of rule instances.

A transitive property is taken apart one base edge at a time: ``x p z`` follows from a ``x p y``
that is not itself made by transitivity, and ``y p z``.  That loses no set of supporting facts and
keeps the graph small.
"""

import heapq
from collections import deque
from collections.abc import Iterator
from typing import NamedTuple

from glost.reason.coding import Fact
from glost.reason.instances import Instance, Instances


class Node(NamedTuple):
    """A fact, or the same fact without its derivations by transitivity (``base``)."""

    fact: Fact
    base: bool = False


class Way(NamedTuple):
    """An instance over nodes; one without a name only takes the word of its premise."""

    instance: Instance | None
    premises: tuple[Node, ...]


class Backward:
    """Everything behind a fact, as far as one cares to look.

    Parameters
    ----------
    instances
        Finds rule instances.
    root
        The fact to explain.
    most_nodes
        Where to stop.
    most_instances
        How many instances of one rule to follow from one fact.
    depth
        How many rules deep to look.
    """

    def __init__(
        self,
        instances: Instances,
        root: Fact,
        most_nodes: int,
        most_instances: int,
        depth: int | None = None,
    ) -> None:
        self._instances, self._most = instances, most_instances
        self.root = Node(root)
        self.cut = False
        self.ways: dict[Node, list[Way]] = {}
        waiting = deque([(self.root, 0)])
        while waiting:
            node, far = waiting.popleft()
            if node in self.ways:
                continue
            if len(self.ways) >= most_nodes or (depth is not None and far > depth):
                self.cut = True
                self.ways[node] = []
                continue
            ways = self.ways[node] = list(self._ways(node))
            for way in ways:
                nearer = far if way.instance is None else far + 1
                waiting.extend((p, nearer) for p in way.premises if p not in self.ways)

    def _ways(self, node: Node) -> Iterator[Way]:
        p = node.fact[1]
        split = p in self._instances.transitive
        if split and not node.base:
            yield Way(None, (Node(node.fact, True),))
            yield from self._edges(node.fact)
            return
        found, cut = self._instances.concluding(node.fact, self._most, "prp-trp" if split else "")
        self.cut |= cut
        for instance in found:
            # symmetry and replacement reach every path edge by edge
            stays = split and (instance.name == "prp-symp" or instance.rule is None)
            yield Way(instance, tuple(Node(f, stays and f[1] == p) for f in instance.premises))

    def _edges(self, fact: Fact) -> Iterator[Way]:
        """Yield the first edge and the rest of each path of a transitive property."""
        s, p, o = fact
        rule = next(
            c.rule
            for c in self._instances.by_head[self._instances.index.key(p, o)]
            if c.rule.name == "prp-trp"
        )
        seen = 0
        for _, y in self._instances.rows(s, p, None):
            if y in (s, o) or not self._instances.holds((y, p, o)):
                continue
            seen += 1
            if seen > self._most:
                self.cut = True
                return
            premises = ((s, p, y), (y, p, o))
            yield Way(
                Instance("prp-trp", premises, rule), (Node(premises[0], True), Node(premises[1]))
            )

    def leaf(self, node: Node) -> bool:
        """Tell whether a node needs no proof: given, or stated by the schema."""
        return node.fact in self._instances.given or self._instances.index.asserted(node.fact)

    def least(self) -> dict[Node, tuple[int, Way | None]]:
        """Return the smallest proof of each node that has one.

        Returns
        -------
        dict
            For each node the number of facts its proof tree holds and the way to take, ``None``
            at a leaf; a node comes after the nodes it rests on.

        References
        ----------
        Knuth, "A generalization of Dijkstra's algorithm", 1977.
        """
        users: dict[Node, list[tuple[Node, Way]]] = {}
        missing: dict[int, int] = {}
        for node, ways in self.ways.items():
            for way in ways:
                distinct = set(way.premises)
                missing[id(way)] = len(distinct)
                for premise in distinct:
                    users.setdefault(premise, []).append((node, way))
        found: dict[Node, tuple[int, Way | None]] = {}
        queue: list[tuple[int, int, Node, Way | None]] = []
        for node in self.ways:
            if self.leaf(node):
                queue.append((1, len(queue), node, None))
        number = len(queue)
        while queue and self.root not in found:
            cost, _, node, taken = heapq.heappop(queue)
            if node in found:
                continue
            found[node] = (cost, taken)
            for user, way in users.get(node, ()):
                missing[id(way)] -= 1
                if missing[id(way)] == 0 and user not in found:
                    total = sum(found[p][0] for p in way.premises) + (way.instance is not None)
                    number += 1
                    heapq.heappush(queue, (total, number, user, way))
        return found
