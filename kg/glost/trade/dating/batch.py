"""Many pieces dated at once: one row out for each row in."""

import csv
import io
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from glost.record.errors import RecordError, RecordErrors, suggestion
from glost.trade.dating.dated import Dated, date_seen
from glost.trade.dating.law import MISSING
from glost.trade.dating.limits import Limiter
from glost.trade.naming.reading import COLUMNS, Reader
from glost.trade.naming.seen import Seen
from glost.words.spans import ends

if TYPE_CHECKING:
    from glost.record.record import Record

ALIASES = {
    "trade_size": "size", "number_read": "number", "mark_read": "mark", "feature": "features",
}  # fmt: skip
"""Columns of the table of pieces that go by another name here."""
GIVEN = (
    "made_not_before", "made_not_after", "decorated_not_before", "decorated_not_after",
    "deciding", "contradiction", "remarks",
)  # fmt: skip
"""Columns that are added to each row."""
PASSED = (
    "piece", "measured", "part", "decal", "made", "decorated", "held_by", "accession", "image",
    "description", "source", "locator", "region", "certainty", "recorded_by", "recorded_on",
    "note", "claim", "id",
)  # fmt: skip
"""Columns that are handed through without being used."""


@dataclass(frozen=True, slots=True)
class PieceRow:
    """A row of a table of pieces, dated.

    Attributes
    ----------
    cells
        The row as it was.
    dated
        Its date.
    """

    cells: Mapping[str, str]
    dated: Dated


def date_table(record: "Record", limiter: Limiter, text: str, file: str) -> tuple[PieceRow, ...]:
    """Date every row of a table.

    Parameters
    ----------
    record
        The record whose things and terms the table names.
    limiter
        Knows what each thing says.
    text
        The table as CSV with a header. Columns are those of `COLUMNS`, those of the table of
        pieces, and ``id``; dates given in it are not used.
    file
        Its name, for errors.

    Raises
    ------
    RecordErrors
        With everything that cannot be read, by row and column; nothing is dated then.
    """
    reader = csv.DictReader(io.StringIO(text))
    errors = list(_header(reader.fieldnames or [], file))
    if errors:
        raise RecordErrors(errors)
    looked = Reader(record)
    read: list[tuple[dict[str, str], Seen]] = []
    for number, cells in enumerate(reader, 2):
        if None in cells or None in cells.values():
            message = "the row has more or fewer cells than the header"
            errors.append(RecordError(file, message, "give it as many", number))
            continue
        given = _given(cells)
        seen, wrong = looked.read(given, file, number)
        errors.extend(wrong)
        read.append((cells, seen))
    if errors:
        raise RecordErrors(errors)
    once: dict[Seen, Dated] = {}
    for _, seen in read:
        if seen not in once:
            once[seen] = date_seen(limiter, seen)
    return tuple(PieceRow(cells, once[seen]) for cells, seen in read)


def _header(names: Sequence[str], file: str) -> Iterator[RecordError]:
    known = [*COLUMNS, *ALIASES, *PASSED]
    if not names:
        yield RecordError(file, "the table is empty", "give it a header", 1)
    for name in names:
        if name not in known:
            remedy = suggestion(name, known, f"columns are {', '.join(COLUMNS)}")
            yield RecordError(file, f'there is no column "{name}"', remedy, 1, name)
    for name in sorted({name for name in names if names.count(name) > 1}):
        yield RecordError(file, f'the column "{name}" stands twice', "rename one", 1, name)


def _given(cells: Mapping[str, str]) -> dict[str, str]:
    """Gather the cells under the names of `COLUMNS`; the more exact of two alike counts."""
    given = {name: cells.get(name, "").strip() for name in COLUMNS}
    for other, name in ALIASES.items():
        if not given[name]:
            given[name] = cells.get(other, "").strip()
    return given


def columns(rows: tuple[PieceRow, ...]) -> list[str]:
    """Return the header of the table that comes out."""
    first = list(rows[0].cells) if rows else []
    return [*(name for name in first if name not in GIVEN), *GIVEN]


def cells(row: PieceRow) -> list[str]:
    """Return a row of the table that comes out, its own cells first."""
    dated = row.dated
    spans = (dated.made, dated.decorated)
    days = [day or "" for span in spans for day in ends(span.days)]
    deciding = {x.observation for s in spans for x in (s.not_before, s.not_after) if x is not None}
    clash = "; ".join(
        f"{c.not_before} against {c.not_after}" for c in dated.clashes if c.kind == "clash"
    )
    own = [value for name, value in row.cells.items() if name not in GIVEN]
    remarks = " ".join(remark for remark in dated.remarks if remark != MISSING)
    return [*own, *days, "|".join(sorted(deciding)), clash, remarks]
