"""Claims back into tables: the way in, walked backwards.

A claim is tried against each table description in turn. A row is accepted only if expanding it
again gives exactly the claim's statements; whatever fits no table stays TriG.
"""

import csv
import io
import json
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from typing import TypeAlias

import pyoxigraph as ox
from rdflib import URIRef

from glost.names import PREFIXES
from glost.record.claims import Claim, content_id
from glost.record.fitting import Fitter
from glost.record.provenance import record_triples
from glost.record.record import Record
from glost.record.spreadsheets import guarded
from glost.record.tables import TableDescription, csvw_metadata, tables
from glost.record.terms import quad

Row: TypeAlias = tuple[str, dict[str, str]]
"""The name of a table, and each cell of a row by its column's name."""


def rows_of(
    record: Record, claims: Iterable[Claim], known: dict[str, Row | None] | None = None
) -> tuple[dict[str, list[dict[str, str]]], list[Claim]]:
    """Turn claims into rows.

    Parameters
    ----------
    record
        The record they are of.
    claims
        Claims, whether read from tables or from TriG.
    known
        The rows of claims by IRI, None of one that fits no table; those that are not there are put
        there. They hold as long as the concept schemes in force are the same.

    Returns
    -------
    dict of list of dict
        Rows by table name, each a cell by column name, sorted by the table's key.
    list of Claim
        Claims that fit no table.
    """
    fitter, known = Fitter(record.base, record.schemes), {} if known is None else known
    rows: dict[str, list[dict[str, str]]] = defaultdict(list)
    left = []
    for claim in claims:
        iri = str(claim.iri)
        if iri not in known:
            known[iri] = _fitted(fitter, claim, record.base)
        if (found := known[iri]) is None:
            left.append(claim)
        else:
            rows[found[0]].append(found[1])
    for name, some in rows.items():
        key = tables()[name].key
        some.sort(key=lambda row, key=key: ([row.get(k, "") for k in key], sorted(row.items())))  # type: ignore[misc]
    return dict(sorted(rows.items())), left


def _fitted(fitter: Fitter, claim: Claim, base: str) -> Row | None:
    for expander, values in fitter.fits(claim.statements):
        row = _row(expander.table, values, claim, base)
        if row is not None:
            return expander.table.name, row
    return None


def header(table: TableDescription, rows: Iterable[Mapping[str, str]]) -> list[str]:
    """Return the columns that rows are written with: those needed, and those that a row fills."""
    filled = {name for row in rows for name, cell in row.items() if cell}
    return [column.name for column in table.real if column.required or column.name in filled]


def csv_text(table: TableDescription, rows: Iterable[Mapping[str, str]]) -> str:
    """Write rows as comma-delimited text, leaving out columns that no row fills; see `header`.

    No cell is one that a spreadsheet program would run; see `glost.record.spreadsheets`.
    """
    rows = list(rows)
    names = header(table, rows)
    return delimited([names, *([guarded(row.get(name, "")) for name in names] for row in rows)])


def csv_files(found: Mapping[str, list[dict[str, str]]]) -> Iterator[tuple[str, str]]:
    """Yield the files of tables, by name, and last the CSVW metadata that describes them.

    Parameters
    ----------
    found
        Rows by table; see `rows_of`.
    """
    for name, rows in found.items():
        yield f"{name}.csv", csv_text(tables()[name], rows)
    metadata = csvw_metadata({name: header(tables()[name], rows) for name, rows in found.items()})
    yield "csvw-metadata.json", json.dumps(metadata, indent=2, ensure_ascii=False) + "\n"


def delimited(records: Iterable[Iterable[str]], delimiter: str = ",", ending: str = "\n") -> str:
    """Write records as delimited text (RFC 4180) that reads back as the very same cells.

    Parameters
    ----------
    records
        The header and the rows.
    delimiter
        What parts cells.
    ending
        What ends a line.
    """
    out = io.StringIO()
    # The writer quotes a line end only if it is its own, so it is given both kinds for that.
    writer = csv.writer(out, delimiter=delimiter, lineterminator="\r\n")
    lines = []
    for cells in records:
        writer.writerow(cells)
        lines.append(out.getvalue().removesuffix("\r\n") + ending)
        out.seek(0)
        out.truncate()
    return "".join(lines)


def trig_text(record: Record, claims: Iterable[Claim]) -> str:
    """Write claims as TriG that `glost.record.trig` reads back."""
    claims = list(claims)
    wanted = {claim.iri for claim in claims}
    places = {str(subject) for subject in wanted}
    quads = []
    described = list(record_triples(record))
    for subject, _, value in described:
        if subject in wanted and isinstance(value, URIRef):
            places.add(str(value))
    for triple in described:
        if str(triple[0]).removesuffix("#region") in places:
            quads.append(quad(triple, None))
    for claim in claims:
        quads += [quad(triple, claim.iri) for triple in claim.statements]
    prefixes = {name: str(namespace) for name, namespace in PREFIXES.items()}
    text = ox.serialize(quads, format=ox.RdfFormat.TRIG, prefixes=prefixes)
    return (text or b"").decode()


def _row(
    table: TableDescription, values: Mapping[str, str], claim: Claim, base: str
) -> dict[str, str] | None:
    if any(cell != cell.strip() for cell in values.values()):
        return None  # the reader takes space at the ends away
    source = _source(table, values, claim, base)
    if source is None:
        return None
    given = {
        "source": source,
        "locator": claim.passage.locator,
        "region": claim.passage.region,
        "certainty": str(claim.certainty).rsplit("/", 1)[-1] if claim.certainty else "",
        "recorded_by": claim.recorded_by,
        "recorded_on": claim.recorded_on,
        "note": claim.note,
    }
    row = {**values, **{name: cell for name, cell in given.items() if cell}}
    if content_id(table.name, list(row.items())) != claim.id:
        row["claim"] = claim.id
    return row


def _source(
    table: TableDescription, values: Mapping[str, str], claim: Claim, base: str
) -> str | None:
    """Return the source cell: empty where the table supplies it, None if it cannot be written."""
    kind, _, name = str(claim.passage.source).removeprefix(base).partition("/")
    if kind not in ("source", "piece"):
        return None
    if table.source_from == "source":
        return "" if values.get("source") == name and kind == "source" else None
    supplied = "piece" if table.source_from == "piece" else "source"
    if table.source_from and kind == supplied and values.get(table.source_from) == name:
        return ""
    return name
