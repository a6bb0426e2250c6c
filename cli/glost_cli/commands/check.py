"""The command ``glost check``."""

from collections import Counter
from datetime import date
from pathlib import Path

import click

from glost.answer.background import build_ahead
from glost.answer.checked import checked
from glost.findings import Severity
from glost.record.errors import RecordErrors
from glost.report.results import findings
from glost_cli import options, printing
from glost_cli.group import KEEP

PART = KEEP

_RANK = findings.RANK


@click.command()
@click.argument(
    "place",
    metavar="[FOLDER]",
    required=False,
    type=click.Path(exists=True, file_okay=False, path_type=Path),
)
@options.collection
@options.as_of
@options.report
@click.option(
    "--least",
    type=click.Choice([str(s) for s in reversed(_RANK)]),
    help="The least severe findings to show.  [default: warning; as CSV and JSON, note]",
)
@click.option("--notes", is_flag=True, help="Show notes as well, and not only how many there are.")
@options.validator
@click.option(
    "--watch",
    "watched",
    is_flag=True,
    help="Go on, and tell what each saving of a table brings about, until stopped (Ctrl-C).",
)
@click.option(
    "--all",
    "every",
    is_flag=True,
    help="With --watch: print every line, not the first few of each kind.",
)
@click.pass_context
def check(
    ctx: click.Context,
    place: Path | None,
    folder: Path,
    as_of: date | None,
    form: str,
    least: str | None,
    notes: bool,
    validator: str | None,
    watched: bool,
    every: bool,
) -> None:
    """Read everything, then show what is wrong and what disagrees.

    Errors in the files come first, all at once: file, row, column, what was found and what to do.
    If there are none, findings follow, thing by thing: contradictions and warnings, each with what
    every claim involved says, its source and passage, and the file and row it was read from. Notes
    are counted, and shown with --notes.

    With --watch it then waits, and each time that a table is saved it tells what the change brings
    about: what follows or no longer does, which dates moved and why, findings that are new or
    settled, answers that changed: how many of each, and the first few, or all with --all. Nothing
    is written.

    Ends with 1 if there is a contradiction or a warning, or an error in a file.
    """
    folder = place or folder
    if watched:
        _watch(folder, as_of, None if every else _FEW)
        return
    with options.snapshot(folder, as_of) as snapshot:
        if validator is not None or snapshot.cache is None or not snapshot.cache.has("checked"):
            _ = snapshot.record
            build_ahead(snapshot)
        told = checked(snapshot, validator)
    found = told.findings
    every = notes or form in ("csv", "json")
    least = least or (Severity.NOTE if every else Severity.WARNING)
    shown = [f for f in found if _RANK.index(f.severity) <= _RANK.index(Severity(least))]
    counts = Counter(finding.severity for finding in found)
    hidden = len(shown) < len(found) and least == Severity.WARNING
    more = " --notes shows the notes." if hidden else ""
    summed = f"{told.claims:,} claims hold; {findings.counted(counts)}.{more}"
    made = findings.told(shown, lambda iri: told.names[str(iri)], "Check", summed, told.remarks)
    printing.report(made, form, folder, beside=True, table="findings")
    if any(finding.severity != Severity.NOTE for finding in shown):
        ctx.exit(1)


_FEW = 3
"""So many lines of each kind tell what a saving brings about, and how many more there are."""


def _watch(folder: Path, day: date | None, most: int | None) -> None:
    """Tell what each saving of a file brings about, until the user stops it."""
    from glost.answer.watching import watching  # whoever does not watch needs none of these
    from glost.answer.workspace import Workspace
    from glost_cli.changing import show_change

    with options.snapshot(folder, day) as snapshot:
        workspace = Workspace(snapshot)
    made = findings.told(workspace.findings, snapshot.labels.with_id, "Check")
    printing.report(made, "text", folder, beside=True)
    click.echo("Waiting for a table to be saved; Ctrl-C ends.")
    try:
        for found in watching(workspace, folder):
            if isinstance(found, RecordErrors):
                click.echo(f"\n{found}", err=True)
                continue
            show_change(found, workspace.snapshot, most=most)
    except KeyboardInterrupt:
        return
