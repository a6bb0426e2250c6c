"""The command ``glost crossings``."""

from collections.abc import Iterable
from datetime import date
from pathlib import Path

import click
from rdflib import Graph, URIRef
from rich.text import Text

from glost.answer.showing import find_thing
from glost.answer.snapshot import Snapshot
from glost.names import GLOST
from glost.record.claims import Claim
from glost.trade.crossings import (
    STRENGTHS,
    Crossing,
    CrossingCell,
    CrossingMatrix,
    DecalEvidence,
    DecalLife,
    decal_life,
    matrix,
    support,
    told,
)
from glost.trade.crossings import crossings as find
from glost.words.english import count
from glost.words.labels import Words, label, words_of
from glost.words.spans import ends
from glost_cli import options, printing
from glost_cli.group import RECKON
from glost_cli.meaning import meant

PART = RECKON

_COLUMNS = (
    "treatment", "home", "seen on", "form", "seen in", "explanation", "strength", "why",
    "sharing then", "late reissue", "deciding", "disputed",
)  # fmt: skip
_LIFE = ("number", "home", "shown by", "how", "not before", "not after")


@click.command()
@options.collection
@options.as_of
@options.form
@click.option("--decal", default="", metavar="ID", help="Follow this decal across shapes instead.")
@click.option("--pottery", default="", metavar="ID", help="Only treatments issued by this pottery.")
@click.option(
    "--shape", default="", metavar="ID", help="Only from or to this shape, or shapes of this group."
)
@click.option("--matrix", "arranged", is_flag=True, help="Count them by home and other shape.")
@click.option("--evidence", is_flag=True, help="Print, under each, what it rests on.")
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
        if decal:
            named = find_thing(snapshot.record, decal, "decal")
            life = decal_life(snapshot.belief, named, margin, snapshot.chronology)
            _print_life(life, snapshot.words, form, evidence)
            return
        found = find(snapshot.belief, snapshot.chronology)
        if pottery:
            ours = find_thing(snapshot.record, pottery, "pottery")
            issued = set(snapshot.belief.graph.subjects(GLOST.issuedBy, ours))
            found = tuple(each for each in found if each.treatment in issued)
        if shape:
            asked = meant(snapshot, shape, "shape")
            found = tuple(e for e in found if {e.home, e.seen_on} & set(asked.things))
            if form == "table":
                asked.print_heading(snapshot)
        if arranged:
            _print_matrix(matrix(found, snapshot.chronology), snapshot.words, form)
        else:
            _print_crossings(found, snapshot, form, evidence)


def _rows(
    crossing: Crossing, graph: Graph | Words
) -> Iterable[tuple[list[str], tuple[Claim, ...]]]:
    """Give a row for each explanation of each sighting, and the claims under it."""
    for sighting in crossing.sightings:
        for explanation in sighting.explanations:
            words = explanation.words
            if explanation.reissue is not None:
                words += f": {label(explanation.reissue, graph)}"
            row = [
                label(crossing.treatment, graph),
                label(crossing.home, graph) + (" (by its number)" if crossing.by_number else ""),
                label(crossing.seen_on, graph),
                label(sighting.form, graph) if sighting.form is not None else "",
                words_of(graph).findable(sighting.where),
                words,
                STRENGTHS[explanation.strength],
                explanation.why,
                sighting.timing.sharing or "",
                sighting.timing.late,
                "; ".join(sighting.timing.deciding),
                "; ".join(sighting.timing.disputed),
            ]
            claims = dict.fromkeys([*crossing.claims, *sighting.claims, *explanation.claims])
            yield row, tuple(claims)


