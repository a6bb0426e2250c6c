"""Whether corrections can be followed: the columns they name, and rings of them."""

from collections.abc import Iterator, Mapping

from rdflib import URIRef

from glost.names import GLOST, SCHEMES
from glost.record.belief import Correcting, corrections_among, rings
from glost.record.claims import Claim
from glost.record.errors import RecordError, suggestion
from glost.record.fitting import Fit, row_of
from glost.record.sequence import ClaimSequence
from glost.record.tables import SEPARATOR

OPEN = {"corrections": ("kind", "reason")}
"""Tables of whose columns only some may be corrected by themselves: the others say what is
withdrawn, and a correction of that is another correction."""
_UNDOING = URIRef(f"{SCHEMES}correction-kind/undoing")
_NO_ROW = (
    "the claim it corrects fits no table, so it has no columns",
    "leave columns empty, which withdraws the whole of it",
)


def errors_in(claims: ClaimSequence) -> Iterator[RecordError]:
    """Yield what is wrong with the corrections among claims.

    Parameters
    ----------
    claims
        All claims of a record.
    """
    for ring in rings(claims):
        yield RecordError(
            ring[0].origin.file,
            "these corrections withdraw one another: " + ", ".join(c.id for c in ring),
            "delete one of them",
            ring[0].origin.row,
            iri=str(ring[0].iri),
        )
    known = corrections_among(claims)
    yield from _undoings(known)
    corrections = {c: says for c, says in known.items() if says.columns}
    wanted = {iri for says in corrections.values() for iri in says.withdraws}
    corrected = {claim.iri: claim for claim in claims.only(wanted)}
    for correction, says in corrections.items():
        for iri in says.withdraws:
            if iri in corrected:
                yield from _columns(correction, says, corrected[iri])


def _undoings(corrections: Mapping[Claim, Correcting]) -> Iterator[RecordError]:
    """Yield what is said to take a correction back and does something else."""
    known = {correction.iri for correction in corrections}
    for correction, says in corrections.items():
        if not any(t[1:] == (GLOST.correctionKind, _UNDOING) for t in correction.statements):
            continue
        if not known.issuperset(says.withdraws):
            message = "it is said to undo a correction, and what it withdraws is none"
        elif says.columns or says.replaced_by:
            message = "it is said to undo a correction, which can only be taken back whole"
        else:
            continue
        origin = correction.origin
        remedy = "give the kind new-evidence or transcription, or name the correction alone"
        iri = "" if origin.row else str(correction.iri)
        yield RecordError(origin.file, message, remedy, origin.row, "kind", "undoing", iri)


def _columns(correction: Claim, says: Correcting, claim: Claim) -> Iterator[RecordError]:
    row = row_of(claim)
    for column in says.columns:
        found = _NO_ROW if row is None else wrong_column(row, column)
        if found is not None:
            origin = correction.origin
            iri = "" if origin.row else str(correction.iri)
            yield RecordError(origin.file, *found, origin.row, "columns", column, iri)


def wrong_column(row: Fit, column: str) -> tuple[str, str] | None:
    """Say why what a column of a row says cannot be withdrawn by itself, and what to do.

    Parameters
    ----------
    row
        The table and the filled cells.
    column
        Name of the column, or ``name=value`` for one of several values of a cell.

    Returns
    -------
    tuple or None
        Message and remedy; None if it can be.
    """
    table, values = row[0].table, row[1]
    name, single, value = column.partition("=")
    saying = [c.name for c in table.real if c.property and c.name not in table.naming]
    allowed = [each for each in OPEN.get(table.name, saying) if each in saying]
    if name in table.naming:
        message = f'"{name}" names what the row is about, so it cannot be withdrawn by itself'
        return message, "leave columns empty, which withdraws the whole row"
    if name not in allowed:
        remedy = suggestion(name, allowed, f"columns are {', '.join(allowed)}")
        return f'"{name}" is not a column of {table.name} to withdraw', remedy
    if not values.get(name):
        filled = ", ".join(each for each in allowed if values.get(each))
        return f'the row it corrects has nothing in "{name}"', f"it fills {filled or 'no other'}"
    if single and (not table.column(name).many or value not in values[name].split(SEPARATOR)):
        return f'the row it corrects does not have "{value}" in "{name}"', f"it has {values[name]}"
    return None
