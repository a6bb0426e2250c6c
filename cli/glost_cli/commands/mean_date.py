"""The command ``glost mean-date``."""

from datetime import date
from pathlib import Path

import click

from glost.answer.group import PieceGroup, pieces_of
from glost.answer.group import spread as reckon
from glost_cli import options, printing
from glost_cli.group import RECKON

PART = RECKON


@click.command()
@click.argument("pieces", nargs=-1, metavar="[PIECE]...")
@options.collection
@options.as_of
@options.form
@click.option("--of", metavar="THING", help="Pieces of that shape or pottery, or that show it.")
@click.option(
    "--years",
    type=click.IntRange(min=1),
    default=5,
    show_default=True,
    help="How many years a period has.",
)
@click.option("--evidence", is_flag=True, help="Print, under each row, what it rests on.")
def mean_date(
    pieces: tuple[str, ...],
    folder: Path,
    as_of: date | None,
    form: str,
    of: str | None,
    years: int,
    evidence: bool,
) -> None:
    """Say what the dates of a group of pieces come to: their mean, and their spread over the years.

    The group is the PIECEs named, those of a thing, or all. The mean is South's mean ceramic
    date: of each shape the middle of the years it may have run, weighed by the pieces of it. The
    spread shares each piece out over the days between its limits (aoristic weights); "possible"
    counts it in every period it may belong to.

    \b
    Examples:
      glost mean-date --of tamsin
      glost mean-date wv-001 wv-031 wv-056 --years 10
    """
    with options.snapshot(folder, as_of) as snapshot:
        found = reckon(snapshot, pieces_of(snapshot, pieces, of), years)
        graph = snapshot.words
    if form == "json":
        printing.as_json(found.as_dict())
    elif form == "csv":
        columns = ["from", "to", "weight", "possible", "claims"]
        cited = [" ".join(str(c.iri) for c in row.claims) for row in found.periods]
        shown = _period_rows(found)
        printing.as_csv(columns, [[*row, c] for row, c in zip(shown, cited, strict=True)])
    else:
        _print(found)
        if evidence:
            named = [(each.shape, each.claims) for each in found.types]
            named += [(f"{each.first} to {each.last}", each.claims) for each in found.periods]
            for name, claims in named:
                click.echo(f"\n{name}:")
                printing.support(claims, graph)


def _period_rows(found: PieceGroup) -> list[list[str]]:
    return [
        [str(row.first), str(row.last), f"{row.weight:.3f}", str(row.possible)]
        for row in found.periods
    ]


def _print(found: PieceGroup) -> None:
    if found.mean is None:
        click.echo("No mean date: no shape of these pieces is dated at both ends.")
    else:
        click.echo(f"We reckon a mean ceramic date of {found.mean:.1f}, from:")
        rows = [
            [t.shape, str(t.count), str(t.first), str(t.last), f"{t.median:.1f}"]
            for t in found.types
        ]
        printing.table(["shape", "pieces", "from", "to", "middle"], rows)
    if found.without_type:
        click.echo(f"Left out of the mean: {', '.join(found.without_type)}.")
    click.echo()
    printing.table(["from", "to", "weight", "possible"], _period_rows(found))
    if found.without_limits:
        count = len(found.without_limits)
        click.echo(f"Left out of the spread, for a limit is missing: {count} of {found.pieces}.")
