"""The command ``glost show``."""

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from glost.answer.showing import find_thing
from glost.record.index import whole
from glost.record.spelling import id_of
from glost_cli import options, printing
from glost_cli.group import ASK

if TYPE_CHECKING:
    from rdflib import URIRef

    from glost.report.things import Kept

PART = ASK


@click.command()
@click.argument("thing")
@options.collection
@options.as_of
@options.report
@click.option("--named", is_flag=True, help="Also show other things whose claims name it.")
def show(thing: str, folder: Path, as_of: date | None, form: str, named: bool) -> None:
    """Show THING: what it is, when, who disagrees, and every claim about it with what it rests on.

    THING is kind/id (shape/alder), an id, a name, or the id of a claim.
    """
    from glost.report.things import SHORT, SHORT_WITH_NAMED, Kept, report_of
    from glost.report.things.claim import claim_report
    from glost.report.things.said import Said

    with options.snapshot(folder, as_of) as snapshot:
        iri = find_thing(snapshot.stored, thing)
        basis = Kept(snapshot)
        claim = snapshot.stored.claim(str(iri))
        parts = SHORT_WITH_NAMED if named or form == "json" else SHORT
        made = (
            report_of(basis, iri, parts, warned=None)
            if claim is None
            else claim_report(basis, claim, Said(basis))
        )
        hinted = form == "text" and not named and claim is None
        others = len(_others(basis, iri)) if hinted else 0
    printing.report(made, form, folder, notes=True)
    if others:
        many = "1 other thing names it" if others == 1 else f"{others:,} other things name it"
        click.echo(f"\n{many}; see --named.")


def _others(basis: "Kept", thing: "URIRef") -> set[str]:
    """Find what names a thing and is not shown without being asked for."""
    from glost.report.things.related import COMPARED

    named = {whole(triple[0]) for _, triple in basis.naming(str(thing))}
    return {each for each in named if id_of(each).partition("/")[0] not in COMPARED}
