"""Commands that change a collection or hand it on."""

from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path

import click
from rdflib import URIRef
from rich.text import Text

from glost.answer.affected import Affected, compare, put
from glost.answer.desk import Desk
from glost.answer.errata import in_words
from glost.publish.exports import FORMATS, SUFFIXES, rdf_bytes, write_rdf, write_tables
from glost.record.belief import corrections_among
from glost.record.claims import Claim
from glost.record.correcting import NEW_EVIDENCE, TRANSCRIPTION, Correction
from glost.record.correcting import correct as correct_claim
from glost.record.correcting import undo as undo_correction
from glost.record.errors import RecordError, RecordErrors, suggestion
from glost.record.record import Record
from glost.record.wording import label
from glost_cli import options, printing
from glost_cli.putting_right import print_errata


def _grounds(command: Callable[..., None]) -> Callable[..., None]:
    """Add the options that say on what grounds something is put right."""
    for option in reversed(
        (
            options.collection,
            click.option("--reason", required=True, help="Why what is withdrawn does not hold."),
            click.option("--source", default="", help="Id of the source or piece that shows it."),
            click.option("--locator", default="", help="Where in it: page, item, sheet."),
            click.option("--certainty", default="", help="How sure you are."),
            click.option("--by", "recorded_by", default="", help="Who records the correction."),
            click.option(
                "--on",
                "recorded_on",
                type=options.Day(),
                default=None,
                metavar="DAY",
                help="The day it is recorded.  [default: today]",
            ),
            click.option("--note", default="", help="Anything else."),
            click.option("--quiet", is_flag=True, help="Do not look up which answers change."),
            click.option(
                "--evidence", is_flag=True, help="Print, under each answer, the claims under it."
            ),
        )
    ):
        command = option(command)
    return command


@click.command()
@click.argument("claim")
@click.argument("changes", nargs=-1, metavar="[COLUMN=VALUE]...")
@_grounds
@click.option(
    "--kind",
    type=click.Choice([NEW_EVIDENCE, TRANSCRIPTION]),
    default=NEW_EVIDENCE,
    show_default=True,
    help="A source that shows it, or a slip of your own, which needs no source.",
)
def correct(
    claim: str,
    changes: tuple[str, ...],
    folder: Path,
    recorded_on: date | None,
    quiet: bool,
    evidence: bool,
    **grounds: str,
) -> None:
    """Withdraw what CLAIM says, in whole or in some columns; all of it is kept on record.

    CLAIM is a claim's id, as `glost show` prints it. Each COLUMN=VALUE is a cell of its row that
    changes: what the old cell says is withdrawn, and the new value rests on the source you name.
    The other cells stand, on their own source. COLUMN= takes a value out, so that it is not known.
    With no COLUMN the whole claim is withdrawn. Then every answer to a named question that changes
    is listed.

    If the row is not what its own source says, because it was written down wrongly, give --kind
    transcription and no source.

    \b
    Examples:
      glost correct 3f2a… number=B214 --reason "misread" --source p017 --locator "foot"
      glost correct 3f2a… end= --reason "the list is of stock" --source letter4
      glost correct 3f2a… begin=1908 --reason "typed 1980" --kind transcription
    """
    cells = _dated(grounds, recorded_on)

    def corrected(desk: Desk, old: Claim) -> Correction:
        return correct_claim(desk.record, old, _cells(changes), cells)

    desk, old, done = options.anew(lambda: _changed(folder, claim, corrected))
    of = f"{' and '.join(done.columns)} of {done.withdrawn}" if done.columns else done.withdrawn
    click.echo(f"Withdrew {of}.")
    if done.replacement:
        click.echo(f"It is replaced by {done.replacement}.")
    _tell(desk, done, [old], quiet, evidence)


@click.command()
@click.argument("correction")
@_grounds
def undo(
    correction: str,
    folder: Path,
    recorded_on: date | None,
    quiet: bool,
    evidence: bool,
    **grounds: str,
) -> None:
    """Withdraw CORRECTION, so that all is as it was before it; it is kept on record.

    CORRECTION is its id, as `glost correct` prints it and `glost show` names it beside what it
    withdrew. What it put in place of another claim falls with it. Without --source the correction
    was a slip of your own. Undoing is a correction too: `glost undo` of its id brings all back.

    \b
    Example:
      glost undo 91c0… --reason "it was another piece"
    """
    cells = _dated(grounds, recorded_on)

    def undone(desk: Desk, old: Claim) -> Correction:
        return undo_correction(desk.record, old, cells)

    desk, old, done = options.anew(lambda: _changed(folder, correction, undone))
    click.echo(f"Withdrew {done.withdrawn}.")
    says = corrections_among([old])[old]
    touched = map(desk.record.claims.find, (*says.withdraws, *says.replaced_by))
    _tell(desk, done, [old, *filter(None, touched)], quiet, evidence)


def _dated(grounds: dict[str, str], day: date | None) -> dict[str, str]:
    return {**grounds, "recorded_on": (day or date.today()).isoformat()}


