"""The command ``glost date``."""

import csv
import io
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import Any
from urllib.parse import unquote

import click
from rdflib.namespace import RDF
from rich.text import Text

from glost.answer.dating import Report, as_dict, date_by, date_piece, limiter_of
from glost.answer.showing import find_thing
from glost.answer.snapshot import Snapshot
from glost.names import GLOST
from glost.record.claims import Claim
from glost.record.dates import Margin, to_iso
from glost.record.errors import RecordError, RecordErrors
from glost.record.files import write_whole
from glost.record.spreadsheets import guarded
from glost.trade.cautions import cautions_for
from glost.trade.dating import Between, Limit, LimitClash, Narrowing, date_table
from glost.trade.dating.batch import cells, columns
from glost.trade.naming.reading import Reader
from glost.words.labels import Words, label
from glost.words.spans import between, length, no_earlier, no_later
from glost.words.times import says
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
_LOOKS = 3
_MISREAD = 6
_WORDS = {"marks": "a mark", "date_code": "a date code", "treatment": "a treatment number",
          "shape": "the shape", "glaze": "a coloured glaze"}  # fmt: skip


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
@click.option(
    "--as",
    "form_",
    type=click.Choice(["text", "json"]),
    default="text",
    show_default=True,
    help="How to print one piece.",
)
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
        report, recorded = _date_one(snapshot, piece, texts)
        words = snapshot.labels
    if form_ == "json":
        printing.as_json(as_dict(report))
    else:
        _print_dated(report, words)
        if recorded:
            click.echo("\nWhat is seen is recorded in")
            printing.places(recorded, words, "    ")
    ctx.exit(int(report.dated.contradictory))


def _date_one(
    snapshot: Snapshot, piece: str | None, texts: dict[str, str]
) -> tuple[Report, tuple[Claim, ...]]:
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
    reports = []
    for shape in group.things:
        name = unquote(str(shape).rsplit("/", 1)[-1])
        reports.append((shape, _date_one(snapshot, None, {**texts, "shape": name})[0]))
    if form == "json":
        group.print_json(snapshot, [{"shape": str(s), **as_dict(report)} for s, report in reports])
    else:
        group.print_heading(snapshot)
        for place, (shape, report) in enumerate(reports):
            lead = "\n" if place else ""
            name = label(shape, snapshot.labels)
            printing.console().print(Text(f"{lead}If it is {name}", style="bold"))
            _print_dated(report, snapshot.labels)
    return all(report.dated.contradictory for _, report in reports)


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


def _print_dated(report: Report, words: Words) -> None:
    dated, looks = report.dated, report.looks
    console = printing.console()
    told: set[Limit] = set()
    for name, span in (("Made", dated.made), ("Decorated", dated.decorated)):
        _print_between(name, span, words, report.margin, told)
    rest = [limit for limit in dated.limits if limit not in told]
    if rest:
        console.print(Text("\nAlso bounded, less tightly", style="bold"))
        for limit in sorted(rest, key=lambda x: (x.point != "made", x.late, x.day)):
            console.print(Text(f"  {limit}"))
    _print_clashes(dated.clashes)
    for each in report.misreadings[:_MISREAD]:
        made = between(each.dated.made.days)
        line = f"If the {each.observation} {each.read} were {each.instead}, all would fit"
        console.print(Text(f"\n{line} (made {made}): look again."))
    for remark in dated.remarks:
        console.print(Text(f"\n{remark}"))
    for custom in dated.customs:
        day = f" ({to_iso(custom.not_before)})" if custom.not_before is not None else ""
        source = "; ".join(part for part in (custom.source, custom.standing) if part)
        console.print(Text(f"\nWording{day}: {custom.text}"))
        console.print(Text(f"    {source}", style="dim"))
    _print_looks(looks)
    caution = cautions_for(("Piece",))[0]
    console.print(Text(f"\n{caution.heading}: {caution.text.partition(' The limits listed')[0]}"))


def _print_between(
    name: str, span: Between, words: Words, margin: Margin, told: set[Limit]
) -> None:
    console = printing.console()
    console.print(Text(f"\n{name}: {_span(span)}", style="bold"))
    for limit in (span.not_before, span.not_after):
        if limit is not None and limit in told:
            console.print(Text(f"  {limit}, as above"))
        elif limit is not None:
            _print_limit(limit, words, margin)
            told.add(limit)


def _span(span: Between) -> str:
    """Say between which days something was done, and what nothing bounds."""
    early, late = span.days
    if early is None and late is None:
        return "nothing on record bounds it"
    if early is None or late is None:
        return f"{between((early, late))}; nothing says how {'late' if late is None else 'early'}"
    if span.empty:
        one, two = no_earlier(early), no_later(late)
        return f"no day fits: no earlier than {one}, and no later than {two}"
    return between((early, late))


def _print_limit(limit: Limit, words: Words, margin: Margin) -> None:
    console = printing.console()
    dispute = "; depends on how a contradiction elsewhere is settled" if limit.disputed else ""
    console.print(Text(f"  {limit}{dispute}"))
    console.print(Text(f"      {limit.why}", style="dim"))
    for step in limit.argument.steps if limit.argument is not None else ():
        said = "; ".join(says(ground, words, margin) for ground in step.grounds)
        late, day = limit.late, step.day
        bound = f"later than {no_later(day)}" if late else f"earlier than {no_earlier(day)}"
        reached = f"{label(step.reached, words)} is no {bound}"
        console.print(Text(f"      {said or step.rule.why}: so the {reached}"))
    printing.places(limit.claims, words, "          ")


def _print_clashes(clashes: Sequence[LimitClash]) -> None:
    console = printing.console()
    titles = {
        "clash": "These cannot both be right",
        "gap": "Made before it can have been decorated",
    }
    for clash in clashes:
        apart = f"{titles[clash.kind]}: {length(clash.days)} apart"
        console.print(Text(f"\n{apart}", style="bold"))
        console.print(Text(f"  {clash.not_before}"))
        console.print(Text(f"  {clash.not_after}"))
        console.print(Text("  It may be that:"))
        for hypothesis in clash.hypotheses:
            console.print(Text(f"    - {hypothesis}"))


def _print_looks(looks: Sequence[Narrowing]) -> None:
    console = printing.console()
    for place, look in enumerate(looks[:_LOOKS]):
        lead = "Look next for" if place == 0 else "Then for"
        console.print(
            Text(
                f"\n{lead} {_WORDS[look.observation]}: {look.showing} of {look.of} comparable "
                f"pieces show one, and it would narrow the date by {look.years:.1f} years on "
                "average."
            )
        )
