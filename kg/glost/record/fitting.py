"""Statements back into the row that makes exactly them: a table's way in, walked backwards."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TypeAlias

from rdflib import Literal

from glost.record.claims import Claim, Triple
from glost.record.rows import RowColumn, RowReader
from glost.record.schemes import TermScheme
from glost.record.tables import PARTIAL, SEPARATOR, tables

Fit: TypeAlias = tuple[RowReader, dict[str, str]]
"""A table, compiled, and the filled cells of a row of it, those of its provenance left out."""


class Fitter:
    """Finds the rows that make given statements.

    Parameters
    ----------
    base
        Base IRI of the collection.
    schemes
        Concept schemes in force.
    """

    def __init__(self, base: str, schemes: Mapping[str, TermScheme]) -> None:
        self._base, self._schemes = base, schemes

    @cached_property
    def _by_predicate(self) -> dict[str, list[RowReader]]:
        found: dict[str, list[RowReader]] = defaultdict(list)
        for table in tables().values():
            expander = RowReader.of(table, self._base, self._schemes)
            for predicate in {giver.property.text for giver in expander.givers}:
                found[predicate].append(expander)
        return found

    def fits(self, statements: Iterable[Triple]) -> Iterator[Fit]:
        """Yield every row that makes these statements and no others, whole rows first."""
        wanted = frozenset(statements)
        candidates = self._candidates(wanted)
        for marked in ({}, {PARTIAL: "yes"}):
            for expander in candidates:
                values = _values(expander, wanted, partial=bool(marked))
                if values is None:
                    continue
                row = values | marked
                needed = expander.table.needed(partial=bool(marked))
                if all(row.get(column.name) for column in needed) and wanted == frozenset(
                    expander.statements(row)
                ):
                    yield expander, row

    def _candidates(self, statements: frozenset[Triple]) -> list[RowReader]:
        """Find the tables that can make every property of the statements."""
        predicates = sorted({str(predicate) for _, predicate, _ in statements})
        if not predicates:
            return []
        first, *others = ([*self._by_predicate.get(name, ())] for name in predicates)
        return [expander for expander in first if all(expander in other for other in others)]


@dataclass(frozen=True, slots=True)
class FittedStatements:
    """The statements of a claim that is no row; its row is looked for when it is asked for."""

    statements: tuple[Triple, ...]
    fitter: Fitter

    def __call__(self) -> tuple[Triple, ...]:
        """Return the statements."""
        return self.statements

    def row(self) -> Fit | None:
        """Return the first row that would make them; None if no table could."""
        return next(self.fitter.fits(self.statements), None)


def row_of(claim: Claim) -> Fit | None:
    """Return the row a claim was read from, or that would make it; None if there is none."""
    row = getattr(claim.expand, "row", None)
    return None if row is None else row()


def _values(
    expander: RowReader, statements: Iterable[Triple], *, partial: bool
) -> dict[str, str] | None:
    """Read cells out of statements; None if two of them contradict each other.

    A cell that yields no statement, or none in a partial row, is read out of the IRIs it names.
    """
    found: dict[str, set[str]] = defaultdict(set)
    table = expander.table
    named = {column.name for column in table.real if not column.property}
    if partial:
        named |= table.naming
    for statement in statements:
        for giver in expander.givers:
            read = _read(giver, statement)
            if read is None:
                continue
            subject, value = read
            # What has a value of its own is read from that: names within an IRI may run together.
            told = {name: cell for name, cell in subject.items() if name in named}
            told |= {
                name: cell
                for name, cell in value.items()
                if name in named or (name == giver.column.name and not giver.column.virtual)
            }
            for name, cell in told.items():
                many = table.column(name).many
                found[name].update(cell.split(SEPARATOR) if many else (cell,))
    values = {}
    for name, cells in sorted(found.items()):
        if len(cells) > 1 and not table.column(name).many:
            return None
        values[name] = SEPARATOR.join(sorted(cells))
    return values


def _read(giver: RowColumn, statement: Triple) -> tuple[dict[str, str], dict[str, str]] | None:
    """Read what one column could have said to make a statement: by its subject, by its value."""
    subject, predicate, value = statement
    if str(predicate) != giver.property.text:
        return None
    about = giver.about.match(str(subject))
    if about is None:
        return None
    if isinstance(value, Literal):
        if giver.value is not None or value.datatype != giver.datatype or value.language:
            return None
        cell = str(value)
        if giver.column.base == "boolean":
            cell = "yes" if cell == "true" else "no"
        return about, {giver.column.name: cell}
    for slug, iri in (giver.concepts or {}).items():
        if iri == value:
            return about, {giver.column.name: slug}
    if giver.elsewhere and str(value).startswith(giver.elsewhere):
        return None
    named = giver.value.match(str(value)) if giver.value is not None else None
    return None if named is None else (about, named)
