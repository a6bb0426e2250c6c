"""What commands that change a collection share: grounds on which, and what a change does."""

from collections import Counter
from collections.abc import Callable
from datetime import date
from itertools import groupby
from operator import attrgetter
from pathlib import Path

import click
from rdflib import URIRef
from rich.text import Text

from glost.answer.affected import Affected
from glost.answer.consequences import Consequences
from glost.answer.errata import in_words
from glost.answer.snapshot import Snapshot
from glost.answer.workspace import Workspace
from glost.record.changes import between
from glost.record.claims import Claim
from glost.record.correcting import Correction
from glost.record.errors import RecordError, RecordErrors, suggestion
from glost.record.record import Record
from glost.report.as_text import text
from glost.report.results import errata
from glost.words.labels import label
from glost_cli import options, printing


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


def print_consequences(found: Consequences, most: int | None = None) -> None:
    """Print all that a change brings about but the answers; of each kind `most` lines, or all."""
    console = printing.console()
    for line in found.lines(most):
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
        click.echo("\nSaid in public, or to be said, on the strength of it:")
        printing.console().print(text(errata.told(told), notes=False))


_FATES = {"no longer": "no longer so", "still": "still so, on other claims", "new": "new"}


def print_answers(
    found: Consequences, now: Snapshot, evidence: bool = False, most: int | None = None
) -> None:
    """Print what became of the answers, question by question, as they are found.

    Parameters
    ----------
    found
        What a change brought about.
    now
        The collection with the change.
    evidence
        Whether to print the claims under each answer.
    most
        So many answers to a question are printed, under how many there are of each kind; None for
        all.
    """
    console = printing.console()
    counts: Counter[str] = Counter()
    for question, answers in groupby(found.coming(), key=attrgetter("question")):
        some = list(answers)
        kinds = Counter(each.fate for each in some)
        counts += kinds
        asked = ""
        if most is not None:
            asked = f"{question}: {_counted(kinds)}"
            console.print(Text(f"\n{asked}", style="bold"))
        for each in some[:most]:
            if most is None and asked != (asked := _asked(each, now.record.base)):
                console.print(Text(f"\n{asked}", style="bold"))
            words = found.called if each.fate == "no longer" else now.words
            cells = ("" if value is None else label(value, words) for value in each.values)
            told = " · ".join(cell for cell in cells if cell)
            console.print(Text(f"  {_FATES[each.fate]}: {told}"))
            if evidence:
                claims = (now.record.claims.find(iri) for iri in each.claims)
                printing.support([claim for claim in claims if claim is not None], now.graph)
        if more := len(some[most:] if most is not None else ()):
            console.print(Text(f"  and {more} more"))
    click.echo(
        f"\nAnswers that change: {_counted(counts)}."
        if counts
        else "No answer to a named question changes."
    )


def _asked(each: Affected, base: str) -> str:
    """Tell a question with what it was asked about."""
    given = sorted(each.parameters.items())
    of = " ".join(f"{name}={value.removeprefix(base)}" for name, value in given)
    return f"{each.question} {of}".strip()


def _counted(kinds: "Counter[str]") -> str:
    return ", ".join(f"{kinds[fate]} {words}" for fate, words in _FATES.items() if kinds[fate])
