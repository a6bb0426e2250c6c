"""Why a fact holds: its shortest proof."""

from collections.abc import Iterator
from dataclasses import dataclass

from glost.reason.backward import Backward, Node
from glost.reason.coding import Fact
from glost.reason.engine import ASSERTED
from glost.reason.instances import Instance, Instances
from glost.reason.rules import FactRule, Triple, reading_order

GIVEN = "given"
"""The rule name of a fact that was given."""

_NODES = 160
_INSTANCES = 12
_DEEP = 150
_FEW = 4


@dataclass(frozen=True, slots=True)
class ProofTree:
    """A tree of steps, from a fact down to what was given.

    Parameters
    ----------
    conclusion
        The fact proved.
    rule
        The name of the rule in the W3C tables; ``given`` for a fact of the input.
    premises
        The proofs of what the rule was applied to; empty at a leaf.
    axioms
        The triples of the schema that the rule was made from.
    """

    conclusion: Triple
    rule: str
    premises: tuple["ProofTree", ...] = ()
    axioms: tuple[Triple, ...] = ()

    def steps(self) -> Iterator["ProofTree"]:
        """Yield the proofs of the tree, each once, a conclusion before its premises."""
        seen: set[int] = set()
        stack = [self]
        while stack:
            proof = stack.pop()
            if id(proof) not in seen:
                seen.add(id(proof))
                yield proof
                stack.extend(reversed(proof.premises))

    @property
    def facts(self) -> tuple[Triple, ...]:
        """The given facts at the leaves, each once, sorted."""
        return tuple(
            sorted({p.conclusion for p in self.steps() if p.rule == GIVEN}, key=reading_order)
        )

    @property
    def size(self) -> int:
        """The number of different facts in the proof."""
        return len({p.conclusion for p in self.steps()})


