"""From a row of an answer to the claims it rests on."""

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Protocol, TypeAlias

import pyoxigraph as ox
from rdflib.namespace import PROV

from glost.answer.dataset import Why
from glost.answer.headers import Pattern, Slot
from glost.answer.store import from_store
from glost.record.claims import Claim, Triple
from glost.record.terms import Term, to_oxigraph

DERIVED = ox.NamedNode(str(PROV.wasDerivedFrom))
"""Leads from what was judged to claims, and to gatherings of claims and of smaller gatherings."""
MEMBER = ox.NamedNode(str(PROV.hadMember))

Bindings: TypeAlias = Mapping[str, Term | None]
"""What a row gives each selected variable; None where it gives nothing."""


@dataclass(frozen=True)
class Finder:
    """Finds the claims under a row in a store.

    Attributes
    ----------
    store
        The dataset.
    known
        Says whether an IRI is a claim's.
    holds
        Says whether a claim is believed.
    under
        Gives the claims that a statement rests on which no claim that is believed makes.
    note
        Told each statement of which claims are found; does nothing unless a caller asks.
    judged
        Gives the claims under a judgement whose evidence is not in the store, sorted; None of all
        else.
    """

    store: ox.Store
    known: Callable[[str], bool]
    holds: Callable[[str], bool]
    under: Callable[[ox.Triple], Iterable[str]]
    note: Callable[[ox.Triple], None] = lambda _: None
    judged: Callable[[str], tuple[str, ...] | None] = lambda _: None

    def claims(
        self, evidence: Iterable[tuple[Pattern, ...]], named: Iterable[str], row: Bindings
    ) -> set[str]:
        """Return the IRIs of the claims under a row.

        Parameters
        ----------
        evidence
            Groups of triple patterns. Within a group, a variable the query does not select stands
            for anything that fits, the same throughout the group. A group that speaks of a
            selected variable to which the row gives nothing does not apply. A statement that
            something was derived from evidence rests on the claims gathered there.
        named
            Selected variables that are claims themselves; these may be withdrawn ones.
        row
            What the row gives each selected variable.
        """
        return {iri for part in self.parts(evidence, named, row) for iri in part}

    def parts(
        self, evidence: Iterable[tuple[Pattern, ...]], named: Iterable[str], row: Bindings
    ) -> Iterator[Collection[str]]:
        """Yield the same in parts, which may have claims in common; see `claims`."""
        terms = [row.get(name) for name in named]
        yield {t.value for t in terms if isinstance(t, ox.NamedNode) and self.known(t.value)}
        triples: set[ox.Triple] = set()
        for group in evidence:
            if applies(group, row):
                self._collect(group, dict(row), triples)
        for triple in triples:
            if triple.predicate == DERIVED:
                yield from self._gathered(triple.object)
            else:
                yield self.making(triple) or set(self.under(triple))

    def _gathered(self, evidence: Term | ox.Triple) -> Iterator[Collection[str]]:
        """Yield the claims of evidence: one by itself, or all that are gathered."""
        pending, seen = [evidence], {evidence}
        while pending:
            at = pending.pop()
            if not isinstance(at, ox.NamedNode):
                continue
            told = (at.value,) if self.known(at.value) else self.judged(at.value)
            if told is not None:
                yield told
                continue
            quads = self.store.quads_for_pattern(at, MEMBER, None, ox.DefaultGraph())
            new = {quad.object for quad in quads} - seen
            seen |= new
            pending += new

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
        for quad in self.store.quads_for_pattern(subject, predicate, value, ox.DefaultGraph()):
            yield quad.triple

    def making(self, triple: ox.Triple) -> set[str]:
        """Return the IRIs of the claims, of those believed, that make a statement themselves."""
        subject = triple.subject
        if isinstance(subject, ox.Triple):
            return set()
        quads = self.store.quads_for_pattern(subject, triple.predicate, triple.object)
        names = (quad.graph_name for quad in quads)
        found = {
            name.value
            for name in names
            if isinstance(name, ox.NamedNode) and self.holds(name.value)
        }
        if found:
            self.note(triple)
        return found


class Claims(Protocol):
    """Where claims are looked up: what a dataset is made of, or a record as it is kept."""

    def claim(self, iri: str) -> Claim | None:
        """Return a claim by its IRI; None if there is none."""

    def believes(self, iri: str) -> bool:
        """Say whether a claim is believed."""


