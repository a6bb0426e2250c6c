"""A forward chainer over sets of triples, and a checker of proofs: slow, plain, independent."""

from collections.abc import Iterable, Iterator

from rdflib.namespace import OWL, RDF

from glost.reason.compiler import Program
from glost.reason.proof import ProofTree
from glost.reason.rules import Atom, FactRule, Var


def unify(atom: Atom, triple: tuple, binding: dict) -> dict | None:
    """Extend a binding so that an atom reads as a triple."""
    found = dict(binding)
    for slot, value in zip(atom, triple, strict=True):
        if isinstance(slot, Var):
            if found.setdefault(slot, value) != value:
                return None
        elif slot != value:
            return None
    return found


def fill(atom: Atom, binding: dict) -> tuple:
    """Write an atom as a triple."""
    return tuple(binding[t] if isinstance(t, Var) else t for t in atom)


def _solve(body: tuple[Atom, ...], by_property: dict, binding: dict) -> Iterator[dict]:
    if not body:
        yield binding
        return
    for triple in by_property.get(body[0].p, ()):
        found = unify(body[0], triple, binding)
        if found is not None:
            yield from _solve(body[1:], by_property, found)


def _step(program: Program, known: set[tuple]) -> set[tuple]:
    by_property: dict = {}
    for triple in known:
        by_property.setdefault(triple[1], []).append(triple)
    new = set()
    for rule in program.rules:
        for binding in _solve(rule.body, by_property, {}):
            new.add(fill(rule.head, binding))
    for a, _, b in by_property.get(OWL.sameAs, ()):
        new.add((b, OWL.sameAs, a))
        for s, p, o in known:
            if s == a:
                new.add((b, p, o))
            if o == a and p != RDF.type:
                new.add((s, p, b))
    return {t for t in new if not (t[1] == OWL.sameAs and t[0] == t[2])} - known


def close(program: Program, facts: Iterable[tuple]) -> set[tuple]:
    """Return facts and what follows from them."""
    known = set(facts) | set(program.given)
    while new := _step(program, known):
        known |= new
    return known


def _instance_of(rule: FactRule, proof: ProofTree) -> bool:
    if len(rule.body) != len(proof.premises) or rule.head is None:
        return False
    binding: dict | None = {}
    pairs = zip((*rule.body, rule.head), (*proof.premises, proof), strict=True)
    for atom, step in pairs:
        binding = unify(atom, step.conclusion, binding)
        if binding is None:
            return False
    return True


def _by_equality(proof: ProofTree) -> bool:
    """Check a step by the wording of table 4."""
    s, p, o = proof.conclusion
    premises = [q.conclusion for q in proof.premises]
    if proof.rule == "eq-sym":
        return premises == [(o, OWL.sameAs, s)] and p == OWL.sameAs
    (a, same, b), other = premises
    if same != OWL.sameAs:
        return False
    if proof.rule == "eq-trans":
        return (p, a, other) == (OWL.sameAs, s, (b, OWL.sameAs, o))
    if proof.rule == "eq-rep-s":
        return b == s and other == (a, p, o)
    return proof.rule == "eq-rep-o" and b == o and other == (s, p, a)


def faults(proof: ProofTree, program: Program, facts: set[tuple]) -> list[ProofTree]:
    """Return the steps of a proof that are not an instance of the rule they name."""
    wrong, above = [], set()
    for step in proof.steps():
        above.add(step.conclusion)
        if step.rule == "given":
            good = step.conclusion in facts and not step.premises
        elif step.rule.startswith("eq-"):
            good = _by_equality(step)
        elif not step.premises:
            good = program.given[step.conclusion].name == step.rule
        else:
            good = any(
                r.name == step.rule and r.source == step.axioms and _instance_of(r, step)
                for r in program.rules
            )
        if not good:
            wrong.append(step)
    return wrong
