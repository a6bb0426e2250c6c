"""The command ``glost undo``."""

from datetime import date
from pathlib import Path

import click

from glost.answer.snapshot import Snapshot
from glost.record.belief import corrections_among
from glost.record.claims import Claim
from glost.record.correcting import Correction
from glost.record.correcting import undo as undo_correction
from glost_cli import options
from glost_cli.changing import changed, dated, grounds, tell
from glost_cli.group import KEEP

PART = KEEP


@click.command()
@click.argument("correction")
@grounds
def undo(
    correction: str,
    folder: Path,
    recorded_on: date | None,
    form: str,
    quiet: bool,
    evidence: bool,
    **grounds: str,
) -> None:
    """Withdraw CORRECTION, so that all is as it was before it; it is kept on record.

    CORRECTION is its id, as `glost correct` prints it and `glost show` names it beside what it
    withdrew. What it put in place of another claim falls with it. Without --source it
    rests on the correction's own passage. Undoing is a correction too: `glost undo` of its id
    brings all back.

    \b
    Example:
      glost undo 91c0… --reason "it was another piece"
    """
    cells = dated(grounds, recorded_on)

    def undone(snapshot: Snapshot, old: Claim) -> Correction:
        return undo_correction(snapshot.record, old, cells)

    snapshot, old, done = options.anew(lambda: changed(folder, correction, undone))
    lines = [f"Withdrew {done.withdrawn}."]
    says = corrections_among([old])[old]
    touched = map(snapshot.record.claims.find, (*says.withdraws, *says.replaced_by))
    tell(snapshot, done, [old, *filter(None, touched)], lines, form, quiet, evidence)
