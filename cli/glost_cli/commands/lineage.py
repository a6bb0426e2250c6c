"""The command ``glost lineage``."""

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from glost.answer.showing import find_thing
from glost.answer.snapshot import Snapshot
from glost.record.claims import Claim
from glost.words.labels import label
from glost_cli import options, printing
from glost_cli.group import RECKON
from glost_cli.meaning import Meant, meant

PART = RECKON

if TYPE_CHECKING:
    from glost.trade.lineage import Line


@click.command()
@click.argument("thing", required=False)
@options.collection
@options.as_of
@click.option(
    "--as",
    "form",
    type=click.Choice(["table", "csv", "json", "graphml", "dot"]),
    default="table",
    show_default=True,
    help="How to print it; graphml and dot print the family, or the whole graph without THING.",
)
@click.option("--first", "kind", metavar="KIND", help="Which KIND (shape, kiln, ...) came first.")
@click.option(
    "--where",
    metavar="COLUMN=TEXT",
    help="With --first: only those of which that column of the kind's table says the text.",
)
@click.option("--with", "other", metavar="OTHER", help="What THING and OTHER both come from.")
def lineage(
    thing: str | None,
    folder: Path,
    as_of: date | None,
    form: str,
    kind: str | None,
    where: str | None,
    other: str | None,
) -> None:
    """Follow what THING was copied, redesigned or reissued from, and what came of it.

    Ancestors and descendants come with every tie on the way and the sources that say it; then
    shared moulds and flatware, who designed it, what it is much like, what came instead of what,
    and which of the family came first. A group of shapes stands for its members. Without THING,
    every tie in the collection.

    \b
    Examples:
      glost lineage halewin
      glost lineage moraine --with bretelle
      glost lineage --first kiln --where kind=tunnel
      glost lineage --as graphml > lineage.graphml
    """
    from glost.trade import lineage as kin

    column, text = _where(kind, where)
    if other and not thing:
        raise click.UsageError("--with compares OTHER with a THING; name that first")
    if kind and (thing or form in ("graphml", "dot")):
        raise click.UsageError("--first is about all things of a kind; it prints rows")
    with options.snapshot(folder, as_of) as snapshot:
        whole = kin.lineage(snapshot.kept)
        asked = meant(snapshot, thing, record=snapshot.stored) if thing else Meant(())
        iri = asked.group or next(iter(asked.things), None)
        if form in ("graphml", "dot"):
            parts = [kin.family(whole, each).things for each in asked.things]
            part = whole.among(each for some in parts for each in some) if thing else whole
            click.echo((kin.graphml if form == "graphml" else kin.dot)(part), nl=False)
            return
        name = label(iri, snapshot.labels) if iri else snapshot.collection.title
        if kind:
            lines = kin.first_lines(whole, snapshot.chronology, kind, column, text)
        elif iri is None:
            lines = kin.all_lines(whole)
        elif other:
            second = find_thing(snapshot.stored, other)
            name = f"What {name} and {label(second, snapshot.labels)} both come from"
            lines = tuple(
                line for each in asked.things for line in kin.common_lines(whole, each, second)
            )
        else:
            told = [kin.lineage_lines(whole, each, snapshot.chronology) for each in asked.things]
            if form == "table" and asked.group:
                asked.print_heading(snapshot)
                for each, lines in zip(asked.things, told, strict=True):
                    _print_lines(snapshot, label(each, snapshot.labels), lines, form)
                    click.echo()
                return
            lines = tuple(line for some in told for line in some)
        _print_lines(snapshot, name, lines, form)


def _where(kind: str | None, where: str | None) -> tuple[str, str]:
    if where is None:
        return "", ""
    column, equals, text = (part.strip() for part in where.partition("="))
    if not kind or not (column and equals and text):
        raise click.UsageError(f'--where goes with --first and is COLUMN=TEXT, not "{where}"')
    return column, text


def _print_lines(snapshot: Snapshot, name: str, lines: "Sequence[Line]", form: str) -> None:
    columns = ["what", "thing", "tie", "sure", "rests on"]
    rows = [
        (
            line.what,
            label(line.thing, snapshot.labels),
            line.words,
            "yes" if line.sure else "no",
            _places(snapshot, line.claims),
        )
        for line in lines
    ]
    if form == "table":
        click.echo(f"{name}\n")
        if rows:
            printing.table(columns, rows)
        else:
            click.echo("Nothing of the kind is recorded.")
        return
    claims = [" ".join(str(claim.iri) for claim in line.claims) for line in lines]
    iris = [str(line.thing) for line in lines]
    full = [(*row, thing, each) for row, thing, each in zip(rows, iris, claims, strict=True)]
    printing.result(form, [*columns, "iri", "claims"], full)


def _places(snapshot: Snapshot, claims: tuple[Claim, ...]) -> str:
    places = [
        f"{label(claim.passage.source, snapshot.labels)}, {claim.passage.locator}".rstrip(", ")
        for claim in claims
    ]
    return "; ".join(dict.fromkeys(places))
