"""What commands that change a collection share: grounds on which, and what a change does."""

from collections import Counter
from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path

import click
from msgspec import structs
from rdflib import URIRef

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
from glost.report.results import consequences, errata
from glost.report.tree import Report, Section
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
            options.report,
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
    snapshot: Snapshot,
    done: Correction,
    claims: list[Claim],
    lines: list[str],
    form: str,
    quiet: bool,
    evidence: bool,
) -> None:
    """Say what was written, and tell what changes by it: dates, findings, answers.

    Parameters
    ----------
    snapshot
        The collection as it was.
    done
        What was written.
    claims
        The claims that it bears on.
    lines
        What was withdrawn and put in place, a sentence each.
    form
        How to print it: one of `glost_cli.options.FORMS`. As text it is printed as it is found.
    quiet
        Whether to tell no more than what was written, and what was said in public.
    evidence
        Whether to tell the claims under each answer.
    """
    lines = [*lines, f"The correction is {done.id}.", f"Wrote {', '.join(done.files)}."]
    public = _public(snapshot, [claim.iri for claim in claims])
    workspace = None if quiet else Workspace(snapshot)
    change = between(snapshot.record, done.record)
    found = None if workspace is None else workspace.apply(change)
    if form == "text":
        for line in lines:
            click.echo(line)
        _show(public)
        if workspace is not None and found is not None:
            show_change(found, workspace.snapshot, evidence)
        return
    sections, fates = list(public), None
    if workspace is not None and found is not None:
        sections.append(consequences.brought_about(found, workspace.record))
        told = list(consequences.answers(found, workspace.snapshot, evidence))
        sections += [section for section, _ in told]
        fates = sum((some for _, some in told), Counter[str]())
    printing.report(consequences.whole(lines, sections, fates), form, snapshot.path)


def show_change(
    found: Consequences, now: Snapshot, evidence: bool = False, most: int | None = None
) -> None:
    """Print what a change brings about as it is found, the answers last.

    Parameters
    ----------
    found
        What it brought about.
    now
        The collection with the change.
    evidence
        Whether to print what the claims under each answer say.
    most
        So many of each kind are printed, and how many more there are; None for all.
    """
    _show([consequences.brought_about(found, now.record, most)])
    fates: Counter[str] = Counter()
    for section, some in consequences.answers(found, now, evidence, most):
        fates += some
        _show([section], evidence)
    click.echo(f"\n{consequences.summed(fates)}")


def _show(sections: Sequence[Section], evidence: bool = False) -> None:
    console = printing.console()
    for section in sections:
        console.print(text(Report("", "", sections=(section,)), notes=False, beside=evidence))


def _public(snapshot: Snapshot, claims: list[URIRef]) -> tuple[Section, ...]:
    """Tell what was said in public on the strength of claims and is newly overtaken."""
    known = {(each.statement, each.correction.iri) for each in snapshot.overtaken}
    with options.snapshot(snapshot.path) as now:
        found = [
            each
            for each in now.overtaken
            if each.used.iri in claims and (each.statement, each.correction.iri) not in known
        ]
        told = in_words(found, now.graph)
    heading = "Said in public, or to be said, on the strength of it"
    return tuple(structs.replace(s, heading=heading) for s in errata.told(told).sections if told)
