"""What is new, gone or said otherwise in a record: a change, as the claims that come and go."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

import polars as pl
from rdflib import URIRef

from glost.record.claims import Claim
from glost.record.record import Record
from glost.record.rows import ClaimRows
from glost.record.sequence import ClaimSequence


@dataclass(frozen=True)
class Change:
    """Claims that come into a record, and claims that leave it.

    Attributes
    ----------
    added
        Claims that are new, or that stand in place of one that bears the same IRI: because they
        say something else, or are read from another row. Sorted by IRI.
    removed
        IRIs of claims that are no longer there, sorted. A correction removes nothing: it is a claim
        that is added, and withdraws another.
    record
        The record with the change, where it was read from files; what reading brought to light,
        ids and schemes are then taken from it. None leaves them as they are.
    """

    added: tuple[Claim, ...] = ()
    removed: tuple[URIRef, ...] = ()
    record: Record | None = None

    def __bool__(self) -> bool:
        """Say whether any claim comes or goes."""
        return bool(self.added or self.removed)


def changed(record: Record, change: Change) -> Record:
    """Return a record with a change made; neither is altered."""
    if change.record is not None:
        return replace(change.record, _beliefs={})
    claims = record.claims.changed(change.added, change.removed)
    return replace(record, claims=claims, state="", _beliefs={})


def between(before: Record, after: Record) -> Change:
    """Find what changed from one reading of a collection to the next.

    Parameters
    ----------
    before, after
        The record as it was and as it is.

    Returns
    -------
    Change
        With the second record. A claim that is only read from another row counts as changed, for
        findings name the rows.
    """
    old, new = set(before.claims.iris()), set(after.claims.iris())
    if before.schemes == after.schemes:
        there = _rewritten(before.claims, after.claims) & old & new
    else:
        there = old & new
    known = {claim.iri: claim for claim in before.claims.only(there)}
    added = [
        claim
        for claim in after.claims.only(there | (new - old))
        if claim.iri not in known or not _same(known[claim.iri], claim)
    ]
    return Change(tuple(added), tuple(map(URIRef, sorted(old - new))), after)


def _same(one: Claim, other: Claim) -> bool:
    return one == other and one.origin == other.origin and one.statements == other.statements


def _rewritten(before: ClaimSequence, after: ClaimSequence) -> set[str]:
    """Return the IRIs of claims of sheets that are not the same, cell for cell, and of no sheet."""
    rows = {(sheet.rows.file, sheet.table): sheet for sheet in before.sheets()}
    found = {str(claim.iri) for claim in _given(after)}
    for sheet in after.sheets():
        old = rows.get((sheet.rows.file, sheet.table))
        found |= set(_differing(old, sheet))
    return found


def _given(claims: ClaimSequence) -> Iterator[Claim]:
    return (claims[at] for at in claims.parts()[1])


def _differing(old: ClaimRows | None, new: ClaimRows) -> Iterable[str]:
    """Return the IRIs of the rows of a sheet that are not there, just so, in another."""
    if old is None:
        return new.iris.to_list()
    frames = [sheet.rows.frame.with_columns(sheet.iris, sheet.sources.alias("\x00source"))
              for sheet in (old, new)]  # fmt: skip
    names = sorted({name for frame in frames for name in frame.columns})
    one, two = (
        frame.with_columns(pl.lit("").alias(n) for n in names if n not in frame.columns)
        for frame in frames
    )
    return two.join(one, on=names, how="anti", nulls_equal=True)["iri"].to_list()