class Prover:
    """Finds proofs.

    Parameters
    ----------
    instances
        Finds rule instances over the facts known.
    """

    def __init__(self, instances: Instances) -> None:
        self._instances = instances
        self._index = instances.index
        self._term = instances.index.engine.terms.term
        self._found: dict[Fact, tuple[list[Instance], bool]] = {}

    def prove(self, fact: Fact) -> ProofTree | None:
        """Return the shortest proof of a fact.

        Shortest means fewest facts in the tree.  Where very much stands behind a fact, not
        everything is looked at, and a proof that follows the order in which facts appeared may
        be given instead of a shorter one.

        Parameters
        ----------
        fact
            In codes.

        Returns
        -------
        ProofTree or None
            ``None`` if the fact is not known.
        """
        instances = self._instances
        if instances.index.asserted(fact) or fact in instances.given:
            return self._leaf(fact)
        if not instances.holds(fact):
            return None
        quick = None if instances.same else self._by_steps(fact, {}, 0)
        if quick is not None and not self._below(fact, size := _tree_size(quick)):
            return quick
        nodes, most = _NODES, _INSTANCES
        while True:
            depth = size - 1 if quick is not None else None
            behind = Backward(instances, fact, nodes, most, depth)
            least = behind.least()
            if behind.root in least:
                cost = least[behind.root][0]
                return quick if quick is not None and cost >= size else self._build(behind, least)
            if quick is not None:
                return quick
            if not behind.cut:
                raise RuntimeError(f"no proof of the known fact {self.triple(fact)}")
            nodes, most = nodes * 8, most * 8

    def _below(self, fact: Fact, size: int) -> bool:
        """Say whether a fact may have a proof of fewer facts than `size`; cheap if that is few."""
        if size <= 1 or self._instances.index.asserted(fact) or fact in self._instances.given:
            return size > 1
        if size <= 2:
            return False
        if size > _FEW or fact[1] in self._instances.transitive:
            return True
        found, cut = self._concluding(fact)
        room = size - 1
        return cut or any(
            all(self._below(p, room - len(i.premises) + 1) for p in i.premises)
            for i in found
            if len(i.premises) < room
        )

    def _concluding(self, fact: Fact) -> tuple[list[Instance], bool]:
        if fact not in self._found:
            self._found[fact] = self._instances.concluding(fact, _INSTANCES)
        return self._found[fact]

    def triple(self, fact: Fact) -> Triple:
        """Return a fact in terms."""
        return self._term(fact[0]), self._term(fact[1]), self._term(fact[2])

    def _leaf(self, fact: Fact) -> ProofTree:
        if self._index.asserted(fact):
            return ProofTree(self.triple(fact), GIVEN)
        rule: FactRule = self._instances.given[fact]
        return ProofTree(self.triple(fact), rule.name, (), rule.source)

    def _step(self, fact: Fact, instance: Instance, premises: tuple[ProofTree, ...]) -> ProofTree:
        axioms = instance.rule.source if instance.rule else ()
        return ProofTree(self.triple(fact), instance.name, premises, axioms)

    def _build(self, behind: Backward, least: dict) -> ProofTree:  # type: ignore[type-arg]
        proofs: dict[Node, ProofTree] = {}
        for node, (_, way) in least.items():
            if way is None:
                proofs[node] = self._leaf(node.fact)
            elif way.instance is None:
                proofs[node] = proofs[way.premises[0]]
            else:
                premises = tuple(proofs[p] for p in way.premises)
                proofs[node] = self._step(node.fact, way.instance, premises)
        return proofs[behind.root]

    # -- following the order in which facts appeared ----------------------------------------------

    def _by_steps(self, fact: Fact, known: dict[Fact, ProofTree], deep: int) -> ProofTree | None:
        """Prove a fact from facts that appeared before it; quick, not always shortest."""
        if fact in known:
            return known[fact]
        if deep > _DEEP:
            return None
        step = self._index.step(fact)
        if step == ASSERTED or fact in self._instances.given:
            known[fact] = self._leaf(fact)
            return known[fact]
        if step is None:
            return None
        instance = self._earliest(fact, step)
        if instance is None:
            proof = self._path(fact, step, known, deep)
        else:
            premises = [self._by_steps(p, known, deep + 1) for p in instance.premises]
            whole = tuple(p for p in premises if p is not None)
            proof = self._step(fact, instance, whole) if len(whole) == len(premises) else None
        if proof is not None:
            known[fact] = proof
        return proof

    def _earliest(self, fact: Fact, step: int) -> Instance | None:
        """Return the instance whose premises appeared first, all of them before the fact."""
        best, appeared = None, step
        for instance in self._concluding(fact)[0]:
            latest = max(self._index.step(p) or step for p in instance.premises)
            if latest < appeared:
                best, appeared = instance, latest
                if latest == ASSERTED:
                    break
        return best

    def _path(
        self, fact: Fact, step: int, known: dict[Fact, ProofTree], deep: int
    ) -> ProofTree | None:
        """Prove a fact of a transitive property by the shortest path of earlier facts."""
        s, p, o = fact
        if p not in self._instances.transitive or s == o:
            return None
        came: dict[int, int] = {s: s}
        ring = [s]
        while ring and o not in came:
            reached = []
            for x in ring:
                for _, y, when in self._index.match(x, p, None):
                    if when < step and y not in came:
                        came[y] = x
                        reached.append(y)
            ring = reached
        if o not in came or came[o] == s:
            return None
        edges = [(came[o], p, o)]
        while edges[-1][0] != s:
            edges.append((came[edges[-1][0]], p, edges[-1][0]))
        rule = self._instances.by_head[self._index.key(p, o)]
        transitivity = next(c.rule for c in rule if c.rule.name == "prp-trp")
        proof: ProofTree | None = None
        for edge in edges:
            first = self._by_steps(edge, known, deep + 1)
            if first is None:
                return None
            if proof is None:
                proof = first
            else:
                whole = (edge[0], p, o)
                instance = Instance("prp-trp", (edge, (edge[2], p, o)), transitivity)
                proof = self._step(whole, instance, (first, proof))
        return proof


def _tree_size(proof: ProofTree) -> int:
    """Return the number of facts in a proof, those that are there twice counted twice."""
    sizes: dict[int, int] = {}
    stack = [(proof, False)]
    while stack:
        node, ready = stack.pop()
        if ready:
            sizes[id(node)] = 1 + sum(sizes[id(p)] for p in node.premises)
        elif id(node) not in sizes:
            stack.append((node, True))
            stack.extend((p, False) for p in node.premises)
    return sizes[id(proof)]
