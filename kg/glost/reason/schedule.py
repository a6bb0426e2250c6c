"""In which order rules run, and which need not run at all."""

from collections import defaultdict
from collections.abc import Mapping
from typing import NamedTuple

from glost.reason.operators import strong_components
from glost.reason.rules import FactRule, Var
from glost.reason.sql import SAME, SqlTable, arguments, relation


class Copy(NamedTuple):
    """A rule that copies a relation row by row, straight or turned round."""

    source: SqlTable
    target: SqlTable
    turned: bool


def as_copy(rule: FactRule) -> Copy | None:
    """Return what a rule copies, or ``None`` if it does more or less than copying."""
    if len(rule.body) != 1 or rule.head is None or relation(rule.head) == SAME:
        return None
    before, after = arguments(rule.body[0]), arguments(rule.head)
    terms = {*before, *after}
    if len(before) != len(after) or len(terms) != len(before):
        return None
    if not all(isinstance(t, Var) for t in terms):
        return None
    return Copy(relation(rule.body[0]), relation(rule.head), before != after)


class Schedule:
    """The order of the relations, and what is known about the rules of each.

    Parameters
    ----------
    rules
        Rules with a conclusion.
    relations
        Every relation there is a table for, in a repeatable order.
    """

    def __init__(self, rules: tuple[FactRule, ...], relations: list[SqlTable]) -> None:
        self.by_head: Mapping[SqlTable, list[FactRule]] = defaultdict(list)
        after: Mapping[SqlTable, list[SqlTable]] = defaultdict(list)
        for rule in rules:
            head = relation(rule.head)  # type: ignore[arg-type]
            self.by_head[head].append(rule)
            for atom in rule.body:
                after[relation(atom)].append(head)
        self.equations = self.by_head.get(SAME, [])
        self.transitive: dict[SqlTable, FactRule] = {}
        symmetric: set[SqlTable] = set()
        for rel, made_by in self.by_head.items():
            for rule in made_by:
                if rule.name == "prp-trp":
                    self.transitive[rel] = rule
                elif rule.name == "prp-symp":
                    symmetric.add(rel)
        self.equivalences = symmetric & set(self.transitive)
        self.copies = {id(r): c for r in rules if (c := as_copy(r))}
        undone = {copy: number for number, copy in self.copies.items()}
        self.undoes = {
            number: undone.get(Copy(copy.target, copy.source, copy.turned))
            for number, copy in self.copies.items()
        }
        parts = strong_components(relations, lambda rel: after.get(rel, []))
        self.order = [
            (part, len(part) > 1 or part[0] in after.get(part[0], []))
            for part in parts
            if part != [SAME]
        ]

    def joins(self, rel: SqlTable) -> list[FactRule]:
        """Return the rules of a relation that run as joins, not as operators."""
        handled = {"prp-trp"} | ({"prp-symp"} if rel in self.equivalences else set())
        return [r for r in self.by_head.get(rel, []) if r.name not in handled]
