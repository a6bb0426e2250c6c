"""From a row of an answer to the claims it rests on."""

from collections.abc import Iterable, Iterator, Mapping
from typing import TypeAlias

import pyoxigraph as ox

from glost.answer.dataset import Contents
from glost.answer.headers import Pattern, Slot
from glost.answer.store import from_store
from glost.record.claims import Claim
from glost.record.terms import Term, to_oxigraph

Bindings: TypeAlias = Mapping[str, Term | None]
"""What a row gives each selected variable; None where it gives nothing."""
_Any: TypeAlias = Term | ox.Triple


class Evidence:
    """Finds the claims that state what a row rests on.

    Parameters
    ----------
    contents
        What the dataset is made of.
    store
        The same as a store.
    """

    def __init__(self, contents: Contents, store: ox.Store) -> None:
        self._store = store
        self._why = contents.why
        self._claims = {str(claim.iri): claim for claim in contents.claims}
        self._current = frozenset(map(str, contents.current))

    def claims(
        self, evidence: Iterable[tuple[Pattern, ...]], named: Iterable[str], row: Bindings
    ) -> tuple[Claim, ...]:
        """Return the claims under a row, sorted by IRI.

        Parameters
        ----------
        evidence
            Groups of triple patterns. Within a group, a variable the query does not select stands
            for anything that fits, the same throughout the group. A group that speaks of a
            selected variable to which the row gives nothing does not apply.
        named
            Selected variables that are claims themselves; these may be withdrawn ones.
        row
            What the row gives each selected variable.
        """
        found: set[str] = set()
        for name in named:
            term = row.get(name)
            if isinstance(term, ox.NamedNode) and term.value in self._claims:
                found.add(term.value)
        triples: set[ox.Triple] = set()
        for group in evidence:
            if _applies(group, row):
                self._collect(group, dict(row), triples)
        for triple in triples:
            found.update(self._stating(triple))
        return tuple(self._claims[iri] for iri in sorted(found))

    def _collect(
        self, group: tuple[Pattern, ...], row: dict[str, Term | None], into: set[ox.Triple]
    ) -> bool:
        """Add every statement that takes part in a match of the whole group; say if any does."""
        if not group:
            return True
        matched = False
        for triple in self._matches(group[0], row):
            further = dict(row)
            for slot, term in zip(group[0], triple, strict=True):
                if isinstance(slot, ox.Variable):
                    further[slot.value] = term
            if self._collect(group[1:], further, into):
                into.add(triple)
                matched = True
        return matched

    def _matches(self, pattern: Pattern, row: Bindings) -> Iterator[ox.Triple]:
        subject, predicate, value = (_given(slot, row) for slot in pattern)
        if isinstance(subject, ox.Literal) or isinstance(predicate, ox.Literal | ox.BlankNode):
            return
        for quad in self._store.quads_for_pattern(subject, predicate, value, ox.DefaultGraph()):
            yield quad.triple

    def _stating(self, triple: ox.Triple) -> set[str]:
        stating = self._directly(triple.subject, triple.predicate, triple.object)
        if stating or isinstance(triple.subject, ox.Triple):
            return stating
        inferred = (
            from_store(triple.subject),
            from_store(triple.predicate),
            from_store(triple.object),
        )
        for leaf in self._why(inferred):
            subject, predicate, value = (to_oxigraph(term) for term in leaf)
            stating |= self._directly(subject, predicate, value)
        return stating

    def _directly(self, subject: _Any, predicate: _Any, value: _Any) -> set[str]:
        if isinstance(subject, ox.Literal) or not isinstance(predicate, ox.NamedNode):
            return set()
        names = (
            quad.graph_name for quad in self._store.quads_for_pattern(subject, predicate, value)
        )
        return {
            name.value
            for name in names
            if isinstance(name, ox.NamedNode) and name.value in self._current
        }


def _applies(group: tuple[Pattern, ...], row: Bindings) -> bool:
    """Say whether the row gives something to each selected variable of a group."""
    names = {slot.value for pattern in group for slot in pattern if isinstance(slot, ox.Variable)}
    return all(row[name] is not None for name in names & set(row))


def _given(slot: Slot, row: Bindings) -> Term | None:
    return row.get(slot.value) if isinstance(slot, ox.Variable) else slot
