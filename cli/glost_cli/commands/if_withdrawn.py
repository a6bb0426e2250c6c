"""The command ``glost if-withdrawn``."""

from datetime import date
from pathlib import Path

import click

from glost.answer import reasons
from glost.record.errors import RecordError, RecordErrors, suggestion
from glost.report.results.plain import table
from glost_cli import options, printing
from glost_cli.group import ASK

PART = ASK

_GROUND = "Searched for proofs without the claims"


@click.command()
@click.argument("claims", nargs=-1, required=True, metavar="CLAIM...")
@options.collection
@options.as_of
@options.report
def if_withdrawn(claims: tuple[str, ...], folder: Path, as_of: date | None, form: str) -> None:
    """Say what would no longer hold if the CLAIMs were withdrawn. Nothing is changed.

    A CLAIM is a claim's id, as `glost show` prints it.
    """
    with options.snapshot(folder, as_of) as snapshot:
        known = {claim.id: str(claim.iri) for claim in snapshot.belief.claims}
        errors = [
            RecordError(
                str(folder),
                f'there is no current claim "{name}"',
                suggestion(name, known, "glost show THING prints the ids of its claims"),
            )
            for name in claims
            if name not in known
        ]
        if errors:
            raise RecordErrors(errors)
        lost = reasons.falls(snapshot, [known[name] for name in claims])
    name = "would no longer hold"
    made = table("If it were withdrawn", [name], [[text] for text in lost], _GROUND)
    printing.report(made, form, folder, table="table")