class FindsClaims(Protocol):
    """Finds what the rows of an answer rest on."""

    def claims(
        self, evidence: Iterable[tuple[Pattern, ...]], named: Iterable[str], row: Bindings
    ) -> tuple[Claim, ...]:
        """Return the claims under a row, sorted by IRI; see `Finder.claims`."""

    def iris(
        self, evidence: Iterable[tuple[Pattern, ...]], named: Iterable[str], row: Bindings
    ) -> tuple[str, ...]:
        """Return the IRIs of the same, sorted."""

    def beyond(self, evidence: Iterable[tuple[Pattern, ...]], row: Bindings) -> tuple[Triple, ...]:
        """Return the statements under a row of which it is not known here what they rest on."""

    def making(self, triple: ox.Triple) -> set[str]:
        """Return the IRIs of the claims, of those believed, that make a statement themselves."""

    def claim(self, iri: str) -> Claim:
        """Return a claim by its IRI."""


class Evidence:
    """Finds the claims that state what a row rests on.

    Parameters
    ----------
    claims
        Gives where claims are looked up, when somebody asks what a row rests on.
    store
        The dataset.
    why
        Gives the believed statements an inferred one rests on.
    note, judged
        See `Finder`.
    """

    def __init__(
        self,
        claims: Callable[[], Claims],
        store: ox.Store,
        why: Why,
        note: Callable[[ox.Triple], None] = lambda _: None,
        judged: Callable[[str], tuple[str, ...] | None] = lambda _: None,
    ) -> None:
        self._looked_up, self._store, self._why = claims, store, why
        self._note, self._judged = note, judged

    @cached_property
    def _claims(self) -> Claims:
        return self._looked_up()

    @cached_property
    def _finder(self) -> Finder:
        claims = self._claims
        return Finder(
            self._store,
            lambda iri: claims.claim(iri) is not None,
            claims.believes,
            self._under,
            self._note,
            self._judged,
        )

    def claims(
        self, evidence: Iterable[tuple[Pattern, ...]], named: Iterable[str], row: Bindings
    ) -> tuple[Claim, ...]:
        """Return the claims under a row, sorted by IRI; see `Finder.claims`."""
        return tuple(map(self.claim, self.iris(evidence, named, row)))

    def iris(
        self, evidence: Iterable[tuple[Pattern, ...]], named: Iterable[str], row: Bindings
    ) -> tuple[str, ...]:
        """Return the IRIs of the same, sorted."""
        parts = [part for part in self._finder.parts(evidence, named, row) if part]
        if len(parts) == 1 and isinstance(parts[0], tuple):
            return parts[0]  # a judgement's own, of thousands: in order already
        return tuple(sorted({iri for part in parts for iri in part}))

    def beyond(self, evidence: Iterable[tuple[Pattern, ...]], row: Bindings) -> tuple[Triple, ...]:
        """Return nothing: of all that follows it is known what it rests on."""
        return ()

    def making(self, triple: ox.Triple) -> set[str]:
        """Return the IRIs of the claims, of those believed, that make a statement themselves."""
        return self._finder.making(triple)

    def claim(self, iri: str) -> Claim:
        """Return a claim by its IRI."""
        found = self._claims.claim(iri)
        if found is None:
            raise KeyError(iri)
        return found

    def _under(self, triple: ox.Triple) -> Iterator[str]:
        if isinstance(triple.subject, ox.Triple):
            return
        inferred = (
            from_store(triple.subject),
            from_store(triple.predicate),
            from_store(triple.object),
        )
        for leaf in self._why(inferred):
            subject, predicate, value = (to_oxigraph(term) for term in leaf)
            if isinstance(predicate, ox.NamedNode) and not isinstance(subject, ox.Literal):
                yield from self._finder.making(ox.Triple(subject, predicate, value))


def applies(group: tuple[Pattern, ...], row: Bindings) -> bool:
    """Say whether the row gives something to each selected variable of a group."""
    names = {slot.value for pattern in group for slot in pattern if isinstance(slot, ox.Variable)}
    return all(row[name] is not None for name in names & set(row))


def _given(slot: Slot, row: Bindings) -> Term | None:
    return row.get(slot.value) if isinstance(slot, ox.Variable) else slot
