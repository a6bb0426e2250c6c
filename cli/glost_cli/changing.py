"""What commands that change a collection share: grounds on which, and what a change does."""

from collections.abc import Callable
from datetime import date
from pathlib import Path

import click
from rdflib import URIRef
from rich.text import Text

from glost.answer.consequences import Consequences
from glost.answer.errata import in_words
from glost.answer.snapshot import Snapshot
from glost.answer.workspace import Workspace
from glost.record.changes import between
from glost.record.claims import Claim
from glost.record.correcting import Correction
from glost.record.errors import RecordError, RecordErrors, suggestion
from glost.record.record import Record
from glost.words.labels import label
from glost_cli import options, printing
from glost_cli.commands.errata import print_errata


def grounds(command: Callable[..., None]) -> Callable[..., None]:
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


def dated(grounds: dict[str, str], day: date | None) -> dict[str, str]:
    """Add the day on which something is put right to its other grounds."""
    return {**grounds, "recorded_on": (day or date.today()).isoformat()}


def changed(
    folder: Path, name: str, change: Callable[[Snapshot, Claim], Correction]
) -> tuple[Snapshot, Claim, Correction]:
    """Read the collection and change it by way of a claim of it; return what was read, too."""
    with options.snapshot(folder) as snapshot:
        found = _claim(snapshot.record, name)
    return snapshot, found, change(snapshot, found)


def _claim(record: Record, name: str) -> Claim:
    found = record.claim(name)
    if found is None:
        ids = [known.id for known in record.claims]
        remedy = suggestion(name, ids, "glost show THING prints the ids of its claims")
        where = str(record.collection.path)
        raise RecordErrors([RecordError(where, f'there is no claim "{name}"', remedy)])
    return found


def tell(
    snapshot: Snapshot, done: Correction, claims: list[Claim], quiet: bool, evidence: bool
) -> None:
    """Say what was written, and list what changes by it: dates, findings, answers."""
    click.echo(f"The correction is {done.id}.")
    click.echo(f"Wrote {', '.join(done.files)}.")
    _list_public(snapshot, [claim.iri for claim in claims])
    if quiet:
        return
    workspace = Workspace(snapshot)
    found = workspace.apply(between(snapshot.record, done.record))
    print_consequences(found)
    print_answers(found, workspace.snapshot, evidence)


def print_consequences(found: Consequences) -> None:
    """Print all that a change brings about but the answers to questions."""
    console = printing.console()
    for line in found.lines():
        console.print(Text(line if line.startswith(" ") else f"\n{line}"))


def _list_public(snapshot: Snapshot, claims: list[URIRef]) -> None:
    """List what was said in public on the strength of claims and is newly overtaken."""
    known = {(each.statement, each.correction.iri) for each in snapshot.overtaken}
    with options.snapshot(snapshot.path) as now:
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


def print_answers(found: Consequences, now: Snapshot, evidence: bool = False) -> None:
    """Print what became of the answers, question by question, as they are found."""
    known = {str(claim.iri): claim for claim in now.record.claims}
    console = printing.console()
    told = ""
    counts = dict.fromkeys(_FATES, 0)
    for each in found.coming():
        counts[each.fate] += 1
        given = sorted(each.parameters.items())
        of = " ".join(f"{name}={value.removeprefix(now.record.base)}" for name, value in given)
        asked = f"{each.question} {of}".strip()
        if asked != told:
            console.print(Text(f"\n{asked}", style="bold"))
            told = asked
        words = found.called if each.fate == "no longer" else now.words
        cells = ("" if value is None else label(value, words) for value in each.values)
        console.print(Text(f"  {_FATES[each.fate]}: {' · '.join(cell for cell in cells if cell)}"))
        if evidence:
            printing.support([known[iri] for iri in each.claims], now.graph)
    if not any(counts.values()):
        click.echo("No answer to a named question changes.")
        return
    told = ", ".join(f"{count} {_FATES[fate]}" for fate, count in counts.items() if count)
    click.echo(f"\nAnswers that change: {told}.")