def _print_crossings(
    found: Iterable[Crossing], snapshot: Snapshot, form: str, evidence: bool
) -> None:
    graph = snapshot.words
    if form != "table":
        rows = [[*row, _ids(c)] for each in found for row, c in _rows(each, graph)]
        printing.result(form, [*_COLUMNS, "claims"], rows)
        return
    console = printing.console()
    many = 0
    for each in found:
        many += 1
        how = " (by its number)" if each.by_number else ""
        console.print(Text(f"{label(each.treatment, graph)}", style="bold"))
        console.print(
            f"  at home on {label(each.home, graph)}{how}, seen on {label(each.seen_on, graph)}"
        )
        for sighting in each.sightings:
            form_ = f", {label(sighting.form, graph)}" if sighting.form is not None else ""
            words = "; ".join(dict.fromkeys(e.words for e in sighting.explanations))
            where = f"{words_of(graph).findable(sighting.where)}{form_}"
            console.print(Text(f"    {where}: {words}{told(sighting)}"))
        for explanation in each.explanations:
            of = f" ({label(explanation.reissue, graph)})" if explanation.reissue else ""
            strength = f", {STRENGTHS[explanation.strength]}" if explanation.strength else ""
            words = f"{explanation.words}{of}{strength}"
            console.print(Text(f"  {words}: {explanation.why}"))
        if evidence:
            printing.support(support(each), graph)
        console.print()
    click.echo(f"{count(many, 'crossing')}.")


def _ids(claims: Iterable[Claim]) -> str:
    return " ".join(str(claim.iri) for claim in claims)


def _print_matrix(found: CrossingMatrix, graph: Graph | Words, form: str) -> None:
    cells = {(cell.home, cell.seen_on): cell for cell in found.cells}
    if form == "table":
        away = [s for s in found.shapes if any(cell.seen_on == s for cell in found.cells)]
        homes = [s for s in found.shapes if any(cell.home == s for cell in found.cells)]
        rows = [
            [label(home, graph), *(_count(cells.get((home, shape))) for shape in away)]
            for home in homes
        ]
        printing.table(["home \\ seen on", *(label(shape, graph) for shape in away)], rows)
        click.echo("\nTreatments that crossed from the shape of the row to that of the column.")
        return
    rows = [
        [
            label(cell.home, graph),
            label(cell.seen_on, graph),
            str(len(cell.crossings)),
            str(cell.sightings),
            STRENGTHS[cell.strength],
            _ids(dict.fromkeys(c for each in cell.crossings for c in support(each))),
        ]
        for cell in found.cells
    ]
    names = ["home", "seen on", "treatments", "sightings", "weakest explanation", "claims"]
    printing.result(form, names, rows)


def _count(cell: CrossingCell | None) -> str:
    return "" if cell is None else str(len(cell.crossings))


def _print_life(life: DecalLife, graph: Graph | Words, form: str, evidence: bool) -> None:
    rows, claims = [], []
    for use in life.uses:
        number = ", ".join(use.numbers)
        if use.treatment is None:
            number = f"no number, on {', '.join(label(s, graph) for s in use.seen_on)}"
        home = ", ".join(label(shape, graph) for shape in use.homes)
        for each in use.evidence:
            rows.append([number, home, label(each.where, graph), each.how, *_days(each)])
            claims.append((*use.claims, *each.claims))
        if not use.evidence:
            rows.append([number, home, "", "", "", ""])
            claims.append(use.claims)
    if form != "table":
        told = [[*row, _ids(dict.fromkeys(c))] for row, c in zip(rows, claims, strict=True)]
        printing.result(form, [*_LIFE, "claims"], told)
        return
    click.echo(f"{label(life.decal, graph)}\n")
    printing.table(_LIFE, rows)
    if life.earliest is not None:
        click.echo(f"\nIn use by {_days(life.earliest)[1]}: {_shown(life.earliest, graph)}")
    if life.latest is not None:
        day = _days(life.latest)[0]
        click.echo(f"Still in use on or after {day}: {_shown(life.latest, graph)}")
    if evidence:
        seen = dict.fromkeys(c for each in claims for c in each)
        printing.support(seen, graph)


def _shown(evidence: DecalEvidence, graph: Graph | Words) -> str:
    return f"{label(URIRef(evidence.where), graph)} ({evidence.how})"


def _days(evidence: DecalEvidence) -> tuple[str, str]:
    first, last = ends(evidence.days)
    return first or "", last or ""
