"""The command ``glost decode``."""

from datetime import date
from pathlib import Path
from typing import Any

import click
from rdflib import Graph
from rich.text import Text

from glost.answer.snapshot import Snapshot
from glost.record.dates import DateError
from glost.record.dates import read as read_date
from glost.trade.codes import CodeError, Decoded, Reading
from glost.trade.codes import decode as decode_code
from glost.trade.codes.scheme import borne
from glost.words.codes import reading_in_words
from glost.words.labels import Words, label
from glost.words.spans import Span, ends
from glost_cli import options, printing
from glost_cli.group import RECKON
from glost_cli.schemes import claim_ids, scheme_name, schemes_of

PART = RECKON

_COLUMNS = ("code", "taken for", "scheme", "tells", "in force", "worn", "treatment")


@click.command()
@click.argument("codes", nargs=-1, required=True, metavar="CODE...")
@options.collection
@options.as_of
@click.option("--pottery", default="", metavar="ID", help="Only by schemes of this pottery.")
@click.option("--scheme", "named", default="", metavar="ID", help="Only by this scheme.")
@click.option(
    "--on",
    "when",
    default="",
    metavar="DATE",
    help="When it was written, if known (1908, 191X): schemes not in use then are told apart.",
)
@options.form
@click.option("--evidence", is_flag=True, help="Print, under each reading, what it rests on.")
def decode(
    codes: tuple[str, ...],
    folder: Path,
    as_of: date | None,
    pottery: str,
    named: str,
    when: str,
    form: str,
    evidence: bool,
) -> None:
    """Read treatment numbers and date codes by the schemes the sources give.

    A CODE is written as it stands, ? for each character that cannot be read. Every reading by every
    scheme is given, with whether the scheme was in use then, and the recorded treatments of that
    number.

    \b
    Examples:
      glost decode C23N4
      glost decode "T-3?2" --evidence
    """
    with options.snapshot(folder, as_of) as snapshot:
        known = schemes_of(snapshot, pottery, named)
        span = _span(when, snapshot)
        try:
            found = [decode_code(code, known, span) for code in codes]
        except CodeError as bad:
            raise click.UsageError(str(bad)) from None
        rows = [_row(r, snapshot) for decoded in found for r in decoded.readings]
    if form == "json":
        printing.as_json([_plain(decoded, snapshot) for decoded in found])
    elif form == "csv":
        claims = [claim_ids(r) for decoded in found for r in decoded.readings]
        printing.as_csv(
            [*_COLUMNS, "claims"], [[*row, ids] for row, ids in zip(rows, claims, strict=True)]
        )
    else:
        printing.table(_COLUMNS, rows)
        if evidence:
            for decoded in found:
                _print_evidence(decoded, snapshot.words)
    unread = [decoded.text for decoded in found if not decoded.readings]
    for text in unread:
        click.echo(f'"{text}" fits no scheme.', err=True)
    if unread:
        raise SystemExit(1)


def _span(when: str, snapshot: Snapshot) -> tuple[int | None, int | None]:
    if not when:
        return None, None
    try:
        given = read_date(when, snapshot.record.collection.margin)
    except DateError as bad:
        raise click.UsageError(str(bad)) from None
    return given.earliest, given.latest


def _row(reading: Reading, snapshot: Snapshot) -> list[str]:
    graph = snapshot.words
    numbers = [label(t, graph) for t in borne(reading, snapshot.belief)]
    return [
        reading.text,
        reading.code,
        scheme_name(reading.scheme, graph),
        reading_in_words(reading, graph),
        reading.in_force,
        ", ".join(reading.unreadable),
        "; ".join(numbers),
    ]


def _plain(decoded: Decoded, snapshot: Snapshot) -> dict[str, Any]:
    return {
        "code": decoded.text,
        **_days(decoded.span),
        "worn": list(decoded.unreadable),
        "readings": [
            {
                "code": reading.code,
                "scheme": str(reading.scheme.iri),
                "pattern": reading.scheme.pattern,
                "in_force": reading.in_force,
                **_days((reading.earliest, reading.latest)),
                "parts": [
                    {
                        "part": part.name,
                        "text": part.text,
                        "value": part.value,
                        "tells": part.tells,
                        "thing": None if part.meaning.thing is None else str(part.meaning.thing),
                        "year": part.year,
                        "month": part.month,
                        "claims": [str(claim.iri) for claim in part.meaning.claims],
                    }
                    for part in reading.parts
                ],
                "treatments": [str(thing) for thing in borne(reading, snapshot.belief)],
                "scheme_claims": [str(claim.iri) for claim in reading.scheme.claims],
            }
            for reading in decoded.readings
        ],
    }


def _days(span: Span) -> dict[str, Any]:
    return dict(zip(("earliest", "latest"), ends(span), strict=True))


def _print_evidence(decoded: Decoded, graph: Graph | Words) -> None:
    console = printing.console()
    for reading in decoded.readings:
        console.print()
        console.print(Text(f"{reading.code}: {reading_in_words(reading, graph)}", style="bold"))
        printing.support(reading.claims, graph)