def _changed(
    folder: Path, name: str, change: Callable[[Desk, Claim], Correction]
) -> tuple[Desk, Claim, Correction]:
    """Read the collection and change it by way of a claim of it; return what was read, too."""
    with options.desk(folder) as desk:
        claim = _claim(desk.record, name)
    return desk, claim, change(desk, claim)


def _claim(record: Record, name: str) -> Claim:
    found = record.claim(name)
    if found is None:
        ids = [known.id for known in record.claims]
        remedy = suggestion(name, ids, "glost show THING prints the ids of its claims")
        where = str(record.collection.path)
        raise RecordErrors([RecordError(where, f'there is no claim "{name}"', remedy)])
    return found


def _tell(desk: Desk, done: Correction, claims: list[Claim], quiet: bool, evidence: bool) -> None:
    """Say what was written, and list the answers that change by it."""
    click.echo(f"The correction is {done.id}.")
    click.echo(f"Wrote {', '.join(done.files)}.")
    _list_public(desk, [claim.iri for claim in claims])
    if quiet:
        return
    with options.desk(desk.path) as now:
        new = now.record.claim(done.replacement) if done.replacement else None
        before = put(desk.answers, [*claims, *filter(None, [new])])
        _print_affected(compare(before, now.answers), desk, now, evidence)


def _list_public(desk: Desk, claims: list[URIRef]) -> None:
    """List what was said in public on the strength of claims and is newly overtaken."""
    known = {(each.statement, each.correction.iri) for each in desk.overtaken}
    with options.desk(desk.path) as now:
        found = [
            each
            for each in now.overtaken
            if each.used.iri in claims and (each.statement, each.correction.iri) not in known
        ]
        told = in_words(found, now.graph)
    if told:
        click.echo("\nSaid in public on the strength of it:")
        print_errata(list(told))


_FATES = {"no longer": "no longer so", "still": "still so, on other claims", "new": "new"}


def _print_affected(found: Sequence[Affected], before: Desk, now: Desk, evidence: bool) -> None:
    """Print what became of the answers, question by question."""
    known = {str(claim.iri): claim for claim in now.record.claims}
    console = printing.console()
    told = ""
    for each in found:
        given = sorted(each.parameters.items())
        words = " ".join(f"{name}={value.removeprefix(now.record.base)}" for name, value in given)
        asked = f"{each.question} {words}".strip()
        if asked != told:
            console.print(Text(f"\n{asked}", style="bold"))
            told = asked
        graph = before.graph if each.fate == "no longer" else now.graph
        cells = ("" if value is None else label(value, graph) for value in each.values)
        console.print(Text(f"  {_FATES[each.fate]}: {' · '.join(cell for cell in cells if cell)}"))
        if evidence:
            printing.support([known[iri] for iri in each.claims], now.graph)
    counts = {fate: sum(each.fate == fate for each in found) for fate in _FATES}
    if not found:
        click.echo("No answer to a named question changes.")
        return
    told = ", ".join(f"{count} {_FATES[fate]}" for fate, count in counts.items() if count)
    click.echo(f"\nAnswers that change: {told}.")


def _cells(changes: tuple[str, ...]) -> dict[str, str]:
    cells = {}
    for change in changes:
        name, equals, value = change.partition("=")
        if not equals or not name:
            raise click.UsageError(f'"{change}" is not COLUMN=VALUE')
        cells[name.strip()] = value
    return cells


@click.command()
@click.argument("target", required=False, type=click.Path(path_type=Path))
@options.collection
@options.as_of
@click.option(
    "--as",
    "form",
    type=click.Choice([*FORMATS, "tables"]),
    help="The format.  [default: by the ending of TARGET]",
)
def export(target: Path | None, folder: Path, as_of: date | None, form: str | None) -> None:
    """Write the collection to TARGET in an open format, or print it if there is no TARGET.

    TriG, N-Quads and JSON-LD hold everything: what is believed and what follows from it in the
    default graph, every claim in a graph of its own, and what is said of the claims. Turtle holds
    the default graph. "tables" writes every claim back into tables, in a new folder TARGET.
    """
    form = form or _by_suffix(target)
    with options.desk(folder, as_of) as desk:
        if form == "tables":
            if target is None:
                raise click.UsageError("name a new folder to write tables to")
            if as_of is not None:
                raise click.UsageError("tables hold every claim; --as-of does not apply to them")
            files = write_tables(desk.record, target)
            click.echo(f"Wrote {len(files)} files to {target}.")
        elif target is None:
            click.echo(rdf_bytes(desk.contents, form), nl=False)
        else:
            write_rdf(desk.contents, form, target)
            click.echo(f"Wrote {target}.")


def _by_suffix(target: Path | None) -> str:
    if target is not None:
        for form, suffix in SUFFIXES.items():
            if target.suffix == suffix:
                return form
    endings = ", ".join(f"{suffix} ({form})" for form, suffix in SUFFIXES.items())
    raise click.UsageError(f"say the format with --as, or name a file ending in {endings}")
