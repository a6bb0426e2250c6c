"""Commands that change a collection or hand it on."""

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path

import click
from rich.text import Text

from glost.answer.affected import Affected, compare, resting
from glost.answer.desk import Desk
from glost.publish.exports import FORMATS, SUFFIXES, rdf_bytes, write_rdf, write_tables
from glost.record.claims import Claim
from glost.record.correcting import Correction
from glost.record.correcting import correct as correct_claim
from glost.record.errors import RecordError, RecordErrors, suggestion
from glost.record.wording import label
from glost_cli import options, printing


@click.command()
@click.argument("claim")
@click.argument("changes", nargs=-1, metavar="[COLUMN=VALUE]...")
@options.collection
@click.option("--reason", required=True, help="Why the old claim no longer holds.")
@click.option("--source", required=True, help="Id of the source or piece that shows it.")
@click.option("--locator", default="", help="Where in it: page, item, sheet.")
@click.option("--certainty", default="", help="How sure you are.")
@click.option("--by", "recorded_by", default="", help="Who records the correction.")
@click.option(
    "--on",
    "recorded_on",
    type=options.Day(),
    default=None,
    metavar="DAY",
    help="The day it is recorded.  [default: today]",
)
@click.option("--note", default="", help="Anything else.")
@click.option("--quiet", is_flag=True, help="Do not look up which answers rested on the claim.")
@click.option("--evidence", is_flag=True, help="Print, under each answer, the claims under it.")
def correct(
    claim: str,
    changes: tuple[str, ...],
    folder: Path,
    recorded_on: date | None,
    quiet: bool,
    evidence: bool,
    **grounds: str,
) -> None:
    """Withdraw CLAIM and put another in its place, on evidence; both are kept.

    CLAIM is a claim's id, as `glost show` prints it. Each COLUMN=VALUE is a cell of its row that
    changes; with none, the claim is withdrawn and nothing replaces it. Then every row of every
    named question's answer that rested on the old claim is listed, with what became of it.

    \b
    Example:
      glost correct 3f2a… number=B214 --reason "misread" --source p017 --locator "foot"
    """
    day = recorded_on or date.today()
    cells = {**grounds, "recorded_on": day.isoformat()}
    desk, old, done = options.anew(lambda: _corrected(folder, claim, _cells(changes), cells))
    click.echo(f"Withdrew {done.withdrawn}.")
    if done.replacement:
        click.echo(f"It is replaced by {done.replacement}.")
    click.echo(f"Wrote {', '.join(done.files)}.")
    if not quiet:
        _list_affected(desk, old, done.replacement, evidence)


def _corrected(
    folder: Path, claim: str, changes: Mapping[str, str], grounds: Mapping[str, str]
) -> tuple[Desk, Claim, Correction]:
    """Read the collection and put a claim of it right; return what was read, too."""
    with options.desk(folder) as desk:
        record = desk.record
    old = record.claim(claim)
    if old is None:
        ids = [known.id for known in record.claims]
        remedy = suggestion(claim, ids, "glost show THING prints the ids of its claims")
        raise RecordErrors([RecordError(str(folder), f'there is no claim "{claim}"', remedy)])
    return desk, old, correct_claim(record, old, changes, grounds)


def _list_affected(desk: Desk, old: Claim, replacement: str, evidence: bool) -> None:
    """List the answers that rested on a claim, once it is corrected."""
    with options.desk(desk.path) as now:
        before = resting(desk.answers, old)
        new = now.record.claim(replacement) if replacement else None
        _print_affected(compare(before, now.answers, new), desk, now, evidence)


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
        click.echo("No answer to a named question rested on it.")
        return
    told = ", ".join(f"{count} {_FATES[fate]}" for fate, count in counts.items() if count)
    click.echo(f"\nAnswers that rested on it: {told}.")


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
