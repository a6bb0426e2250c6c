"""The command ``glost date``."""

import csv
import io
from datetime import date
from pathlib import Path
from typing import Any
from urllib.parse import unquote

import click
from msgspec.structs import replace
from rdflib.namespace import RDF

from glost.answer.dating import DatedPiece, date_by, date_piece, limiter_of
from glost.answer.showing import find_thing
from glost.answer.snapshot import Snapshot
from glost.names import GLOST
from glost.record.claims import Claim
from glost.record.errors import RecordError, RecordErrors
from glost.record.files import write_whole
from glost.record.spreadsheets import guarded
from glost.report.results.dating import told
from glost.report.things import Kept
from glost.report.things.said import Said
from glost.report.tree import Group, Report, Section, Statement
from glost.trade.dating import date_table
from glost.trade.dating.batch import cells, columns
from glost.trade.naming.reading import Reader
from glost.words.labels import label
from glost_cli import options, printing
from glost_cli.group import RECKON
from glost_cli.meaning import Meant, group_meant

PART = RECKON

_OBSERVATIONS = (
    ("shape", "Its shape."),
    ("form", "Its ware form."),
    ("pottery", "Who made it, if that is known otherwise."),
    ("treatment", "Its treatment, if known otherwise than by its number."),
    ("number", "The treatment number, ? for a worn figure."),
    ("date-code", "The date code, ? for a worn letter."),
    ("plant", "The plant that a code or mark names."),
    ("glaze", "Its coloured glaze."),
    ("country", "The country wording as it stands."),
)


def _observations(command: Any) -> Any:
    for name, text in reversed(_OBSERVATIONS):
        command = click.option(f"--{name}", metavar="TEXT", default="", help=text)(command)
    return click.option(
        "--mark",
        "marks",
        multiple=True,
        metavar="TEXT",
        help="A mark by id, or as it reads: ? for a worn letter, ... for more.",
    )(command)


@click.command("date")
@click.argument("piece", required=False)
@_observations
@click.option(
    "--table",
    "table",
    metavar="FILE",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="Date every row of a CSV file; prints one row for each.",
)
@options.output("With --table: write to a file instead.")
@options.collection
@options.as_of
@options.form("How to print one piece.", name="form_")
@click.pass_context
def date_(
    ctx: click.Context,
    /,
    piece: str | None,
    folder: Path,
    as_of: date | None,
    form_: str,
    table: Path | None,
    target: Path | None,
    marks: tuple[str, ...],
    **given: str,
) -> None:
    """Say when a piece was made and decorated: no earlier and no later than which day, and why.

    PIECE is one on record, dated as if it were not: it is no evidence for itself. Without it, say
    what is seen, or give a table of pieces with a column for each thing seen (those of
    tables/pieces.csv will do); its rows are dated by all that is on record.

    Contradictions are worded as hypotheses, and the most telling thing to look for next is named.
    Ends with 1 if what is seen cannot all be right. A group of shapes stands for its members: the
    piece is dated as if it were of each in turn.

    \b
    Examples:
      glost date wv-056
      glost date --shape tamsin --mark ot-circle-code --date-code "?17N2"
      glost date --table tray.csv
    """
    texts = {**given, "mark": "|".join(marks)}
    if (piece is not None) + any(texts.values()) + (table is not None) != 1:
        raise click.UsageError("give a PIECE, or what is seen, or --table FILE")
    if target is not None and table is None:
        raise click.UsageError("--output goes with --table")
    with options.snapshot(folder, as_of) as snapshot:
        if table is not None:
            ctx.exit(int(_date_table(snapshot, table, target)))
        group = group_meant(snapshot, texts["shape"])
        if group is not None:
            ctx.exit(int(_date_as_each(snapshot, group, texts, form_)))
        said, words = Said(Kept(snapshot)), snapshot.labels
        found, recorded = _date_one(snapshot, piece, texts)
        made = told(found, said, words)
        if recorded:
            seen = (Statement((said.by(recorded),), said.passages(recorded)),)
            where = Section("recorded", "What is seen is recorded in", (Group(seen),))
            made = replace(made, sections=(*made.sections, where))
    printing.report(made, form_, folder, beside=True, table="dated")
    ctx.exit(int(found.dated.contradictory))


def _date_one(
    snapshot: Snapshot, piece: str | None, texts: dict[str, str]
) -> tuple[DatedPiece, tuple[Claim, ...]]:
    """Date a piece, and return what is recorded of it, if it is on record."""
    if piece is not None:
        thing = find_thing(snapshot.stored, piece, "piece")
        belief = snapshot.stored.believed(snapshot.as_of)
        if (thing, RDF.type, GLOST.Piece) not in belief.graph:
            raise click.UsageError(f"{piece} is no piece; say what is seen on it instead")
        return date_piece(snapshot, thing), belief.about(str(thing))
    seen, errors = Reader(snapshot.record).read(texts, "the command line")
    if errors:
        raise RecordErrors(errors)
    return date_by(snapshot, seen), ()


def _date_as_each(snapshot: Snapshot, group: Meant, texts: dict[str, str], form: str) -> bool:
    """Date a piece as of each shape of a group, and say whether it can be of none of them."""
    said, found, made = Said(Kept(snapshot)), list[DatedPiece](), list[Report]()
    for shape in group.things:
        name = unquote(str(shape).rsplit("/", 1)[-1])
        found.append(_date_one(snapshot, None, {**texts, "shape": name})[0])
        heading = f"If it is {label(shape, snapshot.labels)}"
        made.append(told(found[-1], said, snapshot.labels, heading))
    whole = group.report(snapshot, said, made)
    printing.report(whole, form, Path(snapshot.path), beside=True, table="dated")
    return all(each.dated.contradictory for each in found)


def _date_table(snapshot: Snapshot, table: Path, target: Path | None) -> bool:
    """Date a table, and say whether any of its pieces contradicts itself."""
    try:
        text = table.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        remedy = "save it as CSV in UTF-8"
        raise RecordErrors([RecordError(str(table), "it is not text in UTF-8", remedy)]) from None
    rows = date_table(snapshot.record, limiter_of(snapshot), text, str(table))
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns(rows))
    writer.writerows(map(guarded, cells(row)) for row in rows)
    if target is None:
        click.echo(out.getvalue(), nl=False)
    else:
        write_whole(target, out.getvalue())
        click.echo(f"{target}: {len(rows)} rows.")
    return any(row.dated.contradictory for row in rows)
