"""The command ``glost decode``."""

from datetime import date
from pathlib import Path

import click

from glost.answer.snapshot import Snapshot
from glost.record.dates import DateError
from glost.record.dates import read as read_date
from glost.report.results import codes as results
from glost.report.things import Kept
from glost.report.things.said import Said
from glost.trade.codes import CodeError
from glost.trade.codes import decode as decode_code
from glost.trade.codes.scheme import borne
from glost_cli import options, printing
from glost_cli.group import RECKON
from glost_cli.schemes import schemes_of

PART = RECKON


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
@options.report
@options.evidence
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
        readings = [reading for decoded in found for reading in decoded.readings]
        numbered = [borne(reading, snapshot.belief) for reading in readings]
        said = Said(Kept(snapshot), evidence)
        made = results.decoded(found, numbered, said, snapshot.words)
    printing.report(made, form, folder, evidence, "readings")
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
