"""The command ``glost crossings``."""

from datetime import date
from pathlib import Path

import click

from glost.answer.showing import find_thing
from glost.names import GLOST
from glost.report.results import crossings as results
from glost.report.things import Kept
from glost.report.things.said import Said
from glost.trade.crossings import crossings as find
from glost.trade.crossings import decal_life, matrix
from glost_cli import options, printing
from glost_cli.group import RECKON
from glost_cli.meaning import Meant, meant

PART = RECKON


@click.command()
@options.collection
@options.as_of
@options.report
@click.option("--decal", default="", metavar="ID", help="Follow this decal across shapes instead.")
@click.option("--pottery", default="", metavar="ID", help="Only treatments issued by this pottery.")
@click.option(
    "--shape", default="", metavar="ID", help="Only from or to this shape, or shapes of this group."
)
@click.option("--matrix", "arranged", is_flag=True, help="Count them by home and other shape.")
@options.evidence
def crossings(
    folder: Path,
    as_of: date | None,
    form: str,
    decal: str,
    pottery: str,
    shape: str,
    arranged: bool,
    evidence: bool,
) -> None:
    """Show the treatments seen on another shape than their home, and what may account for each.

    Every explanation found is given, the strongest first, with how strong it is (strong, fair,
    weak) and why. With --decal, the numbers one decal bore, on which shapes, and the
    earliest and latest it is known in use.

    \b
    Examples:
      glost crossings --evidence
      glost crossings --decal ferry-rose
    """
    with options.snapshot(folder, as_of) as snapshot:
        margin = snapshot.record.collection.margin
        said, words = Said(Kept(snapshot), evidence), snapshot.words
        if decal:
            named = find_thing(snapshot.record, decal, "decal")
            life = decal_life(snapshot.belief, named, margin, snapshot.chronology)
            printing.report(results.life(life, said), form, folder, evidence, "crossings")
            return
        found = find(snapshot.belief, snapshot.chronology)
        if pottery:
            ours = find_thing(snapshot.record, pottery, "pottery")
            issued = set(snapshot.belief.graph.subjects(GLOST.issuedBy, ours))
            found = tuple(each for each in found if each.treatment in issued)
        asked = meant(snapshot, shape, "shape") if shape else Meant(())
        if shape:
            found = tuple(e for e in found if {e.home, e.seen_on} & set(asked.things))
        made = (
            results.matrix(matrix(found, snapshot.chronology), said)
            if arranged
            else results.told(found, said, words)
        )
        made = asked.report(snapshot, said, [made])
    printing.report(made, form, folder, evidence, "crossings")
