"""The command ``glost correct``."""

from datetime import date
from pathlib import Path

import click

from glost.answer.snapshot import Snapshot
from glost.record.claims import Claim
from glost.record.correcting import NEW_EVIDENCE, TRANSCRIPTION, Correction
from glost.record.correcting import correct as correct_claim
from glost_cli import options
from glost_cli.changing import (
    changed,
    dated,
    grounds,
    tell,
)
from glost_cli.group import KEEP

PART = KEEP


@click.command()
@click.argument("claim")
@click.argument("changes", nargs=-1, metavar="[COLUMN=VALUE]...")
@grounds
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
    form: str,
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
    cells = dated(grounds, recorded_on)

    def corrected(snapshot: Snapshot, old: Claim) -> Correction:
        return correct_claim(snapshot.record, old, _cells(changes), cells)

    snapshot, old, done = options.anew(lambda: changed(folder, claim, corrected))
    of = f"{' and '.join(done.columns)} of {done.withdrawn}" if done.columns else done.withdrawn
    lines = [f"Withdrew {of}."]
    if done.replacement:
        lines.append(f"It is replaced by {done.replacement}.")
    tell(snapshot, done, [old], lines, form, quiet, evidence)


def _cells(changes: tuple[str, ...]) -> dict[str, str]:
    cells = {}
    for change in changes:
        name, equals, value = change.partition("=")
        if not equals or not name:
            raise click.UsageError(f'"{change}" is not COLUMN=VALUE')
        cells[name.strip()] = value
    return cells
